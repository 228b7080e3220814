"""Plurals and dates as CLDR has them, days that nobody can misread, and names that keep their place."""

from __future__ import annotations

import gettext
import re
import unicodedata
from datetime import date

import pytest
from babel import Locale, dates
from babel.messages.pofile import read_po

from bot.chat.html import safe
from bot.i18n import LANGUAGES, say
from tests.open_data import ROOT

# Unicode CLDR 48 (2025), plurals.json of cldr-core 48.2.0; read 2026-11-25.
CLDR_POLISH = {0: "many", 1: "one", 2: "few", 3: "few", 4: "few", 5: "many", 6: "many", 10: "many", 11: "many", 12: "many",
               21: "many", 22: "few", 100: "many", 101: "many", 102: "few", 103: "few", 111: "many", 112: "many"}  # fmt: skip


@pytest.mark.parametrize(("n", "category"), CLDR_POLISH.items())
def test_the_polish_catalogue_takes_the_plural_of_cldr(n: int, category: str) -> None:
    path = ROOT / "locales" / "pl" / "LC_MESSAGES" / "gatepost.po"
    with path.open("rb") as file:
        rule = gettext.c2py(read_po(file).plural_expr)
    assert ("one", "few", "many")[rule(n)] == category == Locale("pl").plural_form(n)


def test_a_polish_fraction_is_other_and_english_has_one_and_other() -> None:
    # Unicode CLDR 48 (2025), plurals.json of cldr-core 48.2.0; read 2026-11-25.
    assert Locale("pl").plural_form(1.5) == "other"
    assert [Locale("en").plural_form(n) for n in (0, 1, 2, 21)] == ["other", "one", "other", "other"]


@pytest.mark.parametrize(
    ("language", "width", "printed"),
    [
        # Unicode CLDR 48 (2025), ca-gregorian.json of cldr-dates-full 48.2.0: the patterns; read 2026-11-25.
        ("en_GB", "full", "Sunday, 3 May 2026"),
        ("en_GB", "long", "3 May 2026"),
        ("en_GB", "short", "03/05/2026"),
        ("pl", "full", "niedziela, 3 maja 2026"),
        ("pl", "long", "3 maja 2026"),
        ("pl", "medium", "3 maj 2026"),
        ("pl", "short", "3.05.2026"),
    ],
)
def test_a_date_is_printed_as_cldr_has_it(language: str, width: str, printed: str) -> None:
    assert dates.format_date(date(2026, 5, 3), width, locale=language) == printed


@pytest.mark.parametrize(("language", "printed"), [("en", "3 May 2026"), ("pl", "3 maja 2026")])
def test_a_day_in_full_is_said_as_cldr_has_it(language: str, printed: str) -> None:
    # The long dates of en-GB and pl in the same table.
    assert say(language, "Europe/Warsaw").long_day(date(2026, 5, 3)) == printed


def test_every_language_is_one_that_cldr_knows_and_names_itself_so() -> None:
    # Unicode CLDR 48 (2025), languages.json of cldr-localenames-full, as babel carries it; read 2026-11-25.
    for code, name in LANGUAGES.items():
        assert (Locale(code).display_name or "").casefold() == name.casefold()


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("month", range(1, 13))
def test_no_day_can_be_read_as_another(language: str, month: int) -> None:
    """Day and month are never two numbers: one number stands beside the month's name in CLDR."""
    voice, on = say(language, "UTC"), date(2026, month, 3)
    names = {
        name.rstrip(".")
        for context in ("format", "stand-alone")
        for width in ("abbreviated", "wide")
        for n, name in Locale.parse({"en": "en_GB", "pt": "pt_PT"}.get(language, language))
        .months[context][width]
        .items()
        if n == month
    }
    for said, numbers in (
        (voice.day(on), ["3"]),
        (voice.month_day(on), ["3"]),
        (voice.day_and_year(on), ["3", "2026"]),
    ):
        assert re.findall(r"\d+", said) == numbers
        assert any(name in said for name in names)
    stretch = voice.days(on, date(2026, month, 12))
    assert re.findall(r"\d+", stretch) == ["3", "12"] and any(name in stretch for name in names)


def test_names_and_numbers_keep_their_place_in_text_from_right_to_left() -> None:
    """Unicode UAX #9: each stands between FIRST STRONG ISOLATE and POP DIRECTIONAL ISOLATE."""
    arabic, english = say("ar", "UTC"), say("en", "UTC")
    assert arabic.fill("{name}: {n}", name="Ola", n="−2") == "\u2068Ola\u2069: \u2068−2\u2069"
    assert english.fill("{name}: {n}", name="Ola", n="−2") == "Ola: −2"
    assert english.fill("{name}: {n}", name="سعيد", n="3") == "\u2068سعيد\u2069: 3"
    assert arabic.and_list(["Bed 1", "Pot 2"]) == "\u2068Bed 1\u2069 و\u2068Pot 2\u2069"
    assert arabic.fill("{name}.", name="") == "."
    assert unicodedata.bidirectional("\u2068") == "FSI" and unicodedata.bidirectional("\u2069") == "PDI"


def test_nobody_turns_the_text_around_their_name() -> None:
    assert safe("Ola\u202e\u2069 <b>") == "Ola &lt;b&gt;"
