"""A logger's file, months of it at once, teaches what each night's own noon had said; a doubtful sensor is doubted aloud."""

from __future__ import annotations

import math
from collections.abc import AsyncIterator, Iterable
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.weather import logged_words as wording
from bot.core.weather.ground import NightKind
from bot.core.weather.logger import Doubt, Sample
from bot.core.weather.logger import read as read_log
from bot.core.weather.night import Site
from bot.i18n import say
from bot.services.weather import logged, readings
from bot.storage.models import Garden, NightOdds, Reading, Thermometer
from bot.storage.session import Database
from tests.journal.teasel_lane import SHED, plant_garden

LONDON = ZoneInfo("Europe/London")
SITE = Site(52.1, -1.3, 90.0, LONDON)
ENGLISH = say("en", "Europe/London")
FIRST_ON = date(2026, 3, 1)
NIGHTS_N = 60
NOW = datetime(2026, 5, 2, 9, tzinfo=UTC)
#: What noon had said of each night, and how much colder the garden was: invented.
SAID_C, COLDER_C = 2.0, 1.5


@pytest.fixture
async def session(database: Database) -> AsyncIterator[AsyncSession]:
    async with database.begin() as unit:
        await plant_garden(unit)
        for n in range(NIGHTS_N):
            unit.add(
                NightOdds(
                    garden_id=1, evening_on=FIRST_ON + timedelta(days=n), made_at=NOW, forecast_c=SAID_C, mean_c=SAID_C,
                    sd_c=1.5, frost_odds=0.1, kind=NightKind.MIXED, lead_h=18.0, untaught_c=SAID_C, ground_c=SAID_C - 2.0,
                )
            )  # fmt: skip
        await unit.flush()
        yield unit


