"""What members wish is asked in one message, never assumed, and the rota reads it."""

from __future__ import annotations

from datetime import date, time

import pytest
from sqlalchemy import select

from bot.core.tasks.rota import Window
from bot.services.tasks import rota
from bot.storage.garden import gardens
from bot.storage.models import FreeTime, Member, Place
from bot.storage.session import Database
from tests.support.talk import Talk, labels


async def _row(two_gardens: Database, street: Talk, who: str) -> Member:
    async with two_gardens.begin() as session:
        return await street.row_of(session, who)


async def test_one_message_shows_the_wishes_and_its_buttons_change_it(street: Talk, two_gardens: Database) -> None:
    (shown,) = await street.write("Hana", "/wishes")
    # 16 kg: the lower figure at waist height, INDG143(rev4) 2020, read via first4lawyers.com.
    assert "you have not told me yet, so I ask you for 16\N{NO-BREAK SPACE}kg at most" in shown.text
    await street.tap("Hana", "Change lifting")
    (changed,) = await street.tap("Hana", "Up to 10\N{NO-BREAK SPACE}kg")
    assert (changed.id, changed.edits != []) == (shown.id, True)
    assert "Lifting: up to 10\N{NO-BREAK SPACE}kg." in changed.text
    assert "✓ Up to 10\N{NO-BREAK SPACE}kg" in labels(changed)
    assert (await _row(two_gardens, street, "Hana")).lift_kg == 10.0


async def test_the_caution_names_the_higher_published_figure_and_nobody_is_offered_more(street: Talk) -> None:
    await street.write("Hana", "/wishes")
    (shown,) = await street.tap("Hana", "Change lifting")
    # 25 kg close to the body at waist height: INDG143(rev4) 2020, read via safetyservicesdirect.com.
    assert "I ask nobody to lift more than 25\N{NO-BREAK SPACE}kg" in shown.text
    assert "your back straight" in shown.text and "a second person" in shown.text
    weights = [int(label.split()[2]) for label in labels(shown) if label.endswith("\N{NO-BREAK SPACE}kg")]
    assert max(weights) == 25 and "No lifting" in labels(shown)


async def test_the_way_to_the_garden_is_said_and_the_rota_reckons_with_it(street: Talk, two_gardens: Database) -> None:
    (shown,) = await street.write("Hana", "/wishes")
    assert "Your way to the garden: you have not told me yet." in shown.text
    await street.tap("Hana", "Change my way")
    (changed,) = await street.tap("Hana", "20\N{NO-BREAK SPACE}min away")
    assert "Your way to the garden: 20 minutes." in changed.text and "✓ 20\N{NO-BREAK SPACE}min away" in labels(changed)
    async with two_gardens.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        member = await street.row_of(session, "Hana")
        tunnel = (await session.scalars(select(Place).where(Place.name == "Tunnel"))).one()
        tunnel.walk_min = 4
        await session.flush()
        snapshot = await gardens.snapshot(session, garden)
        helpers = {one.id: one for one in await rota.helpers(session, snapshot, street.stage.clock.at)}
    way = helpers[member.id].travel_min
    assert way[tunnel.id] == 24 and {minutes for place, minutes in way.items() if place != tunnel.id} == {20}


async def test_a_tap_that_comes_twice_changes_nothing_more(street: Talk, two_gardens: Database) -> None:
    await street.write("Hana", "/wishes")
    await street.tap("Hana", "Change my hours")
    message = street.under("Hana", "Weekday evenings")
    await street.press("Hana", message, "Weekday evenings")
    await street.press("Hana", message, "Weekday evenings")
    async with two_gardens.begin() as session:
        member = await street.row_of(session, "Hana")
        rows = (await session.scalars(select(FreeTime).where(FreeTime.member_id == member.id))).all()
        assert sorted(row.weekday for row in rows) == [0, 1, 2, 3, 4]


async def test_evenings_and_weekends_add_up_and_any_day_forgets_both(street: Talk, two_gardens: Database) -> None:
    await street.write("Hana", "/wishes")
    await street.tap("Hana", "Change my hours")
    await street.tap("Hana", "Weekday evenings")
    (both,) = await street.tap("Hana", "Weekends")
    assert "Free: weekday evenings and weekends." in both.text
    (less,) = await street.tap("Hana", "✓ Weekday evenings")
    assert "Free: weekends." in less.text
    (any_day,) = await street.tap("Hana", "Any day")
    assert "Free: any day." in any_day.text
    async with two_gardens.begin() as session:
        assert not (await session.scalars(select(FreeTime))).all()


