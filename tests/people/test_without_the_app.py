"""A member without the app is asked through a named helper: a day ahead at least, answered by buttons, thanked."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import delete, select

from bot.chat.warnings import brief
from bot.storage.models import Ask, Away, Member, NamedHelper, Person
from bot.storage.session import Database
from bot.storage.states import AskState
from tests.support.talk import Talk, labels

EVERYONE = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana")


async def _edith(street: Talk) -> None:
    """Miriam puts Edith, who has no app, on the list, and has her asked through Deepa, who agrees."""
    await street.write("Miriam", "/members add Edith")
    await street.tap("Miriam", "Choose a helper")
    await street.tap("Miriam", "Deepa")
    await street.tap("Deepa", "Yes, I will help")


async def _only_edith(two_gardens: Database, street: Talk) -> None:
    """Everybody else is away for the week."""
    today = street.stage.clock.at.date()
    async with two_gardens.begin() as session:
        for name in EVERYONE:
            member = await street.row_of(session, name)
            session.add(Away(member_id=member.id, from_on=today, to_on=today + timedelta(days=6)))
        edith = (await session.scalars(select(Member).join(Person).where(Person.name == "Edith"))).one()
        edith.lift_kg = 25.0


async def _asked(two_gardens: Database, street: Talk) -> None:
    """Deepa has been asked to ask Edith, whom alone there is; of the quiet Sunday before nothing is looked at."""
    await _edith(street)
    await _only_edith(two_gardens, street)
    street.stage.clock.at += timedelta(hours=20)
    await _until(street, "Please ask Edith for me")


async def _until(street: Talk, words: str, every_h: int = 1) -> str:
    """Let the clock go on until something with these words is said to Deepa; for two days and a half at most."""
    before = len(street.said_to("Deepa"))
    for _ in range(60 // every_h):
        street.stage.clock.at += timedelta(hours=every_h)
        await street.look()
        for text in street.said_to("Deepa")[before:]:
            if words in text:
                return text
    raise LookupError(words)


async def _asks(two_gardens: Database) -> list[Ask]:
    async with two_gardens.begin() as session:
        query = select(Ask).join(Member).join(Person).where(Person.name == "Edith").order_by(Ask.id)
        return list((await session.scalars(query)).all())


async def test_edith_is_asked_through_deepa_a_day_ahead_and_her_yes_is_shown_to_the_group(
    street: Talk, two_gardens: Database
) -> None:
    await _edith(street)
    await _only_edith(two_gardens, street)
    asked = await _until(street, "Please ask Edith for me")
    assert "I count on nobody" in asked
    first = (await _asks(two_gardens))[0]
    assert first.state is AskState.ASKED
    await street.tap("Deepa", "I have told them")
    first = (await _asks(two_gardens))[0]
    assert first.told_at is not None and first.state is AskState.ASKED, "told is not yet an answer"
    (yes,) = [one for one in await street.tap("Deepa", "They said yes") if one.chat_id == street.user("Deepa")]
    assert "Edith does it" in yes.text and "Done" in labels(yes)
    assert (await _asks(two_gardens))[0].state is AskState.ACCEPTED
    assert any("Edith will do it" in text for text in street.said_in_group("Miriam"))
    assert not any("Edith" in text and "do it" in text for text in street.said_to("Owen"))


async def test_her_no_asks_the_next_person_and_pressing_twice_changes_nothing(
    street: Talk, two_gardens: Database
) -> None:
    await _asked(two_gardens, street)
    message = street.under("Deepa", "They said no")
    await street.press("Deepa", message, "They said no")
    assert {ask.state for ask in await _asks(two_gardens)} == {AskState.PASSED}
    again = await street.press("Deepa", message, "They said no")
    assert any("I already have your answer" in one.text for one in again)


async def test_nobody_but_her_helper_answers_for_her(street: Talk, two_gardens: Database) -> None:
    await _asked(two_gardens, street)
    (data,) = [
        key["callback_data"]
        for row in street.under("Deepa", "I have told them").keyboard
        for key in row
        if key["text"] == "They said yes"
    ]
    for who in ("Owen", "Miriam"):
        await street.write(who, "/help")
        (refused,) = await street.forge(who, data)
        assert refused.text == "That button is for somebody else."
    await street.write("Petra", "/help")
    (other,) = await street.forge("Petra", data)
    assert "no longer works" in other.text
    assert {ask.state for ask in await _asks(two_gardens)} == {AskState.ASKED}


async def test_silence_is_escalated_as_for_anyone_and_the_helper_can_call_it_off(
    street: Talk, two_gardens: Database
) -> None:
    await _asked(two_gardens, street)
    await _until(street, "Have you reached Edith?")
    async with two_gardens.begin() as session:  # the others are back, so there is somebody else to ask
        await session.execute(delete(Away))
    passed = await _until(street, "I have no answer from Edith yet")
    assert "please tell them that they do not need to come" in passed
    assert AskState.SILENT in {ask.state for ask in await _asks(two_gardens)}


async def test_with_less_than_a_day_left_she_is_not_asked(street: Talk, two_gardens: Database) -> None:
    await _edith(street)
    street.stage.clock.at += timedelta(days=2, hours=2)  # Tuesday 14:00 here; the cold comes tonight
    await _only_edith(two_gardens, street)
    await street.look()
    assert any("frost" in text.lower() or "cold" in text.lower() for text in street.said_in_group("Miriam"))
    assert await _asks(two_gardens) == []


async def test_thanks_go_through_the_helper(
    street: Talk, two_gardens: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(brief, "ROWS", 1000)  # the standing message in full
    await _asked(two_gardens, street)
    await street.tap("Deepa", "They said yes")
    street.stage.clock.at += timedelta(hours=6)
    await street.tap("Deepa", "Done")
    assert "Done, thank you Edith." in "\n".join(street.said_in_group("Miriam"))
    thanks = await _until(street, "Please thank Edith from all of us", every_h=3)
    assert "Cover" in thanks or "Bring in" in thanks


async def test_a_helper_is_asked_first_and_may_say_no(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/members add Edith")
    await street.tap("Miriam", "Choose a helper")
    (card, question) = await street.tap("Miriam", "Deepa")
    assert "waiting for Deepa as helper" in card.text or "waiting for Deepa as helper" in question.text
    assert "Would you help Edith" in street.said_to("Deepa")[-1]
    await street.tap("Deepa", "No, thank you")
    assert "Edith has no app and needs a helper" in street.said_to("Miriam")[-1]
    assert "Deepa" not in street.said_to("Miriam")[-1]
    async with two_gardens.begin() as session:
        assert (await session.scalars(select(NamedHelper))).all() == []


async def test_a_helper_who_blocks_the_bot_or_leaves_is_told_to_the_organisers(
    street: Talk, two_gardens: Database
) -> None:
    await _asked(two_gardens, street)
    street.stage.api.block(street.user("Deepa"))
    await street.stage.settle()
    assert "I can't ask Edith for anything" in "\n".join(street.said_to("Miriam"))
    assert {ask.state for ask in await _asks(two_gardens)} == {AskState.PASSED}, "what she was asked for goes to others"
    await street.write("Miriam", "/members")
    await street.tap("Miriam", "Deepa")
    await street.tap("Miriam", "Remove")
    await street.tap("Miriam", "Yes, remove")
    assert any("No helper now for: Edith" in text for text in street.said_to("Miriam"))


async def test_organisers_forget_somebody_without_the_app_at_their_wish(street: Talk, two_gardens: Database) -> None:
    await _edith(street)
    await street.write("Miriam", "/members")
    await street.tap("Miriam", "Show the rest")
    await street.tap("Miriam", "Edith")
    await street.tap("Miriam", "Forget them")
    await street.tap("Miriam", "Yes, forget them")
    async with two_gardens.begin() as session:
        assert (await session.scalars(select(Person).where(Person.name == "Edith"))).all() == []
        assert (await session.scalars(select(NamedHelper))).all() == []


async def test_people_without_the_app_are_named_on_call(street: Talk) -> None:
    await _edith(street)
    (listed,) = await street.write("Miriam", "/oncall")
    assert "Edith" in listed.text


async def test_members_with_the_app_have_no_helper_named(street: Talk, two_gardens: Database) -> None:
    async with two_gardens.begin() as session:
        owen, deepa = await street.row_of(session, "Owen"), await street.row_of(session, "Deepa")
    await street.write("Miriam", "/help")
    (refused,) = await street.forge("Miriam", f"who:{owen.id}:by{deepa.id}")
    assert "I can write to them myself" in refused.text


@pytest.mark.parametrize(("words", "state"), [
    ("Edith says yes", AskState.ACCEPTED), ("edith said she can't", AskState.PASSED),
    ("Yes, Edith will do it", AskState.ACCEPTED),
])  # fmt: skip
async def test_what_her_helper_writes_counts_as_their_button(
    street: Talk, two_gardens: Database, words: str, state: AskState
) -> None:
    await _asked(two_gardens, street)
    await street.write("Deepa", words)
    assert {ask.state for ask in await _asks(two_gardens)} == {state}


async def test_what_others_write_of_her_changes_nothing(street: Talk, two_gardens: Database) -> None:
    await _asked(two_gardens, street)
    await street.write("Owen", "Edith says yes")
    await street.write("Deepa", "does Edith say yes?")
    assert {ask.state for ask in await _asks(two_gardens)} == {AskState.ASKED}
