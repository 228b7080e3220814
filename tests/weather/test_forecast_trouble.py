"""Silence must never be read as safe: no forecast, or an old one, is said once, and once that it is there again."""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import httpx
import pytest

from bot.demo.weather import answer
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.session import Database
from tests.support.invented_weather import calm
from tests.support.talk import COLD, MONDAY_AT, Talk, first_who_can, texts

NONE, OLD, BACK = "no weather forecast since", "weather forecast is old", "a new weather forecast again"


@dataclass(slots=True)
class Service:
    """A weather service in the net: answers well from today on, or as it is told to. asked: how often it was asked."""

    lane: Talk
    trouble: httpx.Response | None = None
    asked: int = 0

    def __call__(self, request: httpx.Request) -> httpx.Response:
        self.asked += 1
        if self.trouble is not None:
            return httpx.Response(self.trouble.status_code, headers=self.trouble.headers, content=self.trouble.content)
        today = datetime.combine(self.lane.stage.clock.at.date(), time(), UTC)
        body = answer(today, [calm()] * 10)
        return httpx.Response(200, content=json.dumps(body))

    async def passes(self, hours: float, every_min: int = 60) -> str:
        """Time goes on, the service being asked and the garden being watched; gives what the group hears."""
        heard: list[str] = []
        end_at = self.lane.stage.clock.at + timedelta(hours=hours)
        async with httpx.AsyncClient(transport=httpx.MockTransport(self)) as http:
            while self.lane.stage.clock.at < end_at:
                self.lane.stage.clock.at += timedelta(minutes=every_min)
                await self.lane.stage.app.refresh_weather(http)
                heard.append(texts(m for m in await self.lane.look() if m.chat_id == self.lane.group_id))
        return "\n".join(heard)


@pytest.fixture
async def service(furnished_database: Database, tmp_path: Path) -> AsyncIterator[Service]:
    async with on_stage(furnished_database, Source("open-meteo"), MONDAY_AT, first_who_can) as stage:
        yield Service(Talk(stage, tmp_path / "unused.json"))


TROUBLES = {
    "500": httpx.Response(500, text="<html>Internal Server Error</html>"),
    "429": httpx.Response(429, headers={"Retry-After": "60"}, text='{"error": true, "reason": "Too many requests"}'),
    "garbage": httpx.Response(200, text="<html>It works!</html>"),
    "half an answer": httpx.Response(200, text='{"hourly": {"time": ["2026-05-0'),
    "an answer without hours": httpx.Response(200, text='{"hourly": {"time": []}}'),
}


@pytest.mark.parametrize("trouble", TROUBLES.values(), ids=TROUBLES.keys())
async def test_a_service_that_never_answers_well_is_told_of_once_with_the_time_since(
    service: Service, trouble: httpx.Response
) -> None:
    service.trouble = trouble
    heard = await service.passes(6)
    assert heard.count(NONE) == 1
    assert "since 11:00 on Mon 4 May" in heard, "the first look that found none"
    assert "does not mean that it is safe" in heard
    assert service.asked < 12, "a failing service is asked less and less often"


async def test_a_good_forecast_that_grows_old_is_told_of_once_and_once_that_it_is_new_again(service: Service) -> None:
    assert await service.passes(1) == ""
    service.trouble = TROUBLES["500"]
    night = await service.passes(13)
    assert OLD not in night, "at midnight nobody is woken for it"
    morning = await service.passes(12)
    assert (morning.count(OLD), morning.count(NONE)) == (1, 0)
    assert "it is from 11:00 on Mon 4 May" in morning
    service.trouble = None
    again = await service.passes(8)
    assert (again.count(BACK), again.count(OLD)) == (1, 0)


async def test_members_who_ask_meanwhile_are_told_that_nothing_counts_on_a_forecast(service: Service) -> None:
    service.trouble = TROUBLES["garbage"]
    await service.passes(1)
    week = await service.lane.said("Tobias", "what should I do this week?")
    assert "no weather forecast now" in week.text
    for words in ("/weather", "/out", "/picture"):
        (answered,) = await service.lane.write("Tobias", words)
        assert answered.text, words
        assert "went wrong" not in answered.text


async def test_no_forecast_at_all_is_said_in_the_morning_when_it_was_lost_in_the_night(lane: Talk) -> None:
    await lane.until(4, "22:00", every_min=180)
    lane.forecast.unlink()
    assert await lane.until(5, "06:30", every_min=90) == []
    (said,) = await lane.until(5, "12:00")
    assert NONE in said.text and "23:30 on Mon 4 May" in said.text
    lane.weather([calm()])
    (back,) = await lane.look()
    assert BACK in back.text
    assert await lane.until(5, "16:00") == []


async def test_a_warning_in_force_is_not_called_off_because_the_forecast_is_gone(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    await lane.look()
    lane.forecast.write_text("{", encoding="utf-8")
    said = texts(await lane.until(4, "20:00", every_min=120))
    assert NONE in said
    assert "I no longer expect" not in said
    assert "Can you help" in said, "people are still reminded"
