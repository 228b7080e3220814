"""A garden is set up wholly in the chat: by whom, in what order, and after what silence."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.core.garden.snapshot import Lay, Role
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member
from bot.storage.people import members
from tests.support.talk import labels
from tests.support.village import AMIRA, GROUP, HANA, JOE, Village


async def _gardens(village: Village) -> tuple[Sequence[Garden], list[Sequence[Member]]]:
    async with village.stage.app.database.begin() as session:
        found = await gardens.all_gardens(session)
        return found, [await members.in_garden(session, one.id) for one in found]


async def test_an_administrator_sets_it_up_with_a_tap_a_pin_and_three_answers(village: Village) -> None:
    (hello,) = await village.added()
    assert labels(hello) == ["I am an organiser"] and hello.chat_id == GROUP
    await village.tap(AMIRA, "I am an organiser", chat=GROUP)
    (name,) = await village.write(AMIRA, "/start setup")
    assert "called" in name.text
    (place,) = await village.tap(AMIRA, "Elm Lane Allotments")
    assert "pin" in place.text and "52.2053, 0.1218" in place.text
    (clock,) = await village.pin(AMIRA, 52.2053, 0.1218)
    assert labels(clock)[0] == "London: 10:00 now"
    said = await village.tap(AMIRA, "London: 10:00 now")
    assert any(message.chat_id == GROUP and labels(message) == ["Join"] for message in said)
    (card,) = await village.tap(AMIRA, "Frost hollow")
    assert "Still missing" in card.text
    (garden,), (people,) = await _gardens(village)
    assert (garden.name, garden.zone, garden.lay) == ("Elm Lane Allotments", "Europe/London", Lay.HOLLOW)
    assert (garden.latitude, garden.longitude, garden.chat_id) == (52.2053, 0.1218, GROUP)
    assert [(one.person.name, one.role, one.adult) for one in people] == [("Amira", Role.ORGANISER, True)]


async def test_the_group_is_greeted_once(village: Village) -> None:
    assert len(await village.added()) == 1
    assert await village.added(status="administrator") == []


async def test_only_an_administrator_of_the_group_may(village: Village) -> None:
    await village.added(by=JOE)
    (refused,) = await village.tap(JOE, "I am an organiser", chat=GROUP)
    assert "administrator" in refused.text
    assert await village.write(JOE, "/start setup") != []
    assert (await _gardens(village))[0] == []


async def test_an_administrator_is_known_even_where_the_bot_itself_is_one(village: Village) -> None:
    await village.added(status="administrator")
    await village.set_up(HANA)
    assert len((await _gardens(village))[0]) == 1


async def test_the_pin_may_come_before_the_name(village: Village) -> None:
    await village.added()
    await village.tap(AMIRA, "I am an organiser", chat=GROUP)
    await village.write(AMIRA, "/start")
    (name,) = await village.pin(AMIRA, 52.2053, 0.1218)
    assert "called" in name.text
    (clock,) = await village.write(AMIRA, "Elm Lane")
    assert "time zone" in clock.text


async def test_a_place_in_words_is_answered_with_how_to_send_a_pin(village: Village) -> None:
    await village.added()
    await village.tap(AMIRA, "I am an organiser", chat=GROUP)
    await village.write(AMIRA, "/start")
    await village.write(AMIRA, "Elm Lane")
    (again,) = await village.write(AMIRA, "Mill Road, Cambridge")
    assert "can't look up" in again.text and "paper clip" in again.text
    (wrong,) = await village.write(AMIRA, "152.2053, 0.1218")
    assert "no such location on Earth" in wrong.text
    (clock,) = await village.write(AMIRA, "52.2053 N, 0.1218 E")
    assert "time zone" in clock.text
    (asked,) = await village.write(AMIRA, "somewhere")
    assert "don't know the time zone" in asked.text
    await village.write(AMIRA, "Warsaw")
    (garden,), _ = await _gardens(village)
    assert garden.zone == "Europe/Warsaw"


async def test_going_back_asks_again_and_a_second_press_changes_nothing(village: Village) -> None:
    await village.added()
    await village.tap(AMIRA, "I am an organiser", chat=GROUP)
    await village.write(AMIRA, "/start")
    await village.write(AMIRA, "Elm Lnae")
    (name,) = await village.tap(AMIRA, "Back")
    assert "called" in name.text
    await village.write(AMIRA, "Elm Lane")
    (clock,) = await village.pin(AMIRA, 52.2053, 0.1218)
    for _ in range(2):
        await village.press(AMIRA, clock, "London: 10:00 now")
    (lay,) = [one for one in village.stage.api.said(AMIRA) if "is set up" in one.text]
    await village.press(AMIRA, lay, "On a slope")
    (late,) = await village.press(AMIRA, lay, "Windy place")
    assert "question is closed" in late.text
    (garden,), _ = await _gardens(village)
    assert (garden.name, garden.lay) == ("Elm Lane", Lay.SLOPE)


async def test_after_days_of_silence_the_same_question_is_open_still(village: Village) -> None:
    await village.added()
    await village.tap(AMIRA, "I am an organiser", chat=GROUP)
    await village.write(AMIRA, "/start")
    await village.write(AMIRA, "Elm Lane")
    village.stage.clock.at += timedelta(days=9)
    (place,) = await village.write(AMIRA, "/start")
    assert "pin" in place.text
    (clock,) = await village.pin(AMIRA, 52.2053, 0.1218)
    assert "time zone" in clock.text


async def test_a_second_administrator_is_told_and_may_go_on(village: Village) -> None:
    await village.added()
    await village.tap(AMIRA, "I am an organiser", chat=GROUP)
    await village.write(AMIRA, "/start")
    await village.write(AMIRA, "Elm Lane")
    (told,) = await village.tap(HANA, "I am an organiser", chat=GROUP)
    assert "Amira" in told.text and labels(told) == ["Yes, I take over"]
    await village.tap(HANA, "Yes, I take over", chat=GROUP)
    (place,) = await village.write(HANA, "/start setup")
    assert "pin" in place.text, "the name that Amira gave is kept"
    await village.pin(HANA, 52.2053, 0.1218)
    await village.tap(HANA, "London: 10:00 now")
    await village.tap(AMIRA, "I am an organiser", chat=GROUP)
    (garden,), (people,) = await _gardens(village)
    assert garden.name == "Elm Lane"
    assert {(one.person.name, one.role) for one in people} == {("Hana", Role.ORGANISER), ("Amira", Role.ORGANISER)}


async def test_what_is_missing_shrinks_as_it_comes(village: Village) -> None:
    await village.added()
    await village.set_up()
    (card,) = await village.write(AMIRA, "/setup")
    assert "not an administrator" in card.text and "Nobody has joined" in card.text and "No beds" in card.text
    await village.added(status="administrator")
    await village.joined(JOE)
    await village.write(AMIRA, "/places 3 pots, 30 litres\nbed 1\nthermometer on the shed")
    await village.tap(AMIRA, "Save it")
    await village.write(AMIRA, "planted 12 lettuces in Bed 1")
    (card,) = await village.write(AMIRA, "/setup")
    assert "Nothing is missing" in card.text


async def test_organisers_change_each_thing_later_and_members_do_not(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.joined(JOE)
    (card,) = await village.write(AMIRA, "/setup")
    await village.tap(AMIRA, "Height")
    (again,) = await village.write(AMIRA, "quite high")
    assert "metres" in again.text
    (noted,) = await village.write(AMIRA, "24 m")
    assert "24\N{NO-BREAK SPACE}m above the sea" in noted.text
    (refused,) = await village.write(JOE, "/setup")
    assert "organisers" in refused.text
    (refused,) = await village.press(JOE, card, "Garden name")
    assert "organisers" in refused.text


async def test_a_second_garden_begins_in_a_topic_of_the_same_group(village: Village) -> None:
    await village.added()
    await village.set_up()
    (shown,) = await village.write(HANA, "/setup", chat=GROUP, thread=5)
    await village.press(HANA, shown, "Add another garden")
    (name,) = await village.write(HANA, "/start setup")
    assert "called" in name.text
    await village.write(HANA, "Fern Row")
    await village.pin(HANA, 52.21, 0.13)
    said = await village.tap(HANA, "London: 10:00 now")
    assert [one.thread_id for one in said if one.chat_id == GROUP] == [5]
    (first, second), (elm, fern) = await _gardens(village)
    assert (first.thread_id, second.thread_id) == (None, 5)
    assert [one.person.name for one in elm] == ["Amira"] and [one.person.name for one in fern] == ["Hana"]


async def test_where_two_gardens_share_a_group_an_administrator_says_which_they_look_after(village: Village) -> None:
    await village.added()
    await village.set_up()
    (shown,) = await village.write(AMIRA, "/setup", chat=GROUP)
    await village.press(AMIRA, shown, "Add another garden")
    await village.write(AMIRA, "Fern Row")
    await village.pin(AMIRA, 52.21, 0.13)
    await village.tap(AMIRA, "London: 10:00 now")
    (asked,) = await village.press(HANA, shown, "I am an organiser")
    assert labels(asked) == ["Elm Lane", "Fern Row"]
    await village.press(HANA, asked, "Fern Row")
    _, (elm, fern) = await _gardens(village)
    assert len(elm) == 1 and {one.person.name for one in fern} == {"Amira", "Hana"}


async def test_an_organiser_of_a_loaded_garden_says_that_this_is_its_group(village: Village) -> None:
    await village.added()
    await village.set_up()
    village.stage.api.leave(village.stage.api.bot.id, GROUP)
    await village.settled()
    new = village.stage.api.add_group(-1002, "Elm Lane, the new group")
    new.statuses |= {AMIRA: "creator", HANA: "administrator"}
    (hello,) = await village.added(by=HANA, chat=new.id)
    (asked,) = await village.press(AMIRA, hello, "I am an organiser")
    assert labels(asked) == ["Elm Lane", "A new garden"]
    said = await village.press(AMIRA, asked, "Elm Lane")
    (garden,), _ = await _gardens(village)
    assert (garden.chat_id, garden.shut, garden.former_chat_id) == (new.id, "", None)
    assert any(one.chat_id == AMIRA and "I write in the group of" in one.text for one in said)
