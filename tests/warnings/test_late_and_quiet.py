"""A hazard found late runs the same steps squeezed; nobody is sent out when it is too late, and nobody is woken."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

from bot.chat.wire.world import Message
from bot.core.tasks.rota_solver import solve
from bot.core.warnings.hazards import TaskKind
from bot.services.look import look, quiet
from bot.services.tasks import rota
from bot.services.warnings import detect
from bot.storage.garden import gardens
from bot.storage.warnings.warnings import active
from tests.support.invented_weather import calm
from tests.support.talk import COLD, GALE, Talk, labels, texts

#: Gusts that are strong all night and at dawn, after a calm day: invented.
DAWN_WIND = (7.0, 14.0, 90.0, 14.0, 40.0, 0.0)


def asks(messages: list[Message]) -> list[Message]:
    return [message for message in messages if {"I'll do it", "Zrobię to"} & {*labels(message)}]


async def test_a_cold_night_found_at_five_in_the_afternoon_is_called_at_once(lane: Talk) -> None:
    await lane.until(4, "17:00", every_min=240)
    lane.weather([calm(), COLD])
    said = await lane.look()
    group = next(message for message in said if message.chat_id == lane.group_id)
    assert "We need this done by 20:36 (today)" in group.text
    assert "I will ask people by name the day before" not in texts(said), "no heads-up any more"
    assert len(asks([m for m in said if m.chat_id != lane.group_id])) >= 5


async def test_the_late_call_is_followed_by_every_other_step_before_dusk(lane: Talk) -> None:
    await lane.until(4, "17:00", every_min=240)
    lane.weather([calm(), COLD])
    said = [*await lane.look(), *await lane.until(4, "20:30", every_min=15)]
    private = [m for m in said if m.chat_id == lane.user("Leila")]
    assert "Can you help" in private[0].text
    assert "You have not answered yet" in private[1].text
    assert private[1].at - private[0].at >= timedelta(minutes=45), "time to answer"
    assert "We still need help by 20:36" in texts(lane.group())


async def test_a_cold_night_found_after_sunset_sends_nobody_out(lane: Talk) -> None:
    await lane.until(4, "21:30", every_min=300)
    lane.weather([calm(), COLD])
    said = await lane.look()
    assert [message.chat_id for message in said] == [lane.group_id]
    assert "There is no safe time left to go out. Please stay in." in said[0].text
    assert not {"I'll do it", "Done"} & {*labels(said[0])}
    assert not asks(await lane.until(5, "06:00", every_min=120))
    assert not asks(await lane.until(5, "09:00"))


async def test_a_yes_after_the_latest_safe_time_is_not_taken(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    question = lane.private("Leila")[-1]
    await lane.until(4, "21:00", every_min=300)
    assert "no longer needed" in texts(await lane.press("Leila", question, "I'll do it"))
    await lane.press("Leila", lane.standing(), "Why")
    assert "Leila does it" not in lane.standing().text


async def test_nobody_is_asked_in_the_night_for_a_wind_at_dawn(lane: Talk) -> None:
    lane.weather([calm(), DAWN_WIND])
    said = [*await lane.look(), *await lane.until(5, "12:00", every_min=60)]
    moments = [message.at.astimezone(ZoneInfo("Europe/London")) for message in said if not message.edited_at]
    assert asks(said), "somebody is asked"
    assert not [at for at in moments if at.hour >= 21 or at.hour < 7], moments


async def test_whoever_passes_at_night_sends_the_next_person_nothing_before_the_morning(lane: Talk) -> None:
    lane.weather([calm(), calm(), COLD])
    await lane.until(4, "21:30", every_min=150)
    await lane.press("Leila", lane.private("Leila")[-1], "I can't")
    night = await lane.until(5, "06:45", every_min=75)
    assert not asks([message for message in night if message.chat_id != lane.group_id])
    morning = await lane.until(5, "07:15", every_min=15)
    assert "Earth up: Bed 5" in texts(asks([message for message in morning if message.chat_id != lane.group_id]))


async def test_what_is_done_against_a_gale_is_due_while_it_is_calm_and_says_so(lane: Talk) -> None:
    lane.weather([calm(), GALE])
    await lane.until(4, "13:00")
    standing = lane.standing()
    assert "Go only while it is still calm" in standing.text and "No ladders." in standing.text
    (warning,) = await lane.warnings()
    assert all(duty.due_at <= warning.starts_at for duty, _ in await lane.duties())


async def test_a_duty_for_one_after_sunset_is_given_to_two_or_to_nobody(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    now = lane.stage.clock.at
    async with lane.stage.app.database.begin() as session:
        row = await gardens.by_id(session, 1)
        assert row is not None
        outlook = await look(session, row, lane.stage.app.source, now)
        (threat,) = outlook.threats
        one = next(found for found in threat.findings if found.task is TaskKind.EARTH_UP)
        late = replace(threat, findings=(replace(one, due_at=one.due_at + timedelta(minutes=30)),))
        assert one.people == 1
        outlook = replace(outlook, threats=(late,))
        await detect.detect(session, row, outlook, now)
        (warning,) = await active(session, row.id, now)
        walks = await rota.problem(session, outlook.garden, quiet(row), [warning.id], now)
        assert walks is not None
        named = await rota.ask(session, walks, solve(walks.problem), now)
        assert len({ask.member_id for ask in named}) == 2
