"""Pots that any windy day may tip: whoever looks after one is told once to fasten it for good."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings import fastening as core
from bot.core.warnings.fastening import Loose
from bot.services.look import Look, quiet
from bot.services.tasks import weeks_on_call
from bot.services.warnings.events import ToKeeper
from bot.storage.models import Garden, Place
from bot.storage.people import members

__all__ = ["to_keepers"]


async def to_keepers(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> list[ToKeeper]:
    """What is said now, by day: of a plot's pots to its holders, of shared ones to whoever is on call."""
    if outlook.forecast is None or quiet(row).ends_at(now) > now:
        return []
    found = core.coming(core.loose(outlook.garden, outlook.crops), outlook.forecast, now)
    fresh: list[tuple[Place, Loose]] = []
    for one in found:
        place = await session.get(Place, one.place_id)
        if place is not None and place.fasten_told_at is None:
            fresh.append((place, one))
    if not fresh:
        return []
    on_call = await _on_call(session, row, now) if any(place.plot_id is None for place, _ in fresh) else ()
    holders = {plot.id: plot.holder_ids for plot in outlook.garden.plots}
    by_member: dict[int, list[Loose]] = defaultdict(list)
    for place, one in fresh:
        place.fasten_told_at = now
        for member_id in (holders.get(place.plot_id) if place.plot_id else None) or on_call:
            by_member[member_id].append(one)
    return [ToKeeper(member_id, tuple(pots)) for member_id, pots in sorted(by_member.items())]


async def _on_call(session: AsyncSession, row: Garden, now: datetime) -> tuple[int, ...]:
    """This week's; else the organisers."""
    today = now.astimezone(row.tz).date()
    monday = today - timedelta(days=today.weekday())
    week = next((one for one in await weeks_on_call.weeks(session, row, now) if one.starts_on == monday), None)
    return (week.people if week else ()) or tuple(one.id for one in await members.organisers(session, row.id))
