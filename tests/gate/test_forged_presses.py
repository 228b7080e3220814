"""Buttons that nobody was given: made-up data, another garden's numbers, children, people who have left."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from pathlib import Path

import pytest
from sqlalchemy import select

from bot.chat.wire.world import ANONYMOUS_ADMIN, Message
from bot.i18n import say
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.importing import import_records
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.models import Garden, Member, Person
from bot.storage.session import Database
from tests.support.group_messages import GARDEN
from tests.support.invented_weather import calm, write
from tests.support.talk import COLD, MONDAY_AT, Talk, first_who_can, texts

MADE_UP = (
    "yes:999999999999999999999",
    "yes:-1",
    "yes:",
    "yes",
    "no:1.5",
    "done:٣",
    "done:1:t99999999",
    "done:1:tx",
    "done:1:undo",
    "done:1:undo1-x",
    "done:1:undo99999999-99999999",
    "done:1:mine-all",
    "done:1:everything",
    "why:0",
    "me:99999999",
    "undone:99999999",
    "undone:x",
    "reopen:99999999",
    "reopen:999999999999999999999",
    "job:zzz",
    "jdone:0123456789abcdef",
    "week:9999",
    "week:99999999999",
    "week:-5",
    "garden:999999999",
    "garden:one",
    "join:999999999",
    "join:x",
    "lang:xx",
    "note:1:99",
    "note:99999999999:-1",
    "undo:99999999999",
    "ruleback:77",
    "own:99999999:ey",
    "own:x:file",
    "own:1:",
    "cal:publish:9",
    ":",
    "x" * 64,
    "<b>&'\"%s{}{0}",
    "é" * 32,
)


@pytest.fixture
async def neighbours(furnished_database: Database, tmp_path: Path) -> AsyncIterator[Talk]:
    """Teasel Lane and, beside it, Fern Row with the same crops; Petra belongs to Fern Row alone."""
    database = furnished_database
    files = await asyncio.to_thread(read_folder, GARDEN)
    files = {name: body.replace(b"Teasel Lane", b"Fern Row") for name, body in files.items()}
    for name in ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana", "Robin"):
        other = {"Miriam": "Petra"}.get(name, f"{name} of Fern Row")
        files = {file: body.replace(name.encode(), other.encode()) for file, body in files.items()}
    async with database.begin() as session:
        report = await import_records(session, files, say("en", "Europe/London"), MONDAY_AT)
        assert not report.problems, report.problems
    forecast = tmp_path / "forecast.json"
    write(forecast, [calm(), COLD, *[calm()] * 8], MONDAY_AT)
    async with on_stage(database, Source(f"file:{forecast}"), MONDAY_AT, first_who_can) as stage:
        yield Talk(stage, forecast)


async def everything(lane: Talk) -> list[object]:
    """What a forged press must leave as it was."""
    return [(duty.state, [(ask.member_id, ask.state) for ask in asks]) for duty, asks in await lane.duties()]


async def test_made_up_data_is_answered_once_and_changes_nothing(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    standing, before = lane.standing(), await everything(lane)
    for data in MADE_UP:
        answers = await lane.forge("Owen", data, standing)
        assert len(answers) == 1, data
        assert "went wrong" not in answers[0].text, data
        assert await everything(lane) == before, data


async def test_a_button_of_another_gardens_warning_does_nothing_and_tells_nothing(neighbours: Talk) -> None:
    await neighbours.look()
    ours, theirs = neighbours.stage.groups.values()
    standing = neighbours.stage.api.said(ours)[0]
    assert neighbours.stage.api.said(theirs), "Fern Row has a warning of its own"
    before = await everything(neighbours)
    for button in ("I'll do it", "I can't", "Done", "Why"):
        answers = await neighbours.press("Petra", standing, button)
        assert [message.chat_id for message in answers] == [neighbours.user("Petra")]
        assert "for members of the garden" in answers[0].text
    assert await everything(neighbours) == before


async def test_another_garden_can_be_neither_chosen_nor_joined_from_outside(neighbours: Talk) -> None:
    await neighbours.look()
    (week,) = await neighbours.write("Petra", "/week")
    for data in ("garden:1", "join:1"):
        (refused,) = await neighbours.forge("Petra", data, week)
        assert "Teasel" not in refused.text
    async with neighbours.stage.app.database.begin() as session:
        mine = await session.scalars(select(Garden.name).join(Member).join(Person).where(Person.name == "Petra"))
        assert list(mine) == ["Fern Row"]


async def test_a_job_and_a_note_of_another_garden_are_unknown(neighbours: Talk) -> None:
    ours = await neighbours.said("Tobias", "what should I do this week?")
    kept = await neighbours.said("Tobias", "potted on the runner beans")
    job = next(key["callback_data"] for row in ours.keyboard for key in row)
    undo = next(key["callback_data"] for row in kept.keyboard for key in row)
    theirs = await neighbours.said("Petra", "what should I do this week?")
    await neighbours.forge("Petra", job, theirs)
    answers = await neighbours.forge("Petra", undo, theirs)
    assert "Taken back" not in texts(answers)
    assert "Taken back" in texts(await neighbours.press("Tobias", kept, "Undo"))


async def test_nothing_of_one_garden_is_said_in_the_other(neighbours: Talk) -> None:
    await neighbours.until(5, "09:00", every_min=240)
    ours, theirs = neighbours.stage.groups.values()
    assert "Fern Row" not in texts(neighbours.stage.api.said(ours))
    people = neighbours.stage.members
    for user, gardens in people.items():
        for message in neighbours.stage.api.said(user):
            assert gardens == [1] or "Tobias?" not in message.text
    assert all(name not in texts(neighbours.stage.api.said(theirs)) for name in ("Miriam", "Kasia?", "Leila?"))


async def test_a_child_takes_no_duty_however_it_presses(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    assert not lane.private("Robin"), "a child is never asked"
    before = await everything(lane)
    for button in ("I'll do it", "Done"):
        answers = await lane.press("Robin", lane.standing(), button)
        assert "Only adults" in texts(answers)
        assert {message.chat_id for message in answers} == {lane.user("Robin")}, "not before everybody"
    assert await everything(lane) == before


async def test_somebody_who_has_left_presses_in_vain_and_their_turn_is_anothers(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    question = lane.private("Leila")[-1]
    await lane.press("Leila", question, "I'll do it")
    lane.stage.api.leave(lane.user("Leila"), lane.group_id)
    await lane.settled()
    said = await lane.look()
    assert "Earth up" in texts(message for message in said if message.chat_id != lane.group_id), "the next is asked"
    assert "Leila" not in lane.standing().text
    assert "for members of the garden" in texts(await lane.press("Leila", question, "Done"))
    assert "Leila" not in lane.standing().text


async def test_an_anonymous_administrators_words_are_nobodys_answer(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    before = await everything(lane)
    sender = {"sender_chat": {"id": lane.group_id, "type": "supergroup", "title": "Teasel Lane"}}
    for words in ("done", "I'll do it", "/week", "/turns", "/away 7", "/calendar 3 June seed swap", "/start"):
        lane.stage.api.write(ANONYMOUS_ADMIN, lane.group_id, words, also=sender)
        answers = await lane.settled()
        assert {message.chat_id for message in answers} <= {lane.group_id}, words
        assert "went wrong" not in texts(answers), words
    assert await everything(lane) == before


async def test_a_press_on_a_message_that_the_platform_no_longer_shows_counts_all_the_same(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    question: Message = lane.private("Leila")[-1]
    update = lane.stage.api.press(lane.user("Leila"), question, "I'll do it")
    update["callback_query"]["message"] = {
        "message_id": question.id,
        "date": 0,
        "chat": lane.stage.api.chats[question.chat_id].json(),
    }
    assert "Thank you" in texts(await lane.settled())
