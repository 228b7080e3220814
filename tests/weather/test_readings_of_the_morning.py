"""A morning's reading is held against what was expected at noon before that night, by answers as the services give them."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable
from dataclasses import asdict
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.journal import journal_words as wording
from bot.core.garden.snapshot import Cover, PlaceKind
from bot.core.weather import cold, learn
from bot.core.weather.forecast import Forecast
from bot.core.weather.ground import NightKind
from bot.forecasts import met_norway, open_meteo
from bot.services import journal
from bot.services.growing import rules
from bot.services.journal.note import Action, Note, Unit
from bot.services.journal.outcome import Recorded
from bot.services.look import Look
from bot.services.weather import before_night, readings, score
from bot.services.weather.readings import Learnt
from bot.storage.garden import gardens
from bot.storage.models import Garden, Learned, Member, NightOdds, Thermometer
from bot.storage.session import Database
from tests.journal.teasel_lane import ENGLISH, INES, RULES, SHED, TUNNEL_AIR, plant_garden

LOW_C = 1.2  # invented: the minimum that noon's forecast gives, an hour before sunrise
#: Noon of two days, one on each side of the year, and 07:30 on the garden's clock of the morning after.
SPRING, AUTUMN = datetime(2026, 4, 14, 11, 0, tzinfo=UTC), datetime(2026, 10, 14, 11, 0, tzinfo=UTC)
NEXT_MORNING = timedelta(hours=19, minutes=30)


@pytest.fixture
async def session(database: Database) -> AsyncIterator[AsyncSession]:
    async with database.begin() as unit:
        await plant_garden(unit)
        yield unit


def _air_c(at: datetime, low_c: float) -> float:
    """Coldest at 05:00, warmest at 17:00."""
    return low_c + 0.8 * abs((at.hour - 5 + 12) % 24 - 12)


def _hours(start_at: datetime) -> list[datetime]:
    return [start_at + timedelta(hours=n) for n in range(60)]


def _open_meteo(at: datetime, low_c: float) -> Forecast:
    """From 00:00 UTC of the day on which it is asked for (forecast_days; no past days)."""
    times = _hours(at.replace(hour=0, minute=0))
    body = {
        "latitude": 52.1, "longitude": -1.3, "elevation": 90.0, "utc_offset_seconds": 0, "timezone": "GMT",
        "hourly_units": {"time": "iso8601", "temperature_2m": "°C", "cloud_cover": "%", "wind_speed_10m": "m/s"},
        "hourly": {
            "time": [f"{time:%Y-%m-%dT%H:%M}" for time in times],
            "temperature_2m": [_air_c(time, low_c) for time in times],
            "cloud_cover": [0] * len(times),
            "wind_speed_10m": [0.5] * len(times),
        },
    }  # fmt: skip
    return open_meteo.parse(body, fetched_at=at)


def _met_norway(at: datetime, low_c: float) -> Forecast:
    """From the hour in which it is asked for."""
    details = {"cloud_area_fraction": 0.0, "wind_speed": 0.5}
    body = {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-1.3, 52.1, 90]},
        "properties": {
            "meta": {
                "updated_at": f"{at:%Y-%m-%dT%H:%M:%SZ}",
                "units": {"air_temperature": "celsius", "cloud_area_fraction": "%", "wind_speed": "m/s"},
            },
            "timeseries": [
                {"time": f"{time:%Y-%m-%dT%H:%M:%SZ}",
                 "data": {"instant": {"details": details | {"air_temperature": _air_c(time, low_c)}}}}
                for time in _hours(at.replace(minute=0))
            ],
        },
    }  # fmt: skip
    return met_norway.parse(body, fetched_at=at)


Service = Callable[[datetime, float], Forecast]
SERVICES = pytest.mark.parametrize("service", [_open_meteo, _met_norway], ids=["Open-Meteo", "MET Norway"])
DAYS = pytest.mark.parametrize("noon_at", [SPRING, AUTUMN], ids=["April", "October"])


async def _noon(session: AsyncSession, forecast: Forecast, noon_at: datetime) -> Look:
    """Noon's odds are noted; gives the look they were noted from."""
    row = await session.get_one(Garden, 1)
    garden = await gardens.snapshot(session, row)
    correction = await readings.learned(session, row)
    nights = cold.nights(forecast, cold.Site.of(garden), correction, noon_at)
    outlook = Look(garden, RULES, forecast, nights, (), (), ())
    await score.note_odds(session, row, outlook, noon_at)
    await session.flush()
    return outlook


