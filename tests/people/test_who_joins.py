"""Joining: from the group only, adults only, and with what one is glad to do."""

from __future__ import annotations

from sqlalchemy import select

from bot.storage.models import Member, Person
from tests.support.talk import labels
from tests.support.village import AMIRA, GROUP, JOE, Village


async def _joe(village: Village) -> Member | None:
    async with village.stage.app.database.begin() as session:
        return await session.scalar(select(Member).join(Person).where(Person.user_id == JOE))


async def test_nobody_counts_as_an_adult_before_they_have_said_so(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.tap(JOE, "Join", chat=GROUP)
    before = await _joe(village)
    assert before is not None and not before.adult
    (asked,) = await village.write(JOE, "/start hello")
    assert "adult" in asked.text
    said = await village.tap(JOE, "Yes")
    assert any("Lifting" in one.text for one in said)
    after = await _joe(village)
    assert after is not None and after.adult
    (end,) = await village.tap(JOE, "Finish my wishes")
    assert "/week" in end.text


async def test_a_child_is_taken_off_the_list_again(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.tap(JOE, "Join", chat=GROUP)
    await village.write(JOE, "/start hello")
    (told,) = await village.tap(JOE, "No")
    assert "with your adult" in told.text
    gone = await _joe(village)
    assert gone is not None and gone.left_at is not None


async def test_the_language_may_be_changed_at_the_first_question(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.tap(JOE, "Join", chat=GROUP)
    await village.write(JOE, "/start hello")
    (asked,) = await village.tap(JOE, "Polski")
    assert "English" in labels(asked)


async def test_who_has_left_the_group_can_not_join_by_an_old_button(village: Village) -> None:
    await village.added(status="administrator")
    await village.set_up()
    village.stage.api.chats[GROUP].statuses[JOE] = "left"
    (refused,) = await village.tap(JOE, "Join", chat=GROUP)
    assert "join this group first" in refused.text
    assert await _joe(village) is None


async def test_somebody_listed_by_name_is_known_again_once_an_organiser_says_so(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.write(AMIRA, "/places plot 3 Amira and Joe")
    await village.tap(AMIRA, "Save it")
    await village.joined(JOE)
    await village.tap(AMIRA, "Joe")
    (card, *_) = await village.write(AMIRA, "/members")
    assert card.text.count("Joe") == 1
