"""Past nights and days come from the archive once, only where there are none, and say that they are a model's."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta

import httpx
import pytest
from sqlalchemy import func, select

from bot.core.growing.crop import Days
from bot.core.weather.forecast import ForecastError
from bot.crops import loader
from bot.forecasts import past_nights
from bot.forecasts.reader import Point
from bot.services.growing import rules
from bot.services.weather import frost_dates
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden, NightMinimum
from bot.storage.session import Database
from tests.forecasts.weather_server import Server, status

NOW = datetime(2026, 5, 1, 9, tzinfo=UTC)
HOST = "archive-api.open-meteo.com"
SOURCE = Source("open-meteo", "https://teasel.example/contact")
# Cambridge NIAB 1991-2020, mean minima and maxima by month: Met Office historic station data.
NIGHTS_C = (1.9, 1.8, 3.1, 4.7, 7.4, 10.5, 12.6, 12.6, 10.5, 7.9, 4.5, 2.2)
DAYS_C = (7.7, 8.3, 11.0, 14.1, 17.4, 20.4, 23.1, 22.9, 19.6, 15.1, 10.7, 8.0)


def answer(
    first: date = date(2006, 1, 1),
    last: date = date(2025, 12, 31),
    *,
    unit: str = "°C",
    latitude: float = 52.2,
    cooler_c: float = 0.0,
) -> str:
    """In the form of the service's manual, with one day that has no value; invented: each night and day is its month's
    mean, the day so much cooler."""
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    minima: list[float | None] = [NIGHTS_C[on.month - 1] for on in days]
    maxima: list[float | None] = [DAYS_C[on.month - 1] - cooler_c for on in days]
    minima[3] = maxima[7] = None
    return json.dumps(
        {
            "latitude": latitude, "longitude": -1.5, "elevation": 74.0, "utc_offset_seconds": 0,
            "daily_units": {"time": "iso8601", "temperature_2m_min": unit, "temperature_2m_max": unit},
            "daily": {
                "time": [on.isoformat() for on in days], "temperature_2m_min": minima, "temperature_2m_max": maxima,
            },
        }
    )  # fmt: skip


def one_day(on: str, minima: list[float], maxima: list[float]) -> str:
    units = {"temperature_2m_min": "°C", "temperature_2m_max": "°C"}
    daily = {"time": [on], "temperature_2m_min": minima, "temperature_2m_max": maxima}
    return json.dumps({"latitude": 52.2, "longitude": -1.5, "daily_units": units, "daily": daily})


async def garden(database: Database) -> int:
    async with database.begin() as session:
        row = Garden(name="Teasel Lane", latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
        session.add(row)
        await session.flush()
        return row.id


async def ask(database: Database, server: Server, garden_id: int, now: datetime = NOW, source: Source = SOURCE) -> str:
    async with server.client() as http:
        return await frost_dates.fetch(database, garden_id, source, now, http)


async def nights_n(database: Database) -> int:
    async with database.begin() as session:
        return await session.scalar(select(func.count()).select_from(NightMinimum)) or 0


async def test_twenty_whole_years_are_asked_for_once_and_kept_with_their_source(database: Database) -> None:
    server, garden_id = Server({HOST: status(200, answer())}), await garden(database)
    assert await ask(database, server, garden_id) == ""
    asked = dict(server.asked[0].url.params)
    assert (asked["start_date"], asked["end_date"], asked["daily"]) == (
        "2006-01-01",
        "2025-12-31",
        "temperature_2m_min,temperature_2m_max",
    )
    assert await nights_n(database) == 20 * 365 + 5 - 1
    await ask(database, server, garden_id, NOW + timedelta(days=30))
    assert len(server.asked) == 1
    async with database.begin() as session:
        assert await frost_dates.are_modelled(session, garden_id)
        crops = await rules.of_garden(session, garden_id)
    assert crops["tomato"].days is Days.CARRIED


async def test_cool_days_delay_what_waits_for_warm_soil_and_nothing_that_waits_for_mild_nights(
    database: Database,
) -> None:
    """Two degrees cooler by day, as Edinburgh is in April: carrots wait, tomatoes go by the nights as before."""
    server, garden_id = Server({HOST: status(200, answer(cooler_c=2.0))}), await garden(database)
    await ask(database, server, garden_id)
    async with database.begin() as session:
        crops = await rules.of_garden(session, garden_id)
    written = loader.load()
    carrot, tomato = crops["carrot"].sowing.outdoors, crops["tomato"].planting.out
    assert carrot is not None and carrot[0] > (3, 20) and (written["carrot"].sowing.outdoors or carrot)[0] == (3, 15)
    assert tomato == written["tomato"].planting.out


async def test_nights_of_the_archive_without_their_days_are_asked_for_again(database: Database) -> None:
    server, garden_id = Server({HOST: status(200, answer())}), await garden(database)
    async with database.begin() as session:
        session.add(NightMinimum(garden_id=garden_id, on=date(2020, 1, 1), min_c=-3.0, source=past_nights.SOURCE))
    await ask(database, server, garden_id)
    await ask(database, server, garden_id, NOW + timedelta(days=30))
    assert len(server.asked) == 1
    async with database.begin() as session:
        night = await session.get(NightMinimum, (garden_id, date(2020, 1, 1)))
        assert night is not None and (night.min_c, night.max_c) == (NIGHTS_C[0], DAYS_C[0])


async def test_after_a_failure_the_archive_is_left_in_peace_for_a_week(database: Database) -> None:
    server, garden_id = Server({HOST: status(503)}), await garden(database)
    assert "503" in await ask(database, server, garden_id)
    await ask(database, server, garden_id, NOW + timedelta(days=6))
    assert len(server.asked) == 1
    await ask(database, server, garden_id, NOW + timedelta(days=8))
    assert len(server.asked) == 2


@pytest.mark.parametrize("setting", ["met-norway", "file:forecast.json"])
async def test_another_service_and_a_recorded_forecast_ask_no_archive(database: Database, setting: str) -> None:
    server, garden_id = Server(), await garden(database)
    assert await ask(database, server, garden_id, source=Source(setting, "x@example.org")) == ""
    assert server.asked == []


async def test_nights_that_somebody_gave_are_never_touched(database: Database) -> None:
    server, garden_id = Server({HOST: status(200, answer())}), await garden(database)
    async with database.begin() as session:
        session.add(NightMinimum(garden_id=garden_id, on=date(2020, 1, 1), min_c=-3.0, source="minima.csv"))
    await ask(database, server, garden_id)
    assert server.asked == [] and await nights_n(database) == 1


async def test_a_models_frosts_are_counted_on_the_safe_side(database: Database) -> None:
    """A night of 1 degree on the model's square is taken for a frost in the garden; a measured one is not."""
    async with database.begin() as session:
        for source in (past_nights.SOURCE, "minima.csv"):
            row = Garden(name=source, latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
            session.add(row)
            await session.flush()
            for year in range(2006, 2026):
                for n in range(365):
                    on = date(year, 1, 1) + timedelta(days=n)
                    low_c = 1.0 if (on.month, on.day) == (5, 10) else 6.0
                    session.add(NightMinimum(garden_id=row.id, on=on, min_c=low_c, source=source))
            await session.flush()
            known = await frost_dates.of_garden(session, row)
            assert known is not None
            assert bool(known.last_spring.days) is (source == past_nights.SOURCE)


@pytest.mark.parametrize(
    "body",
    [
        "", "<html>", "{}", answer(unit="°F"), answer(latitude=10.0),
        one_day("2020-01-01", [], [9.0]), one_day("2020-01-01", [1.0], []), one_day("2020-01-01", [99.0], [99.0]),
        one_day("2020-01-01", [9.0], [1.0]), one_day("yesterday", [1.0], [9.0]),
    ],
)  # fmt: skip
def test_an_answer_that_is_none_is_refused(body: str) -> None:
    with pytest.raises(ForecastError):
        past_nights.parse(body, Point(52.2, -1.5))


async def test_no_answer_is_a_failure_and_no_crash(database: Database) -> None:
    def broken(request: httpx.Request) -> httpx.Response:
        raise httpx.ConnectTimeout("no route", request=request)

    assert "no answer" in await ask(database, Server({HOST: broken}), await garden(database))
