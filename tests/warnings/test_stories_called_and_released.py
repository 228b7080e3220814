"""Whoever was called stays on it while the forecast wavers, and is released once the odds are a quarter of what called."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.core.finding import NOBODY, Called, Finding, Hazard
from bot.core.garden.snapshot import Stage, Support, SupportKind
from bot.core.warnings.hazards import findings
from bot.core.weather.odds import RELEASE, StepCode
from tests.support.stories import CALLUMS_BED, Story, Weather, batch, crops

LATE_MAY = date(2026, 5, 24)
BEANS = batch("french-bean", CALLUMS_BED, Stage.GROWING, 30, height_cm=12.0)
CLIMBING = batch("runner-bean", CALLUMS_BED, Stage.FLOWERING, 16, height_cm=200.0)


def _found(story: Story, hazard: Hazard, called: Called = NOBODY) -> list[Finding]:
    found = findings(story.garden, crops(), story.nights, story.forecast, story.now, called=called)
    return [one for one in found if one.hazard is hazard]


def _asked_from(one: Finding) -> float:
    return next(step.value for step in one.chain if step.code is StepCode.COST_LOSS and step.value is not None)


def _cold(low_c: float) -> Story:
    return Story(LATE_MAY, (BEANS,), Weather((low_c,), days_c=(17.0,)))


def _windy(gust_ms: float) -> Story:
    rough = Weather((11.0,), days_c=(19.0,), wind_ms=4.0, gusts_ms=(gust_ms,))
    return Story(
        date(2026, 7, 24), (CLIMBING,), rough, supports=(Support(1, CALLUMS_BED, SupportKind.CANES, 2.0, 3.0),)
    )


@pytest.mark.parametrize("hazard", [Hazard.COLD, Hazard.WIND])
def test_a_call_holds_down_to_a_quarter_of_the_odds_that_called(hazard: Hazard) -> None:
    """The forecast grows milder by tenths: who is not called is asked above the ratio, who is called down to its quarter."""
    mildest = {Hazard.COLD: [0.1 * n for n in range(-20, 120)], Hazard.WIND: [24.0 - 0.1 * n for n in range(140)]}
    story = _cold if hazard is Hazard.COLD else _windy
    first = _found(story(mildest[hazard][0]), hazard)[0]
    ratio, place = _asked_from(first), first.place_id
    called = frozenset({(hazard, first.window_on, place)})
    asked = [_found(story(value), hazard) for value in mildest[hazard]]
    held = [_found(story(value), hazard, called) for value in mildest[hazard]]
    least_asked = min(one.probability for found in asked for one in found if one.place_id == place)
    least_held = min(one.probability for found in held for one in found if one.place_id == place)
    assert ratio < least_asked < 1.2 * ratio
    assert RELEASE * ratio < least_held < 1.2 * RELEASE * ratio
    assert sum(map(bool, held)) > sum(map(bool, asked))


def test_nobody_else_is_called_by_it() -> None:
    """Another place, or another night, is asked for by the whole ratio."""
    low_c = next(0.1 * n for n in range(120) if not _found(_cold(0.1 * n), Hazard.COLD))
    story = _cold(low_c)
    place = story.garden.plantings[0].place_id
    assert _found(story, Hazard.COLD, frozenset({(Hazard.COLD, LATE_MAY, place)}))
    for other in (
        (Hazard.WIND, LATE_MAY, place),
        (Hazard.COLD, LATE_MAY, place + 1),
        (Hazard.COLD, date(2026, 5, 25), place),
    ):
        assert not _found(story, Hazard.COLD, frozenset({other}))


def test_what_is_held_is_no_worse_than_what_is_asked() -> None:
    story = _cold(0.0)
    place = story.garden.plantings[0].place_id
    plain, held = _found(story, Hazard.COLD), _found(story, Hazard.COLD, frozenset({(Hazard.COLD, LATE_MAY, place)}))
    assert [replace(one, enough=True) for one in held] == [replace(one, enough=True) for one in plain]
