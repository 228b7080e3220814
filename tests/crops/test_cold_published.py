"""What cold does, against published degrees, all read on 2026-11-27; sources.toml names each work and the copy that was read.

Each row is what its source prints; a degree of cold that cites the source must have a row here and lie within it. What a
plant is said to stand gives a row from there up to 0: ours may be warmer, never colder.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pytest

from bot.core.growing.crop import Crop
from bot.crops.loader import load
from bot.crops.reading import flat
from tests.benchmarks.bench_sources import practice_share

CROPS = load()
ROUNDED_C = 0.06  # figures are tenths of a degree
Row = tuple[float, float]
TENDER, HARDENED, WINTER, FLOWERING = "tender_c", "hardened_c", "winter_c", "flowering_c"


def fahrenheit(low: float, high: float | None = None) -> Row:
    return (low - 32) / 1.8, ((low if high is None else high) - 32) / 1.8


def stands(degrees_c: float) -> Row:
    return degrees_c, 0.0


def zone(number: int) -> Row:
    """The yearly minimum of a zone of the United States Department of Agriculture: ten degrees F each, zone 3 -40 to -30."""
    return fahrenheit(10 * number - 70, 10 * number - 60)


def hardy_in(number: int) -> Row:
    """What lives in a zone stands at least its warm end; no colder night is thought of here."""
    return stands(zone(number)[1])


LIGHT_FROST, HARD_FROST, DOWN_TO_28 = fahrenheit(28, 32), stands(fahrenheit(28)[0]), stands(fahrenheit(28)[0])

# Lists of vegetables: the National Garden Bureau (via Newsday); Oregon State University Extension, J. Myers, below 28 F and 28
# to 32 F; Nature and Nurture Seeds, no damage down to 28 F; Burpee, 20 to 25 F; Bonnie Plants, 25 to 28 F; K. Bezilla,
# Southern Exposure Seed Exchange, dead at 32 F; Purdue University Extension HO-203, light frosts.
LISTS: Mapping[str, Mapping[tuple[str, str], Row]] = {
    "ngb-frost": {
        ("amaranth", TENDER): LIGHT_FROST, ("amaranth", HARDENED): LIGHT_FROST, ("globe-artichoke", TENDER): LIGHT_FROST,
        ("pak-choi", TENDER): LIGHT_FROST,
    },
    "myers2013": {
        **{(crop, TENDER): HARD_FROST for crop in ("broad-bean", "field-bean", "chicory", "lambs-lettuce")},
        **{(crop, TENDER): LIGHT_FROST for crop in ("chinese-cabbage", "endive", "parsley")},
    },
    "nature-nurture": {
        (crop, TENDER): DOWN_TO_28 for crop in ("chives", "coriander", "fennel-bulb", "mizuna", "rocket")
    },
    "burpee-frost": {
        (crop, key): fahrenheit(20, 25)
        for crop, key in (("brussels-sprouts", TENDER), ("leek", TENDER), ("garlic", TENDER), ("garlic", HARDENED))
    },
    "bonnie-chill": {
        **{(crop, HARDENED): fahrenheit(25, 28) for crop in ("kohlrabi", "turnip")},
    },
    "bezilla-sese": {("tomatillo", TENDER): fahrenheit(32), ("tomatillo", HARDENED): fahrenheit(32)},
    "purdue-ho203": {
        ("jerusalem-artichoke", TENDER): LIGHT_FROST, ("jerusalem-artichoke", HARDENED): LIGHT_FROST,
    },
}  # fmt: skip
# Hardiness zones, as each university, garden or grower prints them.
ZONES: Mapping[str, Mapping[tuple[str, str], Row]] = {
    "kpu": {
        **{(crop, HARDENED): hardy_in(3) for crop in ("hazel", "blueberry", "rhubarb")},
        **{(crop, HARDENED): hardy_in(4) for crop in ("pear", "asparagus", "thyme", "tulip")},
        **{
            (crop, HARDENED): hardy_in(5)
            for crop in ("cherry", "blackcurrant", "gooseberry", "raspberry-summer", "raspberry-autumn")
        },
        ("jerusalem-artichoke", FLOWERING): hardy_in(4),
        ("parsley", WINTER): hardy_in(5),
        ("chard", WINTER): hardy_in(6),
    },
    "usu-apricot": {("apricot", HARDENED): hardy_in(4)},
    "umn-plum": {("plum", HARDENED): hardy_in(5)},
    "montana-berries": {("redcurrant", HARDENED): hardy_in(3)},
    "northern-wildflowers": {("parsnip", FLOWERING): hardy_in(4)},
    "intergardening": {("bottle-gourd", TENDER): zone(10), ("bottle-gourd", HARDENED): zone(10)},
    "cornell-comfrey": {("comfrey", HARDENED): hardy_in(5)},
    "cornell-garlic": {("garlic", WINTER): zone(8)},
    "fanshawe-narcissus": {("daffodil", HARDENED): hardy_in(4)},
    "greenleaf-oregano": {("oregano", HARDENED): hardy_in(4)},
    "seedways-cress": {("land-cress", HARDENED): hardy_in(6)},
    "psu-rosemary": {("rosemary", HARDENED): zone(8), ("rosemary", WINTER): zone(8)},
    "asu-artichoke": {("globe-artichoke", HARDENED): zone(8)},
    "mobot-lemongrass": {("lemongrass", TENDER): zone(10), ("lemongrass", HARDENED): zone(10)},
}
# Trials, extension services and growers, one crop each; "middle twenties" from 26 F, "low twenties" from 23 F.
DEGREES: Mapping[str, Mapping[tuple[str, str], Row]] = {
    "browning2021": {
        (crop, TENDER): stands(fahrenheit(26)[0])
        for crop in (
            "apple",
            "apricot",
            "cherry",
            "peach",
            "pear",
            "plum",
            "blackcurrant",
            "blueberry",
            "gooseberry",
            "redcurrant",
            "raspberry-summer",
            "raspberry-autumn",
        )
    },
    "foord2013": {(crop, TENDER): fahrenheit(23, 28) for crop in ("daffodil", "tulip")},
    "warmund2023": {("blackberry", HARDENED): fahrenheit(5)},
    "team-rubus2016": {("blackberry", key): fahrenheit(27.5) for key in ("bud_c", "opening_c", TENDER)},
    "agrion2017": {("hazel", TENDER): (-2.5, -2.5), ("hazel", "shoots_c"): (-2.5, -2.5)},
    # FAO EcoCrop: temperature that kills in early growth; bitter gourd at rest too; oca, thyme and coriander by its notes.
    "ecocrop": {
        **dict.fromkeys((("bitter-gourd", TENDER), ("bitter-gourd", HARDENED)), (3.0, 3.0)),
        **{
            (crop, TENDER): (0.0, 0.0)
            for crop in ("chickpea", "dill", "fenugreek", "oregano", "sunflower", "oca", "thyme")
        },
        ("oca", HARDENED): (0.0, 0.0),
        **{(crop, TENDER): (-1.0, -1.0) for crop in ("grazing-rye", "winter-tares", "mint")},
        ("fig", "shoots_c"): (-1.0, -1.0),
        ("coriander", HARDENED): stands(-10.0),
    },
    "richters2005": {("rosemary", TENDER): (0.0, 0.0), ("sage", TENDER): (0.0, 0.0)},
    "uc-asparagus": {("asparagus", FLOWERING): (-0.6, -0.6)},
    "heatcraft": {("globe-artichoke", FLOWERING): fahrenheit(29.9)},
    "faba-mashhad": {("broad-bean", HARDENED): stands(-8.0), ("broad-bean", WINTER): stands(-12.0)},
    "nabati2023": {("chickpea", HARDENED): stands(-8.0)},
    "grdc-chickpea": {("chickpea", FLOWERING): (-1.5, -1.5)},
    "franguelli2024": {("pea", WINTER): stands(-11.6)},
    "fenugreek-areeo": {("fenugreek", HARDENED): stands(-9.0)},
    "cbmga-parsley": {("parsley", HARDENED): fahrenheit(20, 23)},
    "eden-mache": {("lambs-lettuce", HARDENED): stands(fahrenheit(10)[0])},
    "granum": {("mustard-manure", TENDER): (-6.0, -2.0)},
    "dowding-artichoke": {("globe-artichoke", WINTER): stands(-10.0)},
    "benjis-clover": {("crimson-clover", HARDENED): (-5.0, -5.0)},
    "rutgers-figs": {("fig", TENDER): fahrenheit(25, 27), ("fig", HARDENED): stands(fahrenheit(15)[0])},
    "kahikatea-oca": {("oca", "ready_c"): stands(-5.0)},
    "brust-frost": {("phacelia", TENDER): stands(-4.0)},
    "symbiosis-phacelia": {("phacelia", HARDENED): (-8.0, -6.0)},
    "unl-sunflower": {("sunflower", HARDENED): stands(fahrenheit(30)[0])},
    "windy-acres": {("sweet-pea", key): stands(fahrenheit(20)[0]) for key in (TENDER, HARDENED, WINTER)},
    "slate1930": {("hazel", FLOWERING): stands(fahrenheit(16)[0])},
    "bailey-vetch": {("winter-tares", HARDENED): stands(fahrenheit(10)[0])},
}
# Works that other tests hold to more of their rows: Phillips 2014, below 28 F and radish 28 to 32 F; PMC10202904, Table 2;
# Dawling 2012, dead at 32 F; Giving Ground Seeds, flowers that are not hardy 32 F; FAO ENRS 10, Table 4.8, new growth;
# Johnson, University of Delaware, open flowers of strawberries, which stand less than leaves.
MORE: Mapping[str, Mapping[tuple[str, str], Row]] = {
    "phillips2014": {
        ("rhubarb", TENDER): HARD_FROST, ("rhubarb", FLOWERING): HARD_FROST, ("mustard-greens", TENDER): HARD_FROST,
        ("mooli", TENDER): LIGHT_FROST,
    },
    "pmc10202904": {
        ("asparagus", TENDER): (-4.0, -2.0), ("lettuce-winter", WINTER): (-7.0, -4.0),
        **{(crop, WINTER): (-7.0, -4.0) for crop in ("onion-seed", "onion-set", "shallot", "spring-onion")},
    },
    "dawling2012": {(crop, TENDER): fahrenheit(32) for crop in ("okra", "sweet-potato", "yardlong-bean")},
    "givingground": {("dahlia", TENDER): fahrenheit(32)},
    "johnson-strawberry": {("strawberry", TENDER): fahrenheit(30)},
    "fao-frost2005": {("grape", TENDER): (-1.1, -1.1)},
    # Western Farm Press: frost injury can occur in a field at or below 32 F.
    "wfp-injury": {(crop, TENDER): fahrenheit(32) for crop in ("comfrey", "land-cress", "crimson-clover")},
}  # fmt: skip
PUBLISHED = {**LISTS, **ZONES, **DEGREES}
ROWS = [(source, crop, key) for source, rows in {**PUBLISHED, **MORE}.items() for crop, key in rows]


def cold_degrees() -> Iterator[tuple[Crop, str, str]]:
    """Every crop, degree of damage by cold, and its source; chilling harms nothing and is left out."""
    for crop in CROPS.values():
        for key, source in crop.sources.items():
            if key.startswith("cold.") and key.endswith("_c") and key != "cold.chilling_c":
                yield crop, key.removeprefix("cold."), source


@pytest.mark.parametrize(("source", "crop", "key"), ROWS)
def test_a_degree_lies_within_what_its_source_prints(source: str, crop: str, key: str) -> None:
    low_c, high_c = {**PUBLISHED, **MORE}[source][crop, key]
    found = flat(CROPS[crop])[f"cold.{key}"]
    assert CROPS[crop].sources[f"cold.{key}"] == source
    assert isinstance(found, float | int) and low_c - ROUNDED_C <= found <= high_c + ROUNDED_C


@pytest.mark.parametrize("source", PUBLISHED)
def test_every_degree_that_cites_a_source_has_its_row(source: str) -> None:
    assert {(crop.key, key) for crop, key, one in cold_degrees() if one == source} == set(PUBLISHED[source])


def test_rye_stands_more_than_fifteen_degrees_of_frost() -> None:
    # PMC10202904, Table 2: winter rye, colder than -15; the kind Puma -33.
    assert -33 <= CROPS["grazing-rye"].cold.hardened_c < -15


def test_zones_are_ten_degrees_fahrenheit_wide() -> None:
    assert zone(3) == pytest.approx((-40.0, -34.4), abs=0.05) and zone(8) == pytest.approx((-12.2, -6.7), abs=0.05)


def test_nearly_all_degrees_of_cold_harm_are_published() -> None:
    found = [(key, source) for _, key, source in cold_degrees()]
    assert len(found) > 300 and practice_share(found) < 0.025
