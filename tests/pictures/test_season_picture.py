"""The picture of the seasonal calendar: months and weeks at their place, readable, and said in words as well."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations
from operator import ne

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.calendar.entry import EntryKind
from bot.i18n import Say
from bot.pictures import draw_season
from bot.pictures.looks import LIGHT, MOST_CAPTION
from bot.pictures.season import MOST_ENTRIES, SeasonEntry, caption, weeks, when
from bot.pictures.sheet import GAP, WIDTH, Fill, Sheet
from tests.pictures.picture_samples import ENGLISH, ENTRIES, POLISH, SPOKEN, entry, season
from tests.pictures.reading import RIGHT_TO_LEFT, assert_readable, columns_of, opened, png_size
from tests.support.rings import lines_of

SAYS = [POLISH, *(pytest.param(one, marks=RIGHT_TO_LEFT, id=one.language) for one in SPOKEN)]
DAYS = st.dates(date(2026, 1, 1), date(2026, 12, 31))
TIMES = st.tuples(DAYS, st.integers(0, 120)).map(lambda pair: (pair[0], pair[0] + timedelta(days=pair[1])))
TEXTS = st.text(alphabet="abcdefghij klmnopqrst uvwxyz ąćęłńóśźż", min_size=1, max_size=120).filter(str.strip)
SEASON_ENTRIES = st.builds(
    SeasonEntry, TEXTS, st.sampled_from(EntryKind), st.lists(TIMES, min_size=1, max_size=6).map(tuple)
)


@pytest.mark.parametrize("say", SAYS)
@pytest.mark.parametrize("dark", [False, True])
def test_it_is_720_px_wide_readable_and_below_200_kb(say: Say, dark: bool) -> None:
    shown = season(say, ENTRIES, dark=dark)
    png = draw_season.draw(shown)
    assert png_size(png)[0] == 720
    assert len(png) < 200_000
    assert_readable(*draw_season.paint(shown))
    assert draw_season.draw(shown) == png


@settings(max_examples=25, deadline=None)
@given(entries=st.lists(SEASON_ENTRIES, max_size=14))
def test_whatever_is_planned_it_stays_readable_and_the_caption_short(entries: list[SeasonEntry]) -> None:
    shown = season(POLISH, entries, span=("2026-01-01", "2026-12-31"))
    assert_readable(*draw_season.paint(shown))
    assert len(caption(shown)) <= MOST_CAPTION and lines_of(caption(shown)) <= 12 + 3  # one long text is kept whole


@given(first_on=DAYS, length=st.integers(0, 60))
def test_weeks_are_those_of_iso_8601_where_they_begin_on_monday(first_on: date, length: int) -> None:
    last_on = first_on + timedelta(days=length)
    start_on, end_on = weeks(first_on, last_on, 0)
    assert start_on == date.fromisocalendar(*first_on.isocalendar()[:2], 1)
    assert end_on == date.fromisocalendar(*last_on.isocalendar()[:2], 7)


def test_weeks_that_begin_on_saturday_begin_on_saturday() -> None:
    # 1 May 2026 is a Friday.
    assert weeks(date(2026, 5, 1), date(2026, 5, 1), 5) == (date(2026, 4, 25), date(2026, 5, 1))


def test_a_bar_lies_over_the_weeks_of_its_entry() -> None:
    """January to December 2026 are 365 days over 672 px; 4 to 17 May are the ISO weeks 19 and 20."""
    one = entry("Harden off", EntryKind.HARVEST, ("2026-05-05", "2026-05-16"))
    columns = columns_of(draw_season.draw(season(entries=[one], span=("2026-01-01", "2026-12-31"))), LIGHT.fourth)
    bar = [x for x in columns if x > GAP + 70]  # the legend's swatch lies before
    day = (WIDTH - 2 * GAP) / 365
    assert min(bar) == pytest.approx(GAP + 123 * day, abs=2)  # 4 May is the 124th day
    assert max(bar) == pytest.approx(GAP + 137 * day, abs=2)


def test_ten_entries_are_shown_and_the_rest_counted() -> None:
    many = [entry(f"Job {number}", EntryKind.WORK, (f"2026-03-{number:02}",) * 2) for number in range(1, 15)]
    shown = season(entries=many)
    words = [box.words for box in draw_season.paint(shown)[0].texts]
    assert [word for word in words if word.startswith("Job ")] == [
        f"Job {number}" for number in range(1, MOST_ENTRIES + 1)
    ]
    assert "And 4 more." in words
    assert caption(shown).endswith("And 4 more.")


def test_a_long_entry_is_wrapped_and_then_cut_at_a_word() -> None:
    long = entry("plant the early potatoes " * 12, EntryKind.PLANT, ("2026-04-01", "2026-04-09"))
    lines = [box.words for box in draw_season.paint(season(entries=[long]))[0].texts if "potatoes" in box.words]
    assert len(lines) == 3
    assert lines[-1].endswith("…")
    assert lines[-1].removesuffix("…").split()[-1] in {"plant", "the", "early", "potatoes"}


def test_entries_outside_the_span_are_left_out_and_those_that_reach_in_are_kept() -> None:
    outside = entry("Chit", EntryKind.CHIT, ("2026-01-05", "2026-01-31"))
    reaching = entry("Dig", EntryKind.HARVEST, ("2026-01-20", "2026-02-03"))
    assert season(entries=[outside, reaching]).shown() == (reaching,)


def test_an_entry_that_comes_again_names_its_first_day_and_how_many_follow() -> None:
    assert when(ENGLISH, ENTRIES[1]) == "Sat 7 Mar, and 7 times more"
    assert when(ENGLISH, ENTRIES[2]) == "16–24 May"  # CLDR interval format


def test_the_caption_says_every_entry_with_its_days() -> None:
    said = caption(season())
    assert said.startswith("Calendar of Teasel Lane, 1 February 2026 to 30 November 2026. 2–29 Mar: Sow peppers")
    assert "16–24 May: Plant out runner beans." in said


def test_an_empty_season_says_so() -> None:
    assert_readable(*draw_season.paint(season(entries=[])))
    assert caption(season(entries=[])).endswith("Nothing planned yet.")


def test_a_season_longer_than_a_year_is_refused() -> None:
    with pytest.raises(ValueError, match="2026-02-01 to 2027-02-01: expected first day to last, at most 12 months"):
        season(span=("2026-02-01", "2027-02-01"))


def test_the_fillings_are_told_apart_in_one_colour() -> None:
    """Any two differ in a fifth of their area or more, in black and white."""
    inks = []
    for fill in Fill:
        sheet = Sheet(LIGHT, right_to_left=False)
        sheet.bar(100, 100, 200, 24, "#000000", fill, "#ffffff")
        inks.append([level < 128 for level in opened(sheet.png(200)).convert("L").crop((104, 104, 296, 120)).tobytes()])
    for one, other in combinations(inks, 2):
        assert sum(map(ne, one, other)) / len(one) > 0.2
