"""A language, and everything that is said in it: texts, plurals, dates, clock times, numbers, units.

The catalogues are the .po files below `locales/`, read when a language is first spoken; nothing has to be compiled.
English is the source and needs none; a text that a catalogue lacks is said in English. Formats are those of Unicode
CLDR, as babel carries them, with European digits in every language, since these are on every phone and clock.
"""

from __future__ import annotations

import gettext
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cache, lru_cache
from io import BytesIO
from itertools import product, takewhile
from typing import Literal
from zoneinfo import ZoneInfo

from babel import Locale, dates, lists, numbers
from babel.messages import Message, mofile, pofile

from bot.config import project_folder

#: What a garden says in its own words, by language; `Say.own` is of one.
Wordings = Mapping[str, Mapping[str, Mapping[str, str]]]

#: The languages that Gatepost speaks, each by its own name. The first is the source.
LANGUAGES: dict[str, str] = {
    "en": "English",
    "pl": "Polski",
    "cy": "Cymraeg",
    "uk": "Українська",
    "ar": "العربية",
    "pt": "Português",
    "bn": "বাংলা",
}

#: CLDR's locale where it is not the language's own: the languages of Britain and Europe where one is at home in several.
_FORMATS = {"en": "en_GB", "pt": "pt_PT"}
#: Where a day is written with the month's short name. Elsewhere that is a number in CLDR (Portuguese: "5/05", which can
#: be read two ways), or stands in the wrong case (Polish: "5 maj").
_SHORT_MONTHS = {"en", "cy"}
#: Unicode UAX #9: what stands between the two is laid out by itself, and leaves the text around it as it is.
_ISOLATE, _END = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
_LEFTWARD = {"R", "AL"}
MS_PER_MPH = 0.44704
MS_PER_KMH = 1 / 3.6
#: Between a number and its unit: a space at which no line breaks (SI Brochure 5.4.3, from memory: a space).
_UNIT = re.compile(r"(?<=\d) (?=(?:°C|%|kg|g|mm|cm|m|km|km/h|m/s|mph|l|min)(?![\w/]))")
#: Words of which each may stand at a place of a listed phrase.
_CHOICE = re.compile(r"\[([^\[\]|]*/[^\[\]|]*)\]")


