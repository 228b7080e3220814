"""Fruit trees, vines and what is new among the crops against published tables, all read on 2026-11-27.

Degrees F as printed; a plant's 10 % and 90 % are the shares of buds that are killed in 30 minutes.
"""

from __future__ import annotations

import pytest

from bot.crops.loader import load

CROPS = load()


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


# Buds that swell, show, are about to open; full bloom; after bloom. Pennsylvania State University Extension, "Orchard frost:
# critical temperatures for various fruits": half-inch green, tight cluster, first pink, full bloom, post bloom of apples;
# blossom buds exposed, tight cluster, full white, full bloom, post bloom of pears; side green, tight cluster, first white,
# full bloom, post bloom of sweet cherries; calyx red, first pink, first bloom, full bloom, post bloom of peaches. Michigan
# State University Extension's sheet (via slidelegend.com): calyx red, first white, first bloom, full bloom, green fruit of
# apricots; tip green, tight cluster, first white, full bloom, post bloom of European plums.
TEN_F = {
    "apple": (23, 27, 28, 28, 28),
    "pear": (20, 24, 26, 28, 28),
    "cherry": (22, 26, 27, 28, 28),
    "peach": (23, 25, 26, 27, 28),
    "apricot": (22, 24, 25, 27, 28),
    "plum": (20, 24, 26, 28, 28),
}
NINETY_F = {
    "apple": (15, 21, 24, 25, 25),
    "pear": (6, 15, 22, 24, 24),
    "cherry": (9, 17, 24, 25, 25),
    "peach": (9, 15, 21, 24, 25),
    "apricot": (9, 14, 19, 22, 25),
    "plum": (7, 16, 22, 23, 23),
}


@pytest.mark.parametrize("key", TEN_F)
def test_a_trees_buds_blossom_and_fruitlets_stand_what_is_published(key: str) -> None:
    cold = CROPS[key].cold
    found = (cold.swell_c, cold.bud_c, cold.opening_c, cold.flowering_c, cold.set_c)
    assert found == pytest.approx([celsius(one) for one in TEN_F[key]], abs=0.06)
    assert cold.ninety_c == pytest.approx([celsius(one) for one in NINETY_F[key]], abs=0.06)


def test_vines_stand_what_the_fao_prints() -> None:
    # Snyder and de Melo-Abreu 2005, Table 4.8, degrees C (read via millsvineyard.blogspot.com): Concord, 10 % and 90 %
    # kill at first swell, late swell, bud burst, second leaf and fourth leaf; new growth -1.1 (Winkler 1974).
    cold = CROPS["grape"].cold
    assert (cold.swell_c, cold.bud_c, cold.opening_c, cold.shoots_c) == (-10.6, -6.1, -3.9, -2.2)
    assert (cold.flowering_c, cold.set_c) == (-1.1, -1.1)
    assert cold.ninety_c == (-19.4, -12.2, -8.9, -2.8, -2.8)


def test_nine_in_ten_are_lost_at_no_warmer_than_one_in_ten_and_stages_come_on_tenderer() -> None:
    for crop in CROPS.values():
        cold = crop.cold
        if cold.ninety_c is None:
            continue
        ten = (cold.swell_c, cold.bud_c, cold.opening_c)
        assert all(one is not None and most <= one for one, most in zip(ten, cold.ninety_c, strict=False)), crop.key
        assert list(cold.ninety_c) == sorted(cold.ninety_c), crop.key


# US Federal Seed Act regulations, 7 CFR 201.31 (read via law.lawstack.com): asparagusbean, Chinese cabbage, India mustard,
# okra, radish, husk tomato.
LEAST_PCT = {
    "yardlong-bean": 75, "chinese-cabbage": 75, "mustard-greens": 75, "okra": 50, "mooli": 75, "tomatillo": 50,
}  # fmt: skip


@pytest.mark.parametrize("key", LEAST_PCT)
def test_seed_comes_up_as_the_law_asks(key: str) -> None:
    assert CROPS[key].sowing.germination_pct == LEAST_PCT[key]


def test_sweet_potatoes_are_lifted_cured_and_kept_as_missouri_says() -> None:
    # Byers, University of Missouri Extension, 26 September 2013: 130-170 days, smaller a month sooner; cured about 10 days
    # at 80-85 F; stored at 55-60 F.
    harvest = CROPS["sweet-potato"].harvest
    assert 100 <= harvest.days[0] <= 130 and harvest.days[1] == 170
    assert harvest.storage is not None and harvest.storage.cure_days == 10
    assert harvest.storage.temp_c == pytest.approx((celsius(55), celsius(60)), abs=0.06)


# FAO-56 Table 12 and 22 (pyfao56 1.4.3): Kc; smaller rooting depth m, p.
FAO56 = {
    "sweet-potato": ((0.5, 1.15, 0.65), 1.0, 0.65),
    "chickpea": ((0.4, 1.0, 0.35), 0.6, 0.5),
    "yardlong-bean": ((0.4, 1.05, 0.6), 0.6, 0.45),  # cowpeas, harvested fresh
    "sunflower": ((0.35, 1.1, 0.35), 0.8, 0.45),
    "grape": ((0.3, 0.85, 0.45), 1.0, 0.35),  # table grapes
    "apple": ((0.45, 0.95, 0.7), 1.0, 0.5),  # bare soil, killing frost, as the next
    "peach": ((0.45, 0.9, 0.65), 1.0, 0.5),
}


@pytest.mark.parametrize("key", FAO56)
def test_water_use_is_that_of_fao_56(key: str) -> None:
    care = CROPS[key].care
    assert (care.kc, care.root_m, care.depletion) == FAO56[key]


#: What the garden's members asked for and were told that it is no crop.
ASKED_FOR = (
    "okra", "bitter-gourd", "bottle-gourd", "yardlong-bean", "amaranth", "mooli", "fenugreek", "chinese-cabbage",
    "mustard-greens", "sweet-potato", "oca", "tomatillo", "chickpea", "oregano", "lemongrass", "blackberry", "comfrey", "apple",
    "pear", "plum", "cherry", "apricot", "peach", "fig", "grape", "hazel", "dahlia", "sweet-pea", "sunflower", "tulip",
    "daffodil", "phacelia", "mustard-manure", "grazing-rye", "winter-tares", "crimson-clover", "field-bean",
)  # fmt: skip


@pytest.mark.parametrize("key", ASKED_FOR)
def test_what_community_gardens_grow_is_a_crop_with_names(key: str) -> None:
    assert len({CROPS[key].name, *CROPS[key].aliases}) >= 2


# Poisonous, or harmful when eaten: National Poisons Information Centre of Ireland 2015 (bulbs), University of California
# Marin Master Gardeners (sweet peas), FDA and Abbott 1988 (comfrey), EFSA 2016 (kernels), ANSES (bitter gourds of the
# squash kind, favism).
WARNED = {
    "daffodil": "poison-bulb", "tulip": "poison-bulb", "sweet-pea": "sweet-pea-poison", "comfrey": "comfrey-liver",
    "apricot": "stone-kernels", "peach": "stone-kernels", "plum": "stone-kernels", "cherry": "stone-kernels",
    "bottle-gourd": "bitter-cucurbit", "field-bean": "favism", "dahlia": "not-food", "tomatillo": "tomato-potato-foliage",
}  # fmt: skip


@pytest.mark.parametrize("key", WARNED)
def test_what_is_no_food_or_harms_carries_its_caution(key: str) -> None:
    assert WARNED[key] in CROPS[key].safety
