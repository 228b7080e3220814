"""Blight weather and running to seed reach the week, only where and when they matter."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from bot.core.garden.snapshot import Stage
from bot.core.growing.bolting import Bolt, Reason, Verdict
from bot.core.growing.jobs.job import View
from bot.core.growing.jobs.weather_ahead import blight, bolting, swings
from bot.core.weather.odds import StepCode
from tests.support.stories import FARAHS_BED, TEASEL_LANE, batch, crops

JULY_ON = date(2026, 7, 10)


def _view(crop: str, stage: Stage, blight_on: tuple[date, ...] = (), bolt: Bolt | None = None) -> View:
    """One batch in Farah's bed on that day in July."""
    planting = replace(batch(crop, FARAHS_BED, stage), id=1)
    return View(
        garden=replace(TEASEL_LANE, plantings=(planting,), place_by_id={}),
        crops=crops(),
        now=datetime.combine(JULY_ON, time(8), UTC),
        today=JULY_ON,
        scope=frozenset({FARAHS_BED}),
        plantings=(planting,),
        blight_on=blight_on,
        bolting={} if bolt is None else {1: bolt},
    )


@pytest.mark.parametrize("crop", ["potato-maincrop", "tomato"])
def test_two_damp_mild_days_call_for_a_look_at_potatoes_and_tomatoes(crop: str) -> None:
    # Hutton Criteria: AHDB project 11120018, publisher's summary, read 2026-11-25.
    (item,) = blight(_view(crop, Stage.FLOWERING, (JULY_ON + timedelta(days=2),)))
    assert item.by_on == JULY_ON + timedelta(days=2)
    assert [step.code for step in item.reasons] == [StepCode.HUTTON]


def test_no_blight_is_called_in_dry_weather_nor_next_week_nor_for_beans() -> None:
    assert not list(blight(_view("potato-maincrop", Stage.FLOWERING)))
    assert not list(blight(_view("potato-maincrop", Stage.FLOWERING, (JULY_ON + timedelta(days=8),))))
    assert not list(blight(_view("runner-bean", Stage.FLOWERING, (JULY_ON,))))


def test_a_hot_spell_sends_lettuce_to_seed_and_long_days_alone_are_no_news() -> None:
    hot = Bolt(Verdict.RISK, (Reason.HEAT, Reason.DAY_LENGTH), hottest_c=31.0)
    (item,) = bolting(_view("lettuce", Stage.GROWING, bolt=hot))
    assert [(step.code, step.value) for step in item.reasons] == [(StepCode.HOTTEST, 31.0)]
    long_days = Bolt(Verdict.RISK, (Reason.DAY_LENGTH,), longest_h=16.5)
    assert not list(bolting(_view("lettuce", Stage.GROWING, bolt=long_days)))


def test_a_swing_from_cold_to_heat_is_said_as_a_suspicion_that_presses_little() -> None:
    # "From 1 to 20 degrees within days upsets many plants": common practice, no source.
    view = _view("lettuce", Stage.GROWING, bolt=Bolt(Verdict.SUSPICION, (Reason.SWING,)))
    assert not list(bolting(view)), "no risk is claimed"
    (item,) = swings(view)
    assert [(step.code, step.source) for step in item.reasons] == [(StepCode.SWING, "practice")]
    (risk,) = bolting(_view("lettuce", Stage.GROWING, bolt=Bolt(Verdict.RISK, (Reason.HEAT,), hottest_c=31.0)))
    assert item.value_lost < risk.value_lost
    assert not list(swings(_view("lettuce", Stage.GROWING)))