async def test_mornings_and_how_often_are_kept_and_taken_back(street: Talk, two_gardens: Database) -> None:
    await street.write("Hana", "/wishes")
    await street.tap("Hana", "Change my hours")
    await street.tap("Hana", "Only mornings")
    await street.tap("Hana", "Back to my wishes")
    await street.tap("Hana", "Change my turns")
    await street.tap("Hana", "2 turns a week")
    row = await _row(two_gardens, street, "Hana")
    assert (row.mornings_only, row.per_week) == (True, 2)
    await street.tap("Hana", "Any number of turns")
    await street.tap("Hana", "Back to my wishes")
    await street.tap("Hana", "Change my hours")
    await street.tap("Hana", "Any time of day")
    row = await _row(two_gardens, street, "Hana")
    assert (row.mornings_only, row.per_week) == (False, None)


async def test_the_rota_reads_what_was_tapped(street: Talk, two_gardens: Database) -> None:
    await street.write("Hana", "/wishes")
    for page, label in (
        ("Change lifting", "Up to 5\N{NO-BREAK SPACE}kg"),
        ("Change my turns", "1 turn a week"),
        ("Change my hours", "Weekends"),
    ):
        await street.tap("Hana", page)
        await street.tap("Hana", label)
        await street.tap("Hana", "Back to my wishes")
    async with two_gardens.begin() as session:
        row = (await gardens.all_gardens(session))[0]
        member = await street.row_of(session, "Hana")
        helpers = await rota.helpers(session, await gardens.snapshot(session, row), street.stage.clock.at)
    hana = next(helper for helper in helpers if helper.id == member.id)
    saturday = date(2026, 5, 9).weekday()
    assert (hana.lift_kg, hana.per_week) == (5.0, 1)
    assert hana.free == (Window(saturday, time(0), time(0)), Window(saturday + 1, time(0), time(0)))


@pytest.mark.parametrize("who", ["Owen", "Miriam", "Petra"])
async def test_nobody_else_says_what_a_member_wishes(street: Talk, two_gardens: Database, who: str) -> None:
    (shown,) = await street.write("Hana", "/wishes")
    (lifting,) = await street.press("Hana", shown, "Change lifting")
    data = lifting.keyboard[1][0]["callback_data"]
    assert ":kg:10" in data
    await street.write(who, "/help")
    (refused,) = await street.forge(who, data)
    assert refused.text == "That button is for somebody else."
    assert (await _row(two_gardens, street, "Hana")).lift_kg is None


@pytest.mark.parametrize("wish", ["kg:30", "kg:-5", "week:9", "evenings:x", "sex:1", "page:9", ""])
async def test_a_wish_that_no_button_offers_is_refused(street: Talk, two_gardens: Database, wish: str) -> None:
    await street.write("Hana", "/wishes")
    member = await _row(two_gardens, street, "Hana")
    (refused,) = await street.forge("Hana", f"wish:{member.id}:{wish}")
    assert "old message" in refused.text
    assert (await _row(two_gardens, street, "Hana")).lift_kg is None


async def test_asked_in_the_group_the_answer_is_private(street: Talk) -> None:
    before = street.said_in_group("Hana")
    (shown,) = await street.write("Hana", "/wishes", group=True)
    assert shown.chat_id == street.user("Hana")
    assert street.said_in_group("Hana") == before


async def test_whoever_is_in_two_gardens_says_first_of_which_they_speak(street: Talk, two_gardens: Database) -> None:
    async with two_gardens.begin() as session:
        ivo, owen = await street.row_of(session, "Ivo"), await street.row_of(session, "Owen")
        session.add(Member(garden_id=owen.garden_id, person_id=ivo.person_id, joined_at=street.stage.clock.at))
    (asked,) = await street.write("Ivo", "/wishes")
    assert labels(asked) == ["Teasel Lane", "Sorrel Yard"]
    await street.tap("Ivo", "Sorrel Yard")
    (shown,) = await street.write("Ivo", "/wishes")
    assert shown.text.startswith("Your wishes in Sorrel Yard.")
    await street.tap("Ivo", "Change lifting")
    await street.tap("Ivo", "Up to 10\N{NO-BREAK SPACE}kg")
    async with two_gardens.begin() as session:
        there = await session.get_one(Member, ivo.id)
        other = (
            await session.scalars(select(Member).where(Member.person_id == ivo.person_id, Member.id != ivo.id))
        ).one()
    assert (there.lift_kg, other.lift_kg) == (10.0, None)
