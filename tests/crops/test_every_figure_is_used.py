"""No field that nothing reads, none that no crop fills, and every crop has what its kind needs."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bot.core.growing.crop import NOT_FOOD, Kind, Life, Start, Watch
from bot.crops.keys import HABITS, READY, SAFETY
from bot.crops.loader import load, load_rules
from bot.crops.reading import FIELDS, WATCH_FIELDS, flat

ROOT = Path(__file__).parents[2] / "bot"
CROPS = load()
#: The names under which the code holds a part of a rule.
HELD_AS = {
    "": ("crop", "rule", "one", "shared", "outlook.crops[key]", "crops[key]", r"rules\[\w+\]", r"crops\[\w+\]"),
    "cold": ("cold", "self"),
    "sowing": ("sowing",),
    "raising": ("raising",),
    "planting": ("planting",),
    "support": ("support", "need"),
    "bolting": ("bolting", "rule"),
    "care": ("care",),
    "harvest": ("harvest",),
    "harvest.storage": ("storage",),
    "watch": ("time", "watch"),
}


@pytest.fixture(scope="module")
def code() -> str:
    """Everything that uses rules: all but the loader and, of the rule itself, its declarations."""
    files = [path for path in ROOT.rglob("*.py") if path.parent.name != "crops"]
    return "\n".join(path.read_text(encoding="utf-8") for path in files)


@pytest.mark.parametrize("key", [*FIELDS, *(f"watch.{name}" for name in WATCH_FIELDS)])
def test_every_field_is_read_by_something_that_decides_or_speaks(key: str, code: str) -> None:
    parent, _, name = key.rpartition(".")
    held = "|".join(one if "\\" in one else re.escape(one) for one in HELD_AS[parent])
    assert re.search(rf"(?:{held})\.{name}\b", code), f"nothing reads {key}"


def test_every_field_is_filled_by_a_crop() -> None:
    filled = {key for crop in CROPS.values() for key in flat(crop)}
    assert set(FIELDS) - filled == set()


def test_every_key_of_a_sign_a_caution_and_a_habit_is_used_by_a_crop() -> None:
    assert {crop.harvest.ready for crop in CROPS.values()} == READY
    assert {key for crop in CROPS.values() for key in crop.safety} == SAFETY.keys()
    assert {key for crop in CROPS.values() for key in crop.habits} == HABITS


def test_there_are_more_than_sixty_crops_of_every_kind() -> None:
    assert len(CROPS) >= 60
    assert {crop.kind for crop in CROPS.values()} == set(Kind)


@pytest.mark.parametrize("key", sorted(CROPS))
def test_a_crop_has_a_family_a_sign_of_ripeness_and_a_source_or_the_mark_of_practice_for_each_figure(key: str) -> None:
    crop = CROPS[key]
    assert crop.family.istitle() and crop.harvest.ready and (crop.harvest.yield_kg or crop.kind in NOT_FOOD)
    figures = {name for name, one in FIELDS.items() if one.figure and name in flat(crop)}
    assert figures <= crop.sources.keys()


RAISED = [crop for crop in CROPS.values() if crop.sowing.indoors and crop.sowing.start is Start.SEED]


@pytest.mark.parametrize("key", [crop.key for crop in RAISED])
def test_what_is_sown_indoors_is_potted_on_hardened_off_and_planted_out(key: str) -> None:
    crop = CROPS[key]
    assert crop.raising is not None and crop.planting.out is not None
    assert crop.raising.pot_on_height_cm < crop.raising.leggy_height_cm
    # 7-10 days is the least published (growinggardens.org); what stays under glass wants less (common practice).
    assert crop.raising.hardening_days[0] >= (5 if key == "cucumber-greenhouse" else 7)


# Common practice, no source: what each family is watched for.
WATCHED = {
    "Brassicaceae": (Watch.PIGEONS, Watch.CABBAGE_WHITE, Watch.CLUB_ROOT),
    "Amaryllidaceae": (Watch.WHITE_ROT,),
    "Apiaceae": (Watch.CARROT_FLY,),
    "Solanaceae": (Watch.BLIGHT,),
    "Grossulariaceae": (Watch.BIRDS,),
}
SPARED = {  # quick leaves and herbs, and what blight does not take
    "chives", "coriander", "dill", "fennel-bulb", "land-cress", "mizuna", "pak-choi", "radish", "rocket",
    "aubergine", "chilli", "pepper", "daffodil", "mustard-manure",
}  # fmt: skip


@pytest.mark.parametrize("key", [key for key, crop in CROPS.items() if crop.family in WATCHED and key not in SPARED])
def test_a_family_is_watched_for_what_it_gets(key: str) -> None:
    crop = CROPS[key]
    assert set(WATCHED[crop.family]) <= {time.what for time in crop.watch}


def test_what_dies_in_the_soil_with_its_family_rests_longest_and_no_annual_vegetable_comes_back_at_once() -> None:
    alliums = [crop for crop in CROPS.values() if Watch.WHITE_ROT in {time.what for time in crop.watch}]
    assert alliums and all(crop.rotation_years >= 4 for crop in alliums)
    families = ("Brassicaceae", "Solanaceae", "Fabaceae", "Apiaceae", "Amaranthaceae")
    roots = [crop for crop in CROPS.values() if crop.kind is Kind.VEGETABLE and crop.family in families]
    assert all(crop.rotation_years >= 2 for crop in roots if crop.life is not Life.PERENNIAL)


def test_soft_fruit_flowers_in_spring_and_only_perennials_have_a_season_of_flowers() -> None:
    assert {crop.life for crop in CROPS.values() if crop.harvest.flowering} == {Life.PERENNIAL}
    fruit = [crop for crop in CROPS.values() if crop.kind is Kind.FRUIT and crop.life is Life.PERENNIAL]
    missing = {crop.key for crop in fruit if crop.harvest.flowering is None}
    assert missing <= {"rhubarb", "fig"}  # a fig flowers within its fruit


def test_more_than_a_quarter_of_all_figures_have_a_published_source() -> None:
    weights = ("harvest.order", "cold.weeks_lost")  # how this program ranks, no facts of the trade
    named = [source for crop in CROPS.values() for key, source in crop.sources.items() if key not in weights]
    assert sum(source != "practice" for source in named) / len(named) > 0.28


# US Federal Seed Act regulations, 7 CFR 201.31 (59 FR 64491, read 2026-11-25): least percentage that comes up when sold.
LEAST_PCT = {
    "french-bean": 70, "runner-bean": 75, "broad-bean": 75, "beetroot": 65, "calabrese": 75, "brussels-sprouts": 70,
    "cabbage-summer": 75, "carrot": 55, "cauliflower": 75, "celeriac": 55, "celery": 55, "chard": 65, "chicory": 65,
    "lambs-lettuce": 70, "sweetcorn": 75, "cucumber-outdoor": 80, "dill": 60, "aubergine": 60, "endive": 70, "kale": 75,
    "kohlrabi": 75, "leek": 60, "lettuce": 80, "melon": 75, "onion-seed": 70, "pak-choi": 75, "parsley": 60,
    "parsnip": 60, "pea": 80, "pepper": 55, "pumpkin": 75, "radish": 75, "swede": 75, "spinach": 60, "courgette": 75,
    "tomato": 75, "turnip": 80,
}  # fmt: skip


@pytest.mark.parametrize("key", LEAST_PCT)
def test_spares_count_on_no_more_seed_coming_up_than_the_law_asks_for(key: str) -> None:
    assert CROPS[key].sowing.germination_pct == LEAST_PCT[key]
    assert CROPS[key].sources["sowing.germination_pct"] == "cfr-201-31"


def test_peas_and_sweetcorn_ripen_by_the_published_heat() -> None:
    # Peas: 1250 degree days above 40 F for the quickest (Ernest 2025, Univ. of Delaware). Sweetcorn 'Jubilee': 1539 above
    # 50 F (Oregon State Univ. Croptime). A degree day F is 5/9 of one C.
    pea, corn = CROPS["pea"].harvest, CROPS["sweetcorn"].harvest
    assert pea.base_c == pytest.approx((40 - 32) / 1.8, abs=0.05) and corn.base_c == pytest.approx((50 - 32) / 1.8)
    assert pea.degree_days == pytest.approx(1250 / 1.8, abs=1) and corn.degree_days == pytest.approx(1539 / 1.8, abs=1)


def test_fruit_blossom_is_at_risk_at_the_warm_end_of_its_published_range() -> None:
    # PMC10202904, Table 2: fruit blossom -2 to -4 C.
    for key in ("blackcurrant", "redcurrant", "gooseberry", "raspberry-summer", "raspberry-autumn"):
        assert CROPS[key].cold.flowering_c == -2.0


def test_every_rule_has_an_example_that_fires_and_one_that_does_not() -> None:
    crops, _, examples = load_rules()
    assert examples.keys() == crops.keys()
    for key, own in examples.items():
        told = {
            getattr(one, "damaged", None) if hasattr(one, "damaged") else getattr(one, "expect", None) for one in own
        }
        assert told == {True, False}, key
