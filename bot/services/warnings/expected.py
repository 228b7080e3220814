"""What organisers expect beside the forecast, kept in the rows of warnings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings.assumed import Assumed, Blow, ColdNight
from bot.core.warnings.hazards import Hazard
from bot.core.warnings.safety import Closed
from bot.core.weather.sun import night_bounds
from bot.services.warnings import official
from bot.storage.models import Garden, Warning
from bot.storage.read_once import lasting

_NIGHT = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Call:
    """One thing an organiser expects: a cold night, a blow, or the hours of an official severe warning."""

    expected: ColdNight | Blow | Closed

    @property
    def hazard(self) -> Hazard:
        return Hazard.COLD if isinstance(self.expected, ColdNight) else Hazard.WIND

    @property
    def assumed(self) -> Assumed:
        one = self.expected
        if isinstance(one, ColdNight):
            return Assumed(nights=(one,))
        return Assumed(blows=(one,)) if isinstance(one, Blow) else Assumed(closed=(one,))

    def window_on(self, row: Garden) -> date:
        one = self.expected
        return one.evening_on if isinstance(one, ColdNight) else one.start_at.astimezone(row.tz).date()

    def bounds(self, row: Garden) -> tuple[datetime, datetime]:
        one = self.expected
        if isinstance(one, ColdNight):
            return night_bounds(one.evening_on, row.tz, row.latitude, row.longitude)
        return one.start_at, one.end_at

    def columns(self) -> dict[str, Any]:
        """What the row keeps."""
        one = self.expected
        if isinstance(one, ColdNight):
            return {"by_hand": True, "called_plant_c": one.plant_c}
        if isinstance(one, Closed):
            return {"by_hand": True, "severe_from_at": one.start_at, "severe_to_at": one.end_at}
        return {
            "by_hand": True, "called_gust_ms": one.gust_ms, "called_from_at": one.start_at, "called_to_at": one.end_at,
        }  # fmt: skip


async def assumed(session: AsyncSession, garden_id: int, now: datetime) -> Assumed:
    """What organisers of this garden have called and is not past or called off, and hours of official warnings."""
    nights, called = await _called(session, garden_id, (now - _NIGHT).date())
    closed = (*called.closed, *await official.closed(session, garden_id, now))
    return Assumed(
        nights=tuple(one for one, ends_at in zip(called.nights, nights, strict=True) if ends_at > now),
        blows=tuple(one for one in called.blows if one.end_at > now),
        closed=tuple(one for one in closed if one.end_at > now),
    )


@lasting(Warning)
async def _called(session: AsyncSession, garden_id: int, since_on: date) -> tuple[Sequence[datetime], Assumed]:
    """What organisers have called since then and not called off; before it, when each of the nights ends."""
    query = select(Warning).where(
        Warning.garden_id == garden_id,
        Warning.window_on >= since_on,
        Warning.by_hand,
        Warning.off_reason.is_(None),
    )
    rows = (await session.scalars(query.order_by(Warning.id))).all()
    nights = [(row, row.called_plant_c) for row in rows if row.called_plant_c is not None]
    blows = [
        Blow(row.called_from_at, row.called_to_at, row.called_gust_ms)
        for row in rows
        if row.called_from_at is not None and row.called_to_at is not None and row.called_gust_ms is not None
    ]
    return [row.ends_at for row, _ in nights], Assumed(
        nights=tuple(ColdNight(row.window_on, plant_c) for row, plant_c in nights),
        blows=tuple(blows),
        closed=tuple(Closed(*row.severe) for row in rows if row.severe is not None),
    )


async def closed_now(session: AsyncSession, garden_id: int, now: datetime) -> bool:
    """Whether an official severe warning is in force."""
    stretches = (await assumed(session, garden_id, now)).closed
    return any(one.start_at <= now < one.end_at for one in stretches)
