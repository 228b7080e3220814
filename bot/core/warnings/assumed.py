"""What an organiser expects, beside the forecast: a cold night, a blow, hours in which nobody goes out.

The same rules as for a forecast say what is at risk and what to do; where both speak of a thing, the likelier harm
counts, so that a call by hand can add to a forecast and never takes from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from bot.core.finding import Finding, TaskKind
from bot.core.garden.place_state import NO_STATES, State
from bot.core.garden.snapshot import Garden
from bot.core.growing.crop import Crop
from bot.core.warnings.hazard_cold import cold
from bot.core.warnings.hazard_wind import wind
from bot.core.warnings.safety import Closed
from bot.core.weather.forecast import Forecast, Hour
from bot.core.weather.ground import GROUND, NightKind
from bot.core.weather.night import Night, Site
from bot.core.weather.odds import Estimate, Step, StepCode
from bot.core.weather.sun import night_bounds

#: How far off an organiser's figure for the night may be. Common practice, no source.
SD_C = 0.5
_HOUR = timedelta(hours=1)
_CALLED = Step(StepCode.CALLED, 0.0, None, None, "")


@dataclass(frozen=True, slots=True)
class ColdNight:
    """plant_c: the minimum expected at plants in the open, degrees C, in the night after evening_on."""

    evening_on: date
    plant_c: float


@dataclass(frozen=True, slots=True)
class Blow:
    """gust_ms: the greatest gust at 10 m expected from start_at to end_at, aware UTC."""

    start_at: datetime
    end_at: datetime
    gust_ms: float


@dataclass(frozen=True, slots=True)
class Assumed:
    nights: tuple[ColdNight, ...] = ()
    blows: tuple[Blow, ...] = ()
    closed: tuple[Closed, ...] = ()


def night(site: Site, expected: ColdNight) -> Night:
    """That night, its sky unknown: the screen's air is warmer than the plants by the usual gap (`ground.GROUND`)."""
    sunset_at, sunrise_at = night_bounds(expected.evening_on, site.zone, site.latitude, site.longitude)
    air_c = expected.plant_c + GROUND.constant_c
    return Night(
        evening_on=expected.evening_on,
        sunset_at=sunset_at,
        sunrise_at=sunrise_at,
        hours_covered=0,
        forecast_min_c=air_c,
        coldest_at=sunrise_at,
        wind_ms=None,
        cloud_pct=None,
        kind=NightKind.MIXED,
        lead_h=0.0,
        untaught_c=air_c,
        dusk_c=None,
        air=Estimate(air_c, GROUND.constant_sd_c),
        ground=Estimate(expected.plant_c, SD_C),
        steps=(_CALLED,),
    )


def threatened(
    garden: Garden,
    crops: Mapping[str, Crop],
    forecast: Forecast | None,
    assumed: Assumed,
    now: datetime,
    lost: frozenset[int] = frozenset(),
    fallen: frozenset[int] = frozenset(),
    states: Mapping[int, State] = NO_STATES,
) -> tuple[Finding, ...]:
    """What the assumed nights and blows do to this garden, whatever the forecast says of the rest.

    lost: see `cold`; fallen: see `wind`.
    """
    site = Site.of(garden)
    found = list(cold(garden, crops, tuple(night(site, one) for one in assumed.nights), now, lost))
    if assumed.blows:
        blown = wind(garden, crops, _blown(garden, forecast, assumed.blows), now, states, fallen=fallen)
        days = {(blow.start_at.astimezone(site.zone)).date() for blow in assumed.blows}
        found += [replace(one, chain=(_CALLED, *one.chain)) for one in blown if one.window_on in days]
    return tuple(found)


def _blown(garden: Garden, forecast: Forecast | None, blows: Iterable[Blow]) -> Forecast:
    """The forecast with each blow in its hours; a stronger gust of the forecast stays."""
    hours = {hour.at: hour for hour in forecast.hours} if forecast else {}
    for blow in blows:
        end_at = blow.start_at
        while (end_at := end_at + _HOUR) <= blow.end_at:
            hour = hours.get(end_at, Hour(end_at))
            hours[end_at] = replace(hour, gust_ms=max(hour.gust_ms or 0.0, blow.gust_ms))
    ordered = tuple(hours[at] for at in sorted(hours))
    if forecast is not None:
        return replace(forecast, hours=ordered)
    return Forecast("organiser", garden.latitude, garden.longitude, None, None, None, None, ordered)


def merged(found: Iterable[Finding], called: Iterable[Finding]) -> tuple[Finding, ...]:
    """The forecast's findings, and of what was called whatever harms likelier; the earliest latest-safe-time first."""
    likeliest: dict[tuple[object, ...], Finding] = {}
    for one in sorted(called, key=lambda one: one.probability):
        likeliest[_thing(one)] = one
    kept = [
        one for one in found if (rival := likeliest.get(_thing(one))) is None or rival.probability <= one.probability
    ]
    known = {_thing(one) for one in kept}
    every = kept + [one for thing, one in likeliest.items() if thing not in known]
    return tuple(sorted(every, key=lambda one: (one.due_at, one.hazard, one.place_id, one.planting_id or 0)))


def _thing(one: Finding) -> tuple[object, ...]:
    return one.hazard, one.window_on, one.place_id, one.planting_id, one.support_id, one.task is TaskKind.CLOSE
