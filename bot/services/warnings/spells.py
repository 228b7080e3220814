"""Cold nights that follow each other, spoken of as one: what the first warning says of the others, and what is new later.

Each night has a warning of its own. While one before it is in force, a later night says nothing aloud but what no earlier
night's work sees to.
"""

from __future__ import annotations

from collections.abc import Collection
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden import place_state
from bot.core.warnings.hazards import Hazard
from bot.services.look import Look
from bot.storage.models import Task, Warning
from bot.storage.read_once import read_once
from bot.storage.states import WarningState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store

_A_DAY = timedelta(days=1)


def following(outlook: Look, evening_on: date) -> tuple[date, ...]:
    """The evenings right after this one that are expected to be cold as well."""
    cold = {one.window_on for one in outlook.threats if one.hazard is Hazard.COLD}
    found = list[date]()
    while (next_on := evening_on + (len(found) + 1) * _A_DAY) in cold:
        found.append(next_on)
    return tuple(found)


async def leader(session: AsyncSession, warning: Warning) -> Warning | None:
    """The warning of the night before, where people have heard of it and it is not over."""
    if warning.hazard is not Hazard.COLD:
        return None
    before = await store.by_window(session, warning.garden_id, Hazard.COLD, warning.window_on - _A_DAY)
    heard = before is not None and before.state not in (WarningState.DETECTED, WarningState.OVER)
    return before if heard else None


@read_once(Task, Warning)
async def waiting(session: AsyncSession, garden_id: int) -> frozenset[int]:
    """Ids of duties that an earlier night's duty, still to be done, sees to."""
    rows = await session.execute(
        select(Task, Warning.window_on)
        .join(Warning, Warning.id == Task.warning_id)
        .where(
            Warning.garden_id == garden_id,
            Warning.hazard == Hazard.COLD,
            Warning.state != WarningState.OVER,
            Task.state.in_(tasks.LIVE),
        )
        .order_by(Warning.window_on)
    )
    known = [(duty, on) for duty, on in rows]
    evenings = {on for _, on in known}
    return frozenset(
        duty.id
        for duty, on in known
        if any(_sees_to(earlier, duty) and _is_one_spell(evenings, since, on) for earlier, since in known if since < on)
    )


def _is_one_spell(evenings: Collection[date], since: date, on: date) -> bool:
    return all(since + n * _A_DAY in evenings for n in range((on - since).days))


def _sees_to(earlier: Task, later: Task) -> bool:
    return earlier.place_id == later.place_id and place_state.sees_to(
        earlier.kind, earlier.cover, later.kind, later.cover
    )