async def _read(session: AsyncSession, thermometer: int, value_c: float, now: datetime, forecast: Forecast) -> Recorded:
    row, member = await session.get_one(Garden, 1), await session.get_one(Member, INES)
    note = Note(
        Action.READING,
        "min",
        now.astimezone(row.tz).date(),
        thermometers=(thermometer,),
        amount=value_c,
        unit=Unit.CELSIUS,
    )
    crops = await rules.of_garden(session, 1)
    kept = await journal.record(session, row, member, note, crops, now, forecast=forecast)
    assert isinstance(kept, Recorded)
    return kept


def _answer(kept: Recorded) -> str:
    ((text, _),) = wording.replies(ENGLISH, RULES, [kept])
    return text


@SERVICES
@DAYS
async def test_a_reading_teaches_against_what_was_expected_at_noon(
    session: AsyncSession, service: Service, noon_at: datetime
) -> None:
    outlook = await _noon(session, service(noon_at, LOW_C), noon_at)
    expected_c = outlook.nights[0].untaught_c
    morning_at = noon_at + NEXT_MORNING
    # By the morning the service has changed its mind, and speaks of the rest of the night at most.
    kept = await _read(session, SHED, expected_c - 1.5, morning_at, service(morning_at, LOW_C - 4.0))
    assert kept.taken is not None
    assert kept.taken.learnt is Learnt.YES
    assert kept.taken.expected_c == pytest.approx(expected_c)
    assert "I expected 1.2\N{NO-BREAK SPACE}°C" in _answer(kept)
    line = (await readings.summary(session, await session.get_one(Garden, 1), morning_at.date()))[
        outlook.nights[0].kind
    ]
    assert line.count == 1
    assert line.offset_c < 0.0, "the garden is colder than was said"


@SERVICES
@DAYS
async def test_a_place_learns_from_the_same_noon(session: AsyncSession, service: Service, noon_at: datetime) -> None:
    outlook = await _noon(session, service(noon_at, LOW_C), noon_at)
    expected_c = cold.at_plant(outlook.nights[0], PlaceKind.TUNNEL, Cover.NONE, in_pot=False).mean_c
    morning_at = noon_at + NEXT_MORNING
    kept = await _read(session, TUNNEL_AIR, expected_c - 0.5, morning_at, service(morning_at, LOW_C - 4.0))
    assert kept.taken is not None and kept.taken.learnt is Learnt.YES
    assert kept.taken.expected_c == pytest.approx(expected_c, abs=0.05)


@SERVICES
@DAYS
async def test_without_a_forecast_from_before_it_nothing_is_learned_and_it_is_said(
    session: AsyncSession, service: Service, noon_at: datetime
) -> None:
    morning_at = noon_at + NEXT_MORNING
    kept = await _read(session, SHED, -0.5, morning_at, service(morning_at, LOW_C))
    assert kept.taken is not None and kept.taken.learnt is Learnt.NOT_COMPARED
    assert "I cannot learn from this" in _answer(kept)
    known = await readings.learned(session, await session.get_one(Garden, 1))
    assert known == learn.untaught()


@SERVICES
async def test_one_night_is_one_lesson_and_the_second_reading_hears_so(session: AsyncSession, service: Service) -> None:
    await _noon(session, service(SPRING, LOW_C), SPRING)
    morning_at = SPRING + NEXT_MORNING
    await _read(session, SHED, 0.5, morning_at, service(morning_at, LOW_C))
    again = await _read(session, SHED, 0.3, morning_at + timedelta(minutes=5), service(morning_at, LOW_C))
    assert again.taken is not None and again.taken.learnt is Learnt.NIGHT_KNOWN
    assert "already" in _answer(again)


async def test_a_thermometer_without_memory_says_nothing_of_a_night_by_day(session: AsyncSession) -> None:
    (await session.get_one(Thermometer, SHED)).momentary = True
    await _noon(session, _open_meteo(SPRING, LOW_C), SPRING)
    later_at = SPRING + timedelta(hours=22)
    kept = await _read(session, SHED, 9.0, later_at, _open_meteo(later_at, LOW_C))
    assert kept.taken is not None and kept.taken.learnt is Learnt.NOT_AT_NIGHT


