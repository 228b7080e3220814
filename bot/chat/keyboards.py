"""Buttons: their labels, and the data that comes back, "verb:number"."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from bot.chat.message import Button
from bot.chat.wording import names
from bot.chat.wording.week import SHOWN
from bot.core.place_state import Layer
from bot.core.week import Job, Week
from bot.i18n import Say
from bot.services.events import What
from bot.services.views import TaskView, WarningView
from bot.storage.states import WarningState

__all__ = ["Rows", "ask", "job", "job_id", "private", "stays", "taken", "undone", "warning", "week", "which_still"]

Rows = list[list[Button]]


def warning(say: Say, shown: WarningView, what: What) -> Rows:
    """Under the group's message: anyone may take, pass on, report done, or ask why."""
    why: list[Button] = [(say.gettext("Why"), f"why:{shown.id}")]
    if what in (What.HEADS_UP, What.TOO_LATE) or shown.state is WarningState.ANNOUNCED:
        return [why]
    cold = _how_cold(say, shown) if what is What.AFTER else []
    doubt: list[Button] = [(say.gettext("Not done"), f"undone:{shown.id}")] if shown.reopenable else []
    if not shown.open_duties:
        return [*cold, [*doubt, *why]]
    return [
        *cold,
        *_still(say, shown.id, shown.doubtful),
        [(say.gettext("I'll do it"), f"yes:{shown.id}"), (say.gettext("I can't"), f"no:{shown.id}")],
        [(say.gettext("Done"), f"done:{shown.id}"), *doubt, *why],
    ]


def private(say: Say, shown: WarningView, what: What, member_id: int) -> Rows:
    """Under a warning that one member gets because there is no group to warn."""
    why: list[Button] = [(say.gettext("Why"), f"why:{shown.id}")]
    if what is What.AFTER:
        return _how_cold(say, shown)
    calls = shown.state in (WarningState.CALLED, WarningState.SETTLED) and what in (
        What.CALL,
        What.WORSE,
        What.OPEN_CALL,
    )
    if calls and shown.open_duties and not shown.duties_of(member_id):
        return [[(say.gettext("I'll do it"), f"yes:{shown.id}"), *why]]
    return [why]


def _still(say: Say, warning_id: int, doubtful: Sequence[TaskView]) -> Rows:
    """One tap for what was put on for an earlier night and is on still."""
    if not doubtful:
        return []
    layers = {duty.perhaps for duty in doubtful}
    if layers == {Layer.COVER}:
        label = say.gettext("It is still on")
    elif layers == {Layer.INSIDE}:
        label = say.gettext("It is still inside")
    else:
        label = say.gettext("Still as it was")
    return [[(label, f"ison:{warning_id}")]]


def which_still(say: Say, warning_id: int, doubtful: Sequence[TaskView]) -> Rows:
    """Which of several things are still as they were."""
    rows: Rows = [[(duty.place.name[:60], f"so:{warning_id}:{duty.id}")] for duty in doubtful[:12]]
    return [*rows, [(say.gettext("All of these"), f"so:{warning_id}:all")]]


def stays(say: Say, report_ids: Sequence[int]) -> Rows:
    """What has just been told may be so until further word."""
    if not report_ids:
        return []
    return [[(say.gettext("Until I say so"), f"stays:{'-'.join(map(str, report_ids))}"[:60])]]


def _how_cold(say: Say, shown: WarningView) -> Rows:
    """Some degrees around what was expected; the coldest first, as one reads a scale."""
    if shown.how_cold is None:
        return []
    degrees: list[Button] = [(say.celsius(value), f"cold:{shown.id}:{value}") for value in shown.how_cold.values_c]
    return [degrees[:4], degrees[4:], [(say.gettext("I did not look"), f"cold:{shown.id}:no")]]


def undone(say: Say, shown: WarningView) -> Rows:
    """What was reported done, to say of which that it is not."""
    return [
        [(f"{names.task(say, duty.kind)}: {duty.place.name}"[:60], f"reopen:{duty.id}")]
        for duty in shown.reopenable[:12]
    ]


def ask(say: Say, warning_id: int, doubtful: Sequence[TaskView] = ()) -> Rows:
    """Under the private question. doubtful: what of it is perhaps there still."""
    return [
        *_still(say, warning_id, doubtful),
        [(say.gettext("I'll do it"), f"yes:{warning_id}"), (say.gettext("I can't"), f"no:{warning_id}")],
        [(say.gettext("Why me?"), f"me:{warning_id}"), (say.gettext("Why"), f"why:{warning_id}")],
    ]


def taken(say: Say, warning_id: int) -> Rows:
    """After a yes."""
    return [
        [(say.gettext("Done"), f"done:{warning_id}"), (say.gettext("I can't after all"), f"no:{warning_id}")],
        [(say.gettext("Swap"), f"swap:{warning_id}:who"), (say.gettext("One more person"), f"hands:{warning_id}")],
        [(say.gettext("Why"), f"why:{warning_id}")],
    ]


def week(say: Say, given: Week, start: int) -> Rows:
    """A number for each job shown, and the way to the rest."""
    shown = given.jobs[start : start + SHOWN]
    numbers: list[Button] = [(say.number(n), f"job:{job_id(one)}") for n, one in enumerate(shown, start + 1)]
    rows = [numbers[:4], numbers[4:]]
    if len(given.jobs) > start + SHOWN:
        rows.append([(say.gettext("The rest"), f"week:{start + SHOWN}")])
    return [row for row in rows if row]


def job(say: Say, one: Job) -> Rows:
    """Under one job of the week."""
    key = job_id(one)
    if any(item.share is not None for item in one.items):
        return [
            [(say.gettext("Picked my share"), f"jshare:{key}"), (say.gettext("Already picked"), f"jgone:{key}")],
            [(say.gettext("Not now"), f"jlater:{key}"), (say.gettext("Why"), f"jwhy:{key}")],
        ]
    return [
        [(say.gettext("Done"), f"jdone:{key}"), (say.gettext("Not now"), f"jlater:{key}")],
        [(say.gettext("Why"), f"jwhy:{key}")],
    ]


def job_id(one: Job) -> str:
    """A job's key, short enough for a button."""
    return hashlib.blake2s(one.key.encode(), digest_size=8).hexdigest()
