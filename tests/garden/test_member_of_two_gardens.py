"""One member, two gardens: every command asks which is meant, once, and then does what was asked."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sqlalchemy import func, select, update

from bot.chat.commands import COMMANDS
from bot.core.garden.snapshot import Role
from bot.stage import Stage
from bot.storage.garden import gardens
from bot.storage.models import Entry, Garden, Member, Outbox, Person, Place
from bot.storage.people import members
from tests.support.talk import Talk, labels

HERS = {"start", "help", "language", "me", "garden"}  # about the person, whichever the garden


async def _in_both(stage: Stage, name: str = "Miriam") -> tuple[Garden, Garden]:
    """Put an organiser of the first garden into the second as well."""
    async with stage.app.database.begin() as session:
        first, second = await gardens.all_gardens(session)
        person = (await session.scalars(select(Person).where(Person.name == name))).one()
        member = Member(garden_id=second.id, person=person, role=Role.ORGANISER, joined_at=stage.clock.at)
        session.add(member)
    return first, second


async def _undecided(stage: Stage) -> None:
    async with stage.app.database.begin() as session:
        await session.execute(update(Person).values(garden_id=None))


@pytest.mark.parametrize("word", [command.WORD for command in COMMANDS if command.WORD not in HERS])
async def test_every_command_asks_and_is_then_carried_out(street: Talk, word: str) -> None:
    first, second = await _in_both(street.stage)
    for garden in (first, second):
        await _undecided(street.stage)
        (asked,) = await street.write("Miriam", f"/{word}")
        assert labels(asked) == [first.name, second.name]
        answers = await street.press("Miriam", asked, garden.name)
        texts = [message.text for message in answers]
        assert any("From now on we talk about" in text for text in texts)
        assert len(answers) > 1, texts
        assert not any("not on this garden's list" in text for text in texts)


@pytest.mark.parametrize("word", sorted(HERS))
async def test_what_is_about_the_person_needs_no_choice(street: Talk, word: str) -> None:
    await _in_both(street.stage)
    (answer,) = await street.write("Miriam", f"/{word}")
    assert "not on this garden's list" not in answer.text


async def test_a_report_is_kept_once_however_often_the_garden_is_pressed(street: Talk) -> None:
    first, _ = await _in_both(street.stage)
    (asked,) = await street.write("Miriam", "3 kg potatoes from pot 1")
    as_shown = replace(asked)  # a phone that has not yet seen that the buttons are gone
    for _ in range(3):
        await street.press("Miriam", as_shown, first.name)
    async with street.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Entry)) == 1


async def test_nobody_else_makes_a_members_choice(street: Talk) -> None:
    await _in_both(street.stage)
    (asked,) = await street.write("Miriam", "3 kg potatoes from pot 1")
    data = asked.keyboard[0][0]["callback_data"]
    await street.write("Owen", "/week")
    await street.forge("Owen", data)
    async with street.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Entry)) == 0


async def test_an_older_answer_still_speaks_of_its_own_garden(street: Talk) -> None:
    first, second = await _in_both(street.stage)
    (asked,) = await street.write("Miriam", "3 kg potatoes from pot 1")
    kept = (await street.press("Miriam", asked, first.name))[-1]
    (card,) = await street.write("Miriam", "/garden")
    await street.press("Miriam", card, second.name)
    (undone,) = await street.press("Miriam", kept, "Undo")
    assert "Taken back" in undone.text


async def test_in_a_group_that_two_gardens_share_a_member_of_both_is_asked(street: Talk) -> None:
    first, second = await _in_both(street.stage)
    async with street.stage.app.database.begin() as session:
        await session.execute(update(Garden).values(chat_id=first.chat_id))
    (asked,) = await street.write("Miriam", "/weather", group=True)
    assert labels(asked) == [first.name, second.name]
    answers = await street.press("Miriam", asked, second.name)
    assert any("The next nights" in message.text for message in answers)
    (answer,) = await street.write("Owen", "/weather", group=True)
    assert "The next nights" in answer.text, "whoever is in one of them is not asked"


@pytest.mark.parametrize("word", [command.WORD for command in COMMANDS if command.WORD not in {*HERS, "setup"}])
async def test_every_command_works_in_a_group_that_two_gardens_share(street: Talk, word: str) -> None:
    first, second = await _in_both(street.stage)
    async with street.stage.app.database.begin() as session:
        await session.execute(update(Garden).values(chat_id=first.chat_id))
    (asked,) = await street.write("Miriam", f"/{word}", group=True)
    assert labels(asked) == [first.name, second.name]
    answers = await street.press("Miriam", asked, second.name)
    assert len(answers) > 1
    assert not any("not on this garden's list" in message.text for message in answers)


async def test_where_each_garden_has_a_topic_the_topic_says_which(street: Talk) -> None:
    first, second = await _in_both(street.stage)
    assert first.chat_id is not None
    street.stage.api.chats[first.chat_id].topics = {3, 4}
    async with street.stage.app.database.begin() as session:
        for garden, topic in ((first, 3), (second, 4)):
            row = await session.get_one(Garden, garden.id)
            row.chat_id, row.thread_id = first.chat_id, topic
    street.stage.api.write(street.user("Miriam"), first.chat_id, "/setup", thread_id=4)
    (shown,) = await street.settled()
    assert shown.thread_id == 4
    async with street.stage.app.database.begin() as session:
        said = (await session.scalars(select(Outbox).order_by(Outbox.id.desc()).limit(1))).one()
        assert said.garden_id == second.id
        assert [one.id for one in await gardens.in_chat(session, first.chat_id, 3)] == [first.id]


async def test_an_organiser_of_one_garden_reaches_nothing_of_another(street: Talk) -> None:
    async with street.stage.app.database.begin() as session:
        first, _ = await gardens.all_gardens(session)
        place = (await session.scalars(select(Place).where(Place.garden_id == first.id))).first()
        people = await members.in_garden(session, first.id)
    assert place is not None
    (before,) = await street.write("Petra", "/places")
    assert place.name not in before.text
    forged = [f"place:{first.id}:list:0", f"place:{first.id}:p{place.id}:gone", f"place:2:p{place.id}:gone"]
    forged += [f"place:{first.id}:add", f"site:{first.id}:name", f"garden:{first.id}", f"adult:{people[0].id}:yes"]
    forged += ["setup:1:title", f"join:{first.id}", f"found:bind:{first.id}"]
    for data in forged:
        for message in await street.forge("Petra", data):
            assert place.name not in message.text and first.name not in message.text, data
    async with street.stage.app.database.begin() as session:
        assert await session.get(Place, place.id) is not None
        assert len(await members.in_garden(session, first.id)) == len(people)
