"""The figures of the rules against the published tables that they come from, each named beside its check.

Read 2026-11-25; "read via" where a copy was read. Degrees F and weeks are as printed and are converted here.
"""

from __future__ import annotations

import pytest

from bot.core.growing.crop import Crop, Hardiness
from bot.crops.loader import load

CROPS = load()


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


# Harrington 2013 (rev. 2024), Oregon State University Extension: least soil temperature for germination, degrees F.
HARRINGTON_F = {
    "beetroot": 40,
    "cabbage-spring": 40,
    "cabbage-summer": 40,
    "cabbage-winter": 40,
    "carrot": 40,
    "cauliflower": 40,
    "chard": 40,
    "sweetcorn": 50,
    "onion-seed": 35,
    "spring-onion": 35,
    "parsnip": 35,
    "pea": 40,
    "mangetout": 40,
    "pepper": 60,
    "chilli": 60,
    "radish": 40,
    "spinach": 35,
    "tomato": 50,
    "turnip": 40,
    "aubergine": 60,
}


@pytest.mark.parametrize("key", HARRINGTON_F)
def test_seed_waits_for_the_published_least_soil_temperature(key: str) -> None:
    assert CROPS[key].sowing.soil_min_c == pytest.approx(celsius(HARRINGTON_F[key]), abs=0.06)


# Harrington and Minges 1954, days to emergence at 41, 50, 59, 68 degrees F; read via copies of Knott's Handbook 1997,
# which differ by a day at places.
EMERGENCE_DAYS = {
    "french-bean": (None, None, 16, 11),
    "beetroot": (42, 17, 10, 6),
    "cabbage-summer": (None, 15, 9, 6),
    "carrot": (51, 17, 10, 7),
    "celery": (41, 16, 12, 7),
    "sweetcorn": (None, 22, 12, 7),
    "onion-seed": (31, 13, 7, 5),
    "parsnip": (57, 27, 19, 14),
    "pea": (36, 14, 9, 8),
    "pepper": (None, None, 25, 13),
    "radish": (29, 11, 6, 4),
    "spinach": (23, 12, 7, 6),
    "tomato": (None, 43, 14, 8),
    "turnip": (None, 5, 3, 2),
}


@pytest.mark.parametrize("key", EMERGENCE_DAYS)
def test_seedlings_come_up_in_the_published_days(key: str) -> None:
    found = dict(CROPS[key].sowing.emergence)
    for fahrenheit, days in zip((41, 50, 59, 68), EMERGENCE_DAYS[key], strict=True):
        if days is not None:
            assert found[round(celsius(fahrenheit))] == pytest.approx(days, abs=1), fahrenheit


# Allen et al. 1998, FAO-56: Kc (initial, mid, end) from Table 12; greatest rooting depth, m, and p from Table 22;
# read via pyfao56 1.4.3.
FAO56 = {
    "broccoli-sprouting": ((0.7, 1.05, 0.95), (0.4, 0.6), 0.45),
    "calabrese": ((0.7, 1.05, 0.95), (0.4, 0.6), 0.45),
    "brussels-sprouts": ((0.7, 1.05, 0.95), (0.4, 0.6), 0.45),
    "cabbage-summer": ((0.7, 1.05, 0.95), (0.5, 0.8), 0.45),
    "cauliflower": ((0.7, 1.05, 0.95), (0.4, 0.7), 0.45),
    "carrot": ((0.7, 1.05, 0.95), (0.5, 1.0), 0.35),
    "celery": ((0.7, 1.05, 1.0), (0.3, 0.5), 0.20),
    "garlic": ((0.7, 1.0, 0.7), (0.3, 0.5), 0.30),
    "onion-set": ((0.7, 1.05, 0.75), (0.3, 0.6), 0.30),
    "onion-seed": ((0.7, 1.05, 0.75), (0.3, 0.6), 0.30),
    "spring-onion": ((0.7, 1.0, 1.0), (0.3, 0.6), 0.30),
    "spinach": ((0.7, 1.0, 0.95), (0.3, 0.5), 0.20),
    "radish": ((0.7, 0.9, 0.85), (0.3, 0.5), 0.30),
    "pepper": ((0.6, 1.05, 0.9), (0.5, 1.0), 0.30),
    "tomato": ((0.6, 1.15, 0.8), (0.7, 1.5), 0.40),
    "aubergine": ((0.6, 1.05, 0.9), (0.7, 1.2), 0.45),
    "beetroot": ((0.5, 1.05, 0.95), (0.6, 1.0), 0.50),
    "parsnip": ((0.5, 1.05, 0.95), (0.5, 1.0), 0.40),
    "potato-maincrop": ((0.5, 1.15, 0.75), (0.4, 0.6), 0.35),
    "french-bean": ((0.5, 1.05, 0.9), (0.5, 0.7), 0.45),
    "broad-bean": ((0.5, 1.15, 1.1), (0.5, 0.7), 0.45),
    "pea": ((0.5, 1.15, 1.1), (0.6, 1.0), 0.35),
    "sweetcorn": ((0.3, 1.15, 1.05), (0.8, 1.2), 0.50),
    "turnip": ((0.5, 1.1, 0.95), (0.5, 1.0), 0.50),
    "swede": ((0.5, 1.1, 0.95), (0.5, 1.0), 0.50),
}


