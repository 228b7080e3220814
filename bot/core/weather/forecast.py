"""The glossary of weather: one Forecast with fixed names and units, whoever the service was."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo


class ForecastError(ValueError):
    """The weather answer cannot be used. The text says what was wrong, the value, and what to do."""


@dataclass(frozen=True, slots=True)
class AirSpread:
    """What the service says about its own uncertainty of the air temperature at one instant.

    Either the members of an ensemble (`members_c`) or two percentiles; never invented by us.
    """

    members_c: tuple[float, ...] = ()
    p10_c: float | None = None
    p90_c: float | None = None


@dataclass(frozen=True, slots=True)
class Hour:
    """The weather at one instant. A value that the service did not give is None, never zero.

    at: the instant, aware, UTC.
    air_c: air temperature at 2 m, degrees C, at the instant.
    dew_point_c: dew point at 2 m, degrees C, at the instant.
    humidity_pct: relative humidity at 2 m, 0-100.
    cloud_pct: sky covered by cloud, 0-100.
    wind_ms: mean wind at 10 m, m/s.
    gust_ms: greatest gust at 10 m in the hour that ends at `at`, m/s.
    rain_mm: precipitation in the hour that ends at `at`, mm.
    sun_w_m2: global solar radiation, mean of the hour that ends at `at`, W/m2.
    thunder: whether the service expects thunder; None where it does not say.
    spread: the service's own uncertainty of `air_c`, if it gives any.
    soil_c: of the soil at about 6 cm by the service's model, degrees C, at the instant.
    """

    at: datetime
    air_c: float | None = None
    dew_point_c: float | None = None
    humidity_pct: float | None = None
    cloud_pct: float | None = None
    wind_ms: float | None = None
    gust_ms: float | None = None
    rain_mm: float | None = None
    sun_w_m2: float | None = None
    thunder: bool | None = None
    spread: AirSpread | None = None
    soil_c: float | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """What a service says about a stretch of more than one hour (start exclusive, end inclusive for sums).

    start_at, end_at: aware, UTC. min_c, max_c: least and greatest air temperature within it.
    rain_mm: the precipitation that falls within it.
    """

    start_at: datetime
    end_at: datetime
    min_c: float | None = None
    max_c: float | None = None
    rain_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Gap:
    """A stated gap: `missing` of `expected` hours have no `field` (the name of a field of Hour, or "at" for lost steps)."""

    field: str
    missing: int
    expected: int


@dataclass(frozen=True, slots=True)
class Forecast:
    """One forecast of one service for one point.

    source: "open-meteo" or "met-norway"; credit words are chat's business.
    altitude_m: the ground height that the service corrected its temperatures to.
    zone: the zone that the answer itself names, if it names one.
    issued_at: when the service issued it; None where the service does not say.
    fetched_at: when we fetched it; None for a bare recorded file.
    hours: ascending, one an instant; steps may be longer than an hour far ahead.
    spans: the service's own minima and maxima over stretches, ascending by start.
    gaps: what was found missing and is stated, not mended.
    gusts_by: the service whose gusts stand where this one gave none.
    """

    source: str
    latitude: float
    longitude: float
    altitude_m: float | None
    zone: ZoneInfo | None
    issued_at: datetime | None
    fetched_at: datetime | None
    hours: tuple[Hour, ...]
    spans: tuple[Span, ...] = ()
    gaps: tuple[Gap, ...] = ()
    gusts_by: str | None = None

    def age(self, now: datetime) -> timedelta | None:
        """Time since issue, else since fetch, never from a file's time; None when neither is known."""
        since = self.issued_at or self.fetched_at
        return None if since is None else now - since

    def between(self, start_at: datetime, end_at: datetime) -> tuple[Hour, ...]:
        """The hours with start_at <= at < end_at."""
        return tuple(hour for hour in self.hours if start_at <= hour.at < end_at)

    def gusts_between(self, start_at: datetime, end_at: datetime) -> tuple[Hour, ...]:
        """The hours whose preceding hour lies in the window: start_at < at <= end_at.

        Gust and rain are stamped at the end of their hour, so a gust stamped 00:00 belongs to the day before.
        """
        return tuple(hour for hour in self.hours if start_at < hour.at <= end_at)
