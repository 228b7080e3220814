"""A garden's site, and one coming night of it: what the forecast says and what that means at 2 m and at the ground."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.core.garden.snapshot import Garden, Lay
from bot.core.weather.ground import NightKind
from bot.core.weather.odds import Estimate, Step

_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Site:
    """Where the garden is. altitude_m: above sea level, None when nobody has said."""

    latitude: float
    longitude: float
    altitude_m: float | None
    zone: ZoneInfo
    lay: Lay = Lay.OPEN

    @classmethod
    def of(cls, garden: Garden) -> Site:
        return cls(garden.latitude, garden.longitude, garden.altitude_m, ZoneInfo(garden.zone), garden.lay)


@dataclass(frozen=True, slots=True)
class Night:
    """One night, sunset of `evening_on` to the next sunrise.

    hours_covered: its whole hours that the forecast knows. forecast_min_c: the service's own minimum, before any step
    of ours, its 6-hour minima included where its steps are longer than an hour. coldest_at: when (the end of the span
    if a span says so). wind_ms, cloud_pct: means over the night, None where the forecast has none. lead_h: hours from
    issue to sunrise. untaught_c: the minimum before the site's own learning, with which a min/max reading is
    compared. spread_c: how far the service's own members, or percentiles, differ about it; None where it gives none.
    dusk_c: air two hours after sunset, after our steps, None when unknown. air: minimum at
    2 m; ground: at 10 cm over grass in the open. steps: how both came about.
    """

    evening_on: date
    sunset_at: datetime
    sunrise_at: datetime
    hours_covered: int
    forecast_min_c: float
    coldest_at: datetime
    wind_ms: float | None
    cloud_pct: float | None
    kind: NightKind
    lead_h: float
    untaught_c: float
    dusk_c: float | None
    air: Estimate
    ground: Estimate
    steps: tuple[Step, ...] = ()
    spread_c: float | None = None

    @property
    def length_h(self) -> float:
        return (self.sunrise_at - self.sunset_at) / _HOUR
