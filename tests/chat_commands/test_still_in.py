"""Somebody long silent is asked once whether they are still in; leaving gives on what was theirs.

The stretch of eight weeks within March to October is ours: common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from bot.core.people.inactivity import is_silent
from bot.storage.session import Database
from tests.chat_commands.dialogue import Talk

QUESTION = "Do you still take part?"


@pytest.mark.parametrize(
    ("heard_on", "today", "silent"),
    [
        (date(2026, 5, 4), date(2026, 6, 28), False),  # 55 days
        (date(2026, 5, 4), date(2026, 6, 29), True),  # 56 days: eight weeks
        (date(2025, 11, 2), date(2026, 3, 20), False),  # a winter is quiet for everybody
        (date(2025, 11, 2), date(2026, 4, 26), True),  # eight weeks from 1 March
        (date(2026, 8, 1), date(2026, 11, 20), False),  # and so is November
    ],
)
def test_only_a_stretch_of_the_season_is_silence(heard_on: date, today: date, *, silent: bool) -> None:
    assert is_silent(heard_on, today) is silent


async def _everybody_speaks(talk: Talk, *but: str) -> None:
    for who in ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana", "Petra", "Ivo"):
        if who not in but:
            await talk.write(who, "/help")


def _asked(talk: Talk, who: str) -> int:
    return sum(QUESTION in text for text in talk.said_to(who))


async def _silence(talk: Talk) -> None:
    """Owen spoke in May; eight weeks later everybody but Owen has spoken."""
    await _everybody_speaks(talk)
    talk.stage.clock.at = datetime(2026, 6, 30, 9, 0, tzinfo=UTC)
    await _everybody_speaks(talk, "Owen")
    await talk.tick()


async def test_the_silent_one_is_asked_once_and_nobody_else_is(talk: Talk) -> None:
    await _silence(talk)
    for _ in range(3):
        talk.stage.clock.at += timedelta(hours=8)
        await talk.tick()
    assert _asked(talk, "Owen") == 1
    assert not any(_asked(talk, who) for who in ("Miriam", "Deepa", "Leila"))


async def test_still_in_changes_nothing_and_less_often_is_a_wish(talk: Talk, database: Database) -> None:
    await _silence(talk)
    (said,) = await talk.press("Owen", "I still take part")
    assert said.text == "Good to have you! Nothing changes."
    talk.stage.clock.at += timedelta(days=60)
    await _everybody_speaks(talk, "Owen")
    await talk.tick()
    assert _asked(talk, "Owen") == 1, "the first question was edited into its answer; this is the second"
    (less,) = await talk.press("Owen", "Ask me less often")
    assert "once a week at most" in less.text
    async with database.begin() as session:
        assert (await talk.member(session, "Owen")).per_week == 1


async def test_nothing_is_asked_at_night(talk: Talk) -> None:
    await _everybody_speaks(talk)
    talk.stage.clock.at = datetime(2026, 6, 30, 22, 0, tzinfo=UTC)
    await talk.tick()
    assert _asked(talk, "Owen") == 0


async def test_leaving_is_asked_twice_and_told_to_the_organisers(talk: Talk, database: Database) -> None:
    await _silence(talk)
    await talk.press("Owen", "Leave the garden")
    await talk.press("Owen", "No, I stay")
    async with database.begin() as session:
        assert (await talk.member(session, "Owen")).left_at is None
    await talk.write("Owen", "/me")
    await talk.press("Owen", "Leave Teasel Lane")
    await talk.press("Owen", "Yes, leave")
    async with database.begin() as session:
        assert (await talk.member(session, "Owen")).left_at is not None
    assert any("Owen has left Teasel Lane." in text for text in talk.said_to("Miriam"))


async def test_the_only_organiser_does_not_leave_without_handing_over(talk: Talk, database: Database) -> None:
    await talk.write("Miriam", "/me")
    await talk.press("Miriam", "Leave Teasel Lane")
    (refused,) = await talk.press("Miriam", "Yes, leave")
    assert refused.text.startswith("A garden needs somebody who looks after it.")


async def test_no_answer_is_mentioned_in_the_organisers_week_only_after_a_fortnight(talk: Talk) -> None:
    await _silence(talk)
    assert "Please talk to Owen" not in await _week(talk, "Miriam")
    talk.stage.clock.at += timedelta(days=14)
    assert "Please talk to Owen" in await _week(talk, "Miriam")
    assert "Please talk to Owen" not in await _week(talk, "Tobias")


async def _week(talk: Talk, who: str) -> str:
    (shown,) = await talk.write(who, "/week")
    text = shown.text
    while any(key["text"] == "Show the rest" for row in shown.keyboard for key in row):
        (shown,) = await talk.press(who, "Show the rest")
        text += shown.text
    return text


async def test_nobody_answers_for_somebody_else(talk: Talk, database: Database) -> None:
    async with database.begin() as session:
        owen = (await talk.member(session, "Owen")).id
    await talk.write("Leila", "/help")
    (refused,) = await talk.forge("Leila", f"still:{owen}:left")
    assert refused.text == "That button is for somebody else."
