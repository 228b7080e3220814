"""Fruiting cucurbits, salads, herbs, perennials and soft fruit against published tables (all read on 2026-11-25)."""

from __future__ import annotations

import pytest

from bot.core.garden.snapshot import Stage
from bot.core.growing.crop import Crop
from bot.crops.loader import load


@pytest.fixture(scope="module")
def crops() -> dict[str, Crop]:
    return load()


def celsius(fahrenheit: float) -> float:
    """Rounded to a tenth, as the crop rules write it."""
    return round((fahrenheit - 32) / 1.8, 1)


# Allen et al. 1998, FAO-56, Table 12 (Kc) and Table 22 (smaller rooting depth m, p); via the tables of pyfao56 1.4.3.
FAO56 = {
    "courgette": ((0.5, 0.95, 0.75), 0.6, 0.50),
    "marrow": ((0.5, 0.95, 0.75), 0.6, 0.50),
    "pumpkin": ((0.5, 1.0, 0.8), 1.0, 0.35),
    "winter-squash": ((0.5, 1.0, 0.8), 1.0, 0.35),
    "cucumber-outdoor": ((0.6, 1.0, 0.75), 0.7, 0.50),
    "cucumber-greenhouse": ((0.6, 1.0, 0.75), 0.7, 0.50),
    "melon": ((0.5, 0.85, 0.6), 0.9, 0.45),  # cantaloupe
    "lettuce": ((0.7, 1.0, 0.95), 0.3, 0.30),
    "lettuce-winter": ((0.7, 1.0, 0.95), 0.3, 0.30),
    "mint": ((0.6, 1.15, 1.1), 0.4, 0.40),
    "chives": ((0.7, 1.0, 1.0), 0.3, 0.30),  # green onions
    "asparagus": ((0.5, 0.95, 0.3), 1.2, 0.45),
    "globe-artichoke": ((0.5, 1.0, 0.95), 0.6, 0.45),
    "strawberry": ((0.4, 0.85, 0.75), 0.2, 0.20),
    "raspberry-summer": ((0.3, 1.05, 0.5), 0.6, 0.50),  # berries (bushes), as the five below
    "raspberry-autumn": ((0.3, 1.05, 0.5), 0.6, 0.50),
    "redcurrant": ((0.3, 1.05, 0.5), 0.6, 0.50),
    "blackcurrant": ((0.3, 1.05, 0.5), 0.6, 0.50),
    "gooseberry": ((0.3, 1.05, 0.5), 0.6, 0.50),
    "blueberry": ((0.3, 1.05, 0.5), 0.6, 0.50),
}


@pytest.mark.parametrize("key", FAO56)
def test_water_use_is_that_of_fao_56(crops: dict[str, Crop], key: str) -> None:
    care = crops[key].care
    assert (care.kc, care.root_m, care.depletion) == FAO56[key]
    assert {crops[key].sources[f"care.{part}"] for part in ("kc", "root_m", "depletion")} == {"fao56"}


@pytest.mark.parametrize(
    ("group", "kc"),
    [
        (("rocket", "land-cress", "lambs-lettuce", "mizuna", "pak-choi", "endive", "chicory"), (0.7, 1.05, 0.95)),
        (("coriander", "parsley", "basil", "dill", "fennel-bulb"), (0.7, 1.05, 0.95)),
        (("thyme", "sage", "rosemary", "rhubarb"), (0.5, 1.0, 0.8)),
        (("jerusalem-artichoke",), (0.5, 1.1, 0.95)),
    ],
)
def test_crops_without_a_row_of_their_own_take_the_figures_of_their_group_in_fao_56(
    crops: dict[str, Crop], group: tuple[str, ...], kc: tuple[float, float, float]
) -> None:
    """FAO-56 Table 12: small vegetables; perennial vegetables with winter dormancy; roots and tubers."""
    assert {crops[key].care.kc for key in group} == {kc}


# Harrington, Oregon State University Extension 2013 (revised 2024): minimum soil temperature, degrees F.
GERMINATION_MIN_F = {
    "courgette": 60,
    "marrow": 60,
    "pumpkin": 60,
    "winter-squash": 60,
    "cucumber-outdoor": 60,
    "cucumber-greenhouse": 60,
    "melon": 60,
    "lettuce": 35,
    "lettuce-winter": 35,
    "parsley": 40,
}


@pytest.mark.parametrize("key", GERMINATION_MIN_F)
def test_the_soil_is_as_warm_as_germination_needs(crops: dict[str, Crop], key: str) -> None:
    assert crops[key].sowing.soil_min_c == celsius(GERMINATION_MIN_F[key])


