"""Reading a forecast by windows of time: means, coverage, extremes and the service's own minima over stretches."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from bot.core.weather.forecast import Forecast, Hour, Span

_HOUR = timedelta(hours=1)
_LONGEST_STEP = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class Day:
    """One local day: the instants from 00:00 to before 24:00, gusts of the hours that end within it.

    hours_covered: whole hours of the day with an air temperature or inside a span that gives a minimum and a maximum;
    a full day has 24 (23 or 25 when clocks change). Values are None where the forecast has none.
    """

    on: date
    air_min_c: float | None
    air_max_c: float | None
    gust_max_ms: float | None
    rain_mm: float | None
    hours_covered: int


def days(forecast: Forecast, zone: ZoneInfo) -> tuple[Day, ...]:
    """Every local day that the forecast touches, ascending."""
    hours = hours_in_order(forecast)
    if not hours:
        return ()
    first_on = hours[0].at.astimezone(zone).date()
    last_on = hours[-1].at.astimezone(zone).date()
    count_n = (last_on - first_on).days + 1
    found = (_day(forecast, hours, first_on + timedelta(days=index), zone) for index in range(count_n))
    return tuple(day for day in found if day.hours_covered or day.gust_max_ms is not None)


def _day(forecast: Forecast, hours: Sequence[Hour], on: date, zone: ZoneInfo) -> Day:
    start_at, end_at = local_midnight(on, zone), local_midnight(on + timedelta(days=1), zone)
    instants = [hour for hour in hours if start_at <= hour.at < end_at]
    air_c = [hour.air_c for hour in instants if hour.air_c is not None]
    spans = [
        span
        for span in spans_between(forecast.spans, hours, start_at, end_at)
        if start_at <= span.start_at and span.end_at <= end_at
    ]
    gusts = [hour.gust_ms for hour in hours if start_at < hour.at <= end_at and hour.gust_ms is not None]
    return Day(
        on=on,
        air_min_c=min(air_c + [span.min_c for span in spans if span.min_c is not None], default=None),
        air_max_c=max(air_c + [span.max_c for span in spans if span.max_c is not None], default=None),
        gust_max_ms=max(gusts, default=None),
        rain_mm=_rain_mm(hours, spans, start_at, end_at),
        hours_covered=covered_hours(instants, spans, start_at, end_at),
    )


def _rain_mm(hours: Sequence[Hour], spans: Sequence[Span], start_at: datetime, end_at: datetime) -> float | None:
    hourly = [hour.rain_mm for hour in hours if start_at < hour.at <= end_at and hour.rain_mm is not None]
    spanned = [span.rain_mm for span in spans if span.rain_mm is not None]
    return sum(hourly) + sum(spanned) if hourly or spanned else None


def local_midnight(on: date, zone: ZoneInfo) -> datetime:
    """00:00 of that local day, aware UTC."""
    return datetime.combine(on, time(), zone).astimezone(UTC)


def hours_in_order(forecast: Forecast) -> tuple[Hour, ...]:
    return tuple(sorted(forecast.hours, key=lambda hour: hour.at))


def spans_between(
    spans: Sequence[Span], hours: Sequence[Hour], start_at: datetime, end_at: datetime
) -> tuple[Span, ...]:
    """The spans of which at least half lies in the window and that the hours leave open (steps longer than an hour)."""
    known = {hour.at for hour in hours if hour.air_c is not None}
    return tuple(span for span in spans if _inside(span, start_at, end_at) and not _hourly(span, known))


def _inside(span: Span, start_at: datetime, end_at: datetime) -> bool:
    overlap = min(span.end_at, end_at) - max(span.start_at, start_at)
    return overlap * 2 >= span.end_at - span.start_at


def _hourly(span: Span, known: set[datetime]) -> bool:
    steps_n = (span.end_at - span.start_at) // _HOUR
    return all(span.start_at + _HOUR * index in known for index in range(steps_n))


def covered_hours(instants: Sequence[Hour], spans: Sequence[Span], start_at: datetime, end_at: datetime) -> int:
    """Whole hours of the window with a temperature at their start or inside a span with its own minimum."""
    known = {hour.at.replace(minute=0, second=0, microsecond=0) for hour in instants if hour.air_c is not None}
    first = start_at.replace(minute=0, second=0, microsecond=0)
    first = first if first == start_at else first + _HOUR
    count = 0
    while first < end_at:
        count += first in known or any(s.min_c is not None and s.start_at <= first < s.end_at for s in spans)
        first += _HOUR
    return count


def mean_over(
    hours: Sequence[Hour],
    value: Callable[[Hour], float | None],
    start_at: datetime,
    end_at: datetime,
    least_share: float,
) -> float | None:
    """Mean, each step weighted by its length (six hours at most); None when less than least_share has a value."""
    total = weight = 0.0
    for index, hour in enumerate(hours):
        if not start_at <= hour.at < end_at:
            continue
        next_at = hours[index + 1].at if index + 1 < len(hours) else hour.at + _HOUR
        found = value(hour)
        if found is not None:
            step_s = (min(next_at, end_at, hour.at + _LONGEST_STEP) - hour.at).total_seconds()
            total += found * step_s
            weight += step_s
    return total / weight if weight > 0.0 and weight >= least_share * (end_at - start_at).total_seconds() else None


def known_share(hours: Sequence[Hour], start_at: datetime, end_at: datetime) -> float:
    """Share of the window that lies between known temperatures at most six hours apart, 0-1."""
    known = timedelta()
    for left, right in pairwise(hours):
        if left.air_c is not None and right.air_c is not None and right.at - left.at <= _LONGEST_STEP:
            known += max(min(right.at, end_at) - max(left.at, start_at), timedelta())
    return known / (end_at - start_at)


def air_at(hours: Sequence[Hour], at: datetime) -> float | None:
    """Air temperature at a moment, straight between its neighbours; None where unknown or over six hours apart."""
    for left, right in pairwise(hours):
        if left.at <= at <= right.at and right.at - left.at <= _LONGEST_STEP:
            if left.air_c is None or right.air_c is None:
                continue
            return left.air_c + (right.air_c - left.air_c) * ((at - left.at) / (right.at - left.at))
    return None
