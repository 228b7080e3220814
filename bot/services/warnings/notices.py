"""What people who are on a duty must hear privately: the ask, a reminder, an earlier time, that they are free again."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings import alerts
from bot.services.look import Look, quiet
from bot.services.tasks.late_answers import first_due, wait_over_at
from bot.services.warnings.events import Event, ToMember, What
from bot.services.warnings.views import TaskView, WarningView, task_views, view
from bot.storage.models import Ask, Garden, Task, Warning
from bot.storage.states import AskState, TaskState, WarningState
from bot.storage.tasks import tasks


async def to_members(
    session: AsyncSession,
    row: Garden,
    warning: Warning,
    shown: WarningView,
    asked: Sequence[Ask],
    now: datetime,
) -> list[Event]:
    """Everything for the people of one warning's duties; nobody hears two things at one moment.

    asked: names that were just found, and those that were passed by.
    """
    duties = {duty.id: duty for duty in await tasks.of_warnings(session, [warning.id]) if duty.state in tasks.LIVE}
    asks = [ask for ask in await tasks.asks_of(session, list(duties)) if ask.state in tasks.KEEPING]
    mine = [ask for ask in asked if ask.task_id in duties]
    heard = {ask.member_id for ask in mine if ask.state is AskState.ASKED}
    events: list[Event] = [ToMember(What.ASK, shown, member_id) for member_id in sorted(heard)]
    events += _passed_by(mine, shown)
    if quiet(row).holds(now, _due_at(warning, duties.values(), now)):
        return events
    moved = _moved(duties, asks) - heard
    events += [ToMember(What.EARLIER, shown, member_id) for member_id in sorted(moved)]
    if quiet(row).ends_at(now) <= now:
        events += _remind(row, duties, asks, heard | moved, shown, now)
    return events


def _due_at(warning: Warning, duties: Collection[Task], now: datetime) -> datetime:
    """The latest safe time; once the hazard is over, of what undoes the duties."""
    if warning.state is not WarningState.OVER:
        return warning.due_at
    return min((duty.due_at for duty in duties), default=now)


def _moved(duties: Mapping[int, Task], asks: Sequence[Ask]) -> set[int]:
    """Who was told a latest safe time that has become notably earlier; what they are told now is kept."""
    people = defaultdict[int, set[int]](set)
    for ask in asks:
        people[ask.task_id].add(ask.member_id)
    moved: set[int] = set()
    for task_id, members in people.items():
        duty = duties[task_id]
        before = duty.told_due_at
        earlier = before is not None and before - duty.due_at > alerts.NOTABLE
        moved |= members if earlier else set()
        if before is None or earlier or duty.due_at > before:
            duty.told_due_at = duty.due_at
    return moved


def _remind(
    row: Garden, duties: Mapping[int, Task], asks: Sequence[Ask], heard: set[int], shown: WarningView, now: datetime
) -> list[Event]:
    """Whoever has not answered is reminded once, of all that they are asked for: what was asked first, and of that what is
    due first, says when. When somebody else is asked in their place: `late_answers`.
    """
    events: list[Event] = []
    unanswered = [ask for ask in asks if ask.state is AskState.ASKED and ask.reminded_at is None]
    due_at = first_due((duties[ask.task_id], ask) for ask in unanswered)
    late = [
        ask for ask in unanswered if now >= wait_over_at(ask.asked_at, due_at[ask.member_id, ask.asked_at], quiet(row))
    ]
    for member_id in dict.fromkeys(ask.member_id for ask in late):
        for ask in (ask for ask in unanswered if ask.member_id == member_id):
            ask.reminded_at = now
        if member_id not in heard:
            heard.add(member_id)
            events.append(ToMember(What.REMIND, shown, member_id))
    return events


def _passed_by(asks: Sequence[Ask], shown: WarningView) -> list[Event]:
    """Whoever is asked through somebody else hears that others are asked now."""
    tasks_of = defaultdict[int, set[int]](set)
    for ask in asks:
        if ask.state is AskState.SILENT:
            tasks_of[ask.member_id].add(ask.task_id)
    return [
        ToMember(What.PASSED_BY, shown, member_id, tuple(one for one in shown.duties if one.id in task_ids))
        for member_id, task_ids in tasks_of.items()
    ]


def thanks(shown: WarningView) -> list[Event]:
    """For whoever has done something; the group's thanks are read by everyone with the app, so only others hear these."""
    done = defaultdict[int, list[TaskView]](list)
    for duty in shown.duties:
        for each in duty.with_state(AskState.ACCEPTED) if duty.state is TaskState.DONE else ():
            done[each.member_id].append(duty)
    return [ToMember(What.THANKS, shown, member_id, tuple(duties)) for member_id, duties in done.items()]


def was_it_done(shown: WarningView) -> list[Event]:
    """One question to each who had said yes to what nobody has reported; others work and never tap."""
    open_ = defaultdict[int, list[TaskView]](list)
    for duty in shown.duties:
        for each in duty.with_state(AskState.ACCEPTED) if duty.state is TaskState.MISSED else ():
            open_[each.member_id].append(duty)
    return [ToMember(What.WAS_IT_DONE, shown, member_id, tuple(duties)) for member_id, duties in open_.items()]


async def to_freed(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> list[Event]:
    """Whoever is no longer needed for something hears so once, outside the quiet hours unless it is near."""
    by_member = defaultdict[tuple[int, int, bool], list[Task]](list)
    warnings: dict[int, Warning] = {}
    for ask, duty, warning in await tasks.freed(session, row.id):
        if quiet(row).holds(now, warning.due_at):
            continue
        ask.state, warnings[warning.id] = AskState.RELEASED, warning
        by_member[warning.id, ask.member_id, duty.state in tasks.LIVE].append(duty)
    events: list[Event] = []
    for (warning_id, member_id, _), duties in by_member.items():
        shown = await view(session, warnings[warning_id], outlook)
        free_of = await task_views(session, row.id, duties, outlook)
        events.append(ToMember(What.RELEASED, shown, member_id, free_of))
    return events
