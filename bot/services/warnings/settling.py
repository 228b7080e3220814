"""Duties brought into line with what was reported of their places: answered, open again, to be undone, or left as it is.

All of it is derived anew at every look and after every report, so that it does not matter who told what, in which order.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden import place_state
from bot.core.garden.place_state import OFF, UNDOES, Layer, On, Want
from bot.core.warnings.hazards import AFTERWARDS, Finding, TaskKind
from bot.services.look import Look, quiet
from bot.services.tasks.answers import take
from bot.services.warnings import expected
from bot.services.warnings.aftermath import daylight_ends
from bot.storage.garden import place_reports
from bot.storage.models import Garden, Member, Task, TaskReport, Warning
from bot.storage.states import AskState, TaskState, WarningState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store

#: For so long after a hazard what it had done may still be undone by daylight.
_UNDONE_WITHIN = timedelta(days=7)
#: Work that undoes something is of use only if what it undoes is not wanted again by the next morning.
_OF_USE = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Answered:
    """A duty that a report has just answered."""

    warning: Warning
    duty: Task
    on: On


async def wants(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> tuple[Want, ...]:
    """What the weather to come asks for, by the rule that calls; a warning in force counts until it is called off."""
    over = await store.lately_over(session, row.id, now)
    off = {(one.hazard, one.window_on) for one in over if one.ends_at > now and one.off_reason is not None}
    found = [Want.of(one) for one in outlook.findings if (one.hazard, one.window_on) not in off and one.ends_at > now]
    in_force = await _in_force(session, row, now)
    duties = await tasks.of_warnings(session, [one.id for one in in_force.values() if one.ends_at > now])
    known = {(one.place_id, one.hazard, one.task, one.starts_at) for one in found}
    called = (
        Want(duty.place_id, one.hazard, duty.kind, one.starts_at, one.ends_at)
        for duty, one in ((duty, in_force[duty.cause_id]) for duty in duties)
        if duty.kind not in UNDOES
        and duty.place_id is not None
        and (duty.place_id, one.hazard, duty.kind, one.starts_at) not in known
    )
    return (*found, *called)


async def _in_force(session: AsyncSession, row: Garden, now: datetime) -> dict[int, Warning]:
    return {one.id: one for one in await store.active(session, row.id, now) if one.state is not WarningState.OVER}


async def settle(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> tuple[list[Answered], set[int]]:
    """Answer the duties that the ledger answers by now, and open those again that it answers no more.

    Returns what was answered, and the warnings of which something is open again.
    """
    answered: list[Answered] = []
    again: set[int] = set()
    in_force = await _in_force(session, row, now)
    wanted = await wants(session, row, outlook, now) if in_force else ()
    for warning in in_force.values():
        for duty in await tasks.of_warnings(session, [warning.id]):
            place = outlook.garden.place_by_id.get(duty.where_id)
            told = place is not None and place_state.did_of(duty.kind, place.kind) is not None
            if not told or not place_state.layers(duty.kind):
                continue
            on = _answering(outlook, warning, duty, wanted, now)
            if on is not None and duty.state in tasks.UNDONE:
                await _close(session, warning, duty, on, now)
                answered.append(Answered(warning, duty, on))
            elif on is None and duty.state is TaskState.DONE and now < duty.due_at:
                await _open_again(session, duty)
                again.add(warning.id)
    await session.flush()
    return answered, again


def _answering(outlook: Look, warning: Warning, duty: Task, wanted: Iterable[Want], now: datetime) -> On | None:
    return place_state.answering(outlook.states.get(duty.where_id), want_of(warning, duty), wanted, now, duty.id)


def is_answered(outlook: Look, found: Finding, wanted: Iterable[Want], now: datetime) -> bool:
    """Whether what a finding asks for is surely done by what was reported."""
    want = Want.of(found)
    return place_state.answering(outlook.states.get(found.place_id), want, wanted, now) is not None


def want_of(warning: Warning, duty: Task) -> Want:
    """What a duty asks for, as the ledger is asked about it."""
    return Want(duty.where_id, warning.hazard, duty.kind, warning.starts_at, warning.ends_at, cover=duty.cover)


async def _close(session: AsyncSession, warning: Warning, duty: Task, on: On, now: datetime) -> None:
    """Whoever was asked need not go; whoever said yes for this very stretch hears so, for a later one stays on it."""
    report = on.report
    duty.state, duty.done_at, duty.done_by = TaskState.DONE, report.at, report.member_id
    session.add(TaskReport(task_id=duty.id, member_id=report.member_id, done=True, reported_at=now))
    lasts = report.until_at is not None and report.until_at >= warning.ends_at - timedelta(hours=3)
    asks = await tasks.asks_of(session, [duty.id])
    for ask in asks:
        if ask.member_id == report.member_id:
            continue
        if ask.state is AskState.ASKED:
            ask.state = AskState.RELEASED
        elif ask.state is AskState.ACCEPTED and lasts:
            ask.state = AskState.FREED
    member = await session.get(Member, report.member_id) if report.member_id is not None else None
    # Whoever did it unasked has had a turn; what was done for another night is one walk, and a tap that it is on is none.
    if member is not None and member.adult and lasts and report.task_id is None:
        take(session, duty, next((ask for ask in asks if ask.member_id == member.id), None), member, now)


async def _open_again(session: AsyncSession, duty: Task) -> None:
    yes = [ask for ask in await tasks.asks_of(session, [duty.id]) if ask.state is AskState.ACCEPTED]
    duty.state = TaskState.ACCEPTED if len(yes) >= duty.people else TaskState.OPEN
    duty.done_at = duty.done_by = duty.escalated_at = None


def kept_so(wanted: Iterable[Want], place_id: int, layer: Layer, by_at: datetime) -> datetime | None:
    """Until when what is there has to stay as it is; None when it may be undone."""
    return place_state.kept_until(place_state.wanting(layer, place_id, wanted), by_at)


def left_on(wanted: Iterable[Want], place_id: int, layer: Layer, row: Garden, now: datetime) -> datetime | None:
    """The end of what wants it there again before it would be of use to take it off by daylight; None where nothing does."""
    return kept_so(wanted, place_id, layer, daylight_ends(row, now) + _OF_USE)


async def undoing(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> set[int]:
    """Ask for what may be undone, and for nothing that the next night or gale wants; returns the warnings that changed.

    Without a forecast nothing of it changes.
    """
    if outlook.forecast is None:
        return set()
    over = {
        one.id: one.over_at
        for one in await store.lately_over(session, row.id, now)
        if one.over_at is not None and one.over_at > now - _UNDONE_WITHIN
    }
    if not over:
        return set()
    rows = sorted(await tasks.every_of_warnings(session, tuple(over)), key=lambda one: one.id)
    wanted = await wants(session, row, outlook, now)
    held = quiet(row).ends_at(now) > now or await expected.closed_now(session, row.id, now)
    ending = await _about_to_end(session, row, now)
    changed: set[int] = set()
    kept: dict[int, datetime] = {}
    for (place_id, task), causes in _by_undoing(rows).items():
        undos = [duty for duty in rows if (duty.place_id, duty.kind) == (place_id, task)]
        stands = outlook.states.get(place_id)
        on = stands.on.get(UNDOES[task]) if stands is not None else None
        for duty in (one for one in undos if one.state in tasks.LIVE):
            wanted_at = kept_so(wanted, place_id, UNDOES[task], duty.due_at + _OF_USE)
            if on is None or on.stays or wanted_at is not None:
                await _end(session, duty, on, now)
                changed.add(duty.cause_id)
            elif duty.due_at <= now:
                duty.state = TaskState.MISSED
        if on is None or on.stays:
            continue
        cause = max(causes, key=lambda one: (over[one.cause_id], one.id))
        asked = any(one.state is not TaskState.DROPPED and one.starts_at >= over[cause.cause_id] for one in undos)
        until_at = left_on(wanted, place_id, UNDOES[task], row, now)
        if until_at is not None and not any(one.state in tasks.LIVE for one in undos):
            kept[cause.id] = until_at
        elif until_at is None and not (asked or held or place_id in ending):
            _ask(session, row, cause, task, undos, now)
            changed.add(cause.cause_id)
    await session.flush()
    return changed | _remember_kept(rows, kept)


def _remember_kept(rows: Iterable[Task], kept: Mapping[int, datetime]) -> set[int]:
    """What the messages about warnings that are over say is to be left as it is, by the task that made it so."""
    changed = {duty.cause_id for duty in rows if duty.kept_until_at != kept.get(duty.id)}
    for duty in rows:
        duty.bring_up(kept_until_at=kept.get(duty.id))
    return changed


async def _about_to_end(session: AsyncSession, row: Garden, now: datetime) -> frozenset[int | None]:
    """Places of warnings whose hazard is past: their own last message will ask for what is to be undone there."""
    past = [one.id for one in (await _in_force(session, row, now)).values() if one.ends_at <= now]
    return frozenset(duty.place_id for duty in await tasks.of_warnings(session, past))


def _by_undoing(rows: Iterable[Task]) -> dict[tuple[int, TaskKind], list[Task]]:
    """What these duties leave to undo, by place and the task that undoes it."""
    found: dict[tuple[int, TaskKind], list[Task]] = defaultdict(list)
    for duty in rows:
        task = AFTERWARDS.get(duty.kind)
        if task in UNDOES:
            found[duty.where_id, task].append(duty)
    return found


async def _end(session: AsyncSession, duty: Task, on: On | None, now: datetime) -> None:
    """Somebody has undone it already, or it has to stay as it is after all."""
    duty.state = TaskState.DROPPED if on is not None else TaskState.DONE
    if on is None:
        duty.done_at = now
        duty.done_by = await _undone_by(session, duty)
    for ask in await tasks.asks_of(session, [duty.id]):
        if ask.state is AskState.ACCEPTED and ask.member_id != duty.done_by:
            ask.state = AskState.FREED
        elif ask.state is AskState.ASKED:
            ask.state = AskState.RELEASED


async def _undone_by(session: AsyncSession, duty: Task) -> int | None:
    told = [row for row in await place_reports.rows(session, [duty.where_id]) if OFF.get(row.did) is UNDOES[duty.kind]]
    return told[-1].member_id if told else None


def _ask(session: AsyncSession, row: Garden, cause: Task, task: TaskKind, undos: Sequence[Task], now: datetime) -> None:
    undo = next((one for one in undos if one.warning_id == cause.cause_id), None)
    if undo is None:
        undo = Task(
            garden_id=row.id, warning_id=cause.warning_id, on=cause.on, place_id=cause.place_id,
            support_id=cause.support_id, kind=task,
        )  # fmt: skip
        session.add(undo)
    undo.state, undo.done_at, undo.done_by, undo.escalated_at = TaskState.OPEN, None, None, None
    undo.crops, undo.people, undo.minutes = cause.crops, cause.people, cause.minutes
    undo.starts_at, undo.due_at = now, daylight_ends(row, now)
