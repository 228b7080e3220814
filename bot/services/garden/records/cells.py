"""Words in cells: names, lists, yes and no, and choices among known words."""

from __future__ import annotations

import csv
import io
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

__all__ = ["as_list", "choice", "language", "names", "people", "person", "text", "unknown", "words", "yes_no", "zone"]

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
