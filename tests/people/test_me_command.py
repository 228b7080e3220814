"""What is stored about somebody is told, given out whole, and forgotten, by themselves only.

The rights are those of Articles 15, 17 and 20 of Regulation (EU) 2016/679 (access, erasure, portability), from memory.
"""

from __future__ import annotations

import json
from datetime import timedelta

import pytest
from sqlalchemy import select

from bot.core.garden.snapshot import Stage
from bot.storage.models import Base, Entry, Inbox, Key, Member, Outbox, Person, Planting
from bot.storage.session import Database
from bot.storage.states import KeyState
from tests.support.talk import Talk


async def _forget(street: Talk, who: str) -> None:
    await street.write(who, "/me")
    await street.tap(who, "Forget me")
    await street.tap(who, "Yes, forget me")


def _anywhere(rows: list[str], *words: str) -> list[str]:
    return [row for row in rows if any(word in row for word in words)]


async def _everything(two_gardens: Database) -> list[str]:
    """Every row of every table, as text."""
    async with two_gardens.begin() as session:
        return [
            f"{table.name} {dict(row)}"
            for table in Base.metadata.sorted_tables
            for row in (await session.execute(select(table))).mappings()
        ]


async def test_what_is_kept_is_said_in_plain_words_and_in_private(street: Talk) -> None:
    await street.write("Deepa", "/away 3")
    await street.write("Deepa", "yes")
    (told,) = await street.write("Deepa", "/me", group=True)
    assert told.chat_id == street.user("Deepa")
    assert "Your name here (Deepa)" in told.text and "Teasel Lane: member, adult." in told.text
    (here,) = await street.tap("Deepa", "More on Teasel Lane")
    assert "Plots: Plot 3." in here.text and "When you are away: 1 time." in here.text
    (back,) = await street.tap("Deepa", "Back to my data")
    assert back.text == told.text
    (who,) = await street.tap("Deepa", "Who can see it")
    assert "organisers" in who.text and "days" in who.text


async def test_a_name_with_markup_is_only_text(street: Talk, two_gardens: Database) -> None:
    async with two_gardens.begin() as session:
        (await street.row_of(session, "Deepa")).person.name = "Deepa <3 & co"
    (told,) = await street.write("Deepa", "/me")
    assert "Your name here (Deepa <3 & co)" in told.text


async def test_the_file_holds_every_row_about_them_and_none_about_others(street: Talk, two_gardens: Database) -> None:
    await street.write("Leila", "sowed 12 peas in bed 5")
    await street.write("Leila", "/away 3")
    await street.write("Leila", "yes")
    await street.write("Owen", "sowed 12 leeks in bed 4")
    await street.write("Leila", "/me")
    (file,) = await street.tap("Leila", "Get it as a file")
    assert file.kind == "document" and file.file_id is not None and file.chat_id == street.user("Leila")
    stored = json.loads(street.stage.api.files[file.file_id])
    assert [row["name"] for row in stored["people"]] == ["Leila"]
    assert len(stored["aways"]) == 1 and len(stored["plot_holders"]) == 1
    assert [row["words"] for row in stored["journal"]] == ["sowed 12 peas in bed 5"]
    assert any("sowed 12 peas" in json.dumps(row) for row in stored["inbox"])
    text = json.dumps(stored)
    assert "leeks" not in text and "Miriam" not in text and "Ivo" not in text


async def test_forgotten_is_gone_everywhere_but_in_what_was_done(street: Talk, two_gardens: Database) -> None:
    user = street.user("Leila")
    await street.write("Leila", "sowed 12 peas in bed 5")
    await street.write("Leila", "/away 3")
    await street.write("Leila", "yes")
    await street.write("Leila", "/wishes")
    await street.tap("Leila", "Change my hours")
    await street.tap("Leila", "Weekends")
    await _forget(street, "Leila")
    left = _anywhere(await _everything(two_gardens), "Leila", str(user))
    # What stays is the farewell, and the press that asked for it: they go by the clock.
    assert {row.split()[0] for row in left} <= {"inbox", "outbox"}
    assert len(_anywhere(left, "peas")) == 0
    street.stage.clock.at += timedelta(days=60)
    await street.stage.app.tidy()
    assert _anywhere(await _everything(two_gardens), "Leila", str(user)) == []
    async with two_gardens.begin() as session:
        (entry,) = (await session.scalars(select(Entry))).all()
        peas = (
            await session.scalars(select(Planting).where(Planting.crop == "pea", Planting.stage == Stage.SOWN))
        ).all()
    assert entry.words == "sowed 12 peas in bed 5" and len(peas) == 1, "the journal stays, without the name"


