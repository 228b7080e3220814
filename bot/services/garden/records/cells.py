"""Words in cells: names, lists, yes and no, and choices among known words.

Numbers as people write them: decimal points or commas, thousands, and the unit after them.
"""

from __future__ import annotations

import csv
import io
import math
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping
from datetime import date, time
from enum import StrEnum
from typing import TypeVar
from zoneinfo import available_timezones

from bot.core.people.names import NAME_N, clean
from bot.crops.find import fold
from bot.i18n import LANGUAGES, Say
from bot.services.garden.records.problems import CellError, near, shown
from bot.services.garden.records.sheet import Raw, Reading

Kind = TypeVar("Kind", bound=StrEnum)
Asked = Callable[[Say], str]

_YES = frozenset({"yes", "y", "true", "1", "x", "tak"})
_NO = frozenset({"no", "n", "false", "0", "nie"})
# Control characters, line and paragraph separators, lone surrogates, and signs that turn the direction of writing.
_REFUSED = frozenset({"Cc", "Zl", "Zp", "Cs"})
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def text(most: int) -> Callable[[Raw, Reading], str]:
    """A reader of text of at most so many characters on one line."""

    def read(raw: Raw, reading: Reading) -> str:
        say = reading.say
        if isinstance(raw, date | time):
            raise CellError(say.gettext("has a date or time, not text; format the cell as text and write it again"))
        found = _plain(raw)
        if any(unicodedata.category(sign) in _REFUSED or sign in _TURNING for sign in found):
            raise CellError(
                say.gettext("'{value}' has a line break or an invisible sign in it; write it again", value=shown(found))
            )
        if len(found) > most:
            raise CellError(
                say.gettext("'{value}' is too long; use at most {most} characters", value=shown(found), most=most)
            )
        return found

    return read


def words(most: int) -> Callable[[Raw, Reading], str]:
    """A reader of single words, parted by spaces, commas or semicolons; kept parted by spaces."""

    def read(raw: Raw, reading: Reading) -> str:
        return " ".join(text(most)(raw, reading).replace(",", " ").replace(";", " ").split())

    return read


def names(most: int) -> Callable[[Raw, Reading], tuple[str, ...]]:
    """A reader of names parted by semicolons; a name that holds one stands in quotation marks."""

    def read(raw: Raw, reading: Reading) -> tuple[str, ...]:
        listed = next(csv.reader([_plain(raw)], delimiter=";", skipinitialspace=True), [])
        return tuple(text(most)(name.strip(), reading) for name in listed if name.strip())

    return read


def person(raw: Raw, reading: Reading) -> str:
    """A person's name, as it is kept of whoever joins by an account, too."""
    written = text(NAME_N)(raw, reading)
    found = clean(written)
    if written and not found:
        raise CellError(reading.say.gettext("'{value}' is not a name: it has no letter", value=shown(written)))
    return found


def people(raw: Raw, reading: Reading) -> tuple[str, ...]:
    """Names of people parted by semicolons, as `names` reads them."""
    return tuple(person(name, reading) for name in names(NAME_N)(raw, reading))


def as_list(listed: Iterable[str]) -> str:
    """Names as `names` reads them."""
    stream = io.StringIO()
    csv.writer(stream, delimiter=";", lineterminator="").writerow(listed)
    return stream.getvalue()


def yes_no(raw: Raw, reading: Reading) -> bool:
    word = fold(_plain(raw))
    if word not in _YES | _NO:
        raise CellError(reading.say.gettext("write yes or no, not '{value}'", value=shown(raw)))
    return word in _YES


def choice(
    kinds: Iterable[Kind], asked: Asked, also: Mapping[str, Kind] | None = None
) -> Callable[[Raw, Reading], Kind]:
    """A reader of one of some known words. asked: what they are, for messages. also: other words for them."""
    known = {str(kind): kind for kind in kinds}
    spelt = {fold(word): kind for word, kind in {**known, **(also or {})}.items()}

    def read(raw: Raw, reading: Reading) -> Kind:
        found = spelt.get(fold(_plain(raw)))
        if found is None:
            raise CellError(unknown(_plain(raw), asked(reading.say), known, reading.say))
        return found

    return read


def language(raw: Raw, reading: Reading) -> str:
    """The code of a language that Gatepost speaks, from a code such as pl or pl-PL, or the language's own name."""
    word = _plain(raw)
    code = fold(word).split(" ")[0]
    named = {fold(name): code for code, name in LANGUAGES.items()}
    found = code if code in LANGUAGES else named.get(fold(word))
    if found is None:
        asked = reading.say.pgettext("what a cell holds", "a language that Gatepost speaks")
        raise CellError(unknown(word, asked, LANGUAGES, reading.say))
    return found


def zone(raw: Raw, reading: Reading) -> str:
    """A time zone's name in the IANA database, such as Europe/London."""
    word, known = _plain(raw), available_timezones()
    if word in known:
        return word
    cities = {fold(name.rpartition("/")[2]): name for name in sorted(known)}
    likely = {fold(name): name for name in known}.get(fold(word)) or cities.get(fold(word)) or near(word, known)
    asked = reading.say.pgettext("what a cell holds", "a time zone")
    raise CellError(unknown(word, asked, [likely or "Europe/London"], reading.say, likely))


def unknown(word: str, asked: str, known: Iterable[str], say: Say, likely: str | None = None) -> str:
    """The sentence about a word that is none of the known ones, with the likeliest of them or all of them."""
    likely = likely or near(word, known)
    if likely:
        return say.gettext(
            "'{value}' is not {asked}; did you mean '{likely}'?", value=shown(word), asked=asked, likely=likely
        )
    return say.gettext(
        "'{value}' is not {asked}; write {known}", value=shown(word), asked=asked, known=say.or_list(list(known))
    )


def _plain(raw: Raw) -> str:
    """A whole number of a workbook as people see it: 3, not 3.0."""
    return str(int(raw)) if isinstance(raw, float) and raw.is_integer() else str(raw)


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
