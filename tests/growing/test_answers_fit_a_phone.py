"""Answers show what a phone shows at once: twelve lines of 40 letters (common practice, no source); the rest is a tap away."""

from __future__ import annotations

import pytest
from sqlalchemy import update

from bot.storage.models import Garden
from tests.support.paged import pages, whole
from tests.support.rings import lines_of
from tests.support.talk import Talk

ROWS = 12


@pytest.mark.parametrize("who", ["Miriam", "Tobias", "Kasia"])
@pytest.mark.parametrize("asked", ["/week", "/out", "/weather", "/frost", "/calendar", "/crop", "/rules", "/own"])
async def test_no_answer_is_longer_than_a_phone_shows(talk: Talk, who: str, asked: str) -> None:
    assert lines_of((await talk.said(who, asked)).text) <= ROWS


async def test_everything_about_the_plants_indoors_is_one_tap_away(talk: Talk) -> None:
    first, *rest = await pages(talk, "Miriam", "/out")
    assert "And 3 more." in first.text and "Wed 6 May 5 hours" not in first.text
    assert all(lines_of(one.text) <= ROWS for one in rest)
    everything = "\n".join(one.text for one in rest)
    assert all(crop in everything for crop in ("Courgettes", "Tomatoes", "Runner beans", "French beans", "Peppers"))
    assert "Wed 6 May 5 hours" in everything and "more." not in everything


async def test_each_of_the_last_notes_has_a_button_and_none_is_left_out(talk: Talk) -> None:
    notes = [f"watered bed 4, the soil was very dry today and it took a long time, can number {n}" for n in range(1, 9)]
    for note in notes:
        await talk.write("Owen", note)
    shown = await pages(talk, "Owen", "/journal")
    assert len(shown) > 1 and all(lines_of(one.text) <= ROWS for one in shown)
    labels = [key["text"] for one in shown for row in one.keyboard for key in row if key["text"].startswith("Note ")]
    assert labels == [f"Note {n}" for n in range(1, 9)]
    assert all(note[-12:] in "\n".join(one.text for one in shown) for note in notes)


async def test_what_holds_in_britain_is_said_to_gardens_there_alone(talk: Talk) -> None:
    assert "In most of Britain" in await whole(talk, "Owen", "/frost")
    async with talk.stage.app.database.begin() as session:
        await session.execute(update(Garden).values(latitude=52.1, longitude=21.0))  # Warsaw
    told = await whole(talk, "Owen", "/frost")
    assert "Britain" not in told and "minima.csv" in told
