"""What a weather value may be: its units, turned into ours, and the limits outside which it is an error.

One absurd value becomes missing, and so a stated gap. Where more than a quarter of a field's values are absurd, or its
unit is unknown, that field is not to be trusted: without air temperatures the answer is refused, any other field is
left out whole, which the log says and the gaps state. Limits are wider than any weather (common practice, no source).
Units: the international mile is 1609.344 m, the nautical mile 1852 m, the inch 25.4 mm (BIPM, SI Brochure 9th
ed., 2019, and NIST SP 811, 2008; from memory).
"""

from __future__ import annotations

import logging
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from bot.core.weather.forecast import ForecastError

__all__ = ["AIR", "CODE", "RAIN", "SHARE", "SUN", "WIND", "Column", "Quantity", "column", "optional"]

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
