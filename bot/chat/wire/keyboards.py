"""Buttons: their labels, and the data that comes back, "verb:number"."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence

from bot.chat import names, rights
from bot.chat.wire.message import Button
from bot.core.garden.place_state import Layer
from bot.core.garden.snapshot import Garden
from bot.core.growing.week import Job, Week
from bot.i18n import Say
from bot.services.warnings.events import What
from bot.services.warnings.views import TaskView, WarningView
from bot.storage.states import WarningState

Rows = list[list[Button]]


def ids(warning_ids: Iterable[int]) -> str:
    """What a message is about, as its buttons carry it."""
    return "-".join(str(one) for one in warning_ids)


def numbers(text: str) -> list[int]:
    """The other way round; none for anything that no button of ours carries."""
    found = [rights.whole(one) for one in text.split("-")]
    return [] if None in found else [one for one in found if one is not None]


def _all(say: Say, number: str, *, whole: bool) -> list[Button]:
    """The way to what a message in short leaves out. whole: it leaves nothing out."""
    return [] if whole else [(say.gettext("Show all"), f"all:{number}")]


def warning(say: Say, shown: WarningView, what: What, *, whole: bool) -> Rows:
    """Under the group's message: anyone may take, pass on, report done, or ask why."""
    why: list[Button] = [*_all(say, f"{shown.id}", whole=whole), (say.gettext("Why"), f"why:{shown.id}")]
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


def private(say: Say, shown: WarningView, what: What, member_id: int, *, whole: bool = True) -> Rows:
    """Under a warning that one member gets because there is no group to warn."""
    why: list[Button] = [*_all(say, f"{shown.id}", whole=whole), (say.gettext("Why"), f"why:{shown.id}")]
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


def _still(say: Say, number: int | str, doubtful: Sequence[TaskView]) -> Rows:
    """One tap for what was put on for an earlier night and is on still."""
    if not doubtful:
        return []
    layers = {duty.perhaps for duty in doubtful}
    if layers == {Layer.COVER}:
        label = say.gettext("It is still on")
    elif layers == {Layer.INSIDE}:
        label = say.gettext("It is still inside")
    else:
        label = say.gettext("It has not changed")
    return [[(label, f"ison:{number}")]]


def which_still(say: Say, warning_id: int, doubtful: Sequence[TaskView]) -> Rows:
    """Which of several things are still as they were."""
    rows: Rows = [[(duty.place.name[:60], f"so:{warning_id}:{duty.id}")] for duty in doubtful[:12]]
    return [*rows, [(say.gettext("All of these"), f"so:{warning_id}:all")]]


def stays(say: Say, report_ids: Sequence[int]) -> Rows:
    """What has just been told may be so until further word."""
    if not report_ids:
        return []
    return [[(say.gettext("It stays like this"), f"stays:{'-'.join(map(str, report_ids))}"[:60])]]


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


def ask(say: Say, warning_ids: Sequence[int], doubtful: Sequence[TaskView] = (), *, whole: bool = True) -> Rows:
    """Under the private question. doubtful: what of it is perhaps there still."""
    number = ids(warning_ids)
    return [
        *_still(say, number, doubtful),
        [(say.gettext("I'll do it"), f"yes:{number}"), (say.gettext("I can't"), f"no:{number}")],
        [
            *_all(say, number, whole=whole),
            (say.gettext("Why me?"), f"me:{number}"),
            (say.gettext("Why"), f"why:{number}"),
        ],
    ]


def taken(say: Say, warning_ids: Sequence[int], *, whole: bool = True) -> Rows:
    """After a yes. A swap is of one thing at a time."""
    number = ids(warning_ids)
    hands: Button = (say.gettext("One more person"), f"hands:{number}")
    swaps: list[Button] = [(say.gettext("Find a replacement"), f"swap:{number}:who")] if len(warning_ids) == 1 else []
    return [
        [(say.gettext("Done"), f"done:{number}"), (say.gettext("Now I can't do it"), f"no:{number}")],
        [*swaps, hands],
        [*_all(say, number, whole=whole), (say.gettext("Why"), f"why:{number}")],
    ]


def week(say: Say, given: Week, start: int, shown_n: int) -> Rows:
    """A number for each job shown, and the way to the rest."""
    shown = given.jobs[start : start + shown_n]
    numbers: list[Button] = [
        (say.gettext("Job {n}", n=n), f"job:{job_id(one)}") for n, one in enumerate(shown, start + 1)
    ]
    rows = [numbers[:4], numbers[4:]]
    if len(given.jobs) > start + shown_n:
        rows.append([(say.gettext("Show the rest"), f"week:{start + shown_n}")])
    return [row for row in rows if row]


def job(say: Say, one: Job) -> Rows:
    """Under one job of the week."""
    key = job_id(one)
    if any(item.share is not None for item in one.items):
        return [
            [
                (say.gettext("I picked my share"), f"jshare:{key}"),
                (say.gettext("It is picked already"), f"jgone:{key}"),
            ],
            [(say.gettext("Not now"), f"jlater:{key}"), (say.gettext("Why"), f"jwhy:{key}")],
        ]
    return [
        [(say.gettext("Done"), f"jdone:{key}"), (say.gettext("Not now"), f"jlater:{key}")],
        [(say.gettext("Why"), f"jwhy:{key}")],
    ]


def parts(say: Say, garden: Garden, one: Job) -> Rows:
    """Of a job at several places, a button for each, to be ticked one after the other."""
    key = job_id(one)
    known = [(garden.place_by_id[id_].name[:60], id_) for id_ in one.place_ids if id_ in garden.place_by_id]
    rows: Rows = [[(name, f"jtick:{key}:{id_}")] for name, id_ in known[:20]]
    return [*rows, [(say.gettext("All of these"), f"jall:{key}")]]


def job_id(one: Job) -> str:
    """A job's key, short enough for a button."""
    return hashlib.blake2s(one.key.encode(), digest_size=8).hexdigest()
