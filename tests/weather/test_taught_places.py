"""A thermometer in the tunnel teaches the tunnel, and nothing but the tunnel."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Cover, PlaceKind, Taught
from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.weather import cold, learn
from bot.core.weather.forecast import Forecast, Hour
from bot.core.weather.ground import NightKind
from bot.core.weather.night import Night
from bot.services.weather import readings
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member, Place, Thermometer
from bot.storage.session import Database
from tests.journal.teasel_lane import INES, PLACE_IDS, SHED, TUNNEL_AIR, plant_garden

TUNNEL, POT, BED = PLACE_IDS["Long tunnel"], PLACE_IDS["Pot 3"], PLACE_IDS["Bed 1"]
FIRST_AT = datetime(2026, 4, 6, 12, tzinfo=UTC)
COLDER_C = 2.0


@pytest.fixture
async def session(database: Database) -> AsyncIterator[AsyncSession]:
    async with database.begin() as unit:
        await plant_garden(unit)
        yield unit


def _clear_and_still(from_at: datetime) -> Forecast:
    """Invented: a day and a half, mild by day, 1 degree before sunrise, without cloud or wind."""
    hours = []
    for step in range(36):
        at = from_at + timedelta(hours=step)
        hours.append(Hour(at, air_c=1.0 + 0.9 * abs((at.hour - 4 + 12) % 24 - 12), cloud_pct=0.0, wind_ms=0.5))
    return Forecast("open-meteo", 52.1, -1.3, 90.0, None, from_at, from_at, tuple(hours))


def _night(garden: CoreGarden, forecast: Forecast, now: datetime) -> Night:
    from_prior = learn.untaught(garden.lay)
    (first, *_) = cold.nights(forecast, cold.Site.of(garden), from_prior, now)
    return first


async def _read(session: AsyncSession, thermometer_id: int, nights: int, after: int = 0) -> list[readings.Taken]:
    """Morning readings of so many nights, each COLDER_C below what was reckoned for a tunnel."""
    row = await session.get_one(Garden, 1)
    garden = await gardens.snapshot(session, row)
    taken = []
    for n in range(after, after + nights):
        noon_at = FIRST_AT + timedelta(days=n)
        forecast = _clear_and_still(noon_at)
        night = _night(garden, forecast, noon_at)
        assert night.kind is NightKind.RADIATION
        expected = cold.at_plant(night, PlaceKind.TUNNEL, Cover.NONE, in_pot=False).mean_c
        morning_at = noon_at + timedelta(hours=19)
        taken.append(
            await readings.take(
                session,
                row,
                await session.get_one(Member, INES),
                await session.get_one(Thermometer, thermometer_id),
                round(expected - COLDER_C, 1),
                morning_at.date(),
                morning_at,
                forecast,
            )
        )
    return taken


async def _taught(session: AsyncSession) -> dict[int, Taught | None]:
    """What is known of each place for clear still nights."""
    row = await session.get_one(Garden, 1)
    garden = await gardens.snapshot(session, row)
    known = await readings.with_taught_places(session, row, garden, FIRST_AT.date())
    return {place.id: place.taught[0] for place in known.places}


async def test_two_readings_are_not_enough_and_then_the_tunnel_is_colder(session: AsyncSession) -> None:
    await _read(session, TUNNEL_AIR, 2)
    assert set((await _taught(session)).values()) == {None}
    await _read(session, TUNNEL_AIR, 8, after=2)
    taught = await _taught(session)
    known = taught.pop(TUNNEL)
    assert known is not None
    assert known.count == 10
    assert -COLDER_C - 0.1 < known.offset_c < -0.7 * COLDER_C, "between what was read and the prior of no difference"
    assert set(taught.values()) == {None}, "no other place has learned from it"


async def test_odds_in_the_tunnel_rise_and_why_says_so(session: AsyncSession) -> None:
    await _read(session, TUNNEL_AIR, 10)
    known = (await _taught(session))[TUNNEL]
    garden = await gardens.snapshot(session, await session.get_one(Garden, 1))
    night = _night(garden, _clear_and_still(FIRST_AT), FIRST_AT)
    plain = cold.at_plant(night, PlaceKind.TUNNEL, Cover.NONE, in_pot=False)
    taught = cold.at_plant(night, PlaceKind.TUNNEL, Cover.NONE, in_pot=False, taught=known)
    assert taught.below(0.0) > plain.below(0.0)
    assert taught.total_sd_c == pytest.approx(plain.total_sd_c), "no surer than before"
    steps = cold.at_plant_steps(night, PlaceKind.TUNNEL, Cover.NONE, in_pot=False, taught=known)
    assert steps[-1].source == "10 readings"


async def test_part_of_the_last_nights_error_is_carried_over_to_the_next_nights(session: AsyncSession) -> None:
    """De Bilt 1980-2004: the gaps' errors of mornings that follow each other agree by 0.30, 0.20 and 0.17 (cold.md)."""
    await _read(session, TUNNEL_AIR, 10)
    row = await session.get_one(Garden, 1)
    garden = await readings.with_taught_places(session, row, await gardens.snapshot(session, row), FIRST_AT.date())
    tunnel = garden.place_by_id[TUNNEL]
    usual = tunnel.taught[0]
    assert usual is not None
    assert usual.last_on == (FIRST_AT + timedelta(days=10)).date()
    colder = replace(tunnel, taught=(replace(usual, last_error_c=-2.0), None))

    def offset_c(days_on: int) -> float:
        noon_at = FIRST_AT + timedelta(days=days_on)
        night = _night(garden, _clear_and_still(noon_at), noon_at)
        found = cold.taught_there(night, colder)
        assert found is not None
        return found.offset_c - usual.offset_c

    said = [offset_c(days_on) for days_on in (9, 10, 11, 12, 13)]
    assert said[0] == said[4] == 0.0, "not of that night itself, nor after three"
    assert -2.0 * 0.3 - 0.1 < said[1] < said[2] < said[3] < 0.0


