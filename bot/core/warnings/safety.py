"""Hours in which nobody is sent out, or up a ladder. Organisers can make the limits stricter, never laxer.

Hours in which nobody is sent out, and the latest safe time of work that would be due in them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import pairwise

from bot.core.finding import Finding, TaskKind
from bot.core.garden.snapshot import Garden, PlaceKind
from bot.core.units import plausible_wind_ms
from bot.core.weather.forecast import Forecast, Hour
from bot.core.weather.night import Site
from bot.core.weather.sun import sun_day
from bot.core.weather.wind import gust_of, hour_starts

#: 35 mph. Stricter than what is published, so that it holds beside each: building work in Austria stops for bad weather in an
#: hour with a gust of 60 km/h (BUAK), gardens shut to visitors at 40 mph (Leach Botanical Garden), gusts of 20 m/s are
#: dangerous to walk in (City of Melbourne, via Orbital Stack); all read 2026-11-28.
GUST_MS = 15.6
HEIGHT_WIND_MS = 10.28  # 23 mph affects balance (HSE HSG33, read via citation.co.uk), rounded to the safe side


class Unsafe(StrEnum):
    """Why an hour is not safe. UNKNOWN: the forecast gives neither gust nor wind, which is never read as calm."""

    GUST = "gust"
    THUNDER = "thunder"
    WIND = "wind"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Limits:
    """A place's own limits, m/s. gust_ms: no outdoor duty from here; height_wind_ms: no ladder, glass or tunnel cover.

    Raises ValueError when a limit is laxer than the default.
    """

    gust_ms: float = GUST_MS
    height_wind_ms: float = HEIGHT_WIND_MS

    def __post_init__(self) -> None:
        for name, value, most in (
            ("gust_ms", self.gust_ms, GUST_MS),
            ("height_wind_ms", self.height_wind_ms, HEIGHT_WIND_MS),
        ):
            if not 0.0 < value <= most:
                raise ValueError(f"{name} is {value}, expected above 0 and at most {most}: limits may only be stricter")

    @classmethod
    def of(cls, garden: Garden) -> Limits:
        """The garden's own where its organisers have set any."""
        return cls(garden.gust_limit_ms or GUST_MS, garden.height_wind_limit_ms or HEIGHT_WIND_MS)


@dataclass(frozen=True, slots=True)
class UnsafeHour:
    """start_at < t <= end_at (the step that ends at end_at), aware UTC, and every reason that holds in it."""

    start_at: datetime
    end_at: datetime
    reasons: tuple[Unsafe, ...]


_DEFAULT = Limits()


def unsafe_outdoor_hours(forecast: Forecast, limits: Limits = _DEFAULT) -> tuple[UnsafeHour, ...]:
    """The steps in which no outdoor duty may be due: gust at the limit, thunder, or nothing known of the wind."""
    return _hours(forecast, lambda hour: _outdoor_reasons(hour, limits))


def no_height_hours(forecast: Forecast, limits: Limits = _DEFAULT) -> tuple[UnsafeHour, ...]:
    """The steps in which nobody works on ladders, glass or tunnel covers: those above, and a mean wind at the limit."""
    return _hours(forecast, lambda hour: (*_outdoor_reasons(hour, limits), *_height_reasons(hour, limits)))


def overlaps(hours: tuple[UnsafeHour, ...], start_at: datetime, end_at: datetime) -> tuple[UnsafeHour, ...]:
    """Those of `hours` that touch the stretch from start_at to end_at. Ask `reaches` first: past the forecast's end
    there is nothing to touch, which does not make it safe.
    """
    return tuple(hour for hour in hours if hour.start_at < end_at and start_at < hour.end_at)


def reaches(forecast: Forecast, start_at: datetime, end_at: datetime) -> bool:
    """Whether the forecast speaks of the whole stretch, whatever it says."""
    starts = hour_starts(hour.at for hour in forecast.hours)
    return bool(starts) and min(starts.values()) <= start_at and end_at <= max(starts)


def _hours(forecast: Forecast, reasons_of: Callable[[Hour], tuple[Unsafe, ...]]) -> tuple[UnsafeHour, ...]:
    starts = hour_starts(hour.at for hour in forecast.hours)
    judged = [UnsafeHour(starts[hour.at], hour.at, reasons_of(hour)) for hour in forecast.hours]
    ends = sorted(starts)
    holes = [
        UnsafeHour(before, starts[after], (Unsafe.UNKNOWN,))
        for before, after in pairwise(ends)
        if before < starts[after]
    ]
    return tuple(sorted((hour for hour in judged + holes if hour.reasons), key=lambda hour: hour.end_at))


def _outdoor_reasons(hour: Hour, limits: Limits) -> tuple[Unsafe, ...]:
    """A gust that is only estimated is judged by what it hardly exceeds."""
    gust = gust_of(hour)
    reasons = [Unsafe.UNKNOWN] if gust is None else [Unsafe.GUST] if gust.upper_ms >= limits.gust_ms else []
    if hour.thunder:
        reasons.append(Unsafe.THUNDER)
    return tuple(reasons)


