"""A look at a garden holds until its records, its forecast or the quarter of the hour has changed, and no longer."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from bot.core.garden.snapshot import PlaceKind, Stage
from bot.core.weather.forecast import Forecast, Hour
from bot.services.look import Look, look
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden, Place, Planting
from bot.storage.session import Database

NOW = datetime(2026, 7, 6, 7, 1, tzinfo=UTC)


def forecast(air_c: float) -> Source:
    start_at = NOW.replace(minute=0) - timedelta(hours=8)
    hours = tuple(
        Hour(start_at + timedelta(hours=n), air_c=air_c, wind_ms=2.0, gust_ms=4.0, rain_mm=0.0) for n in range(96)
    )
    return Source("open-meteo", given=Forecast("open-meteo", 50.8, -1.5, 100.0, None, NOW, NOW, hours))


MILD = forecast(15.0)


async def a_garden(database: Database) -> tuple[int, int]:
    async with database.begin() as session:
        row = Garden(name="Teasel Lane", latitude=50.8, longitude=-1.5, altitude_m=100.0, zone="Europe/London")
        session.add(row)
        await session.flush()
        place = Place(garden_id=row.id, name="Long bed", kind=PlaceKind.BED, shared=True)
        session.add(place)
        await session.flush()
        return row.id, place.id


async def looked(database: Database, garden_id: int, source: Source = MILD, at: datetime = NOW) -> Look:
    async with database.begin() as session:
        return await look(session, await session.get_one(Garden, garden_id), source, at)


def tomatoes(garden_id: int, place_id: int) -> Planting:
    return Planting(garden_id=garden_id, place_id=place_id, crop="tomato", count=3, stage=Stage.FLOWERING)


async def test_nothing_changed_it_is_the_same_look(database: Database) -> None:
    garden_id, _ = await a_garden(database)
    first = await looked(database, garden_id)
    assert await looked(database, garden_id, at=NOW + timedelta(minutes=13)) is first
    assert await looked(database, garden_id, at=NOW + timedelta(minutes=14)) is not first, "another quarter of the hour"


async def test_what_anybody_records_is_seen_at_once(database: Database) -> None:
    garden_id, place_id = await a_garden(database)
    first = await looked(database, garden_id)
    assert first.garden.plantings == ()
    async with database.begin() as session:
        session.add(tomatoes(garden_id, place_id))
    assert [one.crop for one in (await looked(database, garden_id)).garden.plantings] == ["tomato"]


async def test_another_process_on_the_same_database_is_noticed(database: Database, database_url: str) -> None:
    garden_id, place_id = await a_garden(database)
    await looked(database, garden_id)
    other = Database(database_url)
    async with other.begin() as session:
        session.add(tomatoes(garden_id, place_id))
    await other.close()
    assert len((await looked(database, garden_id)).garden.plantings) == 1


async def test_a_transaction_sees_its_own_changes_and_keeps_them_from_others_when_it_fails(database: Database) -> None:
    garden_id, place_id = await a_garden(database)
    first = await looked(database, garden_id)
    async with database.begin() as session:
        row = await session.get_one(Garden, garden_id)
        session.add(tomatoes(garden_id, place_id))
        own = await look(session, row, MILD, NOW)
        assert len(own.garden.plantings) == 1
        assert await look(session, row, MILD, NOW) is own, "nothing has changed since"
        session.add(tomatoes(garden_id, place_id))
        assert len((await look(session, row, MILD, NOW)).garden.plantings) == 2
        await session.rollback()
    assert await looked(database, garden_id) is first


async def test_another_forecast_is_another_look(database: Database) -> None:
    garden_id, place_id = await a_garden(database)
    async with database.begin() as session:
        session.add(tomatoes(garden_id, place_id))
    mild = await looked(database, garden_id)
    frosty = await looked(database, garden_id, forecast(-4.0))
    assert mild.findings == () and frosty.findings


async def test_a_garden_does_not_disturb_the_look_at_another(database: Database) -> None:
    (one, _), (other, place_id) = await a_garden(database), await a_garden(database)
    first = await looked(database, one)
    async with database.begin() as session:
        session.add(tomatoes(other, place_id))
    assert await looked(database, one) is first


async def test_no_more_looks_are_kept_than_is_said(database: Database) -> None:
    database.kept.most_n = 2
    ids = [(await a_garden(database))[0] for _ in range(3)]
    firsts = [await looked(database, id_) for id_ in ids]
    assert await looked(database, ids[2]) is firsts[2]
    assert await looked(database, ids[0]) is not firsts[0], "the one that was asked for longest ago went"
