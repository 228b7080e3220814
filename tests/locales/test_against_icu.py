"""Plurals, months, weekdays, lists and numbers of every language, against ICU, which is another implementation of Unicode
CLDR than the one that the bot speaks by: PyICU with ICU 77.1 (CLDR 47), as the package pyicu-wheels carries it."""

from __future__ import annotations

import gettext
import re
import subprocess
import sys
from datetime import date

import pytest
from babel.messages.pofile import read_po

from bot.i18n import LANGUAGES, say
from tests.open_data import ROOT

icu = pytest.importorskip("icu", reason="ICU comes with the package pyicu-wheels, which has none for this system")

_FORMS = ("zero", "one", "two", "few", "many", "other")
_ICU = {"en": "en_GB", "pt": "pt_PT"}
_ISOLATES = re.compile("[\u2068\u2069]")


def of(language: str) -> object:
    return icu.Locale(_ICU.get(language, language))


@pytest.mark.parametrize("language", list(LANGUAGES)[1:])
def test_a_catalogue_counts_as_icu_does(language: str) -> None:
    """The rule in the catalogue's header, with its forms in CLDR's order, for 0 to 1000."""
    with (ROOT / "locales" / language / "LC_MESSAGES" / "gatepost.po").open("rb") as file:
        catalogue = read_po(file, locale=language)
    rules, ours = icu.PluralRules.forLocale(of(language)), gettext.c2py(catalogue.plural_expr)
    used = [form for form in _FORMS if form in {rules.select(n) for n in range(1001)}]
    assert catalogue.num_plurals == len(used) == {"cy": 6, "ar": 6, "pl": 3, "uk": 3}.get(language, 2)
    assert [used[ours(n)] for n in range(1001)] == [rules.select(n) for n in range(1001)]


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_source_and_every_language_take_the_form_that_icu_takes(language: str) -> None:
    rules, locale = icu.PluralRules.forLocale(of(language)), say(language, "UTC").locale
    assert [locale.plural_form(n) for n in range(1001)] == [rules.select(n) for n in range(1001)]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("context", ["format", "stand-alone"])
@pytest.mark.parametrize("width", ["wide", "abbreviated"])
def test_months_and_weekdays_have_the_names_that_icu_gives_them(language: str, context: str, width: str) -> None:
    symbols, locale = icu.DateFormatSymbols(of(language)), say(language, "UTC").locale
    where = icu.DateFormatSymbols.FORMAT if context == "format" else icu.DateFormatSymbols.STANDALONE
    how = icu.DateFormatSymbols.WIDE if width == "wide" else icu.DateFormatSymbols.ABBREVIATED
    assert [locale.months[context][width][n] for n in range(1, 13)] == list(symbols.getMonths(where, how))
    sunday_first = [locale.days[context][width][n] for n in (6, 0, 1, 2, 3, 4, 5)]
    assert sunday_first == list(symbols.getWeekdays(where, how))[1:]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("month", [1, 5, 8, 12])
def test_a_day_is_said_with_the_names_of_icu(language: str, month: int) -> None:
    symbols, on = icu.DateFormatSymbols(of(language)), date(2026, month, 3)
    how = icu.DateFormatSymbols.ABBREVIATED if language in ("en", "cy") else icu.DateFormatSymbols.WIDE
    name = list(symbols.getMonths(icu.DateFormatSymbols.FORMAT, how))[month - 1]
    assert name in say(language, "UTC").day(on) and name in say(language, "UTC").month_day(on)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("things", [["Ola"], ["Ola", "Miriam"], ["Ola", "Miriam", "Tobias"], ["a", "b", "c", "d"]])
def test_a_list_is_joined_as_icu_joins_it(language: str, things: list[str]) -> None:
    joined = icu.ListFormatter.createInstance(of(language)).format(things)
    assert _ISOLATES.sub("", say(language, "UTC").and_list(things)) == joined


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("value", [0, 7, 1234.5, 54321.25])
def test_a_number_is_written_as_icu_writes_it_with_european_digits(language: str, value: float) -> None:
    shape = icu.NumberFormat.createInstance(icu.Locale(f"{_ICU.get(language, language)}@numbers=latn"))
    shape.setMaximumFractionDigits(2)
    shape.setMinimumGroupingDigits(1)
    assert say(language, "UTC").number(value, 2) == shape.format(value)


_READERS_FIRST = """
from datetime import date

from bot.chat.language.date_words import words
from bot.i18n import LANGUAGES, say
from bot.services.garden.records.written_days import _weekdays

_weekdays()
for language in LANGUAGES:
    words(say(language, "UTC"))
print(*(say(language, "UTC").locale.days["stand-alone"]["abbreviated"][0] for language in ("en", "pt")), sep="\\n")
print(say("pt", "UTC").day(date(2026, 5, 4)))
"""


def test_what_is_read_of_brazil_changes_nothing_that_is_said_of_portugal() -> None:
    """In a process of its own: babel keeps what Portugal's names share with Brazil's once, as they were first read, so
    a table of typed names must not be read before the names that are said."""
    said = subprocess.run(
        [sys.executable, "-c", _READERS_FIRST], cwd=ROOT, capture_output=True, text=True, encoding="utf-8", check=True
    )
    mondays = [
        list(icu.DateFormatSymbols(of(language)).getWeekdays(
            icu.DateFormatSymbols.STANDALONE, icu.DateFormatSymbols.ABBREVIATED
        ))[2]
        for language in ("en", "pt")
    ]  # fmt: skip
    assert said.stdout.split("\n")[:2] == mondays
    assert said.stdout.split("\n")[2].startswith(mondays[1])
