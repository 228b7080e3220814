"""What reading any service's answer needs: JSON, sections, instants, the place, and the gaps to state.

What a weather value may be: its units, turned into ours, and the limits outside which it is an error.

One absurd value becomes missing, and so a stated gap. Where more than a quarter of a field's values are absurd, or its
unit is unknown, that field is not to be trusted: without air temperatures the answer is refused, any other field is
left out whole, which the log says and the gaps state. Limits are wider than any weather (common practice, no source).
Units: the international mile is 1609.344 m, the nautical mile 1852 m, the inch 25.4 mm (BIPM, SI Brochure 9th
ed., 2019, and NIST SP 811, 2008; from memory).
"""

from __future__ import annotations

import json
import logging
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import NamedTuple

from bot.core.weather.forecast import ForecastError, Gap, Hour

#: The fields of Hour whose absence is stated.
FIELDS = ("air_c", "dew_point_c", "humidity_pct", "cloud_pct", "wind_ms", "gust_ms", "rain_mm", "sun_w_m2", "thunder")

NEAR_DEG = 0.5
_REASON_CHARS = 200
# The most that the air changes from one instant to the next and back again: common practice, no source.
_SPIKE_C = 15.0
_SPIKE_STEP = timedelta(hours=3)
_YEARS = range(1900, 2200)


#: 2.5 km, the grid of MET Norway's model for the Nordic countries and finer than the others' (from memory); and so high
#: that the air differs by 0.3 °C at most (6.5 °C a kilometre, ICAO standard atmosphere), which is reckoned with besides.
_CELL_DEG, _CELL_HIGH_M = 2.5 / 111.2, 50.0


class Cell(NamedTuple):
    """Degrees and metres above the sea; the first of each pair belongs to it, the second no more."""

    south: float
    north: float
    west: float
    east: float
    low_m: float
    high_m: float


@dataclass(frozen=True, slots=True)
class Point:
    """Where the weather is asked for: degrees north and east, metres above the sea. ForecastError off the earth."""

    latitude: float
    longitude: float
    altitude_m: float | None = None

    def __post_init__(self) -> None:
        for name, value, limit in (("latitude", self.latitude, 90), ("longitude", self.longitude, 180)):
            if not -limit <= value <= limit:
                raise ForecastError(
                    f"{name} is {value:g}, expected -{limit} to {limit}; are latitude and longitude swapped?"
                )

    def rounded(self) -> Point:
        """To 3 decimals (about 100 m) and whole metres: enough for any model's grid, and no one's doorstep."""
        altitude_m = None if self.altitude_m is None else float(round(self.altitude_m))
        return Point(round(self.latitude, 3) + 0.0, round(self.longitude, 3) + 0.0, altitude_m)

    def cell(self) -> Cell | None:
        """The square whose gardens have one forecast; None where the height is not known, which a forecast tells first."""
        if self.altitude_m is None:
            return None
        south = math.floor(self.latitude / _CELL_DEG) * _CELL_DEG
        wide_deg = _CELL_DEG / max(math.cos(math.radians(south + _CELL_DEG / 2)), 0.01)
        west = math.floor(self.longitude / wide_deg) * wide_deg
        low_m = math.floor(self.altitude_m / _CELL_HIGH_M) * _CELL_HIGH_M
        return Cell(south, south + _CELL_DEG, west, west + wide_deg, low_m, low_m + _CELL_HIGH_M)

    def distance_deg(self, other: Point) -> float:
        """Degrees of a great circle, near enough over short distances."""
        east = (self.longitude - other.longitude + 180) % 360 - 180
        return math.hypot(self.latitude - other.latitude, east * math.cos(math.radians(self.latitude)))


def parse_json(text: str | bytes) -> object:
    """The JSON value of an answer. Raises ForecastError where it is empty, cut short, HTML or no JSON."""
    try:
        text = text.decode("utf-8-sig") if isinstance(text, bytes) else text
        return json.loads(text)
    except (ValueError, RecursionError) as error:
        if not text.strip():
            raise ForecastError("the answer is empty; ask again later") from error
        if isinstance(text, str) and text.lstrip().startswith("<"):
            raise ForecastError(
                "the answer is HTML, not JSON; check the address and whatever stands between"
            ) from error
        raise ForecastError("the answer is no whole JSON, it may be cut short; ask again later") from error


