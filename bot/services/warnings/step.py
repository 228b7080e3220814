"""Each warning's next step: what has to be said now, and the rows that remember that it was said.

How a warning ends: called off, or over when its hazard is; what was done for it is then to be undone.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.finding import Hazard
from bot.core.tasks.rota import Short, Shortage
from bot.core.warnings import alerts
from bot.core.warnings.alerts import ANSWER_TIME, Change, Moment, Threat
from bot.core.warnings.safety import dangerous
from bot.services.look import Look, quiet
from bot.services.warnings import aftermath, expected, notices, settling, spells
from bot.services.warnings import detect as rows
from bot.services.warnings.events import Event, ToGroup, ToOrganisers, What
from bot.services.warnings.views import TaskView, WarningView, view
from bot.storage.models import Ask, Garden, Outbox, Warning
from bot.storage.states import AskState, TaskState, WarningState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store

#: Nothing is said to have passed that comes back within so long.
_CALM_FOR = timedelta(days=1)


async def end(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> None:
    """Warnings whose hazard is past are over, with what undoes them planned, so that it is asked for in the same breath.

    What is to be said of it waits (`Warning.untold`), so that nothing is lost where this is cut off.
    """
    for warning in await store.active(session, row.id, now):
        step = alerts.moment(now, warning.due_at, warning.ends_at, quiet(row))
        if warning.state is not WarningState.OVER and step is Moment.OVER:
            await _finish(session, row, warning, outlook, now)


async def said_of_end(session: AsyncSession, warning: Warning, outlook: Look) -> list[What]:
    """What the group hears of a warning that is over, once; in the midst of a spell that was told of, by an edit."""
    if not warning.untold:
        return []
    warning.untold = False
    if warning.hazard is Hazard.COLD:
        next_on = next(iter(spells.following(outlook, warning.window_on)), None)
        if next_on is not None and next_on in await store.told_with(session, warning.garden_id, warning.window_on):
            return [What.EDIT]
    return [What.AFTER]


async def call_off(session: AsyncSession, row: Garden, warning: Warning, outlook: Look, now: datetime) -> list[What]:
    """The forecast has been without it for long enough. Nobody who heard of it is left waiting, nothing covered."""
    known = warning.state is not WarningState.DETECTED
    duties = await tasks.of_warnings(session, [warning.id])
    warning.spared = rows.is_spared(warning, duties, outlook)
    for duty in duties:
        if duty.state in tasks.LIVE:
            await rows.drop(session, duty)
    await aftermath.plan(session, row, warning, now)
    warning.state, warning.over_at = WarningState.OVER, now
    warning.cleared = True
    await session.flush()
    await settling.undoing(session, row, outlook, now)
    in_midst = warning.silent and await spells.leader(session, warning) is not None
    return [What.CALLED_OFF] if known and not in_midst else []


async def _finish(session: AsyncSession, row: Garden, warning: Warning, outlook: Look, now: datetime) -> None:
    """After the hazard, outside the quiet hours: thanks, and duties to undo what was done."""
    if now < alerts.morning_after(warning.ends_at, quiet(row)) or await expected.closed_now(session, row.id, now):
        return
    if blows_on(warning, outlook, now):
        return
    if warning.called_at is None:
        warning.state, warning.over_at = WarningState.OVER, now
        return
    for duty in await tasks.of_warnings(session, [warning.id]):
        if duty.state in tasks.LIVE:
            duty.state = TaskState.MISSED
    await aftermath.plan(session, row, warning, now)
    warning.state, warning.over_at = WarningState.OVER, now
    warning.untold = True
    await session.flush()
    await settling.undoing(session, row, outlook, now)


def blows_on(warning: Warning, outlook: Look, now: datetime) -> bool:
    """Whether a wind is not over: dangerous gusts come within a day, or nobody knows for want of a forecast."""
    if warning.hazard is not Hazard.WIND:
        return False
    if outlook.forecast is None:
        return now < warning.ends_at + _CALM_FOR
    return dangerous(outlook.garden, outlook.forecast, now, now + _CALM_FOR)


#: So long after its end, nobody is told any more that a warning is over.
_NEWS_FOR = timedelta(days=1)
#: So near the latest safe time, nobody's answer is waited for any more (common practice, no source).
LAST = timedelta(hours=1)
#: Numbers are said whole; so much more changes the words.
_SEEN_MS, _SEEN_C = 1.0, 0.5


async def speak(
    session: AsyncSession,
    row: Garden,
    outlook: Look,
    asked: Sequence[Ask],
    shortages: Sequence[Shortage],
    now: datetime,
    touched: Collection[int] = (),
) -> list[Event]:
    """Move every warning of a garden on, and return what has to be said.

    asked: names that were just found, and those that were passed by. touched: warnings whose standing message is to show
    what has been reported.
    """
    events: list[Event] = []
    threats = {(threat.hazard, threat.window_on): threat for threat in outlook.threats}
    seen_to = await spells.waiting(session, row.id)
    leaders: set[int] = set()
    of = await _to_speak_of(session, row, touched, now)
    # Read for all of them at once; each is asked for again below.
    await tasks.asks_of(session, [duty.id for duty in await tasks.of_warnings(session, [one.id for one in of])])
    for warning in of:
        threat = threats.get((warning.hazard, warning.window_on))
        before, is_end = warning.state, warning.untold
        said, spoken = await _step(session, row, warning, threat, outlook, seen_to, now)
        shown = await view(session, warning, outlook)
        private: list[Event] = []
        if spoken or warning.state in (WarningState.CALLED, WarningState.OVER):
            private += await notices.to_members(session, row, warning, shown, asked, now)
        private += [*notices.thanks(shown), *notices.was_it_done(shown)] if is_end else []
        private += await _shortage(session, row, warning, shown, shortages, now)
        if warning.state is not before and warning.silent and not said:
            lead = await spells.leader(session, warning)
            leaders |= {lead.id} if lead is not None else set()
        if (private or warning.id in touched) and not said:
            said = [What.EDIT]  # the standing message names whoever is asked now, and what was reported
        if not said and not warning.silent and await _is_of_yesterday(session, row, warning, now):
            said = [What.EDIT]  # what it calls tomorrow is today
        events += [*(ToGroup(what, shown) for what in said), *private]
    events += [await _edited(session, warning_id, outlook) for warning_id in leaders - _spoken_of(events)]
    return [*events, *await notices.to_freed(session, row, outlook, now)]


async def _is_of_yesterday(session: AsyncSession, row: Garden, warning: Warning, now: datetime) -> bool:
    """Whether its standing message was worded on a day that is over; looked at in the hour after the quiet hours."""
    local = now.astimezone(row.tz)
    if warning.outbox_id is None or warning.state is WarningState.OVER or local.hour != quiet(row).to_h:
        return False
    mine = (Outbox.id == warning.outbox_id) | (Outbox.edits == warning.outbox_id)
    worded_at = await session.scalar(select(func.max(Outbox.queued_at)).where(Outbox.chat_id == row.chat_id, mine))
    return worded_at is not None and worded_at.astimezone(row.tz).date() < local.date()


def _spoken_of(events: Sequence[Event]) -> set[int]:
    return {one.view.id for one in events if isinstance(one, ToGroup)}


async def _edited(session: AsyncSession, warning_id: int, outlook: Look) -> ToGroup:
    """The first night's message says of a later one in a place of its own."""
    return ToGroup(What.EDIT, await view(session, await session.get_one(Warning, warning_id), outlook))


