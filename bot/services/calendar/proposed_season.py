"""The season proposed for one garden, and what its forecast says against the calendar."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID, uuid5

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.calendar.entry import Entry
from bot.core.calendar.proposal import Proposal, Proposed, propose
from bot.core.calendar.weather_conflicts import Contradiction, Sky, contradictions
from bot.core.growing.crop import Days
from bot.core.growing.outdoors import Advice
from bot.core.warnings.safety import Limits
from bot.services.calendar.entries import as_entry
from bot.services.calendar.reading import calendar_of, published
from bot.services.growing import rules
from bot.services.look import Look
from bot.services.weather import frost_dates
from bot.storage.models import Garden, Planting


async def proposal(session: AsyncSession, garden: Garden, now: datetime, also: Iterable[str] = ()) -> Proposal | None:
    """Entries for everything that this garden grows or has grown, and for the crops `also`, by key.

    None where the year is outside what the rules know.
    """
    crops = await rules.of_garden(session, garden.id)
    if any(crop.days is Days.UNKNOWN for crop in crops.values()):
        return None
    grown = set(await session.scalars(select(Planting.crop).where(Planting.garden_id == garden.id).distinct()))
    wanted = sorted((grown | set(also)) & crops.keys())
    today = now.astimezone(garden.tz).date()
    return propose([crops[key] for key in wanted], await frost_dates.of_garden(session, garden), today)


async def taken(session: AsyncSession, garden: Garden, chosen: Sequence[tuple[Proposed, str]]) -> tuple[Entry, ...]:
    """Proposed entries, each with its title, as entries to `put`. Taken twice in a season, it is one entry."""
    calendar = await calendar_of(session, garden.id)
    return tuple(
        Entry(
            title=title,
            kind=one.kind,
            first_on=one.first_on,
            last_on=one.last_on,
            crop=one.crop,
            uid=str(uuid5(UUID(calendar.uid), f"{one.kind} {one.crop} {one.first_on.year}")),
        )
        for one, title in chosen
    )


async def against_weather(
    session: AsyncSession, garden: Garden, outlook: Look, advice: tuple[Advice, ...], now: datetime
) -> tuple[Contradiction, ...]:
    """What the forecast speaks against, for the organisers; without a forecast nothing can be said."""
    if outlook.forecast is None:
        return ()
    today = now.astimezone(garden.tz).date()
    sky = Sky(today, garden.tz, outlook.nights, outlook.forecast, advice, limits=Limits.of(outlook.garden))
    entries = [as_entry(row) for row in await published(session, garden.id)]
    return contradictions(entries, outlook.crops, sky)
