"""The picture of a season's end: readable on a phone, said in words too, and no meaning by colour alone."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.i18n import Say, unbroken
from bot.pictures import draw_report, working
from bot.pictures.looks import LIGHT, MOST_CAPTION
from bot.pictures.report import Group, Row, caption
from bot.pictures.sheet import GAP
from tests.pictures.picture_samples import POLISH, SPOKEN
from tests.pictures.reading import RIGHT_TO_LEFT, assert_readable, columns_of, png_size
from tests.pictures.report_samples import GROUPS, report
from tests.support.rings import lines_of

SAYS = [POLISH, *(pytest.param(one, marks=RIGHT_TO_LEFT, id=one.language) for one in SPOKEN)]
NAMES = st.text(alphabet="abcdefghij klmnopqrst uvwxyz ąćęłńóśźż", min_size=1, max_size=60).filter(str.strip)
ROWS = st.builds(Row, NAMES, st.floats(0, 1e6, allow_nan=False), st.just("12,345.6 kg"))


@pytest.mark.parametrize("say", SAYS)
@pytest.mark.parametrize("dark", [False, True])
def test_it_is_720_px_wide_readable_and_below_200_kb(say: Say, dark: bool) -> None:
    shown = report(say, dark=dark)
    png = draw_report.draw(shown)
    assert png_size(png)[0] == 720
    assert len(png) < 200_000
    assert_readable(*draw_report.paint(shown))
    assert draw_report.draw(shown) == png


@settings(max_examples=25, deadline=None)
@given(groups=st.lists(st.builds(Group, NAMES, st.lists(ROWS, max_size=8).map(tuple)), max_size=4).map(tuple))
def test_whatever_the_season_was_it_stays_readable_and_the_caption_short(groups: tuple[Group, ...]) -> None:
    assert_readable(*draw_report.paint(report(groups=groups)))
    assert len(caption(report(groups=groups))) <= MOST_CAPTION


def test_bars_are_as_long_as_their_values() -> None:
    one = Group("Harvest", (Row("Beans", 30.0, "30 kg"),))
    two = Group("Harvest", (Row("Peas", 60.0, "60 kg"), Row("Beans", 30.0, "30 kg")))
    whole = columns_of(draw_report.draw(report(groups=(one,))), LIGHT.fourth)
    assert min(whole) == pytest.approx(GAP, abs=2)
    half = draw_report.paint(report(groups=(two,)))[0]
    (beans,) = [box for box in half.texts if box.words == "30 kg"]
    (peas,) = [box for box in half.texts if box.words == "60 kg"]
    assert (beans.left - GAP - 12) * 2 == pytest.approx(peas.left - GAP - 12, abs=1)


def test_every_bar_says_its_value_and_a_zero_is_written() -> None:
    words = [box.words for box in draw_report.paint(report())[0].texts]
    assert {"61.5 kg", "24 kg", "0", "4"} <= set(words)


def test_the_caption_says_all_that_the_bars_show() -> None:
    said = caption(report())
    harvest = "Harvest: Maincrop potatoes 61.5 kg, Courgettes 24 kg, Runner beans 12.3 kg and Garlic 0.4 kg."
    assert unbroken(harvest) in said
    assert "And 3 more." in said
    assert all(group.heading in said for group in GROUPS)


@pytest.mark.parametrize("say", SAYS)
def test_a_long_caption_names_every_group_and_counts_what_it_leaves_out(say: Say) -> None:
    full = Group("Harvest", tuple(Row(f"Climbing French beans {n}", 90.0 - n, f"{90 - n} kg") for n in range(8)), 5)
    lost = Group("Plants lost", tuple(Row(f"Maincrop potatoes {n}", 9.0, "9") for n in range(8)))
    said = caption(report(say, (full, GROUPS[1], GROUPS[2], lost)))
    assert lines_of(said) <= 12
    assert all(heading in said for heading in ("Harvest", "Nights with frost", "Jobs before", "Plants lost"))
    named_n, more = len(re.findall("Climbing French beans", said)), re.findall(r"\d+", said.split("Nights with")[0])[-1]
    assert named_n + int(more) == 8 + 5


async def test_the_worker_draws_it() -> None:
    assert await working.draw(report()) == draw_report.draw(report())