async def _to_speak_of(session: AsyncSession, row: Garden, touched: Collection[int], now: datetime) -> list[Warning]:
    """Warnings in force or with something to undo or to say, and those that are over and of which something has changed."""
    found = await store.active(session, row.id, now)
    over = [
        one
        for one in await store.lately_over(session, row.id, now)
        if one.id in touched or (one.untold and one.over_at is not None and one.over_at > now - _NEWS_FOR)
    ]
    return [*found, *(one for one in over if one not in found)]


async def _step(
    session: AsyncSession,
    row: Garden,
    warning: Warning,
    threat: Threat | None,
    outlook: Look,
    seen_to: Collection[int],
    now: datetime,
) -> tuple[list[What], bool]:
    """What the group hears of one warning now, and whether names have just been called."""
    if warning.state is WarningState.OVER:
        return await said_of_end(session, warning, outlook), False
    step = alerts.moment(now, warning.due_at, warning.ends_at, quiet(row))
    if step is Moment.OVER:
        return [], False
    if warning.clear_since_at is not None:
        of_use = now < warning.due_at and not quiet(row).holds(now, warning.due_at)
        # What came back once must be gone for twice as long.
        is_sure = now - warning.clear_since_at >= alerts.CLEAR_FOR * (2 if warning.again else 1)
        of_use = of_use and not blows_on(warning, outlook, now)
        return await call_off(session, row, warning, outlook, now) if of_use and is_sure else [], False
    if warning.state is WarningState.DETECTED and step is Moment.TOO_LATE:
        warning.too_late = True
        return _first(warning, threat, outlook, What.TOO_LATE, WarningState.CALLED, now), False
    if warning.state in (WarningState.DETECTED, WarningState.ANNOUNCED):
        lead = await spells.leader(session, warning)
        if rows.is_near(warning, quiet(row), now):
            in_spell = lead is not None or warning.silent
            silent = in_spell and not await _new_of(session, warning, seen_to)
            return _first(warning, threat, outlook, What.CALL, WarningState.CALLED, now, silent=silent), True
        if warning.state is WarningState.DETECTED:
            if quiet(row).holds(now, warning.due_at):
                return [], False
            what, state = What.HEADS_UP, WarningState.ANNOUNCED
            return _first(warning, threat, outlook, what, state, now, silent=lead is not None), False
    if step is Moment.TOO_LATE and await _was_cut_short(session, warning, now):
        warning.too_late = warning.cut_short = True
        rows.remember(warning, threat, outlook, now, spoken=True)
        return [What.TOO_LATE], False
    if threat is not None:
        return await _changed(session, row, warning, threat, outlook, seen_to, now), False
    return [], False


