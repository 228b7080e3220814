"""Distances, depths, yields, seasons, rotation and pests of the crop rules against what is published, all read 2026-11-27.

Each table holds what its source prints; a figure that cites the source must have a row here and lie within it. Inches are
as printed. sources.toml names each work and the copy that was read.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pytest

from bot.core.growing.crop import Crop, DayRange
from bot.crops.keys import SAFETY
from bot.crops.loader import load
from bot.crops.reading import flat
from tests.benchmarks.bench_sources import RANKS, figures, practice_share

CROPS = load()
ROUNDED_CM = 0.8  # figures are whole centimetres, or fives: 18 inches are 45 cm
Row = tuple[float, float]
PLANTS, ROWS, DEPTH = "planting.in_row_cm", "planting.rows_cm", "sowing.depth_cm"


def inches(low: float, high: float | None = None) -> Row:
    return low * 2.54, (low if high is None else high) * 2.54


def cm(low: float, high: float | None = None) -> Row:
    return low, low if high is None else high


# University of Maine Cooperative Extension, planting chart for the home vegetable garden.
UMAINE: Mapping[str, Mapping[str, Row]] = {
    PLANTS: {
        "asparagus": inches(18), "cabbage-summer": inches(12, 18), "cabbage-winter": inches(12, 18), "carrot": inches(2, 3),
        "pea": inches(1, 2), "mangetout": inches(1, 2), "spinach": inches(3, 4), "tomato": inches(18, 36),
        "pepper": inches(18),
    },
    ROWS: {
        "asparagus": inches(36, 48), "aubergine": inches(24, 36), "cabbage-winter": inches(24, 36), "pea": inches(18, 36),
        "pepper": inches(18, 24), "spinach": inches(12, 18), "tomato": inches(24, 48), "onion-seed": inches(12, 18),
    },
    DEPTH: {
        "asparagus": inches(6, 8), "carrot": inches(0.5), "parsnip": inches(0.5),
        "winter-squash": inches(1), "turnip": inches(0.25, 0.5),
    },
}  # fmt: skip
# University of Florida IFAS Extension, planting guide of SP 103; the depth of celery is "on surface".
IFAS: Mapping[str, Mapping[str, Row]] = {
    PLANTS: {
        "brussels-sprouts": inches(18, 24), "chinese-cabbage": inches(14, 18), "mustard-greens": inches(5, 10),
        "celery": inches(6, 12), "endive": inches(14, 16), "lettuce": inches(8, 12), "lettuce-winter": inches(8, 12),
        "melon": inches(20, 36), "aubergine": inches(18, 40), "cabbage-spring": inches(9, 16),
    },
    ROWS: {"rocket": inches(10), "french-bean": inches(18)},
    DEPTH: {
        "broccoli-sprouting": inches(0.25, 0.5), "brussels-sprouts": inches(0.25, 0.5), "cauliflower": inches(0.25, 0.5),
        "kale": inches(0.25, 0.5), "chinese-cabbage": inches(0.25, 0.5), "mustard-greens": inches(0.25, 0.5),
        "celery": cm(0), "endive": inches(0.25), "lettuce": inches(0.25), "lettuce-winter": inches(0.25),
        "sweetcorn": inches(1, 1.5), "melon": inches(0.5, 1), "cucumber-greenhouse": inches(0.5, 0.75),
        "aubergine": inches(0.5, 0.75), "rocket": inches(0.25),
    },
}  # fmt: skip
# University of Missouri Extension, G6201: rows worked by hand.
MISSOURI: Mapping[str, Mapping[str, Row]] = {
    PLANTS: {"cauliflower": inches(24), "sweet-potato": inches(12)},
    ROWS: {
        "cauliflower": inches(24), "kale": inches(24), "chard": inches(18), "sweet-potato": inches(30), "melon": inches(48),
    },
    DEPTH: {"onion-set": inches(1)},
}  # fmt: skip
# Royal Horticultural Society and the gardeners whom The Guardian asked in April 2008; the National Allotment Society.
BRITISH: Mapping[str, Mapping[str, Mapping[str, Row]]] = {
    "rhs-beetroot": {PLANTS: {"beetroot": cm(10)}, ROWS: {"beetroot": cm(30)}, DEPTH: {"beetroot": cm(2.5)}},
    "rhs-radish": {PLANTS: {"radish": cm(2)}, ROWS: {"radish": cm(15)}, DEPTH: {"radish": cm(1)}},
    "rhs-school": {
        PLANTS: {
            "strawberry": cm(30, 45), "pumpkin": cm(100, 180), "courgette": cm(90), "marrow": cm(120, 150),
        },
        ROWS: {"strawberry": cm(75, 90), "courgette": cm(90), "marrow": cm(120, 150)},
        DEPTH: {"pumpkin": cm(1, 2.5)},
    },
    "guardian-cabbages2008": {DEPTH: dict.fromkeys(("cabbage-spring", "cabbage-summer", "cabbage-winter"), cm(1))},
    "guardian-broccoli2008": {
        PLANTS: {"calabrese": cm(30), "broccoli-sprouting": cm(60, 500)}, DEPTH: {"calabrese": cm(1)},
    },
    "guardian-parsnips2008": {PLANTS: {"parsnip": cm(15)}},
    "guardian-leeks2008": {PLANTS: {"leek": cm(15)}, ROWS: {"leek": cm(30)}, DEPTH: {"leek": cm(1, 2)}},
    "guardian-turnips2008": {PLANTS: {"turnip": cm(10)}, ROWS: {"turnip": cm(23)}},
    "guardian-swedes2008": {PLANTS: {"swede": cm(23)}, ROWS: {"swede": cm(37)}, DEPTH: {"swede": cm(1)}},
    "guardian-celeriac2008": {PLANTS: {"celeriac": cm(30)}, ROWS: {"celeriac": cm(45)}},
    "guardian-chard2008": {DEPTH: {"chard": cm(1, 2)}},
    "guardian-carrots2008": {ROWS: {"carrot": cm(15)}},
    "nas-kohlrabi": {ROWS: {"kohlrabi": cm(30)}, DEPTH: {"kohlrabi": cm(1)}},
    "pitstone-garlic": {PLANTS: {"garlic": cm(15)}},
    "guardian-garlic2005": {DEPTH: {"garlic": cm(3)}},
    "rhs-runner-indoors": {DEPTH: {"runner-bean": cm(5)}},
    "rhs-sprouts": {ROWS: {"brussels-sprouts": cm(75)}},
    "guardian-raspberries2008": {PLANTS: {"raspberry-summer": cm(45)}},
    "guardian-blueberries2008": {PLANTS: {"blueberry": cm(120)}},
}  # fmt: skip
# Iowa State University Extension, small fruits in the home garden; Oak Park Conservatory; Texas A&M AgriLife Extension.
AMERICAN: Mapping[str, Mapping[str, Mapping[str, Row]]] = {
    "isu-fruit1996": {
        PLANTS: {
            "raspberry-autumn": inches(18, 36), "grape": inches(72, 96), "gooseberry": inches(48, 60),
            "redcurrant": inches(48, 60), "blackcurrant": inches(48, 60),
        },
        ROWS: dict.fromkeys(
            ("raspberry-summer", "raspberry-autumn", "gooseberry", "redcurrant", "blackcurrant"), inches(72, 96)
        ),
    },
    "seaton1993": {PLANTS: {"basil": inches(8)}},
    "txmg-herbs": {
        PLANTS: {
            "rosemary": inches(24), "chives": inches(6), "parsley": inches(6), "sage": inches(24), "oregano": inches(18),
        },
    },
}  # fmt: skip
SPACED = {"umaine": UMAINE, "ifas": IFAS, "missouri-g6201": MISSOURI, **BRITISH, **AMERICAN}


def cited(*keys: str) -> Iterator[tuple[Crop, str, str]]:
    """Every crop, key of a figure and source, where that figure cites a source of these tables."""
    for crop in CROPS.values():
        for key in keys:
            if (source := crop.sources.get(key, "practice")) != "practice":
                yield crop, key, source


@pytest.mark.parametrize("source", SPACED)
def test_what_cites_a_table_of_distances_lies_within_it(source: str) -> None:
    found = [(crop, key) for crop, key, one in cited(PLANTS, ROWS, DEPTH) if one == source]
    assert found
    for crop, key in found:
        low, high = SPACED[source][key][crop.key]
        tolerance = 0.1 if key == DEPTH else ROUNDED_CM
        value = flat(crop)[key]
        assert isinstance(value, float | int) and low - tolerance <= value <= high + tolerance, (crop.key, key, value)


# Pounds to a foot of row: University of Maine (per 10 ft; potatoes: 2 lb of seed to 10 ft, ten times their seed) and Kansas
# State University, MF315 (per 100 ft). A plant's share is that of the rule's distance, to two figures.
UMAINE_LB_FT = {
    "french-bean": 0.8, "climbing-french-bean": 1.2, "beetroot": 1.0, "carrot": 1.0, "parsnip": 1.5, "pea": 1.0,
    "mangetout": 1.0, "spinach": 0.45, "courgette": 1.5, "winter-squash": 1.0, "potato-maincrop": 2.0,
}  # fmt: skip
KANSAS_LB_FT = {
    "calabrese": 1.0, "aubergine": 1.0, "asparagus": 0.3, "brussels-sprouts": 0.75, "cauliflower": 1.0, "chard": 0.75,
    "kale": 1.0, "mustard-greens": 1.0, "okra": 1.0, "onion-set": 1.0, "onion-seed": 1.0, "parsley": 0.3, "pepper": 0.6,
    "sweet-potato": 1.0,
}  # fmt: skip
# Pounds a plant, University of Maine.
UMAINE_LB = {"tomato": (8, 8), "cabbage-spring": (0.75, 3), "cabbage-summer": (0.75, 3), "cabbage-winter": (0.75, 3)}
LB_KG, FOOT_CM = 0.45359237, 30.48


@pytest.mark.parametrize("key", [*UMAINE_LB_FT, *KANSAS_LB_FT])
def test_a_plant_bears_its_share_of_a_row_as_published(key: str) -> None:
    pounds, source = (UMAINE_LB_FT[key], "umaine") if key in UMAINE_LB_FT else (KANSAS_LB_FT[key], "ksu-mf315")
    crop = CROPS[key]
    expected = pounds * LB_KG * crop.planting.in_row_cm / FOOT_CM
    assert crop.harvest.yield_kg == pytest.approx(expected, rel=0.06) and crop.sources["harvest.yield_kg"] == source


def test_every_cited_yield_has_its_row() -> None:
    rows = {*UMAINE_LB_FT, *KANSAS_LB_FT, *UMAINE_LB}
    assert {crop.key for crop, _, _ in cited("harvest.yield_kg")} == rows
    for key, (low, high) in UMAINE_LB.items():
        kg = CROPS[key].harvest.yield_kg
        assert kg is not None and low * LB_KG - 0.05 <= kg <= high * LB_KG + 0.05


# Curing in days and keeping in weeks: Iowa State University Extension; G. Eyestone; UC Cooperative Extension ("a couple"); K.
# Chrisman, garlic, three to four weeks; an allotment journal, marrows; Michigan State University, shallots, from August
# through the winter.
CURED = {
    "onion-seed": (14, 21),
    "onion-set": (14, 21),
    "pumpkin": (10, 10),
    "winter-squash": (14, 14),
    "shallot": (14, 14),
    "garlic": (21, 28),
    "marrow": (7, 10),
}
KEPT_WEEKS = {
    "winter-squash": (5, 26),
    "sweet-potato": (4 * 52 / 12, 26),
    "shallot": (0, 26),
}  # acorn 5 weeks, Hubbard 6 months; 4 to 6 months


def test_what_is_stored_is_cured_and_kept_as_published() -> None:
    for key, (shortest, longest) in CURED.items():
        storage = CROPS[key].harvest.storage
        assert storage is not None and storage.cure_days is not None and shortest <= storage.cure_days <= longest, key
    for key, (least, most) in KEPT_WEEKS.items():
        storage = CROPS[key].harvest.storage
        assert storage is not None and least - 0.5 <= storage.weeks[0] and storage.weeks[1] <= most, key


# Months of the source, first and last, over the new year where the last comes first.
MONTHS: Mapping[str, Mapping[tuple[str, str], tuple[int, int]]] = {
    "guardian-beetroot2008": {("beetroot", "sowing.outdoors"): (2, 8), ("beetroot", "sowing.under_cover"): (2, 8)},
    "guardian-carrots2008": {("carrot", "sowing.outdoors"): (2, 9), ("carrot", "harvest.window"): (5, 12)},
    "guardian-turnips2008": {("turnip", "sowing.outdoors"): (3, 7), ("turnip", "harvest.window"): (5, 12)},
    "guardian-broccoli2008": {
        ("calabrese", "sowing.outdoors"): (3, 8), ("calabrese", "sowing.indoors"): (3, 8),
        ("calabrese", "harvest.window"): (6, 10), ("broccoli-sprouting", "sowing.outdoors"): (4, 6),
        ("broccoli-sprouting", "sowing.under_cover"): (4, 6),
    },
    "guardian-parsnips2008": {("parsnip", "sowing.outdoors"): (3, 4), ("parsnip", "harvest.window"): (9, 4)},
    "guardian-leeks2008": {
        ("leek", "sowing.indoors"): (1, 4), ("leek", "sowing.under_cover"): (1, 4), ("leek", "sowing.outdoors"): (1, 4),
        ("leek", "harvest.window"): (7, 4),
    },
    "guardian-cabbages2008": {
        ("cabbage-spring", "sowing.outdoors"): (7, 8), ("cabbage-spring", "sowing.under_cover"): (7, 8),
        ("cabbage-summer", "sowing.outdoors"): (2, 5), ("cabbage-summer", "sowing.indoors"): (2, 5),
        ("cabbage-summer", "sowing.under_cover"): (2, 5), ("cabbage-summer", "harvest.window"): (6, 10),
        # The rule is of autumn and winter cabbages: March to May and May to June, planted to July, cut from September.
        ("cabbage-winter", "sowing.outdoors"): (3, 6), ("cabbage-winter", "sowing.under_cover"): (3, 6),
        ("cabbage-winter", "planting.out"): (5, 7), ("cabbage-winter", "harvest.window"): (9, 3),
    },
    "guardian-onions2008": {("onion-set", "harvest.window"): (5, 9)},
    "guardian-swedes2008": {("swede", "sowing.outdoors"): (5, 7), ("swede", "harvest.window"): (9, 2)},
    "guardian-celeriac2008": {
        ("celeriac", "planting.out"): (5, 6), ("celeriac", "harvest.window"): (9, 4), ("celeriac", "sowing.indoors"): (2, 4),
    },
    "guardian-chard2008": {("chard", "sowing.outdoors"): (4, 8), ("chard", "harvest.window"): (1, 12)},
    "nas-kohlrabi": {("kohlrabi", "sowing.outdoors"): (2, 8), ("kohlrabi", "sowing.under_cover"): (2, 8)},
    "pitstone-garlic": {("garlic", "sowing.outdoors"): (9, 3), ("garlic", "harvest.window"): (5, 8)},
    "rhs-runner": {
        ("runner-bean", "sowing.indoors"): (4, 6), ("runner-bean", "sowing.outdoors"): (4, 6),
        ("runner-bean", "harvest.window"): (7, 10),
    },
    "guardian-cauliflower2008": {("cauliflower", "sowing.outdoors"): (4, 5), ("cauliflower", "harvest.window"): (6, 10)},
    "guardian-kale2008": {
        ("kale", "sowing.under_cover"): (4, 6), ("kale", "sowing.outdoors"): (4, 6), ("kale", "planting.out"): (6, 8),
        ("kale", "harvest.window"): (9, 5),
    },
    "guardian-sprouts2008": {
        ("brussels-sprouts", "sowing.indoors"): (3, 4), ("brussels-sprouts", "sowing.under_cover"): (3, 4),
        ("brussels-sprouts", "sowing.outdoors"): (3, 4), ("brussels-sprouts", "planting.out"): (5, 6),
        ("brussels-sprouts", "harvest.window"): (9, 4),
    },
    "guardian-raspberries2008": {
        ("raspberry-summer", "harvest.window"): (6, 10), ("raspberry-autumn", "harvest.window"): (6, 10),
    },
    "guardian-blueberries2008": {("blueberry", "planting.out"): (11, 2)},
    "guardian-apples2008": {("apple", "planting.out"): (11, 2)},
    "countrylife2018": {
        ("apple", "harvest.window"): (8, 11), ("apricot", "harvest.window"): (7, 8), ("blackberry", "harvest.window"): (7, 9),
        ("blackcurrant", "harvest.window"): (6, 8), ("blueberry", "harvest.window"): (7, 9), ("cherry", "harvest.window"): (6, 8),
    },
}  # fmt: skip
WINDOWS = ("sowing.indoors", "sowing.under_cover", "sowing.outdoors", "planting.out", "harvest.window")


def months(window: DayRange) -> list[int]:
    (first, _), (last, _) = window
    return [(first - 1 + n) % 12 + 1 for n in range((last - first) % 12 + 1)] if first != last else [first]


@pytest.mark.parametrize("source", MONTHS)
def test_seasons_lie_within_the_months_of_their_calendar(source: str) -> None:
    found = [(crop, key) for crop, key, one in cited(*WINDOWS) if one == source]
    assert {(crop.key, key) for crop, key in found} == set(MONTHS[source])
    for crop, key in found:
        first, last = MONTHS[source][crop.key, key]
        allowed = months(((first, 1), (last, 1))) if (first, last) != (1, 12) else list(range(1, 13))
        window = flat(crop)[key]
        assert isinstance(window, tuple)
        assert set(months(window)) <= set(allowed), (crop.key, key, window)


def test_turnips_are_ready_in_the_published_weeks() -> None:
    # The Guardian, with Sally Smith of Garden Organic: 6 weeks for early kinds, 10 to 12 for maincrop.
    assert CROPS["turnip"].harvest.days == (6 * 7, 12 * 7)


# RHS, vegetable crop planner: weeks from sowing or planting to harvest.
PLANNER = {
    (3, 13): ("cucumber-outdoor", "french-bean", "lettuce", "courgette", "radish", "spinach"),
    (14, 25): ("broad-bean", "cabbage-summer", "onion-set", "sweetcorn", "tomato"),
    (26, 52): ("broccoli-sprouting", "brussels-sprouts", "leek", "parsnip"),
}


def test_crops_are_ready_in_the_published_weeks() -> None:
    cited_here = {crop.key for crop, _, source in cited("harvest.days") if source == "rhs-planner"}
    assert cited_here == {key for keys in PLANNER.values() for key in keys}
    for (first, last), keys in PLANNER.items():
        for key in keys:
            days = CROPS[key].harvest.days
            assert first * 7 <= days[0] <= days[1] <= last * 7, key
    autumn = CROPS["onion-set"].harvest.autumn_days
    assert autumn is not None and 26 * 7 <= autumn[0] <= autumn[1] <= 52 * 7


def test_plants_are_raised_in_the_published_weeks() -> None:
    # Ernest, University of Delaware: lettuce 4 to 6, onion 9 to 12; Iowa State University: 5 to 7; The Guardian: 6 to 8.
    weeks = {
        "ernest-transplants": {"lettuce": (4, 6), "lettuce-winter": (4, 6), "onion-seed": (9, 12)},
        "isu-transplants": dict.fromkeys(
            ("cabbage-spring", "cabbage-summer", "cabbage-winter", "cauliflower", "calabrese", "broccoli-sprouting"),
            (5, 7),
        ),
        "guardian-kale2008": {"kale": (6, 8)},
    }
    for crop, _, source in cited("raising.ready_weeks"):
        if source in weeks:
            assert crop.raising is not None and crop.raising.ready_weeks == weeks[source].pop(crop.key)
    assert not any(weeks.values())


# RHS, "Crop rotation": a plan of three years by groups (peppers and aubergines anywhere in it); what is grown wherever
# convenient; perennial vegetables, which do not fit in.
BRASSICAS = (
    "broccoli-sprouting", "brussels-sprouts", "cabbage-spring", "cabbage-summer", "cabbage-winter", "calabrese",
    "cauliflower", "chinese-cabbage", "kale", "kohlrabi", "mizuna", "mooli", "mustard-greens", "pak-choi", "radish", "swede",
    "turnip",
)  # fmt: skip
OTHERS_IN_THREE_YEARS = (
    "pea", "mangetout", "broad-bean", "potato-first-early", "potato-second-early", "potato-maincrop", "tomato", "beetroot",
    "carrot", "celeriac", "celery", "fennel-bulb", "parsley", "parsnip", "aubergine", "pepper", "chilli",
)  # fmt: skip
WHEREVER = (
    "courgette", "marrow", "pumpkin", "winter-squash", "cucumber-outdoor", "cucumber-greenhouse", "sweetcorn", "endive",
    "chicory", "lettuce", "lettuce-winter", "rhubarb", "globe-artichoke", "jerusalem-artichoke",
)  # fmt: skip


def test_groups_come_back_after_the_published_years() -> None:
    years = {crop.key: crop.rotation_years for crop, _, source in cited("rotation_years") if source == "rhs-rotation"}
    assert years.keys() == {*BRASSICAS, *OTHERS_IN_THREE_YEARS, *WHEREVER}
    assert {years[key] for key in (*BRASSICAS, *OTHERS_IN_THREE_YEARS)} == {3}
    assert all(years[key] <= 1 for key in WHEREVER)


# When pests are about, days of the year: spring from 1 March, summer to the end of August, mid-summer from 15 June, early
# autumn to mid-September, late autumn to the end of November. RHS; cabbage root fly: AHDB; carrot fly: an association of
# allotment holders, "from May", into autumn.
ABOUT = {
    "rhs-slugs": ((1, 1), (12, 31)),
    "rhs-pigeons": ((1, 1), (12, 31)),
    "rhs-caterpillars": ((5, 1), (10, 31)),
    "rhs-flea-beetles": ((3, 1), (8, 31)),
    "rhs-aphids": ((3, 1), (8, 31)),
    "rhs-club-root": ((6, 15), (11, 30)),
    "rhs-white-rot": ((6, 15), (9, 15)),
    "rhs-powdery-mildew": ((3, 1), (11, 30)),
    "ahdb-root-fly": ((4, 1), (9, 30)),
    "braa-carrot-fly": ((5, 1), (11, 30)),
}


@pytest.mark.parametrize("source", ABOUT)
def test_pests_are_watched_for_while_they_are_about(source: str) -> None:
    found = [
        (crop.key, time)
        for crop in CROPS.values()
        for time in crop.watch
        if crop.sources[f"watch.{time.what.value}.season"] == source
    ]
    assert found
    first, last = ABOUT[source]
    for key, time in found:
        assert first <= time.season[0] <= time.season[1] <= last, (key, time)


def test_no_more_than_half_of_all_figures_are_common_practice() -> None:
    found = figures()
    assert practice_share(found) <= 0.5 and practice_share([one for one in found if one[0] not in RANKS]) <= 0.465


def test_only_two_cautions_are_common_practice() -> None:
    assert {key for key, sources in SAFETY.items() if set(sources) == {"practice"}} == {"not-food", "thorns-eyes"}
