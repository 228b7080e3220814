"""Hours in which nobody is sent out, and the latest safe time of work that would be due in them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from bot.core.finding import Finding, TaskKind
from bot.core.garden.snapshot import Garden, PlaceKind
from bot.core.warnings.safety import Limits, Unsafe, UnsafeHour, no_height_hours, unsafe_outdoor_hours
from bot.core.weather.forecast import Forecast
from bot.core.weather.night import Site
from bot.core.weather.sun import sun_day

__all__ = ["ENOUGH", "Closed", "dangerous", "kept_in", "kept_safe", "last_light", "outdoors", "safe_hours"]

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