@pytest.mark.parametrize("key", FAO56)
def test_water_need_follows_fao_56_with_the_shallower_roots(key: str) -> None:
    kc, roots, p = FAO56[key]
    care = CROPS[key].care
    assert (care.kc, care.root_m, care.depletion) == (kc, roots[0], p)


# PMC10202904, Table 2: damaging temperature ranges, degrees C.
DAMAGE_C = {
    (0, -2): ("potato-first-early", "potato-maincrop", "french-bean", "climbing-french-bean", "sweetcorn"),
    (-2, -4): ("pea", "mangetout"),
    (-4, -7): (
        "calabrese", "cauliflower", "kale", "cabbage-spring", "cabbage-summer", "cabbage-winter", "onion-set",
        "onion-seed", "swede", "carrot", "parsnip",
    ),
    (-7, -10): ("spinach",),
}  # fmt: skip


@pytest.mark.parametrize(("spread", "key"), [(spread, key) for spread, keys in DAMAGE_C.items() for key in keys])
def test_frost_damage_lies_in_the_published_range_and_the_unhardened_take_its_warm_end(
    spread: tuple[int, int], key: str
) -> None:
    cold = CROPS[key].cold
    warm, coldest = spread
    assert cold.tender_c == warm
    assert coldest <= cold.hardened_c <= (warm + coldest) / 2


def test_spears_and_curds_are_damaged_before_leaves() -> None:
    # PMC10202904, Table 2: cauliflower curds and broccoli spears -2..-4, their leaves -4..-7.
    for key in ("calabrese", "cauliflower", "broccoli-sprouting"):
        flowering = CROPS[key].cold.flowering_c
        assert flowering is not None and -4 <= flowering <= -2 and CROPS[key].cold.hardened_c <= -4


def test_tomato_frost_damage_begins_no_lower_than_the_cold_end_of_its_range() -> None:
    # PMC10202904, Table 2: +5..0. Hennepin County Master Gardeners 2014: days below 50 F are left out.
    assert CROPS["tomato"].cold.hardened_c >= 0
    assert CROPS["tomato"].cold.chilling_c == pytest.approx(celsius(50))


def test_crops_that_stand_light_frost_only_are_damaged_below_28_f() -> None:
    # Phillips 2014, Michigan State University Extension, after Purdue HO-203: light frost hardy, 28-32 F.
    for key in ("beetroot", "celeriac", "celery", "chard", "radish"):
        assert CROPS[key].cold.hardened_c == pytest.approx(celsius(28), abs=0.03), key
        assert celsius(28) < CROPS[key].cold.tender_c < celsius(32), key


def test_peppers_and_their_kin_are_chilled_below_12_5_c() -> None:
    # Snyder and de Melo-Abreu 2005, FAO ENRS 10, chapter 4: tropical crops suffer below about +12.5 C.
    assert {CROPS[key].cold.chilling_c for key in ("pepper", "chilli", "aubergine")} == {12.5}


