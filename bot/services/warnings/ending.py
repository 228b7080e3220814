"""How a warning ends: called off, or over when its hazard is; what was done for it is then to be undone."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings import alerts
from bot.core.warnings.alerts import Moment
from bot.core.warnings.closed_hours import dangerous
from bot.core.warnings.hazards import Hazard
from bot.services.look import Look, quiet
from bot.services.warnings import aftermath, expected, settling, spells
from bot.services.warnings import detect as rows
from bot.services.warnings.events import What
from bot.storage.models import Garden, Warning
from bot.storage.states import TaskState, WarningState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store

__all__ = ["blows_on", "call_off", "end", "said_of_end"]

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