# Harrington and Minges 1954 (via Knott's Handbook 1997 and the Oregon page above): days at 41, 50, 59, 68 degrees F.
EMERGENCE_DAYS = {
    "cucumber-outdoor": {15: 13, 20: 6},
    "cucumber-greenhouse": {15: 13, 20: 6},
    "melon": {20: 8},
    "lettuce": {5: 15, 10: 7, 15: 4, 20: 3},
    "parsley": {10: 29, 15: 17, 20: 14},
}


@pytest.mark.parametrize("key", EMERGENCE_DAYS)
def test_seedlings_come_up_as_the_trials_found(crops: dict[str, Crop], key: str) -> None:
    assert dict(crops[key].sowing.emergence) == EMERGENCE_DAYS[key]


# USDA Agriculture Handbook 66 (1954), read via a copy: degrees F, relative humidity %, weeks.
STORAGE = {
    "pumpkin": ((50, 55), (70, 75), (12, 26)),
    "melon": ((45, 50), (85, 90), (1, 2)),  # muskmelon
    "rhubarb": ((32, 32), (90, 95), (1, 2)),
}


@pytest.mark.parametrize("key", STORAGE)
def test_the_store_is_as_cool_and_damp_as_handbook_66_says(crops: dict[str, Crop], key: str) -> None:
    storage = crops[key].harvest.storage
    (low_f, high_f), humidity_pct, weeks = STORAGE[key]
    assert storage is not None
    assert storage.temp_c == (celsius(low_f), celsius(high_f))
    assert (storage.humidity_pct, storage.weeks) == (humidity_pct, weeks)


def test_endive_and_parsley_store_as_the_new_england_guide_says(crops: dict[str, Crop]) -> None:
    """New England Vegetable Management Guide, Table 16: endive 32 F, 90-95 %, 2-3 weeks; parsley 95 %, 1-2 months."""
    endive, parsley = crops["endive"].harvest.storage, crops["parsley"].harvest.storage
    assert endive is not None and parsley is not None
    assert (endive.temp_c, endive.humidity_pct, endive.weeks) == ((0, 0), (90, 95), (2, 3))
    assert (parsley.temp_c, parsley.humidity_pct, parsley.weeks) == ((0, 0), (95, 95), (4, 8))


@pytest.mark.parametrize("key", ["coriander", "chives", "dill", "mint", "sage", "thyme", "lambs-lettuce"])
def test_cut_herbs_keep_two_to_three_weeks_in_the_cold(crops: dict[str, Crop], key: str) -> None:
    """Cantwell and Reid, UC Davis: 3 weeks at 0 C, 2 weeks at 5 C, more than 95 % humidity."""
    storage = crops[key].harvest.storage
    assert storage is not None
    assert (storage.temp_c, storage.weeks) == ((0, 5), (2, 3))


def test_basil_is_never_stored_below_ten_degrees(crops: dict[str, Crop]) -> None:
    """Cantwell and Reid, UC Davis: above 10 C (50 F), 1 to 2 weeks; Lange and Cameron 1994: 12 days at 15, hurt at 10."""
    storage = crops["basil"].harvest.storage
    assert storage is not None
    assert celsius(50) < storage.temp_c[0] <= storage.temp_c[1] <= 15
    assert storage.weeks == (1, 2)


# PMC10202904, Table 2: damage begins within these ranges, degrees C (cold end, warm end).
@pytest.mark.parametrize(
    ("key", "range_c"),
    [
        ("cucumber-outdoor", (0, 5)),
        ("cucumber-greenhouse", (0, 5)),
        ("lettuce", (-4, -2)),
        ("lettuce-winter", (-7, -4)),
    ],
)
def test_damage_thresholds_lie_in_the_published_range(
    crops: dict[str, Crop], key: str, range_c: tuple[float, float]
) -> None:
    cold, (low_c, high_c) = crops[key].cold, range_c
    assert low_c <= cold.hardened_c <= cold.tender_c <= high_c


# Phillips, Michigan State University Extension 2014: hurt by a light frost, 28 to 32 degrees F.
@pytest.mark.parametrize("key", ["courgette", "marrow", "pumpkin", "winter-squash", "melon", "cucumber-outdoor"])
def test_a_light_frost_damages_every_cucurbit(crops: dict[str, Crop], key: str) -> None:
    limit_c = crops[key].cold.damage_c(Stage.GROWING)
    assert limit_c is not None and celsius(28) < limit_c


# The same lists: hardy in a hard frost, below 28 degrees F.
@pytest.mark.parametrize("key", ["lettuce", "endive", "rhubarb"])
def test_a_light_frost_leaves_hardened_lettuce_endive_and_rhubarb_alone(crops: dict[str, Crop], key: str) -> None:
    limit_c = crops[key].cold.damage_c(Stage.GROWING)
    assert limit_c is not None and limit_c <= celsius(28)


