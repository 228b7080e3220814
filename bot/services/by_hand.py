"""What organisers expect beside the forecast, kept in the rows of warnings.

In a warning's `said`: by_hand; called (the organiser's figures); severe (from and to of an official warning); off (why
an organiser called it off).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.assumed import Assumed, Blow, ColdNight
from bot.core.closed import Closed
from bot.core.hazards import Hazard
from bot.core.sun import night_bounds
from bot.storage.models import Garden, Warning

__all__ = ["Call", "assumed", "closed_now", "hours"]

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

    def said(self) -> dict[str, Any]:
        """What the row keeps."""
        one = self.expected
        if isinstance(one, ColdNight):
            return {"called": {"plant_c": one.plant_c}}
        kept = {"from": one.start_at.isoformat(), "to": one.end_at.isoformat()}
        return {"called": {"gust_ms": one.gust_ms, **kept}} if isinstance(one, Blow) else {"severe": kept}


async def assumed(session: AsyncSession, garden_id: int, now: datetime) -> Assumed:
    """Everything that organisers of this garden have called and that is not past or called off."""
    recent = (Warning.garden_id == garden_id, Warning.window_on >= (now - _NIGHT).date())
    every = await session.scalars(select(Warning).where(*recent).order_by(Warning.id))
    rows = [row for row in every if row.said.get("by_hand") and "off" not in row.said]
    called = [(row, row.said["called"]) for row in rows if "called" in row.said]
    blows = [Blow(*hours(one), one["gust_ms"]) for _, one in called if "gust_ms" in one]
    closed = [Closed(*hours(row.said["severe"])) for row in rows if "severe" in row.said]
    return Assumed(
        nights=tuple(
            ColdNight(row.window_on, one["plant_c"]) for row, one in called if "plant_c" in one and row.ends_at > now
        ),
        blows=tuple(one for one in blows if one.end_at > now),
        closed=tuple(one for one in closed if one.end_at > now),
    )


def hours(said: Mapping[str, Any]) -> tuple[datetime, datetime]:
    """From and to, as a row keeps them."""
    return datetime.fromisoformat(said["from"]), datetime.fromisoformat(said["to"])


async def closed_now(session: AsyncSession, garden_id: int, now: datetime) -> bool:
    """Whether an official severe warning is in force."""
    stretches = (await assumed(session, garden_id, now)).closed
    return any(one.start_at <= now < one.end_at for one in stretches)
