"""The ensemble is asked for beside the forecast, gives it its spread, and is missed by nobody when it fails."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import httpx
import pytest

from bot.core.weather.forecast import Forecast
from bot.services.weather import garden_forecast
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden
from bot.storage.session import Database
from tests.forecasts.invented import open_meteo_body
from tests.forecasts.weather_server import Server, broken, status

NOW = datetime(2026, 5, 1, 18, 2, tzinfo=UTC)
SOURCE = Source("open-meteo", "jo@teasel.example")
FORECAST, ENSEMBLE = "api.open-meteo.com", "ensemble-api.open-meteo.com"
SHIFTS_C = (-4.0, -1.0, 2.0, 3.0)


def body() -> dict[str, Any]:
    """The invented answer, drawn out over three days from the evening of NOW."""
    short = open_meteo_body()
    start_at = NOW.replace(hour=0, minute=0, tzinfo=None)
    hourly = {
        name: [(start_at + timedelta(hours=n)).isoformat(timespec="minutes") for n in range(72)]
        if name == "time"
        else [values[n % len(values)] for n in range(72)]
        for name, values in short["hourly"].items()
    }
    return {**short, "hourly": hourly}


def forecast(request: httpx.Request) -> httpx.Response:
    return httpx.Response(200, text=json.dumps(body()))


def members(request: httpx.Request) -> httpx.Response:
    """Invented members about a control that is eight degrees too warm, but for one hour without them."""
    answer = body()
    control = [air_c + 8.0 for air_c in answer["hourly"]["temperature_2m"]]
    hourly = {"time": answer["hourly"]["time"], "temperature_2m": control}
    units = {name: answer["hourly_units"][name] for name in hourly}
    for n, shift_c in enumerate(SHIFTS_C, 1):
        name = f"temperature_2m_member{n:02}"
        hourly[name], units[name] = [None, *(air_c + shift_c for air_c in control[1:])], "°C"
    return httpx.Response(200, text=json.dumps({**answer, "hourly": hourly, "hourly_units": units}))


@pytest.fixture(autouse=True)
async def teasel_lane(database: Database) -> None:
    async with database.begin() as session:
        session.add(
            Garden(id=1, name="Teasel Lane", latitude=52.02, longitude=-1.01, altitude_m=None, zone="Europe/London")
        )


async def _refreshed(database: Database, server: Server, now: datetime = NOW) -> tuple[tuple[str, ...], Forecast]:
    async with server.client() as http:
        errors = await garden_forecast.refresh(database, 1, SOURCE, now, http)
    async with database.begin() as session:
        found = await garden_forecast.current(session, await session.get_one(Garden, 1), SOURCE, now)
    assert found is not None
    return errors, found


async def test_members_differ_about_the_forecasts_own_temperature(database: Database) -> None:
    errors, found = await _refreshed(database, Server({FORECAST: forecast, ENSEMBLE: members}))
    assert errors == ()
    first, second = found.hours[:2]
    assert first.spread is None, "an hour that has no members keeps the published error"
    assert second.air_c is not None
    assert second.spread is not None
    # The control (0) and four members: their mean is 0, so that each stands where it was shifted to.
    assert sorted(second.spread.members_c) == pytest.approx(sorted(second.air_c + c for c in (0.0, *SHIFTS_C)))


async def test_an_ensemble_that_fails_costs_nothing_but_the_spread(database: Database) -> None:
    errors, found = await _refreshed(database, Server({FORECAST: forecast, ENSEMBLE: status(500)}))
    assert errors == ()
    assert {hour.spread for hour in found.hours} == {None}


async def test_it_is_asked_seldom_and_only_while_the_forecast_answers(database: Database) -> None:
    server = Server({FORECAST: forecast, ENSEMBLE: members})
    for minutes in (0, 61, 122, 183):
        await _refreshed(database, server, NOW + timedelta(minutes=minutes))
    hosts = [request.url.host for request in server.asked]
    assert (hosts.count(FORECAST), hosts.count(ENSEMBLE)) == (4, 2)
    failing = Server({FORECAST: status(503), "api.met.no": broken, ENSEMBLE: members})
    await _refreshed(database, failing, NOW + timedelta(hours=7))
    assert ENSEMBLE not in {request.url.host for request in failing.asked}


async def test_a_spread_from_yesterday_is_not_put_on_todays_forecast(database: Database) -> None:
    await _refreshed(database, Server({FORECAST: forecast, ENSEMBLE: members}))
    later = NOW + timedelta(hours=13)
    _, found = await _refreshed(database, Server({FORECAST: forecast, ENSEMBLE: status(500)}), later)
    assert {hour.spread for hour in found.hours} == {None}