@dataclass(frozen=True)
class Say:
    """One language, and the zone and wind unit in which a garden's people think.

    own: what a garden says in its own words: English text (of one, where it has a plural) -> number of the form -> words.

    gettext, ngettext, pgettext return a whole sentence with its named placeholders filled in.
    """

    language: str
    zone: ZoneInfo
    wind_unit: str = "mph"
    own: Mapping[str, Mapping[str, str]] = field(default_factory=dict, compare=False)

    @property
    def locale(self) -> Locale:
        return locale(self.language)

    @property
    def right_to_left(self) -> bool:
        return _is_rtl(self.language)

    def gettext(self, text: str, **values: object) -> str:
        found = self.own[text]["0"] if text in self.own else _catalogue(self.language).gettext(text)
        return self.fill(found, **values) if values else unbroken(found)

    def ngettext(self, one: str, many: str, n: int, **values: object) -> str:
        found = self.own.get(one, {}).get(str(_form(self.language, n)))
        return self.fill(found or _catalogue(self.language).ngettext(one, many, n), n=self.number(n), **values)

    def pgettext(self, context: str, text: str, **values: object) -> str:
        found = _catalogue(self.language).pgettext(context, text)
        return self.fill(found, **values) if values else found

    def fill(self, text: str, **values: object) -> str:
        """A text of this language with its placeholders filled in. Names and numbers keep their place and their order
        where they or the text run from right to left; a value that ends in a full stop, as an abbreviation does, brings
        no second one."""
        return _filled(self.language, text, *((name, str(value)) for name, value in values.items()))

    def and_list(self, things: Iterable[str]) -> str:
        return _listed(self.language, "standard", *things)

    def or_list(self, things: Sequence[str]) -> str:
        return _listed(self.language, "or", *things)

    def number(self, value: float, digits: int = 0) -> str:
        return _number(self.language, round(value, digits) + 0.0, digits)

    def local(self, at: datetime) -> datetime:
        return at.astimezone(self.zone)

    def clock(self, at: datetime) -> str:
        """The time on the garden's clocks, "19:50"."""
        local = self.local(at)
        return _clock(self.language, time(local.hour, local.minute))

    def day(self, on: date) -> str:
        """A day near at hand, "Tue 5 May": the month is always a word."""
        return _skeleton(self.language, f"{self._month}Ed", on)

    def month_day(self, on: date) -> str:
        """A day of any year, "5 May"."""
        return _skeleton(self.language, f"{self._month}d", on)

    def days(self, first_on: date, last_on: date) -> str:
        """A stretch of days of any year, "5–9 May"."""
        return str(dates.format_interval(first_on, last_on, f"{self._month}d", locale=self.locale))

    def day_and_year(self, on: date) -> str:
        """A day that is far off, "Tue, 5 May 2026"."""
        return _skeleton(self.language, f"y{self._month}Ed", on)

    def long_day(self, on: date) -> str:
        """A day in full, "5 May 2026"."""
        return dates.format_date(on, "long", locale=self.locale)

    def near_day(self, on: date, now: datetime) -> str:
        """The day as people say it: today, tomorrow, else "Tue 5 May"."""
        today = self.local(now).date()
        if on == today:
            return self.gettext("today")
        if on == today + timedelta(days=1):
            return self.gettext("tomorrow")
        return self.day(on)

    def celsius(self, value_c: float) -> str:
        """Whole degrees, as one reads them aloud, with a real minus sign: "−2 °C"."""
        return self._isolated(self.gettext("{number} °C", number=self._signed(value_c, 0)))

    def celsius_exact(self, value_c: float) -> str:
        """With one decimal, for "Why?" and readings."""
        return self._isolated(self.gettext("{number} °C", number=self._signed(value_c, 1)))

    def wind(self, speed_ms: float) -> str:
        """A wind speed in the garden's unit, whole numbers."""
        if self.wind_unit == "mph":
            return self._isolated(self.gettext("{number} mph", number=self.number(speed_ms / MS_PER_MPH)))
        return self._isolated(self.gettext("{number} km/h", number=self.number(speed_ms / MS_PER_KMH)))

    def in_ten(self, probability: float) -> str:
        """Odds as people weigh them; never 0 or 10 in 10, which no forecast can promise."""
        if probability >= 0.95:
            return self.gettext("almost certain")
        if probability < 0.05:
            return self.gettext("very unlikely")
        return self.gettext("{n} in 10", n=max(1, min(9, round(probability * 10))))

    @property
    def _month(self) -> str:
        return "MMM" if self.language in _SHORT_MONTHS else "MMMM"

    def _isolated(self, value: str) -> str:
        return _isolated(self.language, value)

    def _signed(self, value: float, digits: int) -> str:
        return self.number(value, digits).replace("-", "\N{MINUS SIGN}")


@lru_cache(4096)
def unbroken(text: str) -> str:
    """The text with a no-break space between each number and its unit."""
    return _UNIT.sub("\N{NO-BREAK SPACE}", text)


@cache
def locale(language: str) -> Locale:
    """The formats of CLDR for one of LANGUAGES. Its names are read at once, and before anybody reads those of the plain
    language: babel keeps what the two share once, with the names of whichever was read first (Portugal's "segunda",
    else Brazil's "seg.")."""
    found = Locale.parse(_FORMATS.get(language, language))
    for names in (found.days, found.months):
        for context in names.values():
            list(context.values())
    return found


# The same few numbers, hours and days are said to everybody, and the same sentences with them.


@cache
def _is_rtl(language: str) -> bool:
    return locale(language).text_direction == "rtl"


def _isolated(language: str, value: str) -> str:
    if not value.isascii() and any(unicodedata.bidirectional(sign) in _LEFTWARD for sign in value):
        return f"{_ISOLATE}{value}{_END}"
    return f"{_ISOLATE}{value}{_END}" if value and _is_rtl(language) else value


@lru_cache(4096)
def _filled(language: str, text: str, *given: tuple[str, str]) -> str:
    once = {name: one.removesuffix(".") if f"{{{name}}}." in text else one for name, one in given}
    return unbroken(text.format(**{name: _isolated(language, one) for name, one in once.items()}))


@lru_cache(4096)
def _listed(language: str, style: Literal["standard", "or"], *things: str) -> str:
    return lists.format_list([_isolated(language, one) for one in things], style=style, locale=locale(language))