async def test_a_reading_that_comes_days_late_is_still_held_against_its_own_night(session: AsyncSession) -> None:
    outlook = await _noon(session, _met_norway(SPRING, LOW_C), SPRING)
    later_at = SPRING + timedelta(days=2)
    row, member = await session.get_one(Garden, 1), await session.get_one(Member, INES)
    shed = await session.get_one(Thermometer, SHED)
    taken = await readings.take(
        session, row, member, shed, 0.4, later_at.date(), later_at, _met_norway(later_at, 9.0), evening_on=SPRING.date()
    )
    assert taken.learnt is Learnt.YES and taken.expected_c == pytest.approx(outlook.nights[0].untaught_c)


async def test_the_hours_of_old_nights_go_and_their_odds_stay(session: AsyncSession) -> None:
    await _noon(session, _open_meteo(SPRING, LOW_C), SPRING)
    later_at = SPRING + before_night.KEPT_FOR + timedelta(days=2)
    await _noon(session, _open_meteo(later_at, LOW_C), later_at)
    old = await session.get_one(NightOdds, (1, SPRING.date()))
    await session.refresh(old)
    assert old.forecast is None and old.forecast_c == pytest.approx(LOW_C)
    assert (await session.get_one(NightOdds, (1, date(2026, 4, 23)))).forecast is not None


@SERVICES
@DAYS
async def test_a_night_of_months_ago_still_teaches_by_what_was_said_of_it(
    session: AsyncSession, service: Service, noon_at: datetime
) -> None:
    """The kind of night, the lead and the figures of noon stay when the hours are gone: a logger is read out late."""
    outlook = await _noon(session, service(noon_at, LOW_C), noon_at)
    night, row = outlook.nights[0], await session.get_one(Garden, 1)
    later_at = noon_at + timedelta(days=90)
    await before_night.forget(session, row, later_at.date())
    kept = await session.get_one(NightOdds, (1, noon_at.date()))
    await session.refresh(kept)
    # From noon to sunrise: 18 hours in mid-April (05:10 UTC), 19.5 in mid-October (06:30 UTC), within one of MET's steps.
    assert (kept.kind, kept.forecast) == (night.kind, None)
    assert kept.lead_h == pytest.approx(18.0 if noon_at is SPRING else 19.4, abs=0.4)
    member = await session.get_one(Member, INES)
    for thermometer, cover in ((SHED, None), (TUNNEL_AIR, Cover.NONE)):
        expected_c = night.untaught_c
        if cover is not None:
            expected_c = cold.at_plant(night, PlaceKind.TUNNEL, cover, in_pot=False).mean_c
        taken = await readings.take(
            session, row, member, await session.get_one(Thermometer, thermometer), expected_c - 1.0, later_at.date(),
            later_at, None, evening_on=noon_at.date(),
        )  # fmt: skip
        assert taken.learnt is Learnt.YES
        assert taken.expected_c == pytest.approx(expected_c, abs=0.05)


async def test_what_was_learned_before_there_were_spreads_is_kept(session: AsyncSession) -> None:
    """A row of four weights, as earlier versions stored it; the fifth begins as its prior."""
    taught, _ = learn.updated(learn.untaught(), NightKind.MIXED, 2.0, 0.5, SPRING.date())
    fits = {}
    for name, fit in (("clear_still", taught.clear_still), ("other", taught.other)):
        prior = {key: value for key, value in asdict(fit.prior).items() if key != "spread_sd"}
        fits[name] = {
            "prior": prior, "weights": list(fit.weights[:4]), "covariance": [list(row[:4]) for row in fit.covariance[:4]],
            "noise_c2": fit.noise_c2, "noise_n": fit.noise_n, "count": fit.count,
        }  # fmt: skip
    session.add(Learned(garden_id=1, correction=fits, updated_at=SPRING))
    await session.flush()
    found = await readings.learned(session, await session.get_one(Garden, 1))
    far_on = SPRING.date() + timedelta(days=30)
    assert found.other.mean_c(2.0, far_on) == pytest.approx(taught.other.mean_c(2.0, far_on))
    assert (found.other.count, len(found.other.weights), found.other.weights[4]) == (1, 5, 0.0)
    assert found.other.learned(2.0, 1.0, far_on, 1.5).count == 2
