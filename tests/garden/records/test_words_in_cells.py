"""Names, lists, yes and no, and choices."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.garden.snapshot import PlaceKind
from bot.services.garden.records import cells
from bot.services.garden.records.columns import FILES
from bot.services.garden.records.problems import CellError, shown
from bot.services.garden.records.sheet import Raw, Reading, clear, guarded
from tests.garden.records.record_files import SAY

READING = Reading(SAY, date(2026, 5, 4))
name = cells.text(80)


def read(file: str, column: str, raw: Raw) -> object:
    return next(each for each in FILES[file] if each.name == column).read(raw, READING)


@pytest.mark.parametrize("written", ["a\nb", "a\x00b", "a\x1b[31mb", "a\u202eb", "a\u2028b", "a\tb"])
def test_signs_that_cannot_be_seen_are_refused_and_not_repeated(written: str) -> None:
    with pytest.raises(CellError) as wrong:
        name(written, READING)
    assert str(wrong.value) == "'a?b' has a line break or an invisible sign in it; write it again".replace(
        "a?b", shown(written)
    )
    assert str(wrong.value).isprintable()


def test_a_name_has_at_most_80_characters() -> None:
    assert name("ż" * 80, READING) == "ż" * 80
    with pytest.raises(CellError, match="is too long; use at most 80 characters"):
        name("ż" * 81, READING)


def test_a_workbook_s_number_is_a_name_without_its_point() -> None:
    assert name(3.0, READING) == "3"


def test_a_name_that_a_spreadsheet_has_made_a_date_is_refused() -> None:
    with pytest.raises(CellError, match="format the cell as text"):
        name(date(2026, 5, 1), READING)


@pytest.mark.parametrize(
    ("written", "expected"),
    [
        ("yes", True),
        ("Y", True),
        ("TAK", True),
        (True, True),
        (1.0, True),
        ("No", False),
        ("nie", False),
        (False, False),
    ],
)
def test_yes_and_no(written: Raw, expected: bool) -> None:
    assert cells.yes_no(written, READING) is expected


@pytest.mark.parametrize("written", ["maybe", "2", "ja"])
def test_anything_else_is_neither_yes_nor_no(written: str) -> None:
    with pytest.raises(CellError, match=f"write yes or no, not '{written}'"):
        cells.yes_no(written, READING)


@pytest.mark.parametrize(
    ("file", "column", "written", "said"),
    [
        ("places", "kind", "tunel", "'tunel' is not a kind of place; did you mean 'tunnel'?"),
        ("places", "inside", "open bed", "'open bed' is not a place that a container can stand in; "
         "write tunnel, cold frame, greenhouse or indoors"),
        ("places", "cover", "fleec", "'fleec' is not a cover; did you mean 'fleece'?"),
        ("plantings", "stage", "flowring", "'flowring' is not a stage of growth; did you mean 'flowering'?"),
        ("members", "role", "boss", "'boss' is not a role; write member or organiser"),
        ("members", "language", "Klingon", "'Klingon' is not a language that Gatepost speaks; "
         "write en, pl, cy, uk, ar, pt or bn"),
        ("supports", "kind", "cains", "'cains' is not a kind of support; did you mean 'canes'?"),
        ("garden", "lay", "hollo", "'hollo' is not a kind of ground; did you mean 'hollow'?"),
        ("garden", "wind_unit", "knots", "'knots' is not a unit of wind; write mph or km/h"),
        ("garden", "zone", "London", "'London' is not a time zone; did you mean 'Europe/London'?"),
        ("garden", "zone", "europe/london", "'europe/london' is not a time zone; did you mean 'Europe/London'?"),
    ],
)  # fmt: skip
def test_a_word_that_is_not_known_gets_the_likeliest_or_all(file: str, column: str, written: str, said: str) -> None:
    with pytest.raises(CellError) as wrong:
        read(file, column, written)
    assert str(wrong.value) == said


@pytest.mark.parametrize("written", ["Cold frame", "cold-frame", "COLD_FRAME", "frame"])
def test_a_kind_is_known_however_it_is_spelt(written: str) -> None:
    assert read("places", "kind", written) is PlaceKind.FRAME


@pytest.mark.parametrize("written", ["pl", "PL", "pl-PL", "pl_PL", "Polski"])
def test_a_language_is_known_by_code_or_name(written: str) -> None:
    assert read("members", "language", written) == "pl"


def test_skills_are_single_words() -> None:
    assert read("members", "skills", "pruning; first-aid,  Polish") == "pruning first-aid Polish"


@settings(max_examples=60)
@given(st.lists(st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=1, max_size=12), max_size=4))
def test_a_list_of_names_comes_back_whatever_the_names_hold(listed: list[str]) -> None:
    assert cells.names(80)(cells.as_list(listed), READING) == tuple(listed)


@settings(max_examples=60)
@given(st.text(st.sampled_from("'=+-@ab"), min_size=1, max_size=6))
def test_no_guarded_text_is_a_formula_and_it_comes_back(text: str) -> None:
    # OWASP ASVS 1.2.10, read via a copy, 2026-11-25: a field that begins with one of = + - @, a tab or a null
    # character is escaped with a single quote.
    assert guarded(text)[0] not in "=+-@\t\0"
    assert clear(guarded(text)) == text
