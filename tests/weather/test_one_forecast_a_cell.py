"""Gardens of one square have one forecast; a service that has too much to do is left alone by all of them.

RFC 6585, 4 (429) and RFC 9110, 10.2.3 (Retry-After); api.met.no Terms of Service, "Traffic": identical requests are to be
avoided (read 2026-11-25 via their source).
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator
from datetime import UTC, datetime, time, timedelta
from math import cos, radians

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select
from telegram import Bot

from bot.app import App, build
from bot.chat.wire.pace import Pace
from bot.demo.weather import answer
from bot.forecasts.reader import Point
from bot.forecasts.request import Stored, from_row, to_row
from bot.services.weather import frost_dates, garden_forecast
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden, NightMinimum, ServicePause, Weather
from bot.storage.session import Database
from tests.forecasts.weather_server import Reply, Server, status
from tests.support.invented_weather import calm

NOW = datetime(2026, 5, 1, 18, 2, tzinfo=UTC)
FORECAST, ENSEMBLE, ARCHIVE = "api.open-meteo.com", "ensemble-api.open-meteo.com", "archive-api.open-meteo.com"
SOURCE = Source("open-meteo")
KM_A_DEGREE = 111.2
SOUTH = 52.005  # near the southern edge of its square


def down(_request: httpx.Request) -> httpx.Response:
    return httpx.Response(500)


def well(_request: httpx.Request) -> httpx.Response:
    today = datetime.combine(NOW.date(), time(), UTC)
    return httpx.Response(200, text=json.dumps(answer(today, [calm()] * 10)))


def service(**reply: Reply) -> Server:
    """forecast: how it answers, well unless told otherwise; nothing else answers at all."""
    return Server({FORECAST: reply.get("forecast", well), ENSEMBLE: down, "api.met.no": down})


class City:
    def __init__(self, app: App) -> None:
        self.app, self.now = app, NOW

    async def garden(self, north_km: float = 0.0, altitude_m: float | None = 95.0) -> int:
        async with self.app.database.begin() as session:
            garden = Garden(
                name=f"Garden {north_km}", latitude=SOUTH + north_km / KM_A_DEGREE, longitude=-1.01,
                altitude_m=altitude_m, zone="Europe/London",
            )  # fmt: skip
            session.add(garden)
            await session.flush()
            return garden.id

    async def asked(self, server: Server) -> int:
        """How many forecasts are asked for when all that are due ask."""
        before = len(server.asked)
        async with server.client() as http:
            await self.app.refresh_weather(http)
        return len([one for one in server.asked[before:] if one.url.host == FORECAST])

    async def source_of(self, garden_id: int) -> str | None:
        async with self.app.database.begin() as session:
            garden = await session.get_one(Garden, garden_id)
            found = await garden_forecast.current(session, garden, SOURCE, self.now)
        return found.source if found else None


@pytest.fixture
async def city(database: Database, monkeypatch: pytest.MonkeyPatch) -> AsyncIterator[City]:
    monkeypatch.setattr(garden_forecast, "GAP_S", 0.0)
    app = build(database, Bot("1:none"), now=lambda: one.now, source=SOURCE, pace=Pace.off())
    one = City(app)
    yield one


async def test_forty_neighbours_are_one_request_an_hour(city: City) -> None:
    ids = [await city.garden(0.02 * n) for n in range(40)]
    server = service()
    assert await city.asked(server) == 1
    assert {await city.source_of(id_) for id_ in ids} == {"open-meteo"}
    for hour in (1, 2, 3):
        city.now = NOW + timedelta(hours=hour)
        assert await city.asked(server) == 1
        city.now += timedelta(minutes=2)
        assert await city.asked(server) == 0
    async with city.app.database.begin() as session:
        rows = await session.scalars(select(Weather).where(Weather.service == "open-meteo"))
        kept = {state.fetched_at for row in rows if (state := from_row(row.stored))}
    assert kept == {NOW + timedelta(hours=3)}, "everybody has the newest"


async def test_other_places_and_heights_and_unknown_heights_ask_for_themselves(city: City) -> None:
    for north_km, altitude_m in ((0.0, 95.0), (4.0, 95.0), (0.0, 250.0), (0.0, None)):
        await city.garden(north_km, altitude_m)
    assert await city.asked(service()) == 4


async def test_when_the_first_garden_is_gone_the_next_one_asks(city: City) -> None:
    first, second = await city.garden(), await city.garden(0.1)
    server = service()
    await city.asked(server)
    async with city.app.database.begin() as session:
        await session.delete(await session.get_one(Garden, first))
    city.now += timedelta(hours=2)
    assert await city.asked(server) == 1
    assert await city.source_of(second) == "open-meteo"


@pytest.mark.parametrize(
    "throttles", [status(429, Retry_After="7200"), status(503, Retry_After="7200")], ids=["429", "503"]
)
async def test_a_service_that_throttles_is_left_alone_by_every_garden_for_as_long_as_it_asks(
    city: City, throttles: Reply
) -> None:
    for n in range(5):
        await city.garden(10.0 * n)
    server = service(forecast=throttles)
    assert await city.asked(server) == 1
    city.now = NOW + timedelta(minutes=119)
    assert await city.asked(server) == 0
    server.reply[FORECAST] = well
    city.now = NOW + timedelta(minutes=121)
    assert await city.asked(server) == 5


async def test_a_plain_failure_is_one_gardens_business(city: City) -> None:
    for n in range(3):
        await city.garden(10.0 * n)
    assert await city.asked(service(forecast=status(500))) == 3
    async with city.app.database.begin() as session:
        assert (await session.scalars(select(ServicePause))).all() == []


async def test_the_archive_of_past_nights_is_left_alone_as_well(city: City) -> None:
    ids = [await city.garden(10.0 * n) for n in range(3)]
    server = Server({ARCHIVE: status(429, Retry_After="3600")})
    async with server.client() as http:
        for _ in range(2):
            for id_ in ids:
                await frost_dates.fetch(city.app.database, id_, SOURCE, city.now, http)
        assert len(server.asked) == 1
        city.now += timedelta(minutes=61)
        await frost_dates.fetch(city.app.database, ids[0], SOURCE, city.now, http)
    assert len(server.asked) == 2
    async with city.app.database.begin() as session:
        assert (await session.scalars(select(NightMinimum))).all() == []


def test_an_answer_that_was_kept_before_is_still_read() -> None:
    row = to_row(Stored("open-meteo", Point(52.0, -1.0, 95.0), body="{}"))
    del row["leave_until_at"]
    assert from_row(row) == Stored("open-meteo", Point(52.0, -1.0, 95.0), body="{}")


@given(st.floats(-90, 90), st.floats(-180, 180), st.floats(-400, 6_000))
def test_a_square_holds_its_point_and_is_two_and_a_half_kilometres_wide(
    latitude: float, longitude: float, altitude_m: float
) -> None:
    """A degree of latitude is 111.2 km, one of longitude that times the cosine of the latitude."""
    cell = Point(latitude, longitude, altitude_m).cell()
    assert cell is not None
    assert cell.south <= latitude + 1e-9 and latitude - 1e-9 < cell.north
    assert cell.west <= longitude + 1e-9 and longitude - 1e-9 < cell.east
    assert cell.low_m <= altitude_m < cell.high_m
    assert (cell.north - cell.south) * KM_A_DEGREE == pytest.approx(2.5)
    if abs(latitude) < 80:
        wide_km = (cell.east - cell.west) * KM_A_DEGREE * cos(radians(latitude))
        assert wide_km == pytest.approx(2.5, rel=0.01)
