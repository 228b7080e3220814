"""Cold nights that follow each other are one warning: later nights say only what is new, and nothing is missed.

Played by the whole bot in the demo's garden; the weather is invented.
"""

from __future__ import annotations

from bot.chat.wire.world import Message
from bot.demo.weather import Day
from bot.storage.models import Ask
from bot.storage.states import TaskState, WarningState
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels, texts

COLDER: Day = (-3.5, 12.0, 5.0, 1.0, 4.0, 0.0)


def news(lane: Talk, said: list[Message]) -> list[str]:
    """What rang in the group about a warning."""
    return [one.text for one in said if one.chat_id == lane.group_id and not one.edits and one.keyboard]


async def all_done(lane: Talk) -> None:
    """Everybody says yes to what they were asked, and that the whole of it is done."""
    for user in [one.id for one in lane.stage.people()]:
        for message in [*lane.stage.api.said(user)]:
            await _press(lane, user, message, "yes:")
            await _press(lane, user, message, "done:")
            newest = lane.stage.api.said(user)[-1]
            await _press(lane, user, newest, "done:", ":mine-whole")


async def _press(lane: Talk, user: int, message: Message, starts: str, ends: str = "") -> None:
    data = [key.get("callback_data", "") for row in message.keyboard for key in row]
    found = [one for one in data if one.startswith(starts) and one.endswith(ends) and (ends or one.count(":") == 1)]
    if found:
        lane.stage.api.press(user, message, found[0])
        await lane.settled()


async def test_two_nights_are_one_call_and_the_second_night_is_silent_when_all_is_on(lane: Talk) -> None:
    lane.weather([calm(), COLD, COLD])
    said = await lane.until(4, "11:30")
    (call,) = [one for one in news(lane, said) if "We need this done by" in one]
    assert call.startswith("Tonight and tomorrow night:"), call
    await all_done(lane)
    said = await lane.until(5, "01:30")
    lane.weather([COLD, COLD])
    said += await lane.until(5, "21:30")
    assert news(lane, said) == [], "what lies on already is not called for again, and nobody is thanked in between"
    assert all(duty.state is TaskState.DONE for duty, _ in await lane.duties())
    asked: list[Ask] = [ask for _, asks in await lane.duties() for ask in asks]
    second = (await lane.warnings())[1]
    ids = {duty.id for duty, _ in await lane.duties() if duty.warning_id == second.id}
    assert not [ask for ask in asked if ask.task_id in ids], "nobody is asked twice, and no walk counts twice"


async def test_the_group_reads_in_the_morning_between_what_is_to_stay_by_an_edit(lane: Talk) -> None:
    lane.weather([calm(), COLD, COLD])
    await lane.until(4, "11:30")
    await all_done(lane)
    await lane.until(5, "01:30")
    lane.weather([COLD, COLD])
    await lane.until(5, "09:00")
    standing = next(one for one in lane.group() if "The cold night is over." in one.text)
    assert standing.edits, "no phone rings"
    assert "Tonight will probably be cold too." in standing.text and "Please leave" in standing.text


async def test_after_the_last_night_it_is_said_what_to_undo_once_and_everybody_is_thanked(lane: Talk) -> None:
    lane.weather([calm(), COLD, COLD])
    await lane.until(4, "11:30")
    await all_done(lane)
    await lane.until(5, "01:30")
    lane.weather([COLD, COLD])
    await lane.until(6, "01:30")
    lane.weather([COLD, calm()])
    said = await lane.until(6, "09:00")
    (after,) = news(lane, said)
    assert after.startswith("The cold night is over.") and "Thank you," in after
    assert "Uncover:" in after and "Put back outside:" in after
    undone = [duty for duty, _ in await lane.duties() if duty.kind.value in ("uncover", "put back")]
    covered = [duty for duty, _ in await lane.duties() if duty.kind.value in ("cover", "bring in")]
    assert {one.place_id for one in undone} == {one.place_id for one in covered}
    for user in [one.id for one in lane.stage.people()]:
        asks = [one for one in said if one.chat_id == user and "I'll do it" in labels(one)]
        assert len(asks) <= 1, "the morning's undoing is one message"


async def test_what_nobody_reported_is_asked_for_again_in_the_morning_and_only_that(lane: Talk) -> None:
    lane.weather([calm(), COLD, COLD])
    await lane.until(4, "11:30")
    standing = lane.standing()
    await lane.write("Marcus", "all pots are in the tunnel")
    await lane.until(5, "01:30")
    lane.weather([COLD, COLD])
    said = await lane.until(5, "09:00")
    call = next(one for one in news(lane, said) if "We need this done by" in one)
    assert call.startswith("Tonight:") and standing.text not in call
    wanted = {duty.kind.value for duty, asks in await lane.duties() if duty.state is not TaskState.DONE and asks}
    assert "cover" in wanted, "the nights that nobody spoke of are not taken for done"


async def test_a_second_night_that_asks_for_more_says_what_is_new(lane: Talk) -> None:
    """The first forecast knows of one night; when the second turns out cold too, what lies on counts for it."""
    lane.weather([calm(), COLD])
    await lane.until(4, "11:30")
    await all_done(lane)
    lane.weather([calm(), COLD, COLDER])
    said = await lane.until(5, "08:00")
    new = [one for one in news(lane, said) if "We need this done by" in one]
    for one in new:
        assert "Earth up: Bed 5" not in one or "Done" in one, "what is done is not asked for"
    assert any("probably be cold" in one or "Tonight" in one or "Tomorrow night" in one for one in news(lane, said)), (
        "a night that was not told of is told of aloud"
    )


async def test_a_later_night_that_turns_mild_is_dropped_without_a_ring_while_the_first_is_in_force(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD, COLD])
    await lane.until(4, "11:30")
    lane.weather([calm(), calm(), COLD, calm()])
    said = await lane.until(5, "09:00")
    assert not [one for one in news(lane, said) if "I no longer expect" in one]
    assert "tomorrow night" not in texts(lane.group()[-1:]).casefold() or "Tomorrow night:" in lane.group()[-1].text
    states = {one.window_on.day: one.state for one in await lane.warnings()}
    assert states[5] is WarningState.CALLED
