"""Windows of sowing, planting and harvest of the crop rules against calendars published for Britain, all read 2026-11-27.

Each row is typed from its source, months as published ("mid Mar": the second third of the month). A window that cites a
source must have a row here and lie within it, up to a third of a month beyond either end. sources.toml names each work
and the copy that was read.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Mapping
from datetime import date, timedelta

import pytest

from bot.core.growing.crop import DayRange
from bot.crops.loader import load
from bot.crops.reading import flat

CROPS = load()
YEAR = 2025  # any year of 365 days
A_THIRD = timedelta(10)
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
INDOORS, COVER, OUTDOORS = "sowing.indoors", "sowing.under_cover", "sowing.outdoors"
OUT, HARVEST = "planting.out", "harvest.window"
ALL_YEAR = "Jan - Dec"
SPRING_LEAVES = ("mizuna", "mustard-greens", "land-cress", "rocket")

# By source and key of the window. Dowding: lists under cover and outside, February to May. Cookham Chillies: one table,
# its sowing times wherever they are sown, "Cabbage Pointed" for the summer cabbage, "Artichoke" for the globe artichoke.
# A. C. Goatham & Son: first and last month whose list names it (July was not read), "new potatoes" for earlies, "cob nuts"
# for hazel; apples and pears "finished till August when the harvest begins". The Guardian's "Sow" likewise says no place.
# "From April onwards" runs to December; midsummer is 21 June, and autumn lasts to the end of November.
WINDOWS: Mapping[tuple[str, str], Mapping[str, str]] = {
    ("dowding-timeline", INDOORS): {
        "tomato": "Mar - Apr", "cauliflower": "Feb - Apr", "parsley": "Feb - Apr", "lettuce": "Feb - May",
        "winter-squash": "mid Apr - early May",
    },
    ("dowding-timeline", COVER): {
        "broad-bean": "Feb - Apr", "spinach": "Feb - Apr", "spring-onion": "Feb - May", "pea": "Mar - Apr",
    },
    ("dowding-timeline", OUTDOORS): {"broad-bean": "Feb - Apr"},
    ("cookham", INDOORS): {"celery": "Feb - May", "melon": "Mar - Apr"},
    ("cookham", COVER): {"cauliflower": "Jan - Jun", "parsley": "Feb - Jul"},
    ("cookham", OUTDOORS): {
        "climbing-french-bean": "May - Jun", "french-bean": "May - Jun", "onion-seed": "Feb - Apr",
        "parsley": "Feb - Jul", "endive": "Mar - Jul", "pea": "Mar - Jun",
    },
    ("cookham", OUT): {
        "calabrese": "Apr - Jul", "broccoli-sprouting": "Jun - Jul", "cabbage-summer": "Mar - Jun",
        "cauliflower": "Mar - Jul", "celery": "Mar - Jun", "kohlrabi": "Apr - Jun", "melon": "Apr - Jun",
        "okra": "Jun - Jun", "yardlong-bean": "May - Jun", "globe-artichoke": "May - May", "endive": "May - Aug",
        "fennel-bulb": "May - Aug", "chinese-cabbage": "Mar - Aug", "cucumber-greenhouse": "Jan - May",
        "lettuce": "Apr - Dec",
    },
    ("cookham", HARVEST): {
        "pea": "Jun - Sep", "celery": "Jul - Nov", "melon": "Jul - Sep", "spinach": "Apr - Oct",
        "french-bean": "Jul - Oct", "climbing-french-bean": "Jul - Oct", "onion-seed": "Aug - Oct",
        "broccoli-sprouting": "Jul - May", "parsley": "Jun - Dec",
    },
    ("goatham", HARVEST): {
        "aubergine": "Jun - Sep", "broad-bean": "Jun - Aug", "courgette": "Jun - Sep", "globe-artichoke": "Jun - Oct",
        "lettuce": "May - Oct", "mangetout": "Jun - Sep", "potato-first-early": "May - Aug",
        "potato-second-early": "May - Aug",
        "kohlrabi": "Jun - Dec", "beetroot": "Jun - Dec", "grape": "Sep - Oct", "hazel": "Sep - Nov", "pear": "Aug - Oct",
        "oregano": "May - Sep",
    },
    ("classone", HARVEST): dict.fromkeys(("cucumber-greenhouse", "pepper", "marrow"), "Jul - Oct"),
    ("soil-association", HARVEST): {"asparagus": "late Apr - late Jun"},
    ("cookeryclub", HARVEST): {"redcurrant": "Jul - Aug", "mint": "Mar - Nov"},
    ("guardian-gooseberries2008", HARVEST): {"gooseberry": "Jun - Aug"},
    ("guardian-strawberries2008", HARVEST): {"strawberry": "Jun - Jul"},
    ("guardian-rosemary2008", HARVEST): {"rosemary": ALL_YEAR},
    ("housebeautiful2018", OUT): {"basil": "Jun - Aug"},
    ("housebeautiful2018", HARVEST): {"sage": ALL_YEAR, "thyme": ALL_YEAR},
    ("guardian-salad2008", OUTDOORS): {"radish": "Mar - Sep"},
    ("guardian-salad2008", HARVEST): {"radish": "May - Jan"},
    ("guardian-chicory2008", COVER): {"chicory": "Mar - Aug"},
    ("guardian-chicory2008", OUTDOORS): {"chicory": "Mar - Aug"},
    ("guardian-chicory2008", HARVEST): {"chicory": "May - Mar"},
    ("guardian-leaves2008", COVER): dict.fromkeys(SPRING_LEAVES, "Mar - Sep"),
    ("guardian-leaves2008", OUTDOORS): dict.fromkeys(
        (*SPRING_LEAVES, "spinach", "lambs-lettuce", "fenugreek"), "Mar - Sep"
    ),
    ("guardian-leaves2008", HARVEST): dict.fromkeys(("mizuna", "rocket", "fenugreek", "mustard-greens"), "May - Feb"),
    **{("guardian-pakchoi2008", key): {"pak-choi": "Apr - Aug"} for key in (INDOORS, COVER, OUTDOORS)},
    ("guardian-pakchoi2008", HARVEST): {"pak-choi": "Jun - Dec"},
    ("guardian-fennel2008", INDOORS): {"fennel-bulb": "Apr - Jun"},
    ("guardian-mangetout2006", COVER): {"mangetout": "Mar - Apr"},
    ("wildgreens-fennel", COVER): {"fennel-bulb": "Mar - Jul"},
    ("wildgreens-fennel", OUTDOORS): {"fennel-bulb": "Mar - Jul"},
    ("garden-organic-coriander", OUTDOORS): {"coriander": "Apr - Sep"},
    ("edible-leeds", OUT): {"chard": "May - Dec"},
    ("edible-leeds", COVER): {"lettuce": ALL_YEAR, "lettuce-winter": ALL_YEAR, "chard": "Mar - Apr"},
    ("cambrian-news", INDOORS): dict.fromkeys(("aubergine", "chilli", "pepper"), "Feb - early Apr"),
    ("marshalls-may", OUTDOORS): {"marrow": "mid May - late May"},
    ("bromsgrove-june", OUTDOORS): {"courgette": "Jun - Jun", "cucumber-outdoor": "Jun - Jun"},
    ("duckshill-may", OUTDOORS): {"pumpkin": "May - May", "winter-squash": "May - May"},
    ("roehampton-may", OUTDOORS): {"sweetcorn": "May - May"},
    ("chooseorganic", OUTDOORS): {"jerusalem-artichoke": "Mar - Apr"},
    ("chooseorganic", OUT): {"asparagus": "Mar - Apr"},
    ("dobies-onions", OUTDOORS): {"onion-set": "mid Mar - mid Apr"},
    ("dobies-onions", HARVEST): {"shallot": "Jul - Aug"},
    ("rocketgardens", OUTDOORS): {"shallot": "Feb - Mar"},
    # "Midwinter to midsummer", here January to the end of June.
    ("gw-peas2023", OUTDOORS): {"mangetout": "Jan - Jun"},
    ("gw-summer2023", OUTDOORS): {"spring-onion": "Mar - Aug"},
    ("gw-summer2023", OUT): {"rhubarb": "Oct - Apr"},
    ("gw-summer2023", HARVEST): {"rhubarb": "Mar - Jul"},
    ("countryfile-sweetpea", COVER): {"sweet-pea": "Oct - Apr"},
    ("countryfile-sweetpea", OUTDOORS): {"sweet-pea": "Apr - May"},
    ("countryfile-sweetpea", OUT): {"sweet-pea": "Apr - May"},
    ("bdgc-sweetpea", HARVEST): {"sweet-pea": "May - Aug"},
    ("inews-bulbs2022", OUTDOORS): {"daffodil": "Sep - Nov", "tulip": "Nov - Nov"},
    ("meadowmania2013", OUTDOORS): dict.fromkeys(("mustard-manure", "phacelia"), "Mar - Sep"),
    ("marshalls-sweetpotato", HARVEST): {"sweet-potato": "late Sep - Oct"},
    ("carrob-figs", HARVEST): {"fig": "mid Aug - Sep"},
    ("sowhow2017", INDOORS): {"tomatillo": "Mar - Apr"},
    ("sowhow2017", HARVEST): {"tomatillo": "Aug - Oct"},
    ("nas-june", OUT): dict.fromkeys(
        ("climbing-french-bean", "french-bean", "runner-bean", "sweetcorn", "cucumber-outdoor"), "Jun - Jun"
    ),
    ("dowding-winter", COVER): {"chinese-cabbage": "Jul - Jul"},
    ("dowding-winter", OUTDOORS): {"chinese-cabbage": "Jul - Jul"},
    ("gardennews-oriental", HARVEST): {"chinese-cabbage": "Aug - Nov"},
    ("hardingandbloom", COVER): {"dahlia": "Mar - Apr"},
    ("hardingandbloom", HARVEST): {"dahlia": "late Jun - Nov"},
    ("homesandgardens-dahlias", OUT): {"dahlia": "May - Jun"},
    ("homesandgardens-sunflowers", HARVEST): {"sunflower": "Jul - Oct"},
    ("saxongate", HARVEST): {"daffodil": "Feb - May"},
    ("shirleysnells2022", HARVEST): {"tulip": "Apr - May"},
    ("salisbury2010", HARVEST): {"jerusalem-artichoke": "Oct - Mar"},
    ("nas-amaranthus", OUT): {"amaranth": "Jun - Jun"},
    ("beechhill-april", OUT): {"broad-bean": "Apr - Apr"},
    ("horfield-april", OUT): dict.fromkeys(("pea", "mangetout"), "Apr - May"),
    ("fowler2021", OUT): dict.fromkeys(("tomato", "tomatillo", "sunflower"), "mid May - early Jun"),
    ("guardian-chives2008", OUT): {"chives": "Apr - Dec"},
    ("burleydam", OUT): dict.fromkeys(("mint", "thyme", "sage", "rosemary", "coriander"), "Mar - Dec"),
    ("oca-testbed", HARVEST): {"oca": "Nov - Dec"},
    ("which-salads", HARVEST): {"lettuce-winter": "Nov - early May", "lambs-lettuce": "Nov - Apr"},
    ("rocketgardens-autumn", OUT): {"lettuce-winter": "late Aug - Oct"},
    ("rocketgardens-autumn", HARVEST): {"cabbage-spring": "Mar - Dec"},
    ("gw-may", OUT): {"fig": ALL_YEAR},
    ("citycottage", OUT): {"grape": ALL_YEAR},
    ("barrhead-bareroot", OUT): {"hazel": "Nov - Mar"},
    ("rpa-months", OUT): {"leek": "May - Jul", "cabbage-spring": "Sep - Oct", "sweet-potato": "May - Jun"},
    ("rocketgardens-june", OUT): dict.fromkeys(("aubergine", "chilli", "pepper"), "Jun - Jun"),
    ("garden-organic-april", OUT): {"onion-seed": "Apr - Apr"},
    ("aeronvale", OUT): {"beetroot": "Mar - Jul"},
    ("haxnicks-may", INDOORS): {"sweetcorn": "Apr - May"},
    ("haxnicks-may", COVER): {"swede": "May - May"},
    ("national-trust-may", INDOORS): {"cucumber-outdoor": "May - May", "pumpkin": "May - May"},
    ("hayle-beans", INDOORS): {"climbing-french-bean": "Apr - Jun", "french-bean": "Apr - Jun"},
    ("justseed", OUTDOORS): {"lettuce": "Apr - Jul"},
}  # fmt: skip


def first_day(text: str) -> date:
    third, month = text.split() if " " in text else ("early", text)
    return date(YEAR, MONTHS.index(month) + 1, {"early": 1, "mid": 11, "late": 21}[third])


def last_day(text: str) -> date:
    third, month = text.split() if " " in text else ("late", text)
    number = MONTHS.index(month) + 1
    return date(YEAR, number, {"early": 10, "mid": 20, "late": monthrange(YEAR, number)[1]}[third])


def days_between(first: date, last: date) -> int:
    return (last - first).days % 365


def lies_within(window: DayRange, row: str) -> bool:
    """That `window` begins and ends within the months of `row`, a third of a month allowed at either end."""
    opens, closes = row.split(" - ")
    lowest, highest = first_day(opens), last_day(closes)
    allowed = days_between(lowest, highest) + 2 * A_THIRD.days
    begins, ends = (date(YEAR, month, day) for month, day in window)
    return allowed >= 364 or days_between(lowest - A_THIRD, begins) + days_between(begins, ends) <= allowed


@pytest.mark.parametrize(("source", "key"), WINDOWS)
def test_a_window_lies_within_its_published_months(source: str, key: str) -> None:
    rows = WINDOWS[source, key]
    assert {crop.key for crop in CROPS.values() if crop.sources.get(key) == source} == rows.keys()
    for crop, row in rows.items():
        window = flat(CROPS[crop])[key]
        assert isinstance(window, tuple)
        assert lies_within(window, row), (crop, window, row)


def test_all_that_cites_a_calendar_of_these_is_held_here() -> None:
    calendars = {source for source, _ in WINDOWS}
    for crop in CROPS.values():
        for key, source in crop.sources.items():
            assert source not in calendars or (source, key) in WINDOWS, (crop.key, key)


@pytest.mark.parametrize(
    ("window", "row", "within"),
    [
        (((3, 1), (4, 30)), "Mar - Apr", True),
        (((2, 19), (5, 10)), "Mar - Apr", True),
        (((2, 18), (4, 30)), "Mar - Apr", False),
        (((3, 1), (5, 11)), "Mar - Apr", False),
        (((5, 1), (2, 1)), "Mar - Apr", False),
        (((10, 1), (3, 31)), "Oct - Mar", True),
        (((9, 20), (3, 31)), "Oct - Mar", False),
        (((3, 31), (10, 1)), "Oct - Mar", False),
        (((4, 11), (6, 30)), "late Apr - late Jun", True),
        (((4, 10), (6, 30)), "late Apr - late Jun", False),
        (((8, 20), (7, 31)), ALL_YEAR, True),
    ],
)
def test_a_third_of_a_month_is_allowed_and_no_more(window: DayRange, row: str, within: bool) -> None:
    assert lies_within(window, row) is within
