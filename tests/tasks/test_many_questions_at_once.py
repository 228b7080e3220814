"""One person's hundred questions in the group do not keep another's note waiting, and warn nobody later."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from bot.chat.wire.flood import CHAT_N, PERSON_N, Flood, Room
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk

pytestmark = pytest.mark.apart

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
#: The platform's limit in a group: 20 messages a minute (Bot FAQ).
A_MINUTE = 20


async def test_a_hundred_questions_leave_room_for_another_members_note_and_for_warnings(lane: Talk) -> None:
    for _ in range(100):
        lane.stage.api.write(lane.user("Tobias"), lane.group_id, "/weather")
    lane.weather([calm(), COLD])
    said = await lane.write("Owen", "@gatepost_bot planted 12 lettuces in Bed 4", group=True)
    said += await lane.look()
    here = [one for one in said if one.chat_id == lane.group_id]
    assert len(here) < A_MINUTE
    assert "at the plants" in here[-1].text, "the warning"
    owens = [one for one in said if "Lettuce" in one.text and "12" in one.text and "at the plants" not in one.text]
    assert [one.chat_id for one in owens] == [lane.group_id], "the other's note is answered in the group"
    assert sum("That is a lot at once" in one.text for one in here) == 1, "a kind word, once"
    private = [one for one in said if one.chat_id == lane.user("Tobias")]
    assert len(private) >= 100 - PERSON_N, "every question is answered, only elsewhere"


async def test_answers_to_what_was_asked_are_taken_however_much_was_said(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    asked = next(one for one in await lane.look() if "Can you help" in one.text)
    who = next(one.first_name for one in lane.stage.people() if one.id == asked.chat_id)
    for _ in range(50):
        lane.stage.api.write(lane.user(who), lane.group_id, "/weather")
    said = await lane.write(who, "@gatepost_bot I'll do it", group=True)
    assert any(one.chat_id == lane.user(who) and "Thank you" in one.text for one in said)


def test_a_minute_later_the_group_is_answered_again() -> None:
    flood = Flood()
    rooms = [flood.room(-1, 7, f"{n}", NOW) for n in range(8)]
    assert rooms == [Room.HERE] * PERSON_N + [Room.WORD, Room.ELSEWHERE, Room.ELSEWHERE]
    assert flood.room(-1, 7, "0", NOW) is Room.HERE, "the same answer tried again"
    assert flood.room(-1, 7, "5", NOW) is Room.WORD, "the same word tried again"
    assert flood.room(-1, 8, "a", NOW) is Room.HERE
    assert flood.room(-2, 7, "b", NOW) is Room.HERE
    assert flood.room(-1, 7, "c", NOW + timedelta(minutes=1)) is Room.HERE


def test_a_whole_group_at_once_leaves_room_for_warnings_too() -> None:
    flood = Flood()
    rooms = [flood.room(-1, person, f"{person}", NOW) for person in range(30)]
    assert rooms.count(Room.HERE) == CHAT_N and rooms.count(Room.WORD) == 1


def test_what_is_remembered_is_bounded() -> None:
    flood = Flood()
    for chat in range(5000):
        for answer in range(PERSON_N + 1):
            flood.room(-chat, 1, f"{answer}", NOW)
    assert len(flood._given) <= 1000 and len(flood._refused) <= 1000
