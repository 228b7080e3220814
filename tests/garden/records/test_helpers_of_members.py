"""members.csv names the helper of somebody without the app; who helps is asked anew only when it changes."""

from __future__ import annotations

from sqlalchemy import select, update

from bot.services.garden.records.exporting import export_csv
from bot.services.garden.records.problems import Changed
from bot.storage.models import Garden, Member, NamedHelper, Person
from bot.storage.session import Database
from tests.garden.records.record_files import GARDEN, NOW, bring, said

MEMBERS = "name,helper\nEdith,Deepa\nDeepa,\nOwen,\n"


async def _helpers(database: Database) -> dict[str, tuple[str, bool]]:
    """By name: who helps, and whether they have agreed."""
    async with database.begin() as session:
        people = await session.execute(select(Member.id, Person.name).join(Person))
        names = {row[0]: row[1] for row in people}
        rows = await session.scalars(select(NamedHelper))
        return {names[row.member_id]: (names[row.helper_id], row.agreed_at is not None) for row in rows}


async def test_a_helper_is_named_and_has_yet_to_agree(database: Database) -> None:
    await bring(database, garden=GARDEN, members=MEMBERS)
    assert await _helpers(database) == {"Edith": ("Deepa", False)}


async def test_the_same_file_again_keeps_their_word_and_another_helper_is_asked_anew(database: Database) -> None:
    await bring(database, garden=GARDEN, members=MEMBERS)
    async with database.begin() as session:
        await session.execute(update(NamedHelper).values(agreed_at=NOW))
    again = await bring(database, garden=GARDEN, members=MEMBERS)
    assert again.tallies["members"].changed == () and await _helpers(database) == {"Edith": ("Deepa", True)}
    without = await bring(database, garden=GARDEN, members="name\nEdith\nDeepa\nOwen\n")
    assert without.tallies["members"].changed == () and await _helpers(database) == {"Edith": ("Deepa", True)}
    other = await bring(database, garden=GARDEN, members=MEMBERS.replace("Edith,Deepa", "Edith,Owen"))
    assert other.tallies["members"].changed == (Changed("Edith", ("helper",)),)
    assert other.tallies["members"].unchanged_n == 2
    assert await _helpers(database) == {"Edith": ("Owen", False)}
    await bring(database, garden=GARDEN, members=MEMBERS.replace("Edith,Deepa", "Edith,"))
    assert await _helpers(database) == {}


async def test_an_unknown_helper_and_oneself_are_named_as_mistakes(database: Database) -> None:
    wrong = await bring(database, garden=GARDEN, members="name,helper\nEdith,Dipa\nDeepa,Deepa\n")
    assert any("no member is called 'Dipa'" in text for text in said(wrong))
    assert any("nobody can be their own helper" in text for text in said(wrong))
    assert not wrong.stored


async def test_the_helper_is_written_out_again(database: Database) -> None:
    await bring(database, garden=GARDEN, members=MEMBERS)
    async with database.begin() as session:
        files = await export_csv(session, (await session.scalars(select(Garden))).one())
    header, edith = files["members.csv"].decode("utf-8-sig").splitlines()[:2]
    assert dict(zip(header.split(","), edith.split(","), strict=True))["helper"] == "Deepa"