@lru_cache(4096)
def _number(language: str, value: float, digits: int) -> str:
    form = f"#,##0.{'#' * digits}" if digits else "#,##0"
    return numbers.format_decimal(value, format=form, locale=locale(language))


@lru_cache(4096)
def _clock(language: str, at: time) -> str:
    return dates.format_time(at, "HH:mm", locale=locale(language))


@lru_cache(4096)
def _skeleton(language: str, skeleton: str, on: date) -> str:
    return dates.format_skeleton(skeleton, on, locale=locale(language))


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    path = project_folder("locales") / language / "LC_MESSAGES" / "gatepost.po"
    if not path.is_file():
        return gettext.NullTranslations()
    with path.open("rb") as file:
        catalogue = pofile.read_po(file, locale=language)
    for message in list(catalogue):
        forms = message.string if isinstance(message.string, list | tuple) else (message.string,)
        if message.id and not all(forms):
            catalogue.delete(message.id, message.context)  # said in English
        elif message.context and isinstance(message.string, str):
            message.string = _written_out(message.string)
    compiled = BytesIO()
    mofile.write_mo(compiled, catalogue)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def _written_out(listed: str) -> str:
    """A list of phrases, parted by |, with each of "[a/b] [c/d]" in full."""
    if not _CHOICE.search(listed):
        return listed
    found: list[str] = []
    for phrase in listed.split("|"):
        parts = _CHOICE.split(phrase)
        found += map("".join, product(*(part.split("/") if n % 2 else [part] for n, part in enumerate(parts))))
    return "|".join(found)


@dataclass(frozen=True, slots=True)
class Text:
    """A text without a context. english: one, or for one and for many; forms: as the language says it, by its plural."""

    english: tuple[str, ...]
    forms: tuple[str, ...]


@cache
def texts(language: str) -> tuple[Text, ...]:
    """All that is said in a language, and that is no list of words; in English where its catalogue lacks it."""
    folder = project_folder("locales")
    path = folder / language / "LC_MESSAGES" / "gatepost.po"
    with (path if path.is_file() else folder / "gatepost.pot").open("rb") as file:
        catalogue = pofile.read_po(file, locale=language)
    return tuple(_text(message) for message in catalogue if message.id and not message.context)


def _text(message: Message) -> Text:
    english = tuple(message.id) if isinstance(message.id, list | tuple) else (str(message.id),)
    forms = tuple(message.string) if isinstance(message.string, list | tuple) else (str(message.string or ""),)
    return Text(english, forms if all(forms) and not message.fuzzy else english)


def plural_forms(language: str) -> str:
    """The rule by which a language's catalogue counts, as its header has it."""
    found = _catalogue(language).info().get("plural-forms")
    return found or "nplurals=2; plural=(n != 1);"


def _form(language: str, n: int) -> int:
    """Which form of a text a number takes."""
    rule = getattr(_catalogue(language), "plural", None)
    return int(rule(n)) if rule is not None else int(n != 1)


@cache
def checked_by(language: str) -> str | None:
    """Who has read a language's texts as one reads their own; None for nobody yet. English is written by those who
    work on Gatepost."""
    path = project_folder("locales") / language / "LC_MESSAGES" / "gatepost.po"
    if language == "en" or not path.is_file():
        return None if language != "en" else "its authors"
    with path.open(encoding="utf-8") as file:
        return reader_of("".join(takewhile(lambda line: line.startswith("#"), file))) or None


def reader_of(header: str) -> str | None:
    """Who has checked a catalogue, by the comment it begins with; None for nobody, "" where it does not say."""
    found = re.search(r"^# Checked by: *(.*)$", header, re.MULTILINE)
    return "" if found is None else None if found[1].strip() in ("", "nobody") else found[1].strip()


def best_language(code: str | None) -> str:
    """The language we speak that is nearest to a code such as "pl-PL"; English when there is none."""
    language = (code or "").replace("_", "-").split("-")[0].lower()
    return language if language in LANGUAGES else "en"


def say(language: str, zone: str, wind_unit: str = "mph", own: Wordings | None = None) -> Say:
    """The voice for one person of one garden. own: the garden's own words, by language."""
    spoken = best_language(language)
    return Say(spoken, ZoneInfo(zone), wind_unit, (own or {}).get(spoken, {}))
