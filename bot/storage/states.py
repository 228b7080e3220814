"""The states that rows pass through, in words."""

from __future__ import annotations

from enum import StrEnum

__all__ = [
    "AskState",
    "ErrandKind",
    "ErrandState",
    "Hazard",
    "KeyState",
    "MarkKind",
    "SendState",
    "Shut",
    "TaskKind",
    "TaskState",
    "WarningState",
]

from bot.core.warnings.hazards import Hazard, TaskKind


class WarningState(StrEnum):
    DETECTED = "detected"  # found, not said yet
    ANNOUNCED = "announced"  # the group has had a heads-up
    CALLED = "called"  # people have been asked
    SETTLED = "settled"  # every duty is done
    OVER = "over"  # the hazard has passed, or was called off


class TaskState(StrEnum):
    OPEN = "open"  # somebody is needed
    ACCEPTED = "accepted"  # enough people said yes
    DONE = "done"
    MISSED = "missed"  # the hazard came first
    DROPPED = "dropped"  # no longer needed


class AskState(StrEnum):
    ASKED = "asked"
    ACCEPTED = "accepted"
    PASSED = "passed"  # said no, or could not be reached
    SILENT = "silent"  # somebody else was asked after no answer
    FREED = "freed"  # is no longer needed for it, and has yet to hear so
    RELEASED = "released"  # no longer needed


class SendState(StrEnum):
    PENDING = "pending"
    SENDING = "sending"
    SENT = "sent"
    FAILED = "failed"
    UNCERTAIN = "uncertain"  # may or may not have arrived
    EXPIRED = "expired"  # too late to be of use, by its own rule


class Shut(StrEnum):
    """What keeps the bot from writing to a garden's group as it should; nothing does where the column is empty."""

    REMOVED = "removed"  # the bot is not in the group
    GONE = "gone"  # there is no such chat
    MUTED = "muted"  # in it, but may not write
    CLOSED = "closed"  # the general topic takes nothing
    TOPIC_CLOSED = "topic closed"  # the garden's own topic does not; messages go to the general one
    TOPIC_GONE = "topic gone"  # the same, for good

    @property
    def silent(self) -> bool:
        """Whether nothing at all reaches the group."""
        return self not in (Shut.TOPIC_CLOSED, Shut.TOPIC_GONE)


class MarkKind(StrEnum):
    """What a member said of one of the week's jobs."""

    DONE = "done"
    LATER = "later"


class KeyState(StrEnum):
    HELD = "held"
    LENT = "lent"  # for now; it comes back
    LOST = "lost"
    SPARE = "spare"  # with nobody, where the group keeps it


class ErrandKind(StrEnum):
    """Work that takes longer than an answer may."""

    OUTLOOK = "outlook"  # the coming nights, as a picture
    SEASON = "season"  # the calendar, as a picture
    WALL = "wall"  # the sheet for the gate
    REPORT = "report"  # the season, for whoever asked
    REPORT_TO_GROUP = "report to group"
    FILE = "file"  # fetch a file and say what it would change
    APPLY = "apply"  # store what the files say
    EXPORT = "export"
    REHEARSAL = "rehearsal"  # a cold night, played on a copy


class ErrandState(StrEnum):
    WAITING = "waiting"
    WORKING = "working"
    KEPT = "kept"  # a file that was fetched and waits to be applied or dropped
    DONE = "done"
    FAILED = "failed"