def shortened(reason: object) -> str:
    """Someone else's words on one line of bounded length."""
    return " ".join(str(reason).split())[:_REASON_CHARS]


def section(value: object, *keys: str) -> Mapping[str, object]:
    """The object below `keys`. Raises ForecastError where there is none."""
    for key in keys:
        value = value.get(key) if isinstance(value, Mapping) else None
    if not isinstance(value, Mapping):
        raise ForecastError(f"the answer has no {'.'.join(keys) or 'object'}; is it a forecast, and whole?")
    return value


def within(value: object, *keys: str) -> Mapping[str, object]:
    """The object below `keys`, empty where there is none."""
    for key in keys:
        value = value.get(key) if isinstance(value, Mapping) else None
    return value if isinstance(value, Mapping) else {}


def listing(parent: Mapping[str, object], key: str) -> Sequence[object]:
    """The list under `key`. Raises ForecastError where there is none."""
    value = parent.get(key)
    if not isinstance(value, list):
        raise ForecastError(f"the answer has no list of {key}; is it a forecast, and whole?")
    return value


def number(value: object, name: str) -> float:
    """A finite number. Raises ForecastError where it is none."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not abs(value) < 1e11:
        raise ForecastError(f"{name} is {shortened(value)[:40]!r}, expected a number")
    return float(value)


def instant(text: object, offset: timedelta = timedelta(0)) -> datetime:
    """An ISO 8601 time as aware UTC; one without a zone is `offset` ahead of UTC. Raises ForecastError."""
    try:
        at = datetime.fromisoformat(text if isinstance(text, str) else "")
        at = (at - offset).replace(tzinfo=UTC) if at.tzinfo is None else at.astimezone(UTC)
        if at.year not in _YEARS:
            raise ValueError
        return at
    except (ValueError, OverflowError) as error:
        raise ForecastError(
            f"the time {shortened(text)[:40]!r} is no ISO 8601 time such as 2026-03-05T21:00"
        ) from error


def in_order(hours: Sequence[Hour]) -> tuple[Hour, ...]:
    """The hours ascending; a lone temperature far off both its neighbours is missing, as an error in the data.

    Raises ForecastError where two are of one instant, or none has a temperature.
    """
    ordered = _without_spikes(sorted(hours, key=lambda hour: hour.at))
    for one, two in pairwise(ordered):
        if one.at == two.at:
            raise ForecastError(f"the answer has two values for {one.at.isoformat()}; it is unclear which one holds")
    if all(hour.air_c is None for hour in ordered):
        raise ForecastError("the answer has no air temperature at all; ask for it by the name in this service's manual")
    return ordered


def _without_spikes(ordered: Sequence[Hour]) -> tuple[Hour, ...]:
    """At either end, where there is one neighbour only, the next but one bears it out."""
    known = [hour for hour in ordered if hour.air_c is not None]
    lone = set()
    for index, hour in enumerate(known):
        first = min(max(index - 1, 0), max(len(known) - 3, 0))
        others = [one for one in known[first : first + 3] if one is not hour]
        near = all(abs(one.at - hour.at) <= _SPIKE_STEP * 2 for one in others)
        off_c = [(one.air_c or 0.0) - (hour.air_c or 0.0) for one in others]
        if len(others) == 2 and near and (min(off_c) > _SPIKE_C or max(off_c) < -_SPIKE_C):
            lone.add(hour.at)
    return tuple(replace(hour, air_c=None, spread=None) if hour.at in lone else hour for hour in ordered)


def lost_steps(times: Sequence[datetime], steps: Sequence[timedelta]) -> int:
    """How many steps are missing: `steps[i]` after `times[i]` the next one is due."""
    return sum(max(0, (later - at) // step - 1) for (at, later), step in zip(pairwise(times), steps, strict=False))


def gaps(hours: Sequence[Hour], lost_n: int) -> tuple[Gap, ...]:
    """Each field that some hour lacks, and the steps that are not there at all."""
    missing = {field: sum(getattr(hour, field) is None for hour in hours) for field in FIELDS}
    stated = tuple(Gap(field, missing_n, len(hours)) for field, missing_n in missing.items() if missing_n)
    return (*stated, Gap("at", lost_n, len(hours) + lost_n)) if lost_n else stated


def check_near(answered: Point, asked: Point | None) -> None:
    """Raises ForecastError where the answer is for elsewhere than was asked; told coarsely, as it may be logged."""
    if asked is not None and answered.distance_deg(asked) > NEAR_DEG:
        raise ForecastError(
            f"the answer is for {answered.latitude:.1f}, {answered.longitude:.1f} but {asked.latitude:.1f}, "
            f"{asked.longitude:.1f} was asked for; are latitude and longitude swapped?"
        )


logger = logging.getLogger(__name__)

Column = tuple[float | None, ...]

_ABSURD_SHARE = 0.25


@dataclass(frozen=True, slots=True)
class Quantity:
    """low, high: limits in our unit. slack: rounding beyond a limit that is cut back to it. units: name -> to ours."""

    low: float
    high: float
    units: Mapping[str, Callable[[float], float]]
    slack: float = 0.0


def _times(factor: float) -> Callable[[float], float]:
    return lambda value: value * factor


def _celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) * 5.0 / 9.0


_SAME = _times(1.0)

AIR = Quantity(-90.0, 60.0, {"°C": _SAME, "celsius": _SAME, "°F": _celsius, "fahrenheit": _celsius})
SHARE = Quantity(0.0, 100.0, {"%": _SAME}, slack=1.0)
WIND = Quantity(
    0.0,
    120.0,
    {
        "m/s": _SAME,
        "ms": _SAME,
        "km/h": _times(1 / 3.6),
        "mp/h": _times(1609.344 / 3600),
        "mph": _times(1609.344 / 3600),
        "kn": _times(1852 / 3600),
    },
)
RAIN = Quantity(0.0, 1000.0, {"mm": _SAME, "inch": _times(25.4)})
SUN = Quantity(0.0, 2000.0, {"W/m²": _SAME}, slack=1.0)
CODE = Quantity(0.0, 99.0, {"wmo code": _SAME})


def column(field: str, values: Sequence[object], unit: object, quantity: Quantity) -> Column:
    """The values of one field in our unit; what is null or absurd is None.

    Raises ForecastError where the unit is unknown or more than a quarter of the given values are absurd.
    """
    given = [value for value in values if value is not None]
    if not given:  # a service names no unit for a field that it does not have
        return (None,) * len(values)
    convert = quantity.units.get(unit) if isinstance(unit, str) else None
    if convert is None:
        known = ", ".join(quantity.units)
        raise ForecastError(
            f"{field} is in {str(unit)[:40]!r}, expected one of {known}; ask the service for one of these"
        )
    read = tuple(None if value is None else _within(value, convert, quantity) for value in values)
    absurd_n = len(given) - sum(value is not None for value in read)
    if absurd_n > _ABSURD_SHARE * len(given):
        raise ForecastError(
            f"{field}: {absurd_n} of {len(given)} values are no numbers from {quantity.low:g} to {quantity.high:g}; "
            "the answer is not to be trusted, ask again later"
        )
    return read


def optional(field: str, values: Sequence[object], unit: object, quantity: Quantity) -> Column:
    """The same of a field that a forecast can do without: all None where `column` refuses it."""
    try:
        return column(field, values, unit, quantity)
    except ForecastError as error:
        logger.warning("left out of the forecast: %s", error)
        return (None,) * len(values)


def _within(value: object, convert: Callable[[float], float], quantity: Quantity) -> float | None:
    """One value in our unit; None where it is no number, not finite, or outside the limits."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    try:
        ours = convert(float(value))
    except OverflowError:
        return None
    if not math.isfinite(ours) or not quantity.low - quantity.slack <= ours <= quantity.high + quantity.slack:
        return None
    return min(max(quantity.low, ours), quantity.high)
