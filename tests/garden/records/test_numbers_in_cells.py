"""Numbers with points, commas and units; the number formats of languages come from the CLDR by way of Babel."""

from __future__ import annotations

from datetime import date

import pytest
from babel.numbers import format_decimal
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.services.garden.records import cells
from bot.services.garden.records.problems import CellError
from bot.services.garden.records.sheet import Reading
from tests.garden.records.record_files import SAY

READING = Reading(SAY, date(2026, 5, 4))
height_cm = cells.number(0, 1000, cells.CM)
wide = cells.number(-1e9, 1e9)


@settings(max_examples=80)
@given(
    st.decimals(-999_999, 999_999, places=2),
    st.sampled_from(["en", "de", "pl", "fr", "de_CH", "nb"]),
    st.sampled_from(["#,##0.00", "0.00"]),
)
def test_a_number_is_read_back_as_its_language_writes_it(value: float, locale: str, form: str) -> None:
    assert wide(format_decimal(value, form, locale=locale), READING) == float(value)


@pytest.mark.parametrize("written", ["30", "30 cm", "30cm", "30,0", "30.0 CM", " 30 centimetres "])
def test_a_height_may_carry_its_own_unit(written: str) -> None:
    assert height_cm(written, READING) == 30.0


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("30 kg", "'kg' is not the unit of this column; write the number in cm"),
        ("0.3 m", "'m' is not the unit of this column; write the number in cm"),
        ("tall", "'tall' is not a number; write digits, such as 12 or 1.5"),
        ("30-40", "'30-40' is not a number; write digits, such as 12 or 1.5"),
        ("1e400", "'1e400' is not a number; write digits, such as 12 or 1.5"),
        ("-1", "'-1' is out of range; write a number from 0 to 1000\N{NO-BREAK SPACE}cm"),
        ("9" * 400, f"'{'9' * 39}…' is out of range; write a number from 0 to 1000\N{NO-BREAK SPACE}cm"),
    ],
)
def test_a_number_that_does_not_fit_says_why(written: str, said: str) -> None:
    with pytest.raises(CellError) as wrong:
        height_cm(written, READING)
    assert str(wrong.value) == said


def test_a_comma_before_three_digits_is_read_in_the_one_way_that_fits() -> None:
    latitude = cells.number(-90, 90, cells.DEGREES)
    assert latitude("52,210", READING) == 52.21
    assert cells.whole(0, 100_000)("1,200", READING) == 1200
    with pytest.raises(CellError, match=r"'1,200' may mean 1\.2 or 1200"):
        cells.number(-430, 6000, cells.METRES)("1,200", READING)


@pytest.mark.parametrize("written", ["2.5", "2,5", 2.5, "half"])
def test_a_count_is_whole(written: str | float) -> None:
    with pytest.raises(CellError, match=r"is not a (whole )?number"):
        cells.whole(0, 100)(written, READING)


def test_a_number_that_a_spreadsheet_has_made_a_date_is_refused() -> None:
    with pytest.raises(CellError, match="has a date or time, not a number"):
        height_cm(date(2026, 5, 1), READING)
