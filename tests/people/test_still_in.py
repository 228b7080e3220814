"""Somebody long silent is asked once whether they are still in; leaving gives on what was theirs.

The stretch of eight weeks within March to October is ours: common practice, no source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from bot.core.people.inactivity import is_silent
from bot.storage.session import Database
from tests.support.talk import Talk

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


async def _everybody_speaks(street: Talk, *but: str) -> None:
    for who in ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana", "Petra", "Ivo"):
        if who not in but:
            await street.write(who, "/help")


def _asked(street: Talk, who: str) -> int:
    return sum(QUESTION in text for text in street.said_to(who))


async def _silence(street: Talk) -> None:
    """Owen spoke in May; eight weeks later everybody but Owen has spoken."""
    await _everybody_speaks(street)
    street.stage.clock.at = datetime(2026, 6, 30, 9, 0, tzinfo=UTC)
    await _everybody_speaks(street, "Owen")
    await street.look()


async def test_the_silent_one_is_asked_once_and_nobody_else_is(street: Talk) -> None:
    await _silence(street)
    for _ in range(3):
        street.stage.clock.at += timedelta(hours=8)
        await street.look()
    assert _asked(street, "Owen") == 1
    assert not any(_asked(street, who) for who in ("Miriam", "Deepa", "Leila"))


async def test_still_in_changes_nothing_and_less_often_is_a_wish(street: Talk, two_gardens: Database) -> None:
    await _silence(street)
    (said,) = await street.tap("Owen", "I still take part")
    assert said.text == "Good to have you! Nothing changes."
    street.stage.clock.at += timedelta(days=60)
    await _everybody_speaks(street, "Owen")
    await street.look()
    assert _asked(street, "Owen") == 1, "the first question was edited into its answer; this is the second"
    (less,) = await street.tap("Owen", "Ask me less often")
    assert "once a week at most" in less.text
    async with two_gardens.begin() as session:
        assert (await street.row_of(session, "Owen")).per_week == 1


async def test_nothing_is_asked_at_night(street: Talk) -> None:
    await _everybody_speaks(street)
    street.stage.clock.at = datetime(2026, 6, 30, 22, 0, tzinfo=UTC)
    await street.look()
    assert _asked(street, "Owen") == 0


async def test_leaving_is_asked_twice_and_told_to_the_organisers(street: Talk, two_gardens: Database) -> None:
    await _silence(street)
    await street.tap("Owen", "Leave the garden")
    await street.tap("Owen", "No, I stay")
    async with two_gardens.begin() as session:
        assert (await street.row_of(session, "Owen")).left_at is None
    await street.write("Owen", "/me")
    await street.tap("Owen", "Leave Teasel Lane")
    await street.tap("Owen", "Yes, leave")
    async with two_gardens.begin() as session:
        assert (await street.row_of(session, "Owen")).left_at is not None
    assert any("Owen has left Teasel Lane." in text for text in street.said_to("Miriam"))


async def test_the_only_organiser_does_not_leave_without_handing_over(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/me")
    await street.tap("Miriam", "Leave Teasel Lane")
    (refused,) = await street.tap("Miriam", "Yes, leave")
    assert refused.text.startswith("A garden needs somebody who looks after it.")


async def test_no_answer_is_mentioned_in_the_organisers_week_only_after_a_fortnight(street: Talk) -> None:
    await _silence(street)
    assert "Please talk to Owen" not in await _week(street, "Miriam")
    street.stage.clock.at += timedelta(days=14)
    assert "Please talk to Owen" in await _week(street, "Miriam")
    assert "Please talk to Owen" not in await _week(street, "Tobias")


async def _week(street: Talk, who: str) -> str:
    (shown,) = await street.write(who, "/week")
    text = shown.text
    while any(key["text"] == "Show the rest" for row in shown.keyboard for key in row):
        (shown,) = await street.tap(who, "Show the rest")
        text += shown.text
    return text


async def test_nobody_answers_for_somebody_else(street: Talk, two_gardens: Database) -> None:
    async with two_gardens.begin() as session:
        owen = (await street.row_of(session, "Owen")).id
    await street.write("Leila", "/help")
    (refused,) = await street.forge("Leila", f"still:{owen}:left")
    assert refused.text == "That button is for somebody else."
