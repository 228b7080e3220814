"""A note that is not so: both versions stay, nobody is named, and what two differ about goes to organisers."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select

from bot.storage.models import Entry, Task, Warning
from bot.storage.session import Database
from bot.storage.states import TaskState
from tests.chat_commands.dialogue import Talk

_HOUR = timedelta(hours=1)
THREE, TWO = "3 kg potatoes from pot 1", "2 kg potatoes from pot 1"
#: As it is shown: no line breaks between number and unit.
SHOWN, SHOWN_TWO = (text.replace(" kg", "\N{NO-BREAK SPACE}kg") for text in (THREE, TWO))


async def test_a_note_in_the_group_is_corrected_by_another_and_the_writer_hears_no_name(
    talk: Talk, database: Database
) -> None:
    await talk.write("Owen", f"@gatepost_bot {THREE}", "group")
    (sure,) = await talk.press("Hana", "Undo", "group")
    assert sure.chat_id == talk.id("Hana") and SHOWN in sure.text
    await talk.press("Hana", "The note is wrong")
    heard = talk.said_to("Owen")[-1]
    assert SHOWN in heard and "Hana" not in heard
    await talk.write("Hana", TWO)
    async with database.begin() as session:
        entries = (await session.scalars(select(Entry).order_by(Entry.id))).all()
    assert [(one.words, one.undone_at is None) for one in entries] == [(THREE, False), (THREE, True), (TWO, True)]
    assert not any("differ" in text for text in talk.said_to("Miriam"))


async def test_taken_back_twice_goes_to_organisers_with_every_version(talk: Talk) -> None:
    await talk.write("Owen", THREE)
    await _not_so(talk, "Hana")
    await talk.write("Owen", THREE)
    with talk.silent("Leila", "Deepa"):
        await _not_so(talk, "Hana")
    told = talk.said_to("Miriam")[-1]
    assert told.count("Owen") == 2 and told.count("Hana") == 2 and told.count(SHOWN) == 2
    assert "disagree" in talk.said_to("Hana")[-1]


async def test_two_differing_corrections_go_to_organisers(talk: Talk) -> None:
    await talk.write("Owen", THREE)
    await _not_so(talk, "Hana")
    await talk.write("Hana", TWO)
    await _not_so(talk, "Leila")
    told = talk.said_to("Miriam")[-1]
    assert SHOWN in told and SHOWN_TWO in told and "Leila" in told


async def _not_so(talk: Talk, who: str) -> None:
    await talk.write(who, "/journal")
    await talk.press(who, "Note 1")
    await talk.press(who, "The note is wrong")


async def test_the_journal_shows_what_is_the_groups_and_on_ones_own_plot_only(talk: Talk, database: Database) -> None:
    await talk.write("Owen", "sowed 12 leeks in bed 4")
    await talk.write("Owen", THREE)
    (leilas,) = await talk.write("Leila", "/journal", "group")
    assert leilas.chat_id == talk.id("Leila") and SHOWN in leilas.text and "leeks" not in leilas.text
    (miriams,) = await talk.write("Miriam", "/journal")
    assert "leeks" in miriams.text
    async with database.begin() as session:
        leeks = (await session.scalars(select(Entry).where(Entry.words.like("%leeks%")))).one()
    (refused,) = await talk.forge("Leila", f"notso:{leeks.id}:yes")
    assert "somebody else's plot" in refused.text
    await talk.write("Petra", "/help")
    (other,) = await talk.forge("Petra", f"notso:{leeks.id}:yes")
    assert "no longer works" in other.text


async def _uncovered(database: Database) -> int:
    """Something that one person does."""
    async with database.begin() as session:
        found = await session.scalar(select(Task.id).where(Task.people == 1).order_by(Task.id))
    assert found is not None
    return found


async def test_done_and_not_done_twice_goes_to_organisers_and_names_only_who_said_done(
    talk: Talk, database: Database
) -> None:
    while not any("Tonight" in text or "We need this done by" in text for text in talk.said_in_group("Miriam")):
        talk.stage.clock.at += _HOUR
        await talk.tick()
    async with database.begin() as session:
        warning = (await session.scalars(select(Warning))).first()
        assert warning is not None
    await talk.forge("Owen", f"done:{warning.id}:t{await _uncovered(database)}")
    async with database.begin() as session:
        duty = (await session.scalars(select(Task).where(Task.state == TaskState.DONE).order_by(Task.id))).first()
    assert duty is not None
    await talk.forge("Hana", f"reopen:{duty.id}")
    assert not any("Is it done or not?" in text for text in talk.said_to("Miriam"))
    await talk.forge("Tobias", f"done:{warning.id}:t{duty.id}")
    await talk.forge("Leila", f"reopen:{duty.id}")
    told = talk.said_to("Miriam")[-1]
    assert "Is it done or not?" in told
    assert "Owen: done." in told and "Tobias: done." in told and "Hana" not in told and "Leila" not in told
