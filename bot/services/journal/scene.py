"""Everything that a note is looked at with: the garden's records, who writes, and what they may change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden import snapshot as core
from bot.core.garden.snapshot import Place, Planting, Role
from bot.core.growing import stages
from bot.core.growing.crop import Crop
from bot.core.weather.forecast import Forecast
from bot.services.weather import past_days
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member


@dataclass(frozen=True, slots=True)
class Scene:
    """photo_id: of the platform's file, when the note came with a picture."""

    session: AsyncSession
    row: Garden
    member: Member
    garden: core.Garden
    crops: Mapping[str, Crop]
    now: datetime
    forecast: Forecast | None
    photo_id: str | None

    def own(self, place: Place) -> bool:
        """Whether the place lies on one of the member's plots."""
        return any(plot.id == place.plot_id and self.member.id in plot.holder_ids for plot in self.garden.plots)

    def may(self, place: Place) -> bool:
        return may_change(self.garden, self.member, place)

    def near(self, plantings: Sequence[Planting]) -> list[Planting]:
        """Those the member may change; for an organiser, other people's only when there are none nearer."""
        allowed = [one for one in plantings if self.may(self.garden.place_of(one))]
        nearer = [one for one in allowed if self._near(self.garden.place_of(one))]
        return nearer or allowed

    def open_places(self) -> list[Place]:
        """Places the member may change, own ones first."""
        allowed = [place for place in self.garden.places if self.may(place)]
        return sorted(allowed, key=lambda place: (not self.own(place), not self._near(place), place.id))

    def _near(self, place: Place) -> bool:
        return self.own(place) or place.shared or place.plot_id is None


def may_change(garden: core.Garden, member: Member, place: Place) -> bool:
    """Members change what is on their own plots and what is the group's; organisers change everything."""
    if member.role is Role.ORGANISER or place.shared or place.plot_id is None:
        return True
    return any(plot.id == place.plot_id and member.id in plot.holder_ids for plot in garden.plots)


@dataclass(frozen=True, slots=True)
class Reached:
    """garden: with every batch at the stage that it has reached; reached: what was reckoned, by planting id."""

    garden: core.Garden
    reached: Mapping[int, stages.Reached]
    warmth: stages.Warmth


async def as_reached(session: AsyncSession, row: Garden, crops: Mapping[str, Crop], now: datetime) -> Reached:
    """The garden with every batch at the stage that it has reached, as everything else sees it."""
    recorded = await gardens.snapshot(session, row)
    warmth = await past_days.since_sowing(session, recorded, crops)
    garden, reached = stages.reckoned(recorded, crops, now.astimezone(row.tz).date(), warmth)
    return Reached(garden, reached, warmth)