async def _was_cut_short(session: AsyncSession, warning: Warning, now: datetime) -> bool:
    """Whether the time that people were told is still to come, and now no safe hour of it is left; once."""
    said = rows.said_of(warning)
    if said is None or said.due_at <= now or warning.too_late:
        return False
    return any(duty.state in tasks.LIVE for duty in await tasks.of_warnings(session, [warning.id]))


def _first(
    warning: Warning,
    threat: Threat | None,
    outlook: Look,
    what: What,
    state: WarningState,
    now: datetime,
    *,
    silent: bool = False,
) -> list[What]:
    """silent: an earlier night's message has said it, or its standing message shows it."""
    warning.state = state
    if state is WarningState.ANNOUNCED:
        warning.announced_at = now
    else:
        warning.called_at = now
    warning.silent = silent
    rows.remember(warning, threat, outlook, now, spoken=not silent)
    return [] if silent else [what]


async def _new_of(session: AsyncSession, warning: Warning, seen_to: Collection[int]) -> bool:
    """Whether it asks for something that no earlier night's work sees to."""
    duties = await tasks.of_warnings(session, [warning.id])
    return any(duty.state in tasks.LIVE and duty.id not in seen_to for duty in duties)


async def _changed(
    session: AsyncSession,
    row: Garden,
    warning: Warning,
    threat: Threat,
    outlook: Look,
    seen_to: Collection[int],
    now: datetime,
) -> list[What]:
    """Compare with what was said; a group that has everything in hand is told so by an edit."""
    said = rows.said_of(warning)
    duties = await tasks.of_warnings(session, [warning.id])
    if warning.state is WarningState.CALLED and duties and all(duty.state is TaskState.DONE for duty in duties):
        warning.state = WarningState.SETTLED
        return [] if warning.silent else [What.EDIT]
    if warning.state is WarningState.SETTLED and any(duty.state in tasks.LIVE for duty in duties):
        warning.state = WarningState.CALLED
    if warning.silent:
        if warning.state is not WarningState.CALLED or not rows.is_near(warning, quiet(row), now):
            return []
        new = await _new_of(session, warning, seen_to)
        return _first(warning, threat, outlook, What.CALL, WarningState.CALLED, now) if new else []
    found = alerts.change(said, threat) if said is not None else Change.SMALL
    if found is Change.WORSE and (warning.state is WarningState.SETTLED or not _reads_worse(warning, threat, outlook)):
        found = Change.SMALL  # nobody has anything to do for it, or would see what is worse
    if found is Change.NONE or now >= warning.due_at:
        return []
    if found is Change.WORSE and quiet(row).holds(now, warning.due_at):
        return []
    rows.remember(warning, threat, outlook, now, spoken=found is Change.WORSE)
    return [What.WORSE if found is Change.WORSE else What.EDIT]