# Degrees F, humidity %, weeks. New England Vegetable Management Guide, Table 16 (after USDA Handbook 66): expected
# marketable life under best conditions, read 2026-11-27; months as 4 and 13 weeks for 1 and 3.
STORAGE = {
    "onion-set": (32, 32, 65, 70, 4, 32),
    "carrot": (32, 32, 90, 95, 26, 30),
    "cabbage-winter": (32, 32, 90, 95, 3, 6),
    "chinese-cabbage": (32, 32, 90, 95, 4, 8),
    "parsnip": (32, 32, 90, 95, 8, 26),
    "kohlrabi": (32, 32, 90, 95, 2, 4),
    "french-bean": (40, 45, 90, 95, 1, 1),
    "pea": (32, 32, 90, 95, 1, 2),
    "pepper": (45, 50, 90, 95, 2, 3),
    "aubergine": (50, 50, 90, 95, 1, 1),
    "okra": (45, 50, 95, 95, 1, 1),
    "cucumber-outdoor": (50, 50, 90, 95, 1, 2),
    "lettuce": (32, 36, 95, 95, 1, 3),
    "asparagus": (32, 36, 95, 95, 1, 2),
    "cauliflower": (32, 32, 90, 95, 2, 4),
    "brussels-sprouts": (32, 32, 90, 95, 3, 5),
    # USDA Agriculture Handbook 66, 1954, the most time that it is held; read via a copy of the table.
    "beetroot": (32, 32, 90, 95, 7, 8),
    "swede": (32, 32, 90, 95, 8, 16),
    "turnip": (32, 32, 90, 95, 16, 22),
    "mooli": (32, 32, 90, 95, 8, 16),
    "potato-maincrop": (38, 40, 85, 90, 24, 26),
    "tomato": (55, 60, 85, 90, 1, 2),
    "spinach": (32, 32, 90, 95, 1, 2),
}


@pytest.mark.parametrize("key", STORAGE)
def test_stores_are_kept_as_the_handbook_says(key: str) -> None:
    low_f, high_f, dry, damp, least, most = STORAGE[key]
    storage = CROPS[key].harvest.storage
    assert storage is not None
    assert storage.temp_c == pytest.approx((celsius(low_f), celsius(high_f)), abs=0.06)
    assert (storage.humidity_pct, storage.weeks) == ((dry, damp), (least, most))


# Degrees C, humidity %, weeks, each the published range. Department of Agriculture and Food, Western Australia, Storage of
# fresh fruit and vegetables, 2016, Tables 1 and 2; peach, plum, apricot, tomatillo: Lamikanra et al. 2005, Tables 20.1 and
# 20.2, after USDA Handbook 66. Read via copies, 2026-11-27; 14 to 28 days are 2 to 4 weeks, 3 to 7 days one.
RIPE = {
    "apple": (-1.0, 4.5, 90, 95, 4, 32),
    "cherry": (-1.0, 0.0, 85, 95, 1, 4),
    "celeriac": (0.0, 0.0, 90, 95, 12, 16),
    "apricot": (-0.5, 0.0, 90, 95, 1, 2),
    "peach": (-1.0, 0.0, 90, 95, 2, 4),
    "plum": (-1.0, 0.0, 90, 95, 2, 4),
    "tomatillo": (5.0, 10.0, 80, 90, 1, 3),
}


@pytest.mark.parametrize("key", RIPE)
def test_fruit_is_kept_within_what_is_published_and_never_said_to_keep_longer(key: str) -> None:
    low_c, high_c, dry, damp, least, most = RIPE[key]
    storage = CROPS[key].harvest.storage
    assert storage is not None
    assert low_c <= storage.temp_c[0] <= storage.temp_c[1] <= high_c
    assert dry <= storage.humidity_pct[0] <= storage.humidity_pct[1] <= damp
    assert storage.weeks == (least, most)


# RHS, potatoes page: 8-13 cm deep, 30 cm apart, earth up at about 20 cm; lift after 10-12, 13-14, 15-20 weeks. Rows
# 60 cm, maincrop 37 x 75 cm (read via exmouthallotments.co.uk).
POTATOES = {
    "potato-first-early": (30, 60, 10, 12),
    "potato-second-early": (30, 60, 13, 14),
    "potato-maincrop": (37, 75, 15, 20),
}


@pytest.mark.parametrize("key", POTATOES)
def test_potatoes_are_planted_earthed_up_and_lifted_as_the_rhs_says(key: str) -> None:
    crop = CROPS[key]
    assert (crop.planting.in_row_cm, crop.planting.rows_cm) == POTATOES[key][:2]
    assert crop.harvest.days == tuple(weeks * 7 for weeks in POTATOES[key][2:])
    assert 8 <= crop.sowing.depth_cm <= 13
    assert crop.care.earth_up_cm == 20


