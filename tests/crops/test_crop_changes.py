"""A garden changes a rule for itself, under the same checks as the rule."""

from __future__ import annotations

import pytest

from bot.crops.loader import load
from bot.crops.mistakes import CropRulesError
from bot.crops.own import Change, changeable_keys, overridden

TOMATO = load()["tomato"]


def test_a_changed_figure_is_the_gardens_and_the_rest_stays() -> None:
    own = overridden(TOMATO, {"planting.out.from": "05-20", "cold.hardened_c": -1.5})
    assert own.planting.out == ((5, 20), TOMATO.planting.out[1] if TOMATO.planting.out else None)
    assert own.cold.hardened_c == -1.5
    assert own.sources["planting.out"] == own.sources["cold.hardened_c"] == "garden"
    assert own.sources["care.kc"] == TOMATO.sources["care.kc"]
    assert TOMATO.sources["cold.hardened_c"] != "garden"


def test_no_change_gives_the_same_crop_for_every_crop() -> None:
    for crop in load().values():
        assert overridden(crop, {}) == crop


def test_a_garden_may_add_a_figure_that_the_rule_leaves_out() -> None:
    assert TOMATO.harvest.succession_days is None
    assert overridden(TOMATO, {"harvest.succession_days": 28}).harvest.succession_days == 28


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("cold.hardened_c", 31, "tomato: cold.hardened_c is 31, expected -30 to 10"),
        ("cold.hardened_c", 3.0, "tomato: cold.hardened_c is 3, expected at most cold.tender_c, which is 0"),
        ("planting.out.from", "31-05", "tomato: planting.out.from is 31-05, expected days of the year"),
        ("harvest.days.least", 400, "tomato: harvest.days is [400, 150], expected the lower first"),
        ("cold.hardend_c", -2.0, "tomato: cold.hardend_c is unknown, expected cold.hardened_c?"),
        ("family", "Rosaceae", "tomato: family is unknown"),
        ("cold.hardened_c", float("nan"), "tomato: cold.hardened_c is nan, expected a number"),
        ("cold.regrows", 1, "tomato: cold.regrows is 1, expected true or false"),
    ],
)
def test_a_change_that_cannot_be_is_refused_with_the_reason(key: str, value: Change, told: str) -> None:
    with pytest.raises(CropRulesError) as caught:
        overridden(TOMATO, {key: value})
    assert told in str(caught.value)


def test_all_bad_changes_are_told_at_once() -> None:
    with pytest.raises(CropRulesError) as caught:
        overridden(TOMATO, {"cold.hardened_c": 31, "planting.rows_cm": "wide"})
    assert {mistake.key for mistake in caught.value.mistakes} == {"cold.hardened_c", "planting.rows_cm"}


def test_changeable_keys_are_those_that_a_change_accepts() -> None:
    keys = changeable_keys(TOMATO)
    assert {"planting.out.from", "cold.hardened_c", "harvest.days.most", "cold.regrows"} <= set(keys)
    assert not {"name", "care.kc", "sowing.outdoors.from", "bolting.chill_c", "harvest.ready"} & set(keys)
    for key in keys:
        try:
            overridden(TOMATO, {key: 1})
        except CropRulesError as error:
            assert all(mistake.value != "unknown" for mistake in error.mistakes), key