def _reads_worse(warning: Warning, threat: Threat, outlook: Look) -> bool:
    """Whether whoever reads the message anew sees that it is worse: more to do, sooner, a stronger wind, a colder night."""
    said = rows.said_of(warning)
    if said is None or threat.needs - said.needs or threat.due_at < said.due_at:
        return True
    facts = rows.numbers(warning, threat, outlook)
    gust_ms, plant_c = facts.get("gust_ms"), facts.get("plant_c")
    if gust_ms is not None and warning.gust_ms is not None:
        return gust_ms - warning.gust_ms >= _SEEN_MS
    if plant_c is not None and warning.plant_c is not None:
        return warning.plant_c - plant_c >= _SEEN_C
    return True


async def _shortage(
    session: AsyncSession,
    row: Garden,
    warning: Warning,
    shown: WarningView,
    shortages: Sequence[Shortage],
    now: datetime,
) -> list[Event]:
    """Nobody left for a duty: organisers hear at once. Nobody has said yes when dusk is near: they and the group; once."""
    duties = {duty.id: duty for duty in await tasks.of_warnings(session, [warning.id])}
    short = [each for each in shortages if each.task_id in duties]
    step = alerts.moment(now, warning.due_at, warning.ends_at, quiet(row))
    late = step is Moment.OPEN_CALL and quiet(row).ends_at(now) <= now
    wanting = await _wanting(session, row, warning, shown, now) if late else ()
    told = {each.task_id for each in short}
    short += [
        Shortage(duty.id, Short.ANSWER, duty.people - duty.wanting, duty.people)
        for duty in wanting
        if duty.id not in told
    ]
    events: list[Event] = []
    untold = [each for each in short if duties[each.task_id].escalated_at is None]
    if untold and warning.state is not WarningState.OVER:
        for each in untold:
            duties[each.task_id].escalated_at = now
        events.append(ToOrganisers(shown, tuple(short)))
    if wanting and not warning.open_called:
        warning.open_called = True
        events.append(ToGroup(What.OPEN_CALL, shown))
    return events


async def _wanting(
    session: AsyncSession, row: Garden, warning: Warning, shown: WarningView, now: datetime
) -> tuple[TaskView, ...]:
    """What too few have said yes to, though whoever was asked has had the time to answer: the first who was, and the last
    before everybody is asked.
    """
    asks = await tasks.asks_of(session, [duty.id for duty in shown.duties])
    first_at = {ask.task_id: ask.asked_at for ask in reversed(asks)}
    open_at = alerts.open_at(now, warning.due_at, quiet(row))
    fresh = {
        ask.task_id
        for ask in asks
        if ask.state is AskState.ASKED
        and now - ask.asked_at < ANSWER_TIME
        and ask.asked_at <= max(open_at, first_at[ask.task_id])
    }
    waited_for = fresh if warning.due_at - now > LAST else set()
    return tuple(duty for duty in shown.duties if duty.wanting and duty.id not in waited_for)