def _course(days: int, *, every_min: int = 30, low_c: float = SAID_C - COLDER_C) -> Iterable[tuple[datetime, float]]:
    """From noon of FIRST_ON on: warmest at 15:00, coldest at 05:00."""
    at = datetime.combine(FIRST_ON, datetime.min.time(), LONDON).astimezone(UTC) + timedelta(hours=12)
    for n in range(days * 24 * 60 // every_min):
        moment = at + timedelta(minutes=every_min * n)
        hour = moment.hour + moment.minute / 60
        yield moment, low_c + 5.0 * (1.0 - math.cos(2 * math.pi * (hour - 5.0) / 24.0))


def _csv(rows: Iterable[tuple[datetime, float]], name: str = "shed", head: str = "time,thermometer,reading") -> bytes:
    return "\n".join([head, *(f"{at.isoformat()},{name},{value_c:.2f}" for at, value_c in rows)]).encode()


async def _take(session: AsyncSession, data: bytes) -> tuple[list[logged.Taken], list[str], tuple[str, ...]]:
    row = await session.get_one(Garden, 1)
    shed = await session.get_one(Thermometer, SHED)
    lines = logged.lines_of("log.csv", data.replace(b",shed,", f",{shed.name},".encode()), row.tz, ENGLISH)
    taken, unknown = await logged.take(session, row, None, lines, NOW)
    return taken, unknown, lines.problems


async def test_two_months_of_a_logger_teach_at_once_and_the_garden_is_known_to_be_colder(session: AsyncSession) -> None:
    (shed,), unknown, problems = await _take(session, _csv(_course(NIGHTS_N)))
    assert (unknown, problems) == ([], ())
    assert shed.taught_n == len(shed.log.nights) == NIGHTS_N
    row = await session.get_one(Garden, 1)
    line = (await readings.summary(session, row, NOW.date()))[NightKind.MIXED]
    assert line.count == NIGHTS_N
    assert line.offset_c == pytest.approx(-COLDER_C, abs=0.25)
    stored = (await session.scalars(select(Reading).where(Reading.thermometer_id == SHED))).all()
    assert {round(one.value_c, 1) for one in stored} == {SAID_C - COLDER_C}


async def test_the_same_file_again_changes_nothing_and_a_longer_one_adds_what_is_new(session: AsyncSession) -> None:
    await _take(session, _csv(_course(20)))
    (again,), _, _ = await _take(session, _csv(_course(20)))
    assert (again.taught_n, again.had_n) == (0, 20)
    (longer,), _, _ = await _take(session, _csv(_course(30)))
    assert (longer.taught_n, longer.had_n) == (10, 20)


async def test_nights_without_a_forecast_from_before_them_are_kept_and_teach_nothing(session: AsyncSession) -> None:
    await session.execute(delete(NightOdds))
    (shed,), _, _ = await _take(session, _csv(_course(10)))
    assert (shed.taught_n, shed.not_compared_n) == (0, 10)
    told = wording.taken(ENGLISH, [shed], [], [])
    assert "10 nights" in told and "no earlier forecast" in told


async def test_minima_of_mornings_are_of_the_night_that_has_passed(session: AsyncSession) -> None:
    rows = "\n".join(
        f"{FIRST_ON + timedelta(days=n + 1)} 07:30;shed;{0.5 + 0.1 * (n % 3):.1f}".replace(".", ",") for n in range(5)
    )
    data = f"Date;Thermometer;Min\n{rows}".encode()
    (shed,), _, problems = await _take(session, data.replace(b";shed;", b";" + (await _name(session)) + b";"))
    assert problems == ()
    assert [one.evening_on for one in shed.log.nights] == [FIRST_ON + timedelta(days=n) for n in range(5)]
    assert [one.min_c for one in shed.log.nights] == pytest.approx([0.5, 0.6, 0.7, 0.5, 0.6])
    assert shed.taught_n == 5


async def _name(session: AsyncSession) -> bytes:
    return (await session.get_one(Thermometer, SHED)).name.encode()


async def test_a_name_that_no_thermometer_has_is_said(session: AsyncSession) -> None:
    taken, unknown, _ = await _take(session, _csv(_course(3), "attic"))
    assert (taken, unknown) == ([], ["attic"])
    assert "I don't know a thermometer “attic” here" in wording.taken(ENGLISH, taken, unknown, [])


async def test_lines_that_cannot_be_read_are_named_and_the_others_count(session: AsyncSession) -> None:
    good = _csv(_course(5)).decode().splitlines()
    good[3], good[7] = "yesterday,shed,4.0", f"{good[7].split(',')[0]},shed,warm"
    (shed,), _, problems = await _take(session, "\n".join(good).encode())
    assert shed.taught_n == 5
    assert "line 4" in problems[0] and "is not a time" in problems[0]
    assert "line 8" in problems[1] and "not a temperature" in problems[1]


async def test_far_off_nights_are_kept_apart_and_asked_about(session: AsyncSession) -> None:
    (shed,), _, _ = await _take(session, _csv(_course(3, low_c=30.0)))
    assert shed.taught_n == 0 and len(shed.odd_on) == 3
    assert "not at all what I expected" in wording.taken(ENGLISH, [shed], [], [])


def test_a_sensor_that_stands_still_is_doubted() -> None:
    rows = list(_course(6))
    stuck_at = rows[96][0]
    log = read_log([Sample(at, 4.0 if 0 <= (at - stuck_at) / timedelta(hours=1) <= 28 else v) for at, v in rows], SITE)
    assert log.doubts == {Doubt.STILL}
    # Noon of the third day until 16:00 of the fourth: the night between them, and no other.
    assert [one.doubt for one in log.nights] == [None, None, Doubt.STILL, None, None, None]


def test_a_value_that_jumps_away_and_back_is_left_out() -> None:
    rows = list(_course(3))
    rows[30] = (rows[30][0], -40.0)
    log = read_log([Sample(*row) for row in rows], SITE)
    assert log.jumps_n == 1
    assert min(one.min_c for one in log.nights) == pytest.approx(SAID_C - COLDER_C, abs=0.1)


def test_a_sensor_in_the_sun_is_doubted() -> None:
    rows = [(at, v + (14.0 if at.hour == 9 else 0.0)) for at, v in _course(6, every_min=60)]
    sunny = [Sample(at, v + (14.0 if at.hour == 10 else 0.0)) for at, v in rows]
    log = read_log(sunny, SITE)
    assert log.doubts == {Doubt.SUN}
    assert all(one.doubt is Doubt.SUN for one in log.nights)


def test_a_night_with_a_gap_does_not_count() -> None:
    rows = [row for row in _course(4) if not (row[0].day == FIRST_ON.day + 2 and 2 <= row[0].hour <= 5)]
    log = read_log([Sample(*row) for row in rows], SITE)
    assert log.gappy_n == 1
    assert len(log.nights) == 3


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2026-04-14 05:10", datetime(2026, 4, 14, 4, 10, tzinfo=UTC)),  # summer time
        ("2026-04-14T05:10:00Z", datetime(2026, 4, 14, 5, 10, tzinfo=UTC)),
        ("2026-01-14T05:10:00+02:00", datetime(2026, 1, 14, 3, 10, tzinfo=UTC)),
        ("14/04/2026 05:10", datetime(2026, 4, 14, 4, 10, tzinfo=UTC)),
        ("14.04.2026 05:10:30", datetime(2026, 4, 14, 4, 10, 30, tzinfo=UTC)),
    ],
)
def test_times_are_read_as_loggers_write_them(text: str, utc: datetime) -> None:
    lines = logged.lines_of("log.csv", f"time,reading\n{text},4.5".encode(), LONDON, ENGLISH)
    assert lines.problems == ()
    assert lines.samples[""] == [Sample(utc, 4.5)]


@pytest.mark.parametrize(
    ("head", "is_log"),
    [("time,thermometer,reading", True), ("Timestamp;Temperature (°C)", True), ("date,min_c", False), ("name,place", False),
     ("date,title", False), ("", False)],
)  # fmt: skip
def test_a_log_is_told_by_its_first_line(head: str, is_log: bool) -> None:
    assert logged.is_log(f"{head}\n2026-04-14,1".encode()) is is_log
