"""After a cold warning's night the group is asked once how cold it was; a tap is a reading of the thermometer."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.services.weather import how_cold, score
from bot.storage.garden import gardens
from bot.storage.models import Entry, Reading, Thermometer
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels


async def _hang(lane: Talk, **other: object) -> None:
    async with lane.stage.app.database.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        session.add(Thermometer(**{"garden_id": garden.id, "name": "Shed", "height_m": 1.5, "shaded": True, **other}))


async def _morning_after(lane: Talk) -> Message:
    """Wednesday 6 May, 8:00, after the cold of Tuesday night."""
    lane.weather([calm(), calm(), COLD])
    await lane.until(5, "14:00", every_min=180)
    lane.weather([calm(), COLD])
    await lane.until(6, "08:00", every_min=180)
    return next(message for message in reversed(lane.group()) if "The cold night is over." in message.text)


async def _readings(lane: Talk) -> list[tuple[float, bool | None]]:
    async with lane.stage.app.database.begin() as session:
        rows = await session.scalars(select(Reading).order_by(Reading.id))
        return [(row.value_c, row.accepted) for row in rows]


def _degrees(message: Message) -> list[str]:
    return [label for label in labels(message) if label.endswith("°C")]


async def test_a_tap_becomes_the_thermometers_reading_and_is_thanked_by_name(lane: Talk) -> None:
    await _hang(lane)
    asked = await _morning_after(lane)
    assert "How cold was it? What was the lowest on Shed?" in asked.text
    assert len(_degrees(asked)) == 7 and "I did not look" in labels(asked)
    assert asked.text.count("?") >= 2 and "Was anything damaged?" in asked.text, "one message, not three"
    middle = _degrees(asked)[3]
    await lane.press("Owen", asked, middle)
    async with lane.stage.app.database.begin() as session:
        row = (await session.scalars(select(Reading))).one()
        entry = (await session.scalars(select(Entry).where(Entry.action == "reading"))).one()
    assert row.accepted and row.night_on.isoformat() == "2026-05-05" and entry.member_id == row.member_id
    assert f"Lowest on Shed: {middle}. Thank you, Owen!" in asked.text


async def test_tapped_twice_it_counts_once_and_another_tap_corrects_it(lane: Talk) -> None:
    await _hang(lane)
    asked = await _morning_after(lane)
    first, second = _degrees(asked)[3], _degrees(asked)[4]
    for label in (first, first, second):
        lane.stage.clock.at += timedelta(minutes=1)
        await lane.press("Owen", asked, label)
    kept = await _readings(lane)
    assert [accepted for _, accepted in kept] == [False, True]
    assert f"Lowest on Shed: {second}." in asked.text


async def test_two_members_make_one_reading_the_colder_of_two(lane: Talk) -> None:
    await _hang(lane)
    asked = await _morning_after(lane)
    colder, warmer = _degrees(asked)[3], _degrees(asked)[4]
    await lane.press("Owen", asked, warmer)
    await lane.press("Hana", asked, colder)
    assert f"Lowest on Shed: {colder}. Thank you, Hana!" in asked.text
    async with lane.stage.app.database.begin() as session:
        found = await score.scores(session, (await gardens.all_gardens(session))[0])
    assert found is not None and len(found.nights) == 1 and found.nights[0][3], "people had been called that night"


async def test_what_can_hardly_be_is_asked_about_privately(lane: Talk) -> None:
    await _hang(lane)
    asked = await _morning_after(lane)
    said = await lane.forge("Owen", f"cold:{(await lane.warnings())[0].id}:-25", asked)
    (doubt,) = [message for message in said if message.chat_id == lane.user("Owen")]
    assert "Did it really show that?" in doubt.text
    assert await _readings(lane) == [(-25.0, None)]
    await lane.press("Owen", doubt, labels(doubt)[0])
    assert await _readings(lane) == [(-25.0, True)]


async def test_whoever_did_not_look_says_so_and_nothing_is_kept(lane: Talk) -> None:
    await _hang(lane)
    asked = await _morning_after(lane)
    (said,) = await lane.press("Owen", asked, "I did not look")
    assert said.text == "That is fine. Thank you for telling me." and await _readings(lane) == []


async def test_a_tap_after_three_days_changes_nothing(lane: Talk) -> None:
    await _hang(lane)
    asked = await _morning_after(lane)
    label = _degrees(asked)[3]
    lane.stage.clock.at += how_cold.OPEN_FOR + timedelta(hours=2)
    await lane.press("Owen", asked, label)
    assert await _readings(lane) == []


@pytest.mark.parametrize("other", [{"shaded": False}, {"momentary": True}])
async def test_a_garden_whose_thermometer_can_not_say_is_not_asked(lane: Talk, other: dict[str, object]) -> None:
    await _hang(lane, **other)
    asked = await _morning_after(lane)
    assert "How cold" not in asked.text and not _degrees(asked)


def test_of_each_member_the_newest_counts_and_of_these_the_median() -> None:
    """By the rule in docs/cold.md, reckoned by hand."""
    assert how_cold.counted([(1, -2.0)]) == -2.0
    assert how_cold.counted([(1, -2.0), (1, 1.0)]) == 1.0
    assert how_cold.counted([(1, -2.0), (2, 1.0)]) == -2.0
    assert how_cold.counted([(1, -9.0), (2, 1.0), (3, 0.0)]) == 0.0
    assert how_cold.counted([(None, -1.0), (None, 3.0), (2, 0.0)]) == 0.0
    assert how_cold.counted([]) is None
