"""A language, and everything that is said in it: texts, plurals, dates, clock times, numbers, units.

The catalogues are the .po files below `locales/`, read when a language is first spoken; nothing has to be compiled.
English is the source and needs none.
"""

from __future__ import annotations

import gettext
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from io import BytesIO
from zoneinfo import ZoneInfo

from babel import Locale, dates, lists, numbers
from babel.messages import mofile, pofile

from bot.config import project_folder

__all__ = ["LANGUAGES", "Say", "best_language", "say", "unbroken"]

#: The languages that Gatepost speaks, each by its own name. The first is the source.
LANGUAGES: dict[str, str] = {"en": "English", "pl": "Polski"}

_FORMATS = {"en": "en_GB", "pl": "pl"}
MS_PER_MPH = 0.44704
MS_PER_KMH = 1 / 3.6
#: Between a number and its unit: a space at which no line breaks (SI Brochure 5.4.3, from memory: a space).
_UNIT = re.compile(r"(?<=\d) (?=(?:°C|%|kg|g|mm|cm|m|km|km/h|m/s|mph|l|min)(?![\w/]))")


@dataclass(frozen=True)
class Say:
    """One language, and the zone and wind unit in which a garden's people think.

    gettext, ngettext, pgettext return a whole sentence with its named placeholders filled in.
    """

    language: str
    zone: ZoneInfo
    wind_unit: str = "mph"

    @property
    def locale(self) -> Locale:
        return Locale.parse(_FORMATS[self.language])

    @property
    def right_to_left(self) -> bool:
        return self.locale.text_direction == "rtl"

    def gettext(self, text: str, **values: object) -> str:
        found = _catalogue(self.language).gettext(text)
        return unbroken(found.format(**values) if values else found)

    def ngettext(self, one: str, many: str, n: int, **values: object) -> str:
        return unbroken(_catalogue(self.language).ngettext(one, many, n).format(n=self.number(n), **values))

    def pgettext(self, context: str, text: str, **values: object) -> str:
        found = _catalogue(self.language).pgettext(context, text)
        return unbroken(found.format(**values)) if values else found

    def and_list(self, things: Iterable[str]) -> str:
        return lists.format_list(list(things), style="standard", locale=self.locale)

    def or_list(self, things: Sequence[str]) -> str:
        return lists.format_list(things, style="or", locale=self.locale)

    def number(self, value: float, digits: int = 0) -> str:
        return numbers.format_decimal(
            round(value, digits) + 0.0, format=f"#,##0.{'#' * digits}" if digits else "#,##0", locale=self.locale
        )

    def local(self, at: datetime) -> datetime:
        return at.astimezone(self.zone)

    def clock(self, at: datetime) -> str:
        """The time on the garden's clocks, "19:50"."""
        return dates.format_time(self.local(at), "HH:mm", locale=self.locale)

    def day(self, on: date) -> str:
        """A day near at hand, "Tue 5 May"."""
        return dates.format_skeleton("MMMEd", on, locale=self.locale)

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
        return self.gettext("{number} °C", number=self._signed(value_c, 0))

    def celsius_exact(self, value_c: float) -> str:
        """With one decimal, for "Why?" and readings."""
        return self.gettext("{number} °C", number=self._signed(value_c, 1))

    def wind(self, speed_ms: float) -> str:
        """A wind speed in the garden's unit, whole numbers."""
        if self.wind_unit == "mph":
            return self.gettext("{number} mph", number=self.number(speed_ms / MS_PER_MPH))
        return self.gettext("{number} km/h", number=self.number(speed_ms / MS_PER_KMH))

    def in_ten(self, probability: float) -> str:
        """Odds as people weigh them; never 0 or 10 in 10, which no forecast can promise."""
        if probability >= 0.95:
            return self.gettext("almost certain")
        if probability < 0.05:
            return self.gettext("very unlikely")
        return self.gettext("{n} in 10", n=max(1, min(9, round(probability * 10))))

    def _signed(self, value: float, digits: int) -> str:
        return self.number(value, digits).replace("-", "\N{MINUS SIGN}")


def unbroken(text: str) -> str:
    """The text with a no-break space between each number and its unit."""
    return _UNIT.sub("\N{NO-BREAK SPACE}", text)


@cache
def _catalogue(language: str) -> gettext.NullTranslations:
    path = project_folder("locales") / language / "LC_MESSAGES" / "gatepost.po"
    if not path.is_file():
        return gettext.NullTranslations()
    with path.open("rb") as file:
        catalogue = pofile.read_po(file, locale=language)
    compiled = BytesIO()
    mofile.write_mo(compiled, catalogue)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def best_language(code: str | None) -> str:
    """The language we speak that is nearest to a code such as "pl-PL"; English when there is none."""
    language = (code or "").replace("_", "-").split("-")[0].lower()
    return language if language in LANGUAGES else "en"


def say(language: str, zone: str, wind_unit: str = "mph") -> Say:
    """The voice for one person of one garden."""
    return Say(best_language(language), ZoneInfo(zone), wind_unit)
