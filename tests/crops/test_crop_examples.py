"""Every crop bears out the examples that stand in its own file."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bot.core.garden.snapshot import Stage
from bot.core.growing.crop import Start
from bot.crops.examples import ColdExample, SowExample, Where, day_within, may_sow, run
from bot.crops.loader import load_rules

CROPS, _, EXAMPLES = load_rules()


@pytest.mark.parametrize("key", CROPS)
def test_the_rule_says_what_its_examples_say(key: str) -> None:
    assert EXAMPLES[key]
    assert [str(mistake) for mistake in run(CROPS[key], EXAMPLES[key])] == []


def test_an_example_that_the_rule_does_not_bear_out_is_told() -> None:
    wrong = ColdExample(Stage.GROWING, plant_min_c=-5.0, damaged=False)
    (mistake,) = run(CROPS["tomato"], [wrong])
    assert "tomato" in str(mistake) and "is True, expected False" in str(mistake)


def test_a_night_that_only_reaches_the_threshold_does_no_damage() -> None:
    limit = CROPS["french-bean"].cold.hardened_c
    at, below = (ColdExample(Stage.GROWING, limit - part, damaged=bool(part)) for part in (0.0, 0.1))
    assert run(CROPS["french-bean"], [at, below]) == []


def test_seed_that_is_not_up_yet_is_not_damaged_by_frost() -> None:
    assert run(CROPS["runner-bean"], [ColdExample(Stage.SOWN, plant_min_c=-8.0, damaged=False)]) == []


def test_a_window_may_run_over_the_new_year() -> None:
    garlic = CROPS["garlic"].sowing.outdoors
    assert garlic is not None and garlic[0] > garlic[1]
    assert day_within((12, 24), garlic) and day_within((1, 6), garlic) and not day_within((6, 21), garlic)


def test_cold_soil_and_a_missing_window_both_forbid_sowing() -> None:
    bean = CROPS["runner-bean"]
    assert may_sow(bean, (5, 25), Where.OUTDOORS, soil_c=16.0)
    assert not may_sow(bean, (5, 25), Where.OUTDOORS, soil_c=9.0)
    nowhere = replace(bean, sowing=replace(bean.sowing, outdoors=None))
    assert not may_sow(nowhere, (5, 25), Where.OUTDOORS, soil_c=16.0)
    assert run(bean, [SowExample((5, 25), Where.OUTDOORS, expect=False, soil_c=9.0)]) == []


def test_tubers_are_chitted_before_they_are_planted() -> None:
    for crop in CROPS.values():
        if crop.sowing.start is Start.TUBER and crop.sowing.indoors and crop.sowing.outdoors:
            assert crop.sowing.indoors[0] < crop.sowing.outdoors[0], crop.key