def test_maincrop_potatoes_wait_for_their_skins_and_are_cured_two_weeks() -> None:
    # Southeastern US Vegetable Crop Handbook 2022, p. 104: 2-3 weeks after the vines are dead. Curing, two weeks:
    # Browning, University of Nebraska Extension, read via a copy.
    harvest = CROPS["potato-maincrop"].harvest
    assert harvest.haulm_days == (14, 21)
    assert harvest.storage is not None and harvest.storage.cure_days == 14


def test_onions_stand_as_the_rhs_adviser_says() -> None:
    # RHS adviser in Grow Your Own, 20 July 2023: 10 cm apart, rows 25-30 cm.
    planting = CROPS["onion-set"].planting
    assert planting.in_row_cm == 10 and 25 <= planting.rows_cm <= 30


def test_carrots_run_to_seed_after_nine_cold_weeks() -> None:
    # Atherton et al. 1990, J. Hort. Sci. 65:423-429: 3-12 C for at least nine weeks after the juvenile stage.
    bolting = CROPS["carrot"].bolting
    assert bolting is not None and (bolting.chill_c, bolting.chill_days) == (12, 63)


def test_hardening_takes_ten_to_fourteen_days() -> None:
    # Wise (Colorado State University Extension) and Zriba (Iowa State University Extension), The Fence Post.
    raised = [
        crop for crop in CROPS.values() if crop.raising and crop.sources["raising.hardening_days"] == "wise-zriba"
    ]
    assert len(raised) > 20
    assert all(crop.raising is not None and crop.raising.hardening_days == (10, 14) for crop in raised)


def test_tomatoes_wait_for_the_published_soil_warmth() -> None:
    # Scoggin 2014, Texas A&M AgriLife Extension: tomato 60 F.
    assert CROPS["tomato"].planting.soil_min_c == pytest.approx(celsius(60), abs=0.06)


def test_beans_go_into_soil_of_ten_degrees_as_in_britain() -> None:
    # Mason, Simply Vegetables, autumn 2024 (National Vegetable Society), p. 20: 10 C for French and runner beans.
    for key in ("french-bean", "climbing-french-bean", "runner-bean"):
        assert (CROPS[key].sowing.soil_min_c, CROPS[key].planting.soil_min_c) == (10.0, 10.0)


def first_days_out(crop: Crop) -> list[tuple[int, int]]:
    windows = (crop.planting.out, crop.sowing.outdoors)
    return [window[0] for window in windows if window is not None]


def test_nothing_tender_goes_out_before_the_second_week_of_may() -> None:
    # Common practice, no source. Potatoes and dahlias go in earlier, since the soil covers them.
    tender = [
        crop
        for crop in CROPS.values()
        if crop.hardiness is Hardiness.TENDER and not crop.key.startswith(("potato", "dahlia"))
    ]
    assert len(tender) >= 8
    early = {crop.key: min(first_days_out(crop)) for crop in tender if min(first_days_out(crop)) < (5, 8)}
    assert early == {}


def test_what_can_poison_carries_its_caution() -> None:
    # Raw beans: FDA, Bad Bug Book (read via copies). Green potatoes: BfR (read via fei-online); EFSA 2020, 18(8):6222.
    for key in ("french-bean", "climbing-french-bean", "runner-bean"):
        assert "raw-bean" in CROPS[key].safety
    for key in POTATOES:
        assert "green-potato" in CROPS[key].safety


@pytest.mark.parametrize("crop", ["aubergine", "pepper", "chilli", "runner-bean", "tomato", "courgette", "sweetcorn"])
def test_what_a_light_frost_damages_is_called_for_in_one(crop: str) -> None:
    """Phillips, Michigan State University Extension 2014, after Purdue HO-203: damaged at 28 to 32 degrees F."""
    assert celsius(28) <= CROPS[crop].cold.hardened_c <= celsius(32)


@pytest.mark.parametrize("crop", ["leek", "brussels-sprouts"])
def test_leeks_and_winter_brassicas_are_hardy_in_an_average_winter(crop: str) -> None:
    """RHS hardiness ratings: H4, -10 to -5 degrees C, "winter brassicas, leeks"."""
    assert -10 <= CROPS[crop].cold.hardened_c <= -5
