"""What comes of words, told as stories: put right in one step, nothing heavy until a day, overheard in the group, not understood.

What is expected was written down by hand; the garden is the invented one beside the sentences.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from sqlalchemy import select
from telegram import Update

from bot.chat.wire.world import Message
from bot.core.garden.snapshot import Role, Stage
from bot.services.people import wishes
from bot.storage.models import Entry, Garden, Inbox, Member, Person, Place, Planting
from tests.understanding.play import Lane, on_lane


@pytest.fixture
async def lane(tmp_path: Path) -> AsyncIterator[Lane]:
    async with on_lane(tmp_path) as lane:
        yield lane


async def _says(lane: Lane, name: str, text: str) -> list[Message]:
    """Privately; what the bot says to them then."""
    user_id = lane.stage.user(name)
    assert user_id is not None
    list(lane.stage.fresh())
    lane.stage.api.write(user_id, user_id, text)
    await lane.stage.settle()
    return [one for one in lane.stage.fresh() if one.chat_id == user_id]


async def _in_group(lane: Lane, name: str, text: str) -> list[Message]:
    user_id = lane.stage.user(name)
    assert user_id is not None
    group = lane.stage.group_of(user_id)
    list(lane.stage.fresh())
    update = Update.de_json(lane.stage.api.write(user_id, group, text), lane.stage.app.bot)
    lane.stage.api.pending.clear()
    async with lane.database.begin() as session:
        await lane.stage.app.handle(update, session)
    await lane.stage.settle()
    return [one for one in lane.stage.fresh() if one.chat_id == group]


async def _press(lane: Lane, name: str, message: Message, label: str) -> None:
    user_id = lane.stage.user(name)
    assert user_id is not None
    lane.stage.api.press(user_id, message, label)
    await lane.stage.settle()


async def _lettuces(lane: Lane) -> list[tuple[str, int]]:
    """Where and how many were sown on the day of the story."""
    async with lane.database.begin() as session:
        rows = await session.execute(
            select(Place.name, Planting.count)
            .join(Planting, Planting.place_id == Place.id)
            .where(Planting.crop == "lettuce", Planting.stage == Stage.SOWN, Planting.sown_on == date(2026, 5, 5))
        )
        return [(name, count) for name, count in rows]


async def _entries(lane: Lane) -> list[str]:
    """What stands in the journal and is not taken back."""
    async with lane.database.begin() as session:
        return list(await session.scalars(select(Entry.words).where(Entry.undone_at.is_(None)).order_by(Entry.id)))


@pytest.mark.parametrize(("correction", "place", "count"), [
    ("no I meant bed 3", "Bed 3", 60), ("not 60, 40", "Bed 2", 40), ("40 not 60", "Bed 2", 40),
    ("no wait it was bed 3 not bed 2", "Bed 3", 60), ("sorry, bed 3", "Bed 3", 60), ("make that 30", "Bed 2", 30),
])  # fmt: skip
async def test_the_last_record_is_put_right_in_one_step(lane: Lane, correction: str, place: str, count: int) -> None:
    await _says(lane, "Tobias", "sowed 60 lettuces in bed 2")
    assert await _lettuces(lane) == [("Bed 2", 60)]
    said = await _says(lane, "Tobias", correction)
    assert await _lettuces(lane) == [(place, count)]
    shown = "\n".join(one.text for one in said)
    assert "Taken back" in shown and f"({place})" in shown and f"{count} plants" in shown


async def test_it_may_be_put_right_again_and_undone(lane: Lane) -> None:
    await _says(lane, "Tobias", "sowed 60 lettuces in bed 2")
    await _says(lane, "Tobias", "no I meant bed 3")
    await _says(lane, "Tobias", "not 60, 40")
    assert await _lettuces(lane) == [("Bed 3", 40)]
    await _says(lane, "Tobias", "undo")
    assert await _lettuces(lane) == []


async def test_a_correction_that_can_not_be_kept_changes_nothing(lane: Lane) -> None:
    await _says(lane, "Tobias", "picked 3 lettuces from bed 3")
    before = await _entries(lane)
    await _says(lane, "Tobias", "I meant 900 kg")
    assert await _entries(lane) == before


async def test_trays_are_counted_in_answer_to_how_many(lane: Lane) -> None:
    for text, count in (("3 trays of 12", 36), ("4 x 6", 24), ("two trays, 12 in each", 24)):
        await _says(lane, "Tobias", "sowed lettuces in bed 2")
        await _says(lane, "Tobias", text)
        assert ("Bed 2", count) in await _lettuces(lane), text


async def test_a_no_with_another_place_moves_what_is_asked_about(lane: Lane) -> None:
    await _says(lane, "Tobias", "I think I sowed 24 lettuces in bed 2, not sure")
    await _says(lane, "Tobias", "bed 3 not 2")
    assert await _lettuces(lane) == [("Bed 3", 24)]


async def test_seedlings_that_nobody_told_of_are_pricked_out_into_a_house(lane: Lane) -> None:
    await _says(lane, "Tobias", "pricked out 30 celeriac into modules in the greenhouse")
    async with lane.database.begin() as session:
        row = (await session.scalars(select(Planting).where(Planting.crop == "celeriac"))).one()
        assert (row.count, row.stage, row.sown_on) == (30, Stage.POTTED_ON, None)


@pytest.mark.parametrize(("name", "text"), [
    ("Tobias", "might be off at the weekend, not sure yet"), ("Tobias", "I'll be in on Saturday"),
    ("Tobias", "who is away next week"), ("Kasia", "będę w sobotę"), ("Kasia", "chyba mnie nie będzie w weekend"),
])  # fmt: skip
async def test_what_is_no_absence_yet_is_not_shown_as_one(lane: Lane, name: str, text: str) -> None:
    said = await _says(lane, name, text)
    assert not any("away:" in key.get("callback_data", "") for one in said for line in one.keyboard for key in line)


async def test_a_perhaps_is_asked_to_tell_later_and_a_question_after_a_word_to_wait_is_answered(lane: Lane) -> None:
    assert "when you know" in (await _says(lane, "Tobias", "maybe away next week"))[-1].text
    await _says(lane, "Tobias", "sowed lettuces in bed 2")
    assert "mm" in (await _says(lane, "Tobias", "hang on, will it rain tonight first"))[-1].text


async def test_nobody_puts_right_what_somebody_else_wrote(lane: Lane) -> None:
    await _says(lane, "Tobias", "sowed 60 lettuces in bed 2")
    await _says(lane, "Deepa", "no I meant bed 3")
    assert await _lettuces(lane) == [("Bed 2", 60)]


async def test_nothing_heavy_until_a_day_and_then_as_before(lane: Lane) -> None:
    said = await _says(lane, "Tobias", "my back is bad, no lifting until Friday")
    assert "Fri 8 May" in said[-1].text
    await _press(lane, "Tobias", said[-1], "Nothing heavy")
    assert await _lift_kg(lane, "Tobias") == 0.0
    async with lane.database.begin() as session:
        await wishes.lift_again(session, datetime(2026, 5, 8, 12, tzinfo=UTC))
    assert await _lift_kg(lane, "Tobias") == 0.0
    async with lane.database.begin() as session:
        await wishes.lift_again(
            session, datetime(2026, 5, 8, 23, 30, tzinfo=UTC)
        )  # half past midnight there, in summer time
    assert await _lift_kg(lane, "Tobias") == 25.0


async def _lift_kg(lane: Lane, name: str) -> float | None:
    async with lane.database.begin() as session:
        query = select(Member.lift_kg).join(Person).where(Person.name == name)
        return await session.scalar(query)


async def test_the_group_is_overheard_only_where_organisers_wish_it(lane: Lane) -> None:
    assert await _in_group(lane, "Tobias", "watered bed 3") == []
    assert await _entries(lane) == []
    card = (await _says(lane, "Miriam", "/setup heard"))[-1]
    await _press(lane, "Miriam", card, "Save reports")
    for talk in ("anyone seen my gloves", "lovely beans in bed 2", "watered mine at home", "did you water bed 3?", "yes",
                 "will do bed 3 tomorrow", "Kasia says she watered bed 3", "I picked mushrooms", "planted some foxgloves",
                 "undo"):  # fmt: skip
        assert await _in_group(lane, "Tobias", talk) == [], talk
    assert await _entries(lane) == []
    (shown,) = await _in_group(lane, "Tobias", "watered bed 3")
    assert [one["text"] for line in shown.keyboard for one in line] == ["Undo"]
    assert await _entries(lane) == ["watered bed 3"]


async def test_organisers_alone_see_what_was_not_understood_without_names(lane: Lane) -> None:
    await _says(lane, "Tobias", "florble the Oskar wibble")
    (card,) = await _says(lane, "Miriam", "/setup heard")
    assert "1 message was not understood" in card.text and "florble the … wibble" in card.text
    assert "Tobias" not in card.text and "Oskar" not in card.text
    assert "florble" not in "".join(one.text for one in await _says(lane, "Deepa", "/setup heard"))
    async with lane.database.begin() as session:
        assert (
            await session.scalars(select(Member.role).join(Person).where(Person.name == "Deepa"))
        ).one() is Role.MEMBER
        rows = (await session.scalars(select(Inbox).where(Inbox.unheard_garden_id.is_not(None)))).all()
        assert len(rows) == 1 and (await session.get_one(Garden, rows[0].unheard_garden_id)).name == "Teasel Lane"


async def test_dictation_of_more_than_a_thousand_signs_is_read_whole(lane: Lane) -> None:
    chat = "and it was such a lovely bright day with the birds singing all along the hedge by the railway line "
    done = ["watered the tunnel", "weeded bed 1", "fed the tomatoes", "thinned the beetroot", "mulched the strawberries",
            "shut the greenhouse", "weeded bed 5"]  # fmt: skip
    text = " ".join(f"{one} {chat}" for one in done) * 2
    assert len(text) > 1000
    await _says(lane, "Tobias", " ".join(f"{one} {chat}" for one in done) + "and " + chat * 4)
    async with lane.database.begin() as session:
        found = set(await session.scalars(select(Entry.action).where(Entry.undone_at.is_(None))))
    assert found == {"watered", "weeded", "fed", "thinned", "mulched", "shut"}


async def test_watered_potatoes_are_all_of_them_that_are_shared(lane: Lane) -> None:
    (said,) = await _says(lane, "Tobias", "Watered the potatoes")
    assert "Bed 1" in said.text and "Bed 6" in said.text
    await _press(lane, "Tobias", said, "Undo")
    assert await _entries(lane) == []


async def test_more_lost_than_grew_is_asked_about(lane: Lane) -> None:
    (said,) = await _says(lane, "Tobias", "aphids killed 2 chillies")
    assert "Really 2 plants" in said.text and await _entries(lane) == []


async def test_what_grows_in_its_pot_may_be_repotted(lane: Lane) -> None:
    (said,) = await _says(lane, "Tobias", "repotted the chilli")
    assert await _entries(lane) == []
    await _press(lane, "Tobias", said, "Yes")
    assert await _entries(lane) == ["repotted the chilli"]
    async with lane.database.begin() as session:
        stages = set(await session.scalars(select(Planting.stage).where(Planting.crop == "chilli")))
    assert stages == {Stage.GROWING}


@pytest.mark.parametrize(("text", "part"), [
    ("is it worse tonight?", "°C"), ("squash all in the shed", "Is this right?"), ("-3", "thermometer"),
])  # fmt: skip
async def test_what_was_not_understood_is_now(lane: Lane, text: str, part: str) -> None:
    assert part in "\n".join(one.text for one in await _says(lane, "Tobias", text))
    assert await _entries(lane) == []


@pytest.mark.parametrize("text", [
    "Deepa is away next week", "I think Deepa is away next week", "I was away last week", "out every other weekend",
])  # fmt: skip
async def test_who_is_away_is_whoever_writes_and_on_days_to_come(lane: Lane, text: str) -> None:
    assert "Are you away" not in "\n".join(one.text for one in await _says(lane, "Tobias", text))


@pytest.mark.parametrize(("text", "days"), [
    ("I'm off next Thursday", "Thu 14 May"), ("can't do tomorrow but Thursday is fine", "Wed 6 May"),
    ("in bed with flu, back next week", "Tue 5 May to Sun 10 May"), ("leave me out this month", "Tue 5 May to Sun 31 May"),
    ("me and Deepa are away 9-12 May", "Sat 9 May to Tue 12 May"), ("Can't do the 8th", "Fri 8 May"),
    ("won't be about over the weekend, back Monday", "Sat 9 May to Sun 10 May"),
])  # fmt: skip
async def test_absences_as_people_tell_them(lane: Lane, text: str, days: str) -> None:
    assert days in "\n".join(one.text for one in await _says(lane, "Tobias", text))
