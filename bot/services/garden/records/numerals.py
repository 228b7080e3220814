"""Numbers as people write them: decimal points or commas, thousands, and the unit after them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date, time

from bot.i18n import Say
from bot.services.garden.records.problems import CellError, shown
from bot.services.garden.records.sheet import Raw, Reading

__all__ = ["CELSIUS", "CM", "DEGREES", "KG", "LITRES", "METRES", "NEWTONS", "PLAIN", "number", "whole"]

#: The ways to write a unit; the first is the one that messages use.
METRES = ("m", "metre", "metres", "meter", "meters", "m asl")
CM = ("cm", "centimetre", "centimetres", "centimeter", "centimeters")
KG = ("kg", "kilo", "kilos", "kilogram", "kilograms")
LITRES = ("l", "litre", "litres", "liter", "liters", "ltr")
NEWTONS = ("N", "newton", "newtons")
CELSIUS = ("°C", "c", "°", "degrees")
DEGREES = ("°", "degrees")
PLAIN = ("",)

# The minus and the spaces and apostrophe for thousands that languages use, each as the key that people have.
_SIGNS = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2019": "'"})
_WRITTEN = re.compile(r"([+-]?)(\d[\d., ']*\d|\d|[.,]\d+)\s*(.*)", re.DOTALL)
_GROUP_SPACE = re.compile(r"(?<=\d)[ '](?=\d{3}(?!\d))")
_ONE_SIGN = re.compile(r"(\d*)[.,](\d+)")
_ENGLISH = re.compile(r"\d{1,3}(,\d{3})+(\.\d+)?")
_CONTINENTAL = re.compile(r"\d{1,3}(\.\d{3})+(,\d+)?")


def number(low: float, high: float, units: tuple[str, ...] = PLAIN) -> Callable[[Raw, Reading], float]:
    """A reader of numbers from low to high, alone or with one of `units` after them."""

    def read(raw: Raw, reading: Reading) -> float:
        return _one_of(_readings(raw, units, reading.say), raw, low, high, units[0], reading.say)

    return read


def whole(low: int, high: int) -> Callable[[Raw, Reading], int]:
    """A reader of whole numbers from low to high."""

    def read(raw: Raw, reading: Reading) -> int:
        say = reading.say
        entire = [value for value in _readings(raw, PLAIN, say) if value.is_integer()]
        if not entire:
            raise CellError(say.gettext("'{value}' is not a whole number", value=shown(raw)))
        return int(_one_of(entire, raw, low, high, "", say))

    return read


def _readings(raw: Raw, units: tuple[str, ...], say: Say) -> list[float]:
    """What the cell can mean: one number, or two when "1,200" may be either."""
    if isinstance(raw, date | time):
        raise CellError(say.gettext("has a date or time, not a number; format the cell as a number"))
    if not isinstance(raw, str):
        return [float(raw)]
    written = _WRITTEN.fullmatch(raw.strip().translate(_SIGNS))
    values = _values(written[2]) if written and not any(map(str.isdecimal, written[3])) else []
    if not written or not values:
        raise CellError(say.gettext("'{value}' is not a number; write digits, such as 12 or 1.5", value=shown(raw)))
    if written[3] and written[3].casefold().rstrip(".") not in (unit.casefold() for unit in units):
        raise CellError(_wrong_unit(written[3], units[0], say))
    return [-value if written[1] == "-" else value for value in values]


def _values(digits: str) -> list[float]:
    digits = _GROUP_SPACE.sub("", digits)
    if digits.isdecimal():
        return [float(digits)]
    if parts := _ONE_SIGN.fullmatch(digits):
        units, decimals = parts[1], parts[2]
        decimal = float(f"{units or 0}.{decimals}")
        grouped = len(decimals) == 3 and 1 <= len(units) <= 3 and units[0] != "0"
        return [decimal, float(units + decimals)] if grouped else [decimal]
    if _ENGLISH.fullmatch(digits):
        return [float(digits.replace(",", ""))]
    if _CONTINENTAL.fullmatch(digits):
        return [float(digits.replace(".", "").replace(",", "."))]
    return []


def _wrong_unit(written: str, unit: str, say: Say) -> str:
    if not unit:
        return say.gettext("'{unit}' does not belong here; write only the number", unit=shown(written))
    return say.gettext(
        "'{unit}' is not the unit of this column; write the number in {expected}", unit=shown(written), expected=unit
    )


def _one_of(readings: list[float], raw: Raw, low: float, high: float, unit: str, say: Say) -> float:
    fitting = [value for value in readings if math.isfinite(value) and low <= value <= high]
    if not fitting:
        raise CellError(
            say.gettext(
                "'{value}' is out of range; write a number from {low} to {high} {unit}",
                value=shown(raw), low=f"{low:g}", high=f"{high:g}", unit=unit,
            ).rstrip()
        )  # fmt: skip
    if len(fitting) > 1:
        raise CellError(
            say.gettext(
                "'{value}' may mean {one} or {other}; write it without a sign for thousands, or with more or "
                "fewer decimals",
                value=shown(raw), one=f"{fitting[0]:g}", other=f"{fitting[1]:g}",
            )
        )  # fmt: skip
    return fitting[0]