def _height_reasons(hour: Hour, limits: Limits) -> tuple[Unsafe, ...]:
    wind_ms = _known(hour.wind_ms)
    if wind_ms is None:
        return () if _known(hour.gust_ms) is None else (Unsafe.UNKNOWN,)
    return (Unsafe.WIND,) if wind_ms >= limits.height_wind_ms else ()


def _known(ms: float | None) -> float | None:
    return ms if ms is not None and plausible_wind_ms(ms) else None


#: Work is still asked for after a closed stretch when so much time is left; less when nobody can go before it any
#: more. Common practice, no source.
ENOUGH, _BEGUN = timedelta(hours=3), timedelta(hours=1)
_OF_USE = timedelta(minutes=30)  # a shorter gap is not worth the way: common practice, no source
#: Work on tunnel covers and glass, where a mean wind counts too.
_COVERED = (PlaceKind.TUNNEL, PlaceKind.GREENHOUSE, PlaceKind.FRAME)
_ON_COVERS = (TaskKind.PIN, TaskKind.SHADE)


@dataclass(frozen=True, slots=True)
class Closed:
    """No outdoor duty from start_at to end_at, aware UTC: an official severe warning, or what the forecast forbids."""

    start_at: datetime
    end_at: datetime


def outdoors(garden: Garden, forecast: Forecast) -> tuple[Closed, ...]:
    """The stretches in which this forecast sends nobody out, by this garden's own limits."""
    return _stretches(unsafe_outdoor_hours(forecast, Limits.of(garden)))


def dangerous(garden: Garden, forecast: Forecast, from_at: datetime, until_at: datetime) -> bool:
    """Whether gusts in which nobody is sent out are forecast in that stretch, by this garden's own limits."""
    hours = unsafe_outdoor_hours(forecast, Limits.of(garden))
    return any(Unsafe.GUST in one.reasons for one in hours if one.start_at < until_at and one.end_at > from_at)


def safe_hours(
    closed: Iterable[Closed], from_at: datetime, until_at: datetime
) -> tuple[tuple[datetime, datetime], ...]:
    """What closed stretches leave of the time up to a moment; nothing where they take none of it."""
    left, at = [], from_at
    taken = [one for one in closed if one.start_at < until_at and one.end_at > from_at]
    for one in sorted(taken, key=lambda one: one.start_at):
        left.append((at, one.start_at))
        at = max(at, one.end_at)
    left.append((at, until_at))
    return tuple((start_at, end_at) for start_at, end_at in left if end_at - start_at >= _OF_USE) if taken else ()


def _stretches(hours: Iterable[UnsafeHour]) -> tuple[Closed, ...]:
    """Unsafe hours that touch, as one stretch. Hours of which nothing is known are no reason to hurry anybody."""
    found: list[Closed] = []
    for hour in hours:
        if set(hour.reasons) == {Unsafe.UNKNOWN}:
            continue
        if found and hour.start_at <= found[-1].end_at:
            found[-1] = replace(found[-1], end_at=max(found[-1].end_at, hour.end_at))
        else:
            found.append(Closed(hour.start_at, hour.end_at))
    return tuple(found)


def kept_safe(found: Iterable[Finding], garden: Garden, forecast: Forecast, now: datetime) -> Iterator[Finding]:
    """The findings with no work due in hours that the forecast makes unsafe, by this garden's own limits.

    Where covers or glass are handled, a mean wind too strong for that closes hours as well.
    """
    site, below = Site.of(garden), outdoors(garden, forecast)
    on_covers = _stretches(no_height_hours(forecast, Limits.of(garden)))
    for one in found:
        covers = one.task in _ON_COVERS and garden.place_by_id[one.place_id].kind in _COVERED
        yield _before(one, on_covers if covers else below, site, now)


def kept_in(found: Iterable[Finding], closed: Iterable[Closed], site: Site, now: datetime) -> tuple[Finding, ...]:
    """The findings with no work due in closed hours: it is due before they begin, unless there is time after them."""
    known = tuple(closed)
    return tuple(_before(one, known, site, now) for one in found)


def _before(finding: Finding, closed: Iterable[Closed], site: Site, now: datetime) -> Finding:
    due_at = finding.due_at
    for one in sorted(closed, key=lambda one: one.start_at, reverse=True):
        needed = _BEGUN if one.start_at <= now else ENOUGH
        if one.start_at < due_at < one.end_at + needed:
            due_at = last_light(one.start_at, site)
    return replace(finding, due_at=due_at) if due_at != finding.due_at else finding


def last_light(at: datetime, site: Site) -> datetime:
    """The moment itself by daylight, else the sunset before it; where the sun does not set or rise, the moment."""
    for on in (at.astimezone(site.zone).date(), at.astimezone(site.zone).date() - timedelta(days=1)):
        sun = sun_day(on, site.zone, site.latitude, site.longitude)
        if sun.sunrise_at is not None and sun.sunset_at is not None and sun.sunrise_at < at:
            return min(sun.sunset_at, at)
    return at