# Dawling 2012: crops die in the open at these temperatures, degrees F.
WINTER_KILL_F = {
    "basil": 35,
    "chicory": 27,
    "dill": 25,
    "endive": 25,
    "fennel-bulb": 25,
    "mizuna": 25,
    "pak-choi": 25,
    "rocket": 22,
}


@pytest.mark.parametrize("key", WINTER_KILL_F)
def test_outdoor_leaves_are_called_at_risk_where_growers_lost_them(crops: dict[str, Crop], key: str) -> None:
    assert crops[key].cold.damage_c(Stage.GROWING) == celsius(WINTER_KILL_F[key])


def test_open_strawberry_flowers_are_hurt_at_thirty_fahrenheit_and_resting_plants_only_at_ten(
    crops: dict[str, Crop],
) -> None:
    """Johnson, University of Delaware Extension: dormant 10 F, open flowers 30 F; NC State Extension: 30 F as well."""
    cold = crops["strawberry"].cold
    assert cold.damage_c(Stage.FLOWERING) == celsius(30)
    assert cold.damage_c(Stage.GROWING) == celsius(10)


def test_blueberries_in_full_bloom_are_hurt_below_twenty_eight_fahrenheit(crops: dict[str, Crop]) -> None:
    """Michigan State University Extension, critical spring temperatures, stage 6."""
    assert crops["blueberry"].cold.damage_c(Stage.FLOWERING) == celsius(28)


def test_blackcurrant_flowers_are_called_at_risk_before_frosts_that_killed_them_in_trials(
    crops: dict[str, Crop],
) -> None:
    """The tolerance of black currant flowers to induced frosts (abstract): flower buds died at -3.3 C and below."""
    limit_c = crops["blackcurrant"].cold.damage_c(Stage.FLOWERING)
    assert limit_c is not None and limit_c > -3.3


def test_hardiness_is_within_the_ratings_of_the_rhs(crops: dict[str, Crop]) -> None:
    """RHS, 10 AGM herbs, and the RHS hardiness ratings: basil H1c, 5 to 10 C; sage H4, -10 to -5 C."""
    assert 5 <= crops["basil"].cold.tender_c <= 10
    assert -10 <= crops["sage"].cold.hardened_c <= -5


def test_cucumbers_wait_for_warm_soil(crops: dict[str, Crop]) -> None:
    """Instytut Ogrodnictwa, Skierniewice, as quoted for trainee gardeners: soil of at least 10 to 12 degrees C."""
    least_c = crops["cucumber-outdoor"].planting.soil_min_c
    assert least_c is not None and 10 <= least_c <= 12


def test_plants_stand_as_far_apart_as_the_rhs_says(crops: dict[str, Crop]) -> None:
    """RHS school gardening crop sheets, cm: bush courgette 90, trailing 120-150, pumpkin 100-180, strawberry 30-45."""
    assert crops["courgette"].planting.in_row_cm == 90
    assert 120 <= crops["marrow"].planting.in_row_cm <= 150
    assert 100 <= crops["pumpkin"].planting.in_row_cm <= 180
    assert 30 <= crops["strawberry"].planting.in_row_cm <= 45
    assert 75 <= crops["strawberry"].planting.rows_cm <= 90
    assert crops["strawberry"].planting.out == ((7, 1), (9, 15))  # "between July and mid-September"


def test_first_harvests_come_when_published_sheets_say(crops: dict[str, Crop]) -> None:
    """RHS school gardening: courgettes from 9 weeks. FAO-56 Table 11: winter squash 120 days in Europe."""
    assert crops["courgette"].harvest.days[0] == 9 * 7
    least, most = crops["winter-squash"].harvest.days
    assert least <= 120 <= most


def test_new_rhubarb_is_left_a_year_and_new_asparagus_two(crops: dict[str, Crop]) -> None:
    """University of Wisconsin Extension 2020: rhubarb from the second year, asparagus from the third."""
    assert crops["rhubarb"].harvest.days[0] >= 365
    assert crops["asparagus"].harvest.days[0] >= 2 * 365


def test_bolting_follows_the_published_trials(crops: dict[str, Crop]) -> None:
    """Agrarforschung 2002 (fennel, over 14 h); Heijting 1964 (endive, 5 C); Scientia Horticulturae 25:217 (12 C)."""
    fennel, endive, pak_choi = (crops[key].bolting for key in ("fennel-bulb", "endive", "pak-choi"))
    assert fennel is not None and endive is not None and pak_choi is not None
    assert fennel.day_h == 14
    assert endive.chill_c == 5
    assert (pak_choi.chill_c, pak_choi.chill_days) == (12, 7)
