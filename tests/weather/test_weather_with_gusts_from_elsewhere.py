"""Where a service gives no gusts, another is asked for them alone; where both have none, they are reckoned."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import httpx
import pytest

from bot.chat.weather.weather_words import age
from bot.core.weather.forecast import Forecast
from bot.core.weather.wind import gusts
from bot.forecasts import open_meteo, past_nights
from bot.forecasts.reader import Point
from bot.forecasts.request import Stored, to_row
from bot.i18n import say
from bot.services.weather import garden_forecast
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden, Weather
from bot.storage.session import Database
from tests.forecasts.weather_server import Server, status

NOW = datetime(2026, 5, 1, 18, 2, tzinfo=UTC)
SOURCE = Source("met-norway", "jo@teasel.example")
MET, OTHER = "api.met.no", "api.open-meteo.com"
#: Hourly at first, then a step of six hours, as Locationforecast has it.
STEPS = [*range(48), 54, 60]


def _met(gust_ms: float | None) -> str:
    start_at = NOW.replace(minute=0)
    details: dict[str, Any] = {"air_temperature": 9.0, "wind_speed": 6.0, "cloud_area_fraction": 40.0}
    if gust_ms is not None:
        details["wind_speed_of_gust"] = gust_ms
    units = {"air_temperature": "celsius", "wind_speed": "m/s", "wind_speed_of_gust": "m/s", "cloud_area_fraction": "%"}
    return json.dumps(
        {
            "type": "Feature",
            "geometry": {"type": "Point", "coordinates": [-1.01, 52.02, 90]},
            "properties": {
                "meta": {"updated_at": f"{NOW:%Y-%m-%dT%H:%M:%SZ}", "units": units},
                "timeseries": [
                    {
                        "time": f"{start_at + timedelta(hours=n):%Y-%m-%dT%H:%M:%SZ}",
                        "data": {"instant": {"details": details}},
                    }
                    for n in STEPS
                ],
            },
        }
    )


def met(gust_ms: float | None = None) -> Any:
    return lambda request: httpx.Response(200, text=_met(gust_ms))


def elsewhere(request: httpx.Request) -> httpx.Response:
    """Gusts of 10 m/s, one of 17 in the fiftieth hour, which lies within the step of six hours that ends at 54."""
    assert request.url.params["hourly"] == "temperature_2m,wind_gusts_10m"
    midnight_at = NOW.replace(hour=0, minute=0)
    times = [midnight_at + timedelta(hours=n) for n in range(96)]
    body = {
        "latitude": 52.02, "longitude": -1.01, "elevation": 90.0, "utc_offset_seconds": 0, "timezone": "GMT",
        "hourly_units": {"time": "iso8601", "temperature_2m": "°C", "wind_gusts_10m": "m/s"},
        "hourly": {
            "time": [f"{at:%Y-%m-%dT%H:%M}" for at in times],
            "temperature_2m": [8.0] * len(times),
            "wind_gusts_10m": [17.0 if n == 18 + 50 else 10.0 for n in range(len(times))],
        },
    }  # fmt: skip
    return httpx.Response(200, text=json.dumps(body))


@pytest.fixture(autouse=True)
async def teasel_lane(database: Database) -> None:
    async with database.begin() as session:
        session.add(
            Garden(id=1, name="Teasel Lane", latitude=52.02, longitude=-1.01, altitude_m=None, zone="Europe/London")
        )


async def _refreshed(database: Database, server: Server, now: datetime = NOW) -> Forecast:
    async with server.client() as http:
        await garden_forecast.refresh(database, 1, SOURCE, now, http)
    async with database.begin() as session:
        found = await garden_forecast.current(session, await session.get_one(Garden, 1), SOURCE, now)
    assert found is not None
    return found


async def test_each_step_has_the_greatest_gust_of_its_hours_and_both_services_are_credited(database: Database) -> None:
    found = await _refreshed(database, Server({MET: met(), OTHER: elsewhere}))
    assert [hour.gust_ms for hour in found.hours] == [10.0] * 48 + [17.0, 10.0]
    assert {hour.air_c for hour in found.hours} == {9.0}, "nothing else is taken from the other service"
    assert not [gap for gap in found.gaps if gap.field == "gust_ms"]
    credit = age(say("en", "Europe/London"), found, NOW)
    assert "MET Norway" in credit and "Open-Meteo" in credit


async def test_where_the_other_fails_gusts_are_reckoned_and_called_that(database: Database) -> None:
    found = await _refreshed(database, Server({MET: met(), OTHER: status(500)}))
    assert found.gusts_by is None
    assert all(gust.estimated for gust in gusts(found))


async def test_a_service_with_gusts_of_its_own_asks_nobody_else(database: Database) -> None:
    server = Server({MET: met(8.0), OTHER: elsewhere})
    found = await _refreshed(database, server)
    assert {hour.gust_ms for hour in found.hours} == {8.0}
    assert {request.url.host for request in server.asked} == {MET}


async def test_the_other_is_asked_every_three_hours_at_most(database: Database) -> None:
    server = Server({MET: met(), OTHER: elsewhere})
    for hours in (0, 1, 2, 3):
        await _refreshed(database, server, NOW + timedelta(hours=hours, minutes=hours))
    assert [request.url.host for request in server.asked].count(OTHER) == 2


async def test_an_archive_that_was_asked_weeks_ago_is_no_forecast_and_makes_none_due(database: Database) -> None:
    """Its moment passed long ago; before the first answer of a service nobody is told that there is no forecast."""
    asked = Stored(past_nights.NAME, Point(52.02, -1.01), retry_after_at=NOW - timedelta(days=14))
    async with database.begin() as session:
        session.add(Weather(garden_id=1, service=past_nights.NAME, stored=to_row(asked)))
    async with database.begin() as session:
        assert await garden_forecast.never_asked(session, await session.get_one(Garden, 1), SOURCE)
    await _refreshed(database, Server({MET: met(8.0)}))
    async with database.begin() as session:
        garden = await session.get_one(Garden, 1)
        assert not await garden_forecast.never_asked(session, garden, SOURCE)
        assert garden.ask_weather_at is not None and garden.ask_weather_at > NOW


def test_what_is_asked_for_is_gusts_alone() -> None:
    asked = open_meteo.gusts_query(Point(52.02, -1.01))
    assert asked["hourly"].split(",") == ["temperature_2m", "wind_gusts_10m"]
