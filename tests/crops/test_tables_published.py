"""Days to harvest, heights, roots, pots, seasons and more of the crop rules against published tables, all read 2026-11-27.

Each table holds what its source prints, typed from it; a figure that cites the source must have a row here and lie within
it. sources.toml names each work and the copy that was read.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from bot.core.growing.crop import DayRange
from bot.crops.loader import load
from bot.crops.reading import flat, numbers_in

CROPS = load()
Row = tuple[float, float]
YEAR = 365


def both(one: float) -> Row:
    return one, one


def inches(low: float, high: float) -> Row:
    return low * 0.0254, high * 0.0254  # metres


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


# FAO EcoCrop, growing period: days to first harvest where the notes give them, else the least and most days of the cycle.
# The species: Brassica oleracea var. italica, Daucus carota, Apium graveolens var. rapaceum, Beta vulgaris var. cicla,
# Cicer arietinum, Brassica chinensis (both), Cymbopogon citratus, Raphanus sativus, Pisum sativum (both), Oxalis tuberosa,
# Vigna unguiculata ssp. sesquipedalis, Helianthus annuus, Phaseolus vulgaris (fresh beans), Foeniculum vulgare (swollen
# stems), Cichorium endivia (heads), Corylus avellana (3 to 4 years after planting), Cucurbita pepo (mature), Mentha
# piperita, Cucurbita maxima, Cucurbita moschata, Vicia sativa, Cichorium intybus, Pyrus communis ("after 3 years").
DAYS: Mapping[str, Row] = {
    "calabrese": (80, 120), "carrot": (70, 150), "celeriac": (80, 270), "chard": (50, 150), "chickpea": (90, 180),
    "chinese-cabbage": (40, 90), "pak-choi": (40, 90), "lemongrass": (120, 240), "mooli": (50, 90), "pea": (60, 100),
    "mangetout": (60, 100), "oca": (180, 270), "yardlong-bean": (50, 120), "sunflower": (70, 200),
    "climbing-french-bean": (50, 90), "fennel-bulb": (90, 110), "endive": (55, 90), "hazel": (3 * YEAR, 4 * YEAR),
    "marrow": (80, 100), "mint": (40, 55), "pumpkin": (80, 140), "winter-squash": (80, 140), "winter-tares": (80, 170),
    "chicory": (90, 330), "pear": (3 * YEAR, 20 * YEAR),
}  # fmt: skip
# The same, height in metres; of beans and gourds that climb as far as they can, the most.
HEIGHT_M: Mapping[str, Row] = {
    "aubergine": (0, 1.5), "bitter-gourd": (0, 5), "broad-bean": (0.3, 1.8), "chilli": (0.5, 2), "pepper": (0.6, 1.5),
    "climbing-french-bean": (2, 5), "jerusalem-artichoke": (1, 3), "mangetout": (0.15, 3), "pea": (0.15, 3),
    "runner-bean": (0, 4), "sunflower": (1, 3.5), "tomato": (0.7, 2), "yardlong-bean": (0, 4),
}  # fmt: skip
# The same, depth of soil that it asks for, from the least that it bears to the best: shallow 20-50 cm, medium 50-150 cm, deep.
SHALLOW, MEDIUM, TO_MEDIUM, DEEPER = (0.2, 0.5), (0.5, 1.5), (0.2, 1.5), (0.5, 10)
SOIL_M: Mapping[str, Row] = {
    **dict.fromkeys(("dill", "endive", "mustard-greens", "parsley"), SHALLOW),
    **dict.fromkeys(("jerusalem-artichoke", "mustard-manure", "rhubarb"), MEDIUM),
    **dict.fromkeys(("chard", "chicory", "lemongrass", "sage", "thyme", "winter-tares"), TO_MEDIUM),
    **dict.fromkeys(("fig", "hazel"), DEEPER),
}
# The same, degrees C: the warm end of what suits it, and the most that it bears.
WARM_C: Mapping[str, Row] = {
    "bitter-gourd": (30, 38), "chilli": (30, 40), "cucumber-greenhouse": (32, 38), "lettuce": (21, 30), "melon": (30, 35),
    "okra": (30, 35), "pepper": (30, 35),
}  # fmt: skip
# Nishida 2011, Vegetable root depth: inches.
ROOTS_M: Mapping[str, Row] = {
    "basil": inches(8, 12), "coriander": inches(8, 18), "fennel-bulb": inches(12, 18), "oregano": inches(6, 18),
    "pak-choi": inches(12, 36), "rocket": inches(12, 18), "rosemary": inches(12, 24),
}  # fmt: skip
# FAO-56, chapter 8: p is 0.30 for shallow roots and great demand to 0.70 for deep ones and small demand.
WITHOUT_A_ROW = (
    "basil", "chard", "chicory", "comfrey", "coriander", "daffodil", "dahlia", "dill", "endive", "fennel-bulb", "fenugreek",
    "fig", "hazel", "jerusalem-artichoke", "lambs-lettuce", "land-cress", "lemongrass", "mizuna", "mustard-greens",
    "mustard-manure", "oca", "okra", "oregano", "pak-choi", "parsley", "phacelia", "rhubarb", "rocket", "rosemary", "sage",
    "thyme", "tulip", "winter-tares",
)  # fmt: skip
# RHS, Successional sowing: usually every two to three weeks, whatever the crop.
SOWN_AGAIN = (
    "beetroot", "carrot", "coriander", "dill", "fennel-bulb", "fenugreek", "french-bean", "kohlrabi", "lettuce", "mangetout",
    "mizuna", "mooli", "mustard-greens", "pak-choi", "pea", "radish", "rocket", "spinach", "spring-onion", "sunflower",
    "turnip",
)  # fmt: skip
# US gallons for one plant. University of Illinois Extension 2020 (one gallon grows one bean, lettuce, herb or chard, or
# several; 2 to 3 one aubergine, cabbage or pepper) and 2011; Iowa State University Extension 2017; Hobbs 2022, "about"; the
# Times-News 2014 (5 at the least, 15 to 20 best for most trees).
GALLON_L = 3.785
FRUIT = (
    "apple", "apricot", "blackberry", "blueberry", "cherry", "fig", "grape", "peach", "pear", "plum", "raspberry-autumn",
    "raspberry-summer",
)  # fmt: skip
HERBS = ("basil", "chives", "dill", "oregano", "thyme")
POTS: Mapping[str, Mapping[str, Row]] = {
    "uiuc-containers2020": {
        **dict.fromkeys(("french-bean", "lettuce", "lettuce-winter", "chard", *HERBS), both(1)),
        **dict.fromkeys(
            ("aubergine", "cabbage-spring", "cabbage-summer", "cabbage-winter", "pepper", "chilli"), (2, 3)
        ),
    },
    "mason2011": {"parsley": both(0.5)},
    "isu-containers2017": {"tomato": both(4)},
    "hobbs2022": dict.fromkeys(("cucumber-outdoor", "cucumber-greenhouse", "courgette"), both(5)),
    "timesnews-fruit2014": dict.fromkeys(FRUIT, (5, 20)),
}
TENTH_OF_A_LITRE = 0.1 / GALLON_L
# Weeks from sowing to planting out: Feather, Penn State Extension 2008 (gourds "four weeks"); Virginia Cooperative
# Extension, "about 6 weeks", here a week either way.
WEEKS: Mapping[str, Mapping[str, Row]] = {
    "feather2008": {"tomato": (8, 9), "bitter-gourd": (4, 5), "bottle-gourd": (4, 5)},
    "vce-transplants": dict.fromkeys(("brussels-sprouts", "swede"), (5, 7)),
}
# Centimetres: K. V. Mason, National Vegetable Society ("approx. 1.5 m"); My Coronation Garden; insideKENT (bulbs of 5 cm).
BEANS = ("runner-bean", "climbing-french-bean")
DISTANCES: Mapping[str, Mapping[str, Mapping[str, Row]]] = {
    "nvs-mason": {
        "planting.in_row_cm": {**dict.fromkeys(BEANS, (15, 20)), "sweetcorn": both(40), "winter-squash": both(150)},
        "planting.rows_cm": {
            **dict.fromkeys(BEANS, both(60)), "sweetcorn": both(40), **dict.fromkeys(("winter-squash", "pumpkin"), both(150)),
        },
        "sowing.depth_cm": {
            **dict.fromkeys(("climbing-french-bean", "french-bean"), both(5)), **dict.fromkeys(("courgette", "marrow"), both(3)),
        },
    },
    "coronation-garden": {
        "planting.in_row_cm": {"broad-bean": both(20)}, "sowing.depth_cm": {"broad-bean": (5, 8)},
    },
    "insidekent2020": {"sowing.depth_cm": dict.fromkeys(("daffodil", "tulip"), (10, 15))},
}  # fmt: skip
# Oregon State University Extension, in The Oregonian, March 2007: degrees F.
SOIL_C: Mapping[str, Row] = {
    **dict.fromkeys(("rocket", "broad-bean", "field-bean"), both(celsius(40))),
    "chinese-cabbage": both(celsius(50)),
}
HALF_A_TENTH = 0.06
# Years of a rotation: RHS, groups and the longer of its two plans; an association of allotment holders, perennials left out.
PERENNIALS = ("blueberry", "chives", "comfrey", "fig", "grape", "hazel", "mint", "oregano", "rosemary", "sage", "thyme")
YEARS: Mapping[str, Mapping[str, Row]] = {
    "rhs-four-years": dict.fromkeys(("garlic", "leek", "onion-seed", "onion-set", "shallot"), both(4)),
    "kdaa-rotation": dict.fromkeys(PERENNIALS, both(0)),
}

# Metres to which a crop is held up. University of Minnesota Extension, five feet; HortTechnology 2024, a top wire at 7 feet;
# Dahlia Society of Victoria, up to about 1.5 m; growers of seed, three feet; Iowa State University Extension 1995, 6 feet;
# University of California, at least 4.5 feet, for canes of 6 to 8.
FOOT_M = 0.3048
SUPPORT_M: Mapping[str, Mapping[str, Row]] = {
    "umn-trellises": {"cucumber-outdoor": (0, 5 * FOOT_M)},
    "horttech2024": {"cucumber-greenhouse": (0, 7 * FOOT_M)},
    "dahlias-victoria": {"dahlia": (0, 1.5)},
    "witty-farmer": {"brussels-sprouts": (0, 3 * FOOT_M)},
    "true-leaf": {"broccoli-sprouting": (0, 3 * FOOT_M)},
    "isu-trellis1995": {"grape": (0, 6 * FOOT_M)},
    "ucipm-trellis": {"blackberry": (4.5 * FOOT_M, 8 * FOOT_M)},
}

# By source and key of the figure: its rows, and how far a rounded figure may lie outside.
HELD: Mapping[tuple[str, str], tuple[Mapping[str, Row], float]] = {
    ("ecocrop", "harvest.days"): (DAYS, 0),
    ("ecocrop", "support.height_m"): (HEIGHT_M, 0),
    ("ecocrop", "care.root_m"): (SOIL_M, 0),
    ("ecocrop", "care.shade_c"): (WARM_C, 0),
    ("nishida2011", "care.root_m"): (ROOTS_M, 0.01),
    ("fao56-p", "care.depletion"): (dict.fromkeys(WITHOUT_A_ROW, (0.3, 0.7)), 0),
    ("rhs-succession", "harvest.succession_days"): (dict.fromkeys(SOWN_AGAIN, (14, 21)), 0),
    # University of Arizona, Master Gardener Manual, Table 1: 2 to 3 years on dwarf, 4 to 6 on semi-dwarf stock.
    ("arizona-fruit", "harvest.days"): ({"apple": (2 * YEAR, 6 * YEAR)}, 0),
    # USDA, Canning, freezing, storing garden produce: Concord 4 to 6 weeks, Catawba and Delaware 8.
    ("usda-garden1977", "harvest.storage.weeks"): ({"grape": (4, 8)}, 0),
    # Iowa State University, pears: 32 to 35 F, one to three months. Filberts: at 70 F or less 14 months, humidity 60 to 65 %.
    ("isu-pears2016", "harvest.storage.temp_c"): ({"pear": (celsius(32), celsius(35))}, 0.06),
    ("isu-pears2016", "harvest.storage.weeks"): ({"pear": (4, 13)}, 0),
    # Gardeners' own: the highest wire 180 cm up; stakes of 180 cm, 30 of them in the ground; six feet to grow.
    ("fragrantgarden", "support.height_m"): ({"sweet-pea": (0, 1.83)}, 0),
    **{(source, "support.height_m"): (rows, 0) for source, rows in SUPPORT_M.items()},
    ("dahlias-victoria", "support.from_cm"): ({"dahlia": (20, 40)}, 0),
    # Iowa's growers: 3 to 6 months.
    ("choose-iowa-nuts", "harvest.storage.weeks"): ({"hazel": (13, 26)}, 0),
    # Mason, Simply Vegetables, spring 2025: weekly.
    ("nvs2025", "care.feed_weeks"): (dict.fromkeys(("cucumber-greenhouse", "melon"), both(1)), 0),
    **{(source, "planting.in_pot_l"): (rows, TENTH_OF_A_LITRE) for source, rows in POTS.items()},
    **{(source, "raising.ready_weeks"): (rows, 0) for source, rows in WEEKS.items()},
    **{(source, key): (rows, 0) for source, keys in DISTANCES.items() for key, rows in keys.items()},
    ("osu-soil2007", "sowing.soil_min_c"): (SOIL_C, HALF_A_TENTH),
    **{(source, "rotation_years"): (rows, 0) for source, rows in YEARS.items()},
}


@pytest.mark.parametrize(("source", "key"), HELD)
def test_what_cites_a_table_lies_within_its_row(source: str, key: str) -> None:
    rows, tolerance = HELD[source, key]
    citing = {crop.key for crop in CROPS.values() if crop.sources.get(key) == source}
    assert citing == rows.keys()
    for crop in citing:
        low, high = rows[crop]
        unit = GALLON_L if key == "planting.in_pot_l" else 1
        found = [one / unit for one in numbers_in(flat(CROPS[crop])[key])]
        assert found and low - tolerance <= min(found) and max(found) <= high + tolerance, (crop, found)


def test_all_that_cites_a_source_of_these_tables_is_held_here() -> None:
    held, seasons = {source for source, _ in HELD}, {source for source, _, _ in SEASONS}
    for crop in CROPS.values():
        for key, source in crop.sources.items():
            # Degrees of cold are held by test_cold_published.py.
            if source in held and source not in seasons and not key.startswith("cold."):
                assert (source, key) in HELD, (crop.key, key)


# Months, first and last, over the new year where the last comes first. Thrive (bare-root trees); Yorkshire Post (bushes:
# rest to March; leaves fall in November); National Allotment Society (end of May, June); The Guardian (radishes).
# Eat the Seasons, home grown: chillies, cucumbers, maincrop potatoes, sweetcorn, tomatoes, fennel, pumpkin, butternut
# squash and plums, of July to October, the months that were read.
TREES, BUSHES = (
    ("apricot", "cherry", "peach", "pear", "plum"),
    ("blackberry", "blackcurrant", "gooseberry", "raspberry-autumn", "raspberry-summer", "redcurrant"),
)
SEASONS: Mapping[tuple[str, str, str], tuple[int, int]] = {
    **{("thrive-bareroot", "planting.out", crop): (11, 4) for crop in TREES},
    **{("yorkshirepost2016", "planting.out", crop): (11, 3) for crop in BUSHES},
    **{("nas-months", "planting.out", crop): (5, 6) for crop in ("courgette", "marrow", "pumpkin", "winter-squash")},
    **{("eat-the-seasons", "harvest.window", crop): (7, 10) for crop in ("chilli", "tomato")},
    ("eat-the-seasons", "harvest.window", "cucumber-outdoor"): (7, 9),
    **{
        ("eat-the-seasons", "harvest.window", crop): (8, 10) for crop in ("potato-maincrop", "sweetcorn", "fennel-bulb")
    },
    ("eat-the-seasons", "harvest.window", "plum"): (8, 9),
    **{("eat-the-seasons", "harvest.window", crop): (9, 10) for crop in ("pumpkin", "winter-squash")},
}


def months(window: DayRange) -> list[int]:
    (first, _), (last, _) = window
    return [(first - 1 + n) % 12 + 1 for n in range((last - first) % 12 + 1)]


@pytest.mark.parametrize(("source", "key"), sorted({(source, key) for source, key, _ in SEASONS}))
def test_seasons_lie_within_the_months_of_their_calendar(source: str, key: str) -> None:
    citing = {crop.key for crop in CROPS.values() if crop.sources.get(key) == source}
    assert citing == {crop for one, other, crop in SEASONS if (one, other) == (source, key)}
    for crop in citing:
        first, last = SEASONS[source, key, crop]
        window = flat(CROPS[crop])[key]
        assert isinstance(window, tuple)
        assert set(months(window)) <= set(months(((first, 1), (last, 1)))), (crop, window)


# RHS: caterpillars in May and June, and in August to October. Macclesfield Express, 3 May 2017: late April to September.
PESTS = {
    ("leek", "leek moth"): ("rhs-leek-moth", (5, 1), (10, 31)),
    ("gooseberry", "gooseberry sawfly"): ("express-sawfly2017", (4, 21), (9, 30)),
}


@pytest.mark.parametrize(("crop", "what"), PESTS)
def test_caterpillars_are_looked_for_while_they_feed(crop: str, what: str) -> None:
    source, first, last = PESTS[crop, what]
    (season,) = (time.season for time in CROPS[crop].watch if time.what.value == what)
    assert CROPS[crop].sources[f"watch.{what}.season"] == source
    assert first <= season[0] <= season[1] <= last


def test_cauliflowers_come_up_in_the_published_days() -> None:
    # Harrington and Minges 1954, at 50, 59 and 68 degrees F: 20 (19 in Oregon's copy), 10 and 6 days.
    assert dict(CROPS["cauliflower"].sowing.emergence) == {10: 20, 15: 10, 20: 6}
