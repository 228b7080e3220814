"""What the week may say of shared work: it is for whoever has it today, else for whoever is on call that week."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.week import finding_key
from bot.core.people.lifting import LIGHT_KG, can
from bot.core.warnings.hazards import Severity, TaskKind
from bot.services.growing.watering import job_key
from bot.services.look import Look
from bot.services.tasks.daily import walk_views
from bot.storage.models import Garden, OnCall

__all__ = ["whose"]

_WARM = (TaskKind.VENT, TaskKind.SHADE)


async def whose(
    session: AsyncSession, row: Garden, outlook: Look, dry_ids: Iterable[int], now: datetime
) -> dict[str, frozenset[int]]:
    """Members by the key of an item. dry_ids: places that want water now. Nobody where nobody is on call."""
    today = now.astimezone(row.tz).date()
    on_call = await _on_call(session, row.id, today)
    lifts = {one.id for one in outlook.garden.members if can(one.lift_kg, LIGHT_KG)}
    places = outlook.garden.place_by_id
    found: dict[str, frozenset[int]] = {}
    for one in outlook.findings:
        mild = one.task in _WARM and one.severity is Severity.SLIGHT and places[one.place_id].shared
        if mild and (people := on_call.get(_monday(one.window_on))):
            found[finding_key(one)] = frozenset(people)
    for place_id in dry_ids:
        if places[place_id].shared and (people := on_call.get(_monday(today), set()) & lifts):
            found[job_key(place_id)] = frozenset(people)
    for turn in await walk_views.of_day(session, outlook, today):
        if turn.live and turn.people:
            found |= {line.item: frozenset(one for one, _ in turn.people) for line in turn.lines if line.item}
    return found


async def _on_call(session: AsyncSession, garden_id: int, today: date) -> dict[date, set[int]]:
    query = select(OnCall).where(OnCall.garden_id == garden_id, OnCall.starts_on >= _monday(today))
    found: dict[date, set[int]] = defaultdict(set)
    for one in await session.scalars(query):
        found[one.starts_on].add(one.member_id)
    return found


def _monday(on: date) -> date:
    return on - timedelta(days=on.weekday())