async def test_forgetting_is_asked_twice_and_no_keeps_everything(street: Talk, two_gardens: Database) -> None:
    await street.write("Leila", "/me")
    await street.tap("Leila", "Forget me")
    (kept,) = await street.tap("Leila", "No")
    assert kept.text == "All right, I change nothing."
    async with two_gardens.begin() as session:
        assert (await street.row_of(session, "Leila")).left_at is None


async def test_pressed_twice_the_second_finds_nobody(street: Talk) -> None:
    await street.write("Leila", "/me")
    await street.tap("Leila", "Forget me")
    message = street.under("Leila", "Yes, forget me")
    await street.press("Leila", message, "Yes, forget me")
    (again,) = await street.press("Leila", message, "Yes, forget me")
    assert again.text == "I keep nothing about you."
    (told,) = await street.write("Leila", "/me")
    assert told.text == "I keep nothing about you."


async def test_the_only_organiser_hands_over_first(street: Talk, two_gardens: Database) -> None:
    await _forget(street, "Miriam")
    assert "You are the last one who looks after Teasel Lane." in street.said_to("Miriam")[-1]
    await street.write("Miriam", "/members")
    await street.tap("Miriam", "Deepa")
    await street.tap("Miriam", "Hand over my role")
    user = street.user("Miriam")
    await _forget(street, "Miriam")
    async with two_gardens.begin() as session:
        assert (await session.scalars(select(Person).where(Person.user_id == user))).first() is None


async def test_the_organisers_are_asked_to_get_a_key_back_without_a_name(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/keys")
    await _forget(street, "Deepa")
    assert "had a key (2)" in street.said_to("Miriam")[-1] and "Deepa" not in street.said_to("Miriam")[-1]
    async with two_gardens.begin() as session:
        key = (await session.scalars(select(Key).where(Key.name == "2"))).one()
        assert (key.state, key.holder_member_id) == (KeyState.LOST, None)


@pytest.mark.parametrize("deed", ["yes", "file", "forget"])
async def test_nobody_forgets_or_reads_somebody_else(street: Talk, two_gardens: Database, deed: str) -> None:
    async with two_gardens.begin() as session:
        person_id = (await street.row_of(session, "Leila")).person_id
    for who in ("Owen", "Miriam", "Petra"):
        await street.write(who, "/help")
        (refused,) = await street.forge(who, f"mine:{person_id}:{deed}")
        assert refused.text == "That button is for somebody else."
    async with two_gardens.begin() as session:
        assert (await session.get_one(Person, person_id)).name == "Leila"


async def test_in_two_gardens_both_are_told_and_both_forgotten(street: Talk, two_gardens: Database) -> None:
    async with two_gardens.begin() as session:
        ivo, owen = await street.row_of(session, "Ivo"), await street.row_of(session, "Owen")
        session.add(Member(garden_id=owen.garden_id, person_id=ivo.person_id, joined_at=street.stage.clock.at))
    (told,) = await street.write("Ivo", "/me")
    assert "Sorrel Yard: member" in told.text and "Teasel Lane: member" in told.text
    person_id = ivo.person_id
    await _forget(street, "Ivo")
    async with two_gardens.begin() as session:
        rows = (await session.scalars(select(Member).where(Member.person_id == person_id))).all()
        assert len(rows) == 2 and all(row.left_at is not None for row in rows)


async def test_messages_are_kept_seven_and_thirty_days(street: Talk, two_gardens: Database) -> None:
    await street.write("Owen", "what should I do this week?")
    start = street.stage.clock.at

    async def kept(after: timedelta) -> tuple[int, int, int]:
        street.stage.clock.at = start + after
        await street.stage.app.tidy()
        async with two_gardens.begin() as session:
            inbox = (await session.scalars(select(Inbox))).all()
            outbox = (await session.scalars(select(Outbox))).all()
        return sum(bool(row.payload) for row in inbox), len(inbox), len(outbox)

    texts, numbers, sent = await kept(timedelta(days=6, hours=23))
    assert texts > 0 and sent > 0
    assert await kept(timedelta(days=7, hours=1)) == (0, numbers, sent)
    assert await kept(timedelta(days=29)) == (0, numbers, sent)
    assert (await kept(timedelta(days=31)))[2] == 0
    assert await kept(timedelta(days=40)) == (0, 0, 0)


async def test_a_pinned_calendar_is_never_tidied_away(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/calendar 12 May plant out runner beans")
    await street.tap("Miriam", "Publish the entries")
    street.stage.clock.at += timedelta(days=60)
    await street.stage.app.tidy()
    await street.write("Miriam", "/calendar 20 July lift the garlic")
    before = len(street.said_in_group("Miriam"))
    await street.tap("Miriam", "Publish the entries")
    assert len(street.said_in_group("Miriam")) == before, "the pinned message was changed, not posted again"
