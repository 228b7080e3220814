"""Plants in a bed: published rule and figures worked out from plane geometry (half-spacing margins, rows along L)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.core.growing.spacing import Bed, apart, feet_m, for_crop, length_m, offset, rows, square
from tests.support.stories import crops

# square = floor(L/s) floor(W/s); offset rows = floor((W - s)/(s sqrt3/2)) + 1, of floor(L/s) and floor((L - s/2)/s) by
# turns: worked out by hand with this rule.
FIGURES = [
    (2.4, 1.2, 0.30, 32, 4, 30),
    (1.2, 2.4, 0.30, 32, 9, 32),
    (2.4, 1.2, 0.15, 128, 9, 140),
    (1.2, 2.4, 0.15, 128, 18, 135),
    (2.4, 1.2, 0.10, 288, 13, 306),
    (1.2, 1.2, 0.30, 16, 4, 14),
]
SIX_BY_THREE = Bed(feet_m(6), feet_m(3))


@pytest.mark.parametrize(("long_m", "wide_m", "apart_m", "squares", "rows_n", "offsets"), FIGURES)
def test_counts_are_those_of_the_rule(
    long_m: float, wide_m: float, apart_m: float, squares: int, rows_n: int, offsets: int
) -> None:
    bed = Bed(long_m, wide_m)
    assert square(bed, apart_m).stations_n == squares
    assert (offset(bed, apart_m).rows_n, offset(bed, apart_m).stations_n) == (rows_n, offsets)


def test_six_by_three_feet_of_onion_sets_three_inches_apart_both_ways() -> None:
    # Common practice, no source: 72 in / 3 in x 36 in / 3 in = 24 x 12.
    assert square(SIX_BY_THREE, feet_m(0, 3)).stations_n == 24 * 12


@pytest.mark.parametrize(("rows_m", "count"), [(0.25, 54), (0.30, 54)])
def test_published_rows_hold_far_fewer_onion_sets(rows_m: float, count: int) -> None:
    # 10 cm in rows 25-30 cm apart (RHS adviser, Grow Your Own, 20 July 2023): 18 in 182.88 cm, 3 rows in 91.44 cm.
    assert rows(SIX_BY_THREE, 0.10, rows_m).stations_n == count


def test_rows_across_the_bed_hold_a_few_more() -> None:
    assert rows(SIX_BY_THREE.turned(), 0.10, 0.25).stations_n == 9 * 7


# Without rows each plant has the room that it has in them: sqrt(10 x 30) = 17.3 cm for onion sets, 10 x 5 in 182.88 x
# 91.44 cm; sqrt(37 x 75) = 52.7 cm for maincrop potatoes, 7 x 2 in 4 x 1.2 m; sqrt(6 x 60) = 19.0 cm for peas, 21 x 6.
@pytest.mark.parametrize(
    ("key", "bed", "in_rows", "both_ways"),
    [
        ("onion-set", SIX_BY_THREE, 18 * 3, 10 * 5),
        ("potato-maincrop", Bed(4.0, 1.2), 10 * 1, 7 * 2),
        ("pea", Bed(4.0, 1.2), 80 * 2, 23 * 6),
    ],
)
def test_a_bed_without_rows_gives_each_plant_the_room_it_has_in_rows(
    key: str, bed: Bed, in_rows: int, both_ways: int
) -> None:
    found = for_crop(bed, crops()[key].planting)
    assert (found[0].plants_n, found[1].plants_n) == (in_rows, both_ways)


# A gardener plants a row of them along the middle: 400 / 150 and 400 / 45 cm.
@pytest.mark.parametrize(("key", "plants_n"), [("pumpkin", 2), ("raspberry-summer", 8), ("blackcurrant", 2)])
def test_a_bed_narrower_than_the_rows_holds_one_row(key: str, plants_n: int) -> None:
    in_rows = for_crop(Bed(4.0, 1.2), crops()[key].planting)[0]
    assert (in_rows.rows_n, in_rows.plants_n) == (1, plants_n)


def test_clumps_stand_no_closer_between_rows_than_in_them() -> None:
    assert apart(crops()["spring-onion"].planting).rows_m == pytest.approx(0.20)


def test_a_clump_counts_as_one_station_and_many_plants() -> None:
    # 6-8 seeds a module (UK seed house); 7 clumps of 30 cm in 2.4 m x 0.3 m would be 8 stations.
    found = square(Bed(2.4, 0.3), 0.30, clump=7)
    assert (found.stations_n, found.plants_n) == (8, 56)


def test_offset_planting_tends_to_two_over_root_three_in_a_large_bed() -> None:
    large = Bed(200.0, 200.0)
    assert offset(large, 0.1).stations_n / square(large, 0.1).stations_n == pytest.approx(2 / math.sqrt(3), rel=2e-3)


@given(st.floats(0.1, 10), st.floats(0.1, 10), st.floats(0.05, 1))
def test_a_wider_spacing_never_holds_more(length: float, width: float, apart: float) -> None:
    bed = Bed(length, width)
    assert square(bed, apart * 1.2).stations_n <= square(bed, apart).stations_n


LENGTHS = {"2.4 m": 2.4, "30cm": 0.3, "6 ft": 1.8288, "6 ft 3 in": 1.905, "6'3\"": 1.905, "1,2 m": 1.2, "15 mm": 0.015}


@pytest.mark.parametrize(("text", "metres"), LENGTHS.items())
def test_lengths_are_read_in_metric_and_in_feet_and_inches(text: str, metres: float) -> None:
    assert length_m(text) == pytest.approx(metres)  # 1 in = 0.0254 m exactly


@pytest.mark.parametrize("text", ["", "six feet", "3", "2 m and a bit"])
def test_a_length_without_a_unit_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="expected a number with mm, cm, m, ft or in"):
        length_m(text)


def test_a_bed_without_width_is_refused() -> None:
    with pytest.raises(ValueError, match="expected two lengths above 0"):
        Bed(2.0, 0.0)
