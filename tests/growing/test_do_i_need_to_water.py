"""Whoever asks whether to water is told what is dry and how much it wants, not only whether it will rain."""

from __future__ import annotations

import pytest

from tests.support.talk import Talk

# Night and day degrees C, cloud %, wind and gusts m/s, rain mm.
_DRY, _WET = (10.0, 18.0, 50.0, 3.0, 6.0, 0.0), (9.0, 15.0, 95.0, 2.0, 5.0, 12.0)


@pytest.fixture
async def after_a_dry_week(lane: Talk) -> Talk:
    for day in range(4, 12):
        lane.weather([_DRY] * 4)
        await lane.until(day, "20:00", every_min=480)
    return lane


async def _asked(talk: Talk, text: str) -> str:
    return (await talk.said("Tobias", text)).text


@pytest.mark.parametrize("text", ["do I need to water?", "should I water bed 1?", "should I water the broad beans?"])
async def test_a_dry_week_asks_for_litres(after_a_dry_week: Talk, text: str) -> None:
    said = await _asked(after_a_dry_week, text)
    assert said.startswith("Water: ") and "litres" in said and "Rain" in said


async def test_tomorrow_is_told_by_its_rain(after_a_dry_week: Talk) -> None:
    assert (await _asked(after_a_dry_week, "do I need to water tomorrow?")).startswith("Rain")


@pytest.mark.parametrize("text", ["do I need to water?", "should I water bed 1?"])
async def test_nobody_waters_after_rain(lane: Talk, text: str) -> None:
    for day in range(4, 7):
        lane.weather([_WET] * 4)
        await lane.until(day, "20:00", every_min=480)
    said = await _asked(lane, text)
    assert "Water:" not in said and said.startswith("Rain")
