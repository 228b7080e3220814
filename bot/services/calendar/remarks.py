"""What is said of a calendar's file, apart from its reader, whose library is large and only sometimes needed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

MOST_EVENTS = 500


class Remarked(StrEnum):
    """What is said of a file; NOT_TAKEN are the codes of events that are left out."""

    NO_CALENDAR = "no calendar"  # the file is none, is broken or too large; detail: why, in English
    TOO_MANY = "too many"  # detail: how many there are
    NO_START = "no start"
    NO_TITLE = "no title"
    BACKWARDS = "backwards"  # it ends before it starts
    FAR_OFF = "far off"  # before or after any garden's time, or without end
    RULE = "rule"  # repeats in a way that is not kept; detail: the part
    CHANGED_TIME = "changed time"  # one time of a repeated event was changed by itself; detail: which
    PAST = "past"  # detail: how many are over
    OTHER_ZONE = "other zone"  # repeats by another zone's clock, or in a zone unknown; detail: the zone
    STEPPED = "stepped"  # the first day did not fit its own rule; detail: the day it has now
    LONG_TITLE = "long title"
    UNKEPT = "unkept"  # detail: the field, such as LOCATION
    COMPONENT = "component"  # detail: its kind, such as VTODO


@dataclass(frozen=True, slots=True)
class Remark:
    """title: of the event, empty when it is about the file."""

    code: Remarked
    title: str = ""
    detail: str = ""


def plain_title(text: str) -> str:
    """A title on one line, without signs that cannot be shown; not yet cut."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
