"""The picture of the coming nights: readable on a phone, right by the numbers, and said in words as well."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.i18n import Say
from bot.pictures import draw_outlook
from bot.pictures.looks import LIGHT
from bot.pictures.outlook import MOST_NIGHTS, MOST_THRESHOLDS, caption
from bot.pictures.sheet import GAP, WIDTH
from tests.pictures.picture_samples import ARABIC, ENGLISH, FIRST, POLISH, SPOKEN, outlook
from tests.pictures.reading import RIGHT_TO_LEFT, assert_readable, columns_of, opened, png_size

SAYS = [POLISH, *(pytest.param(one, marks=RIGHT_TO_LEFT, id=one.language) for one in SPOKEN)]
WORDS = st.text(alphabet="abcdefghijklmnop qrstuvwxyząćęłńóśźż-", min_size=1, max_size=60).filter(str.strip)


@pytest.mark.parametrize("say", SAYS)
@pytest.mark.parametrize("dark", [False, True])
def test_it_is_720_px_wide_portrait_and_below_200_kb(say: Say, dark: bool) -> None:
    png = draw_outlook.draw(outlook(say, dark=dark))
    width, height = png_size(png)
    assert width == 720
    assert 720 < height < 2000
    assert len(png) < 200_000


@pytest.mark.parametrize("say", SAYS)
def test_texts_are_large_enough_inside_the_edge_and_never_on_each_other(say: Say) -> None:
    assert_readable(*draw_outlook.paint(outlook(say)))


@settings(max_examples=25, deadline=None)
@given(
    ground_c=st.lists(st.none() | st.floats(-25, 25), min_size=1, max_size=12),
    thresholds=st.lists(st.tuples(WORDS, st.integers(-8, 12)), max_size=7),
    garden=WORDS,
    gust_ms=st.none() | st.floats(0, 60),
)
def test_whatever_the_weather_and_the_names_it_stays_readable(
    ground_c: list[float | None], thresholds: list[tuple[str, int]], garden: str, gust_ms: float | None
) -> None:
    assert_readable(*draw_outlook.paint(outlook(POLISH, ground_c, thresholds, garden=garden, gust_ms=gust_ms)))


def test_the_same_data_give_the_same_bytes_and_other_data_others() -> None:
    png = draw_outlook.draw(outlook())
    assert draw_outlook.draw(outlook()) == png
    assert draw_outlook.draw(outlook(dark=True)) != png
    assert draw_outlook.draw(outlook(gust_ms=30.0)) != png


@pytest.mark.parametrize("say", [ENGLISH, pytest.param(ARABIC, marks=RIGHT_TO_LEFT)])
def test_a_colder_night_lies_further_to_the_cold_end(say: Say) -> None:
    """On one and the same scale, held by two thresholds far out; the cold end is where reading begins."""
    ends = [("cold", -12.0), ("warm", 14.0)]
    cold, mild = (
        columns_of(draw_outlook.draw(outlook(say, [low_c], ends, gust_ms=None)), LIGHT.first) for low_c in (-6.0, 3.0)
    )
    if say.right_to_left:
        cold, mild = [WIDTH - x for x in cold], [WIDTH - x for x in mild]
    chart = range(218, 572)
    moved = min(x for x in mild if x in chart) - min(x for x in cold if x in chart)
    assert moved == pytest.approx(9.0 * (572 - 70 - 218) / 28.0, abs=3)  # nine degrees, on a scale of 28


@RIGHT_TO_LEFT
def test_right_to_left_everything_is_mirrored() -> None:
    kept, mirrored = (
        draw_outlook.paint(outlook(say, ground_c=[1.0], thresholds=[], garden="123"))[0].texts
        for say in (ENGLISH, ARABIC)
    )
    assert kept[0].left == pytest.approx(GAP)
    assert mirrored[0].right == pytest.approx(WIDTH - GAP)
    gusts_kept, gusts_mirrored = (
        next(box for box in boxes if box.words == say.gettext("Gusts"))
        for say, boxes in ((ENGLISH, kept), (ARABIC, mirrored))
    )
    assert gusts_mirrored.right == pytest.approx(WIDTH - gusts_kept.left)


def test_days_stand_in_the_members_language() -> None:
    words = {box.words for box in draw_outlook.paint(outlook(POLISH))[0].texts}
    assert {"wt., 5 maja", "niedz., 10 maja"} <= words  # MMMMEd of CLDR, as babel has it


def test_a_night_that_is_not_known_is_said_to_be_unknown() -> None:
    texts = draw_outlook.paint(outlook(ground_c=[1.0, None, 2.0]))[0].texts
    unknown = next(box for box in texts if box.words == "not known")
    day = next(box for box in texts if box.words == "Wed 6 May")
    assert abs(unknown.top - day.top) < 20


def test_a_forecast_without_a_known_night_says_so() -> None:
    nothing = outlook(ground_c=[None, None])
    assert_readable(*draw_outlook.paint(nothing))
    assert caption(nothing) == "Teasel Lane: I do not know any night well enough to show it."


def test_no_more_than_ten_nights_are_shown() -> None:
    rows = outlook(ground_c=[1.0] * 14).rows()
    assert [row.on for row in rows] == [FIRST + timedelta(days=index) for index in range(MOST_NIGHTS)]


@pytest.mark.parametrize("ends_c", [(-2.0, 3.0), (-33.0, 43.0), (-60.0, 60.0), (1.0, 49.0)])
def test_the_scale_bears_at_least_two_figures(ends_c: tuple[float, float]) -> None:
    low_c, high_c = ends_c
    texts = draw_outlook.paint(outlook(ground_c=[low_c], thresholds=[("cold", low_c), ("warm", high_c)]))[0].texts
    heading = next(box for box in texts if box.words == "Gusts")
    figures = [box for box in texts if box.words.endswith("°C") and abs(box.top - heading.top) < 10]
    assert len(figures) >= 2, [box.words for box in texts]


def test_thresholds_that_are_the_same_share_a_line_and_the_coldest_are_kept() -> None:
    many = [("beans", 0.0), ("courgettes", 0.0), *((f"crop {at_c}", float(at_c)) for at_c in range(1, 9))]
    shown = outlook(thresholds=many).shown()
    assert len(shown) == MOST_THRESHOLDS
    assert shown[0].label == "beans and courgettes"
    assert [one.threshold_c for one in shown] == sorted(one.threshold_c for one in shown)


def test_the_caption_says_the_coldest_night_the_gust_and_how_many_nights_fall_below() -> None:
    said = caption(outlook())
    assert "The coldest night is Thu 7 May. At the ground most likely −3\N{NO-BREAK SPACE}°C" in said
    assert "Strongest gust: 38\N{NO-BREAK SPACE}mph" in said  # 17 m/s / 0.44704
    assert "2 nights are likely to be too cold in the open for potato shoots (−1\N{NO-BREAK SPACE}°C)." in said


def test_the_caption_leaves_out_thresholds_rather_than_grow_too_long() -> None:
    said = caption(outlook(thresholds=[(f"crop {at_c} " * 8, float(at_c)) for at_c in (-2, -1, 0)]))
    assert len(said) <= 1024  # Bot API, sendPhoto: caption, 0-1024 characters
    assert "crop -2" in said
    assert "crop 0" not in said


def test_air_and_ground_are_told_apart_without_colour() -> None:
    """The legend's two bars in grey: one is hollow, one is hatched."""
    sheet, height = draw_outlook.paint(outlook(thresholds=[]))
    tops = [
        next(box.top for box in sheet.texts if box.words.startswith(start)) for start in ("in the air", "at the gr")
    ]
    grey = opened(sheet.png(height)).convert("L")
    air, ground = (
        sum(grey.getpixel((x, round(top) + 15)) < 128 for x in range(GAP + 4, GAP + 20))  # type: ignore[operator]
        for top in tops
    )
    assert air == 0
    assert ground >= 2
