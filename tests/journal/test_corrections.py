"""A note that is not so: both versions stay, nobody is named, and what two differ about goes to organisers."""

from __future__ import annotations

from datetime import timedelta

from sqlalchemy import select

from bot.storage.models import Entry, Task, Warning
from bot.storage.session import Database
from bot.storage.states import TaskState
from tests.support.talk import Talk

_HOUR = timedelta(hours=1)
THREE, TWO = "3 kg potatoes from pot 1", "2 kg potatoes from pot 1"
#: As it is shown: no line breaks between number and unit.
SHOWN, SHOWN_TWO = (text.replace(" kg", "\N{NO-BREAK SPACE}kg") for text in (THREE, TWO))


async def test_a_note_in_the_group_is_corrected_by_another_and_the_writer_hears_no_name(
    street: Talk, two_gardens: Database
) -> None:
    await street.write("Owen", f"@gatepost_bot {THREE}", group=True)
    (sure,) = await street.tap("Hana", "Undo", group=True)
    assert sure.chat_id == street.user("Hana") and SHOWN in sure.text
    await street.tap("Hana", "The note is wrong")
    heard = street.said_to("Owen")[-1]
    assert SHOWN in heard and "Hana" not in heard
    await street.write("Hana", TWO)
    async with two_gardens.begin() as session:
        entries = (await session.scalars(select(Entry).order_by(Entry.id))).all()
    assert [(one.words, one.undone_at is None) for one in entries] == [(THREE, False), (THREE, True), (TWO, True)]
    assert not any("differ" in text for text in street.said_to("Miriam"))


async def test_taken_back_twice_goes_to_organisers_with_every_version(street: Talk) -> None:
    await street.write("Owen", THREE)
    await _not_so(street, "Hana")
    await street.write("Owen", THREE)
    with street.silent("Leila", "Deepa"):
        await _not_so(street, "Hana")
    told = street.said_to("Miriam")[-1]
    assert told.count("Owen") == 2 and told.count("Hana") == 2 and told.count(SHOWN) == 2
    assert "disagree" in street.said_to("Hana")[-1]


async def test_two_differing_corrections_go_to_organisers(street: Talk) -> None:
    await street.write("Owen", THREE)
    await _not_so(street, "Hana")
    await street.write("Hana", TWO)
    await _not_so(street, "Leila")
    told = street.said_to("Miriam")[-1]
    assert SHOWN in told and SHOWN_TWO in told and "Leila" in told


async def _not_so(street: Talk, who: str) -> None:
    await street.write(who, "/journal")
    await street.tap(who, "Note 1")
    await street.tap(who, "The note is wrong")


async def test_the_journal_shows_what_is_the_groups_and_on_ones_own_plot_only(
    street: Talk, two_gardens: Database
) -> None:
    await street.write("Owen", "sowed 12 leeks in bed 4")
    await street.write("Owen", THREE)
    (leilas,) = await street.write("Leila", "/journal", group=True)
    assert leilas.chat_id == street.user("Leila") and SHOWN in leilas.text and "leeks" not in leilas.text
    (miriams,) = await street.write("Miriam", "/journal")
    assert "leeks" in miriams.text
    async with two_gardens.begin() as session:
        leeks = (await session.scalars(select(Entry).where(Entry.words.like("%leeks%")))).one()
    (refused,) = await street.forge("Leila", f"notso:{leeks.id}:yes")
    assert "somebody else's plot" in refused.text
    await street.write("Petra", "/help")
    (other,) = await street.forge("Petra", f"notso:{leeks.id}:yes")
    assert "no longer works" in other.text


async def _uncovered(two_gardens: Database) -> int:
    """Something that one person does."""
    async with two_gardens.begin() as session:
        found = await session.scalar(select(Task.id).where(Task.people == 1).order_by(Task.id))
    assert found is not None
    return found


async def test_done_and_not_done_twice_goes_to_organisers_and_names_only_who_said_done(
    street: Talk, two_gardens: Database
) -> None:
    while not any("Tonight" in text or "We need this done by" in text for text in street.said_in_group("Miriam")):
        street.stage.clock.at += _HOUR
        await street.look()
    async with two_gardens.begin() as session:
        warning = (await session.scalars(select(Warning))).first()
        assert warning is not None
    await street.forge("Owen", f"done:{warning.id}:t{await _uncovered(two_gardens)}")
    async with two_gardens.begin() as session:
        duty = (await session.scalars(select(Task).where(Task.state == TaskState.DONE).order_by(Task.id))).first()
    assert duty is not None
    await street.forge("Hana", f"reopen:{duty.id}")
    assert not any("Is it done or not?" in text for text in street.said_to("Miriam"))
    await street.forge("Tobias", f"done:{warning.id}:t{duty.id}")
    await street.forge("Leila", f"reopen:{duty.id}")
    told = street.said_to("Miriam")[-1]
    assert "Is it done or not?" in told
    assert "Owen: done." in told and "Tobias: done." in told and "Hana" not in told and "Leila" not in told