async def test_what_the_air_was_off_is_carried_over_once(session: AsyncSession) -> None:
    """Both thermometers showed two degrees less than expected: the place's own share is what is left."""
    await _read(session, TUNNEL_AIR, 5)
    alone = (await _taught(session))[TUNNEL]
    await _read(session, SHED, 5)
    both = (await _taught(session))[TUNNEL]
    assert alone is not None and both is not None
    row = await session.get_one(Garden, 1)
    air = (await readings.learned(session, row)).clear_still
    assert air.last_error_c != 0.0
    assert both.last_error_c == pytest.approx(alone.last_error_c - air.last_error_c)
    assert both.offset_c == alone.offset_c


async def test_a_pot_that_stands_in_the_only_tunnel_shares_its_air(session: AsyncSession) -> None:
    (await session.get_one(Place, POT)).inside = PlaceKind.TUNNEL
    await _read(session, TUNNEL_AIR, 5)
    taught = await _taught(session)
    assert taught[POT] == taught[TUNNEL] is not None
    session.add(Place(id=100, garden_id=1, name="Second tunnel", kind=PlaceKind.TUNNEL))
    await session.flush()
    assert (await _taught(session))[POT] is None, "of two tunnels nobody knows which"


async def test_under_fleece_it_speaks_only_for_fleece(session: AsyncSession) -> None:
    (await session.get_one(Thermometer, TUNNEL_AIR)).cover = Cover.FLEECE
    await _read(session, TUNNEL_AIR, 5)
    assert (await _taught(session))[TUNNEL] is None
    (await session.get_one(Place, TUNNEL)).cover = Cover.FLEECE
    await session.flush()
    assert (await _taught(session))[TUNNEL] is not None


async def test_a_reading_taken_back_is_unlearned_and_all_may_be_forgotten(session: AsyncSession) -> None:
    *_, third = await _read(session, TUNNEL_AIR, 3)
    assert await readings.take_back(session, third.undo)
    assert (await _taught(session))[TUNNEL] is None
    await _read(session, TUNNEL_AIR, 2, after=3)
    assert (await _taught(session))[TUNNEL] is not None
    await readings.forget(session, await session.get_one(Garden, 1))
    assert (await _taught(session))[TUNNEL] is None


async def test_shaded_air_teaches_the_garden_and_no_place(session: AsyncSession) -> None:
    await _read(session, SHED, 5)
    assert set((await _taught(session)).values()) == {None}
    row = await session.get_one(Garden, 1)
    assert (await readings.learned(session, row)).clear_still.count == 5
    assert not await readings.places(session, row, FIRST_AT.date())
    assert BED in await _taught(session)
