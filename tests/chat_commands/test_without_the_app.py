"""A member without the app is asked through a named helper: a day ahead at least, answered by buttons, thanked."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select

from bot.chat.warnings import brief
from bot.storage.models import Ask, Away, Member, NamedHelper, Person
from bot.storage.session import Database
from bot.storage.states import AskState
from tests.chat_commands.dialogue import Talk, labels

EVERYONE = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana")


async def _edith(talk: Talk) -> None:
    """Miriam puts Edith, who has no app, on the list, and has her asked through Deepa, who agrees."""
    await talk.write("Miriam", "/members add Edith")
    await talk.press("Miriam", "Choose a helper")
    await talk.press("Miriam", "Deepa")
    await talk.press("Deepa", "Yes, I will help")


async def _only_edith(database: Database, talk: Talk) -> None:
    """Everybody else is away for the week."""
    today = talk.stage.clock.at.date()
    async with database.begin() as session:
        for name in EVERYONE:
            member = await talk.member(session, name)
            session.add(Away(member_id=member.id, from_on=today, to_on=today + timedelta(days=6)))
        edith = (await session.scalars(select(Member).join(Person).where(Person.name == "Edith"))).one()
        edith.lift_kg = 25.0


async def _asked(database: Database, talk: Talk) -> None:
    """Deepa has been asked to ask Edith, whom alone there is; of the quiet Sunday before nothing is looked at."""
    await _edith(talk)
    await _only_edith(database, talk)
    talk.stage.clock.at += timedelta(hours=20)
    await _until(talk, "Please ask Edith for me")


async def _until(talk: Talk, words: str, every_h: int = 1) -> str:
    """Let the clock go on until something with these words is said to Deepa; for two days and a half at most."""
    before = len(talk.said_to("Deepa"))
    for _ in range(60 // every_h):
        talk.stage.clock.at += timedelta(hours=every_h)
        await talk.tick()
        for text in talk.said_to("Deepa")[before:]:
            if words in text:
                return text
    raise LookupError(words)


async def _asks(database: Database) -> list[Ask]:
    async with database.begin() as session:
        query = select(Ask).join(Member).join(Person).where(Person.name == "Edith").order_by(Ask.id)
        return list((await session.scalars(query)).all())


async def test_edith_is_asked_through_deepa_a_day_ahead_and_her_yes_is_shown_to_the_group(
    talk: Talk, database: Database
) -> None:
    await _edith(talk)
    await _only_edith(database, talk)
    asked = await _until(talk, "Please ask Edith for me")
    assert "I count on nobody" in asked
    first = (await _asks(database))[0]
    assert first.state is AskState.ASKED
    await talk.press("Deepa", "I have told them")
    first = (await _asks(database))[0]
    assert first.told_at is not None and first.state is AskState.ASKED, "told is not yet an answer"
    (yes,) = [one for one in await talk.press("Deepa", "They said yes") if one.chat_id == talk.id("Deepa")]
    assert "Edith does it" in yes.text and "Done" in labels(yes)
    assert (await _asks(database))[0].state is AskState.ACCEPTED
    assert any("Edith will do it" in text for text in talk.said_in_group("Miriam"))
    assert not any("Edith" in text and "do it" in text for text in talk.said_to("Owen"))


async def test_her_no_asks_the_next_person_and_pressing_twice_changes_nothing(talk: Talk, database: Database) -> None:
    await _asked(database, talk)
    message = talk.under("Deepa", "They said no")
    await talk.press_under("Deepa", message, "They said no")
    assert {ask.state for ask in await _asks(database)} == {AskState.PASSED}
    again = await talk.press_under("Deepa", message, "They said no")
    assert any("I already have your answer" in one.text for one in again)


async def test_nobody_but_her_helper_answers_for_her(talk: Talk, database: Database) -> None:
    await _asked(database, talk)
    (data,) = [
        key["callback_data"]
        for row in talk.under("Deepa", "I have told them").keyboard
        for key in row
        if key["text"] == "They said yes"
    ]
    for who in ("Owen", "Miriam"):
        await talk.write(who, "/help")
        (refused,) = await talk.forge(who, data)
        assert refused.text == "That button is for somebody else."
    await talk.write("Petra", "/help")
    (other,) = await talk.forge("Petra", data)
    assert "no longer works" in other.text
    assert {ask.state for ask in await _asks(database)} == {AskState.ASKED}


async def test_silence_is_escalated_as_for_anyone_and_the_helper_can_call_it_off(
    talk: Talk, database: Database
) -> None:
    await _asked(database, talk)
    await _until(talk, "Have you reached Edith?")
    passed = await _until(talk, "I have no answer from Edith yet")
    assert "please tell them that they do not need to come" in passed
    assert AskState.SILENT in {ask.state for ask in await _asks(database)}


async def test_with_less_than_a_day_left_she_is_not_asked(talk: Talk, database: Database) -> None:
    await _edith(talk)
    talk.stage.clock.at += timedelta(days=2, hours=2)  # Tuesday 14:00 here; the cold comes tonight
    await _only_edith(database, talk)
    await talk.tick()
    assert any("frost" in text.lower() or "cold" in text.lower() for text in talk.said_in_group("Miriam"))
    assert await _asks(database) == []


async def test_thanks_go_through_the_helper(talk: Talk, database: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(brief, "ROWS", 1000)  # the standing message in full
    await _asked(database, talk)
    await talk.press("Deepa", "They said yes")
    talk.stage.clock.at += timedelta(hours=6)
    await talk.press("Deepa", "Done")
    assert "Done, thank you Edith." in "\n".join(talk.said_in_group("Miriam"))
    thanks = await _until(talk, "Please thank Edith from all of us", every_h=3)
    assert "Cover" in thanks or "Bring in" in thanks


async def test_a_helper_is_asked_first_and_may_say_no(talk: Talk, database: Database) -> None:
    await talk.write("Miriam", "/members add Edith")
    await talk.press("Miriam", "Choose a helper")
    (card, question) = await talk.press("Miriam", "Deepa")
    assert "waiting for Deepa as helper" in card.text or "waiting for Deepa as helper" in question.text
    assert "Would you help Edith" in talk.said_to("Deepa")[-1]
    await talk.press("Deepa", "No, thank you")
    assert "Edith has no app and needs a helper" in talk.said_to("Miriam")[-1]
    assert "Deepa" not in talk.said_to("Miriam")[-1]
    async with database.begin() as session:
        assert (await session.scalars(select(NamedHelper))).all() == []


async def test_a_helper_who_blocks_the_bot_or_leaves_is_told_to_the_organisers(talk: Talk, database: Database) -> None:
    await _asked(database, talk)
    talk.stage.api.block(talk.id("Deepa"))
    await talk.stage.settle()
    assert "I can't ask Edith for anything" in "\n".join(talk.said_to("Miriam"))
    assert {ask.state for ask in await _asks(database)} == {AskState.PASSED}, "what she was asked for goes to others"
    await talk.write("Miriam", "/members")
    await talk.press("Miriam", "Deepa")
    await talk.press("Miriam", "Remove")
    await talk.press("Miriam", "Yes, remove")
    assert any("No helper now for: Edith" in text for text in talk.said_to("Miriam"))


async def test_organisers_forget_somebody_without_the_app_at_their_wish(talk: Talk, database: Database) -> None:
    await _edith(talk)
    await talk.write("Miriam", "/members")
    await talk.press("Miriam", "Show the rest")
    await talk.press("Miriam", "Edith")
    await talk.press("Miriam", "Forget them")
    await talk.press("Miriam", "Yes, forget them")
    async with database.begin() as session:
        assert (await session.scalars(select(Person).where(Person.name == "Edith"))).all() == []
        assert (await session.scalars(select(NamedHelper))).all() == []


async def test_people_without_the_app_are_named_on_call(talk: Talk) -> None:
    await _edith(talk)
    (listed,) = await talk.write("Miriam", "/oncall")
    assert "Edith" in listed.text


async def test_members_with_the_app_have_no_helper_named(talk: Talk, database: Database) -> None:
    async with database.begin() as session:
        owen, deepa = await talk.member(session, "Owen"), await talk.member(session, "Deepa")
    await talk.write("Miriam", "/help")
    (refused,) = await talk.forge("Miriam", f"who:{owen.id}:by{deepa.id}")
    assert "I can write to them myself" in refused.text


@pytest.mark.parametrize(("words", "state"), [
    ("Edith says yes", AskState.ACCEPTED), ("edith said she can't", AskState.PASSED),
    ("Yes, Edith will do it", AskState.ACCEPTED),
])  # fmt: skip
async def test_what_her_helper_writes_counts_as_their_button(
    talk: Talk, database: Database, words: str, state: AskState
) -> None:
    await _asked(database, talk)
    await talk.write("Deepa", words)
    assert {ask.state for ask in await _asks(database)} == {state}


async def test_what_others_write_of_her_changes_nothing(talk: Talk, database: Database) -> None:
    await _asked(database, talk)
    await talk.write("Owen", "Edith says yes")
    await talk.write("Deepa", "does Edith say yes?")
    assert {ask.state for ask in await _asks(database)} == {AskState.ASKED}
