"""Somebody asks whether a crop may go out of which no tray waits: plants to be bought, or not up yet (3 nights to a frost)."""

from __future__ import annotations

import pytest

from tests.support.invented_weather import calm, write
from tests.support.talk import COLD, MONDAY_AT, Talk


@pytest.fixture
def frosty(lane: Talk) -> Talk:
    write(lane.forecast, [calm(), calm(), COLD, *[calm()] * 7], MONDAY_AT)
    return lane


@pytest.mark.parametrize("crop", ["pumpkins", "winter squashes", "dahlias"])
async def test_what_is_to_be_bought_is_told_from_when_it_may_stand_out(frosty: Talk, crop: str) -> None:
    """Pumpkins from late May (RHS, school gardening); in front of a frost nobody plants them out."""
    answer = (await frosty.said("Owen", f"can I plant out the {crop} now?")).text
    assert "It should be safe from" in answer and "May" in answer


async def test_what_stands_out_already_is_only_asked_about_the_nights(frosty: Talk) -> None:
    answer = (await frosty.said("Miriam", "are the onions safe tonight?")).text
    assert "Can they go outside yet?" not in answer
