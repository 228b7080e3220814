"""A garden that has just begun: its height comes with the first answer, and nobody is alarmed before one was asked for."""

from __future__ import annotations

import json
from pathlib import Path

import httpx
from sqlalchemy import select

from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden
from tests.support.talk import MONDAY_AT
from tests.support.village import GROUP, Village

# The form of an answer: open-meteo.com/en/docs, read 2026-11-25 via a copy; the figures are invented.
_UNITS = {
    "time": "iso8601", "temperature_2m": "°C", "wind_speed_10m": "m/s", "wind_gusts_10m": "m/s",
    "precipitation": "mm", "cloud_cover": "%",
}  # fmt: skip


def _answer(request: httpx.Request) -> httpx.Response:
    times = [f"2026-05-{4 + h // 24:02d}T{h % 24:02d}:00" for h in range(96)]
    hourly = {"time": times, "temperature_2m": [8.0] * 96, "wind_speed_10m": [2.0] * 96, "wind_gusts_10m": [4.0] * 96}
    hourly |= {"precipitation": [0.0] * 96, "cloud_cover": [50] * 96}
    body = {
        "latitude": 52.2, "longitude": 0.12, "elevation": 17.0, "utc_offset_seconds": 0, "timezone": "GMT",
        "hourly_units": _UNITS, "hourly": hourly,
    }  # fmt: skip
    return httpx.Response(200, text=json.dumps(body))


async def _altitude_m(village: Village) -> float | None:
    async with village.stage.app.database.begin() as session:
        return (await session.scalars(select(Garden))).one().altitude_m


async def test_the_height_is_the_forecasts_own_until_somebody_says_another(village: Village, tmp_path: Path) -> None:
    await village.added()
    await village.set_up()
    village.stage.app.source = Source("open-meteo", "garden@example.org")
    before = len(village.stage.api.said(GROUP))
    await village.stage.tick()
    assert len(village.stage.api.said(GROUP)) == before, "no forecast was asked for yet, so none is missing"
    async with httpx.AsyncClient(transport=httpx.MockTransport(_answer)) as http:
        await village.stage.app.refresh_weather(http)
    assert await _altitude_m(village) == 17.0
    await village.tap(11, "Height")
    (noted,) = await village.write(11, "24 m")
    assert "24\N{NO-BREAK SPACE}m" in noted.text
    async with httpx.AsyncClient(transport=httpx.MockTransport(_answer)) as http:
        await village.stage.app.refresh_weather(http)
    assert await _altitude_m(village) == 24.0
    assert village.stage.clock.at == MONDAY_AT


async def test_a_forecast_that_was_asked_for_and_did_not_come_is_said(village: Village) -> None:
    await village.added()
    await village.set_up()
    village.stage.app.source = Source("open-meteo", "garden@example.org")
    down = httpx.MockTransport(lambda request: httpx.Response(503))
    async with httpx.AsyncClient(transport=down) as http:
        await village.stage.app.refresh_weather(http)
    before = len(village.stage.api.said(GROUP))
    await village.stage.tick()
    assert len(village.stage.api.said(GROUP)) == before + 1
