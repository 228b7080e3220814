"""A standing cast and garden for stories, and weather made to order: night minima, cloud, wind, rain and sun."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache, cached_property
from statistics import NormalDist
from zoneinfo import ZoneInfo

from bot.core.finding import Finding
from bot.core.garden.snapshot import Garden, Member, Place, PlaceKind, Planting, Plot, Role, Stage, Support
from bot.core.growing.crop import Crop
from bot.core.growing.outdoors import Advice, Conditions, advise_all
from bot.core.growing.stages import reckoned
from bot.core.growing.week import Week, WeekRecords, week
from bot.core.warnings.hazards import findings
from bot.core.weather.forecast import Forecast, Hour
from bot.core.weather.learn import untaught
from bot.core.weather.night import Night, Site
from bot.core.weather.night_minima import nights
from bot.core.weather.timeline import Day, days
from bot.crops.loader import load

ZONE = ZoneInfo("Europe/London")
FARAH, CALLUM, INES, TOM = 1, 2, 3, 4  # two plot holders, an organiser, a member without a plot
FARAHS_BED, CALLUMS_BED, TUNNEL, GREENHOUSE, FRAME, POT, LONG_BED, SILL, STANDING, POT_2, CALLUMS_POT = range(1, 12)

PLACES = (
    Place(FARAHS_BED, "Bed 1", PlaceKind.BED, plot_id=1, length_m=4.0, width_m=1.2),
    Place(CALLUMS_BED, "Bed 2", PlaceKind.BED, plot_id=2, length_m=4.0, width_m=1.2),
    Place(TUNNEL, "Tunnel", PlaceKind.TUNNEL, shared=True, length_m=8.0, width_m=3.0, height_m=2.1),
    Place(GREENHOUSE, "Greenhouse", PlaceKind.GREENHOUSE, shared=True, length_m=3.0, width_m=2.0, height_m=2.2),
    Place(FRAME, "Frame", PlaceKind.FRAME, shared=True, length_m=1.2, width_m=0.8, height_m=0.4),
    Place(
        POT, "Pot 5", PlaceKind.CONTAINER, shared=True, movable=True,
        width_m=0.4, height_m=0.4, volume_l=30.0, wet_kg=24.0,
    ),
    Place(LONG_BED, "Long bed", PlaceKind.BED, shared=True, length_m=6.0, width_m=1.2),
    Place(SILL, "Farah's sill", PlaceKind.INDOORS, plot_id=1),
    Place(STANDING, "Standing ground", PlaceKind.BED, plot_id=1, length_m=2.0, width_m=1.0),
    Place(
        POT_2, "Pot 6", PlaceKind.CONTAINER, shared=True, movable=True,
        width_m=0.4, height_m=0.4, volume_l=30.0, wet_kg=24.0,
    ),
    Place(
        CALLUMS_POT, "Callum's pot", PlaceKind.CONTAINER, plot_id=2, movable=True,
        width_m=0.3, height_m=0.3, volume_l=15.0, wet_kg=12.0,
    ),
)  # fmt: skip
MEMBERS = (
    Member(FARAH, "Farah", lift_kg=25),
    Member(CALLUM, "Callum", lift_kg=25),
    Member(INES, "Ines", role=Role.ORGANISER),
    Member(TOM, "Tom", lift_kg=25),
)
TEASEL_LANE = Garden(
    1, "Teasel Lane", 52.49, -1.89, 130.0, "Europe/London",
    members=MEMBERS, plots=(Plot(1, "Plot 1", (FARAH,)), Plot(2, "Plot 2", (CALLUM,))), places=PLACES,
)  # fmt: skip


@cache
def crops() -> dict[str, Crop]:
    return load()


def batch(crop: str, place_id: int, stage: Stage, count: int = 12, **known: float | str | date | None) -> Planting:
    """One batch; numbered when it is put into a story."""
    return Planting(0, crop, place_id, stage, count, **known)  # type: ignore[arg-type]


def frosts_end(about: date, sd_days: float) -> Callable[[date], float]:
    """P(a frost still comes after a day) for an invented garden whose last frosts scatter about a day."""
    spread = NormalDist(about.toordinal(), sd_days)
    return lambda on: 1.0 - spread.cdf(on.toordinal())


@dataclass(frozen=True)
class Weather:
    """nights_c: air minima of the coming nights. days_c: maxima of today and the coming days; the last one goes on.

    cloud_pct, wind_ms: of all hours. gusts_ms: greatest of each day, at 14:00, else half as much again as the wind.
    rain_mm: what falls in the hour to 15:00 of each day. sun_w_m2: at noon.
    """

    nights_c: Sequence[float]
    days_c: Sequence[float] = (15.0,)
    cloud_pct: float = 20.0
    wind_ms: float = 1.5
    gusts_ms: Sequence[float] = ()
    rain_mm: Sequence[float] = ()
    sun_w_m2: float = 400.0

    def forecast(self, now: datetime) -> Forecast:
        """Hourly from local midnight of today to the end of the last day; coldest at 05:00, warmest at 15:00."""
        first = datetime.combine(now.astimezone(ZONE).date(), time(), ZONE).astimezone(UTC)
        hours = tuple(
            self._hour(first + timedelta(hours=n), *divmod(n, 24)) for n in range(24 * len(self.nights_c) + 24)
        )
        return Forecast("open-meteo", 52.49, -1.89, 130.0, ZONE, now, now, hours)

    def _hour(self, at: datetime, day: int, clock: int) -> Hour:
        gust_ms = self.gusts_ms[day] if day < len(self.gusts_ms) and clock == 14 else self.wind_ms * 1.5
        return Hour(
            at,
            air_c=self._air_c(day, clock),
            cloud_pct=self.cloud_pct,
            wind_ms=self.wind_ms,
            gust_ms=gust_ms,
            rain_mm=self.rain_mm[day] if day < len(self.rain_mm) and clock == 15 else 0.0,
            sun_w_m2=self.sun_w_m2 * max(0.0, math.sin(math.pi * (clock - 6) / 14)),
            thunder=False,
        )

    def _air_c(self, day: int, clock: int) -> float:
        """A half cosine from each low to the next high and back; the first morning is like the first night."""
        low = self.nights_c[max(0, day - 1)]
        if clock < 5:
            return _between(self._high_c(day - 1), low, (clock + 9) / 14)
        if clock <= 15:
            return _between(low, self._high_c(day), (clock - 5) / 10)
        return _between(self._high_c(day), self.nights_c[min(day, len(self.nights_c) - 1)], (clock - 15) / 14)

    def _high_c(self, day: int) -> float:
        return self.days_c[min(max(day, 0), len(self.days_c) - 1)]


def _between(start: float, end: float, share: float) -> float:
    return start + (end - start) * (1.0 - math.cos(math.pi * share)) / 2.0


@dataclass(frozen=True)
class Story:
    """Batches, supports and weather at Teasel Lane at 09:00 of a day, and what the program makes of them."""

    on: date
    batches: tuple[Planting, ...]
    weather: Weather
    supports: tuple[Support, ...] = ()
    places: tuple[Place, ...] = PLACES
    frost_after: Callable[[date], float] | None = None
    soil_c: float | None = None

    @property
    def now(self) -> datetime:
        return datetime.combine(self.on, time(9), ZONE).astimezone(UTC)

    @cached_property
    def garden(self) -> Garden:
        numbered = tuple(replace(one, id=number) for number, one in enumerate(self.batches, 1))
        recorded = replace(TEASEL_LANE, places=self.places, plantings=numbered, supports=self.supports, place_by_id={})
        return reckoned(recorded, crops(), self.on)[0]

    @cached_property
    def forecast(self) -> Forecast:
        return self.weather.forecast(self.now)

    @cached_property
    def nights(self) -> tuple[Night, ...]:
        return nights(self.forecast, Site.of(self.garden), untaught(), self.now)

    @cached_property
    def days(self) -> tuple[Day, ...]:
        return days(self.forecast, ZONE)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        return findings(self.garden, crops(), self.nights, self.forecast, self.now)

    @cached_property
    def advice(self) -> tuple[Advice, ...]:
        return advise_all(self.garden, crops(), Conditions(self.on, self.nights, self.frost_after, self.soil_c))

    def week(self, member_id: int, known: WeekRecords | None = None) -> Week:
        given = replace(
            known or WeekRecords(),
            findings=self.findings,
            advice=self.advice,
            nights=self.nights,
            days=self.days,
            soil_c=self.soil_c,
        )
        return week(self.garden, crops(), member_id, given, self.now)


def tonight(story: Story) -> list[tuple[str, str]]:
    """(crop, task) of what is asked for before the first night, cold only."""
    plants = {one.id: one.crop for one in story.garden.plantings}
    return sorted(
        (plants[one.planting_id or 0], one.task.value)
        for one in story.findings
        if one.hazard.value == "cold" and one.window_on == story.on
    )
