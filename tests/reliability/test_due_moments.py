"""A garden is looked at when something may be to be said: the same words at the same moments as at every tick."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.demo.weather import Day
from bot.services.due import next_look
from bot.services.look import look
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Garden
from bot.storage.session import Database
from tests.support.invented_weather import calm
from tests.support.same_minutes import heard

START_AT = datetime(2026, 5, 4, 6, 3, tzinfo=UTC)
#: A hard frost in the second night, and a gale on the day after: invented.
FROST: Day = (-3.0, 12.0, 5.0, 1.0, 4.0, 0.0)
GALE: Day = (6.0, 13.0, 90.0, 12.0, 26.0, 2.0)


def seen(issued_at: datetime) -> list[Day]:
    days = [calm(), FROST, GALE]
    return [*days[(issued_at - START_AT.replace(hour=0)).days :], *[calm()] * 9]


async def test_a_frost_and_a_gale_are_told_the_same_when_due_and_at_every_tick(tmp_path: Path) -> None:
    """Each tick of a day and a half; `python -m tests.benchmarks.bench_due` plays longer ones, with a tick each half minute."""
    tick, every_h = timedelta(minutes=6), timedelta(hours=6)
    (due, few, _), (always, many, _) = [
        await heard(
            tmp_path, seen, START_AT, START_AT + timedelta(hours=33), seed=1, tick=tick, issued_every=every_h,
            every_look=every_look,
        )
        for every_look in (False, True)
    ]  # fmt: skip
    assert len(always) > 40
    assert due == always
    assert few < many / 1.5, "while something is under way, each quarter of an hour and at the moments in between"


@pytest.mark.parametrize(
    ("zone", "minutes"),
    [("Europe/London", 60), ("Asia/Kolkata", 15), ("Australia/Adelaide", 15), ("Asia/Kathmandu", 15)],
)
@pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
async def test_where_hours_begin_within_those_of_utc_no_hour_is_missed(
    database: Database, zone: str, minutes: int
) -> None:
    """Quiet hours end, and reminders come, on the hour of the garden's own clock (IANA: +5:30, +9:30 or +10:30, +5:45)."""
    at = datetime(2026, 5, 4, 6, 0, tzinfo=UTC)
    async with database.begin() as session:
        garden = Garden(name="Far Field", latitude=27.0, longitude=85.0, zone=zone)
        session.add(garden)
        await session.flush()
        seen = await look(session, garden, Source("open-meteo"), at)
        assert await next_look(session, garden, seen, Source("open-meteo"), at) == at + timedelta(minutes=minutes)


@pytest.mark.parametrize("database_url", ["postgres"], indirect=True)
async def test_processes_on_one_server_share_the_gardens_that_are_due(database: Database) -> None:
    """Two claim at the same moment; and what one of them was killed with is free again after the longest look."""
    async with database.begin() as session:
        session.add_all([
            Garden(name=f"Garden {n}", latitude=52.0, longitude=-1.5, zone="Europe/London") for n in range(6)
        ])  # fmt: skip
    async with database.begin() as one, database.begin() as other:
        first = await gardens.due(one, START_AT, 0, 4)
        second = await gardens.due(other, START_AT, 0, 4)
    assert len(first) == 4 and len(second) == 2 and not {*first} & {*second}
    async with database.begin() as session:
        assert not await gardens.due(session, START_AT + timedelta(minutes=1), 0, 10)
        assert len(await gardens.due(session, START_AT + gardens.LONGEST_LOOK, 0, 10)) == 6
