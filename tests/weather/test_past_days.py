"""Past days as the forecasts had them while they passed, and the water of beds and pots reckoned from them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta

import pytest
from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import PlaceKind, Stage
from bot.core.growing import evapotranspiration
from bot.core.growing.water import Decision, Watering
from bot.core.weather.days import Day
from bot.core.weather.forecast import Forecast, Hour
from bot.crops.loader import load
from bot.services.growing import watering
from bot.services.look import Look
from bot.services.people import retention
from bot.services.weather import past_days
from bot.storage.garden import gardens
from bot.storage.models import Entry, Garden, JobMark, Member, PastDay, Person, Place, Planting
from bot.storage.session import Database
from bot.storage.states import MarkKind

#: 6 July 2026, 08:00 summer time; the day of FAO-56 example 18 (Uccle, 6 July) in the year.
NOW = datetime(2026, 7, 6, 7, 0, tzinfo=UTC)
TODAY = date(2026, 7, 6)


def hour(at: datetime, rain_mm: float = 0.0) -> Hour:
    """An hour of FAO-56 example 18: 12.3 to 21.5 C, 63 to 84 %, 2.78 m/s at 10 m; sun 22.07 MJ/m2 a day."""
    warm = at.hour == 14
    return Hour(
        at,
        air_c=21.5 if warm else 12.3,
        humidity_pct=63.0 if warm else 84.0,
        wind_ms=2.78,
        sun_w_m2=22.07 / 24 / 0.0036,
        rain_mm=rain_mm,
    )


def forecast(start_at: datetime, hours_n: int, rain_mm: Mapping[datetime, float] | None = None) -> Forecast:
    hours = (start_at + timedelta(hours=n) for n in range(hours_n))
    rain = rain_mm or {}
    return Forecast(
        "open-meteo", 50.8, 4.35, 100.0, None, start_at, start_at, tuple(hour(at, rain.get(at, 0.0)) for at in hours)
    )


async def garden(session: AsyncSession, zone: str = "Europe/London") -> Garden:
    row = Garden(name="Teasel Lane", latitude=50.8, longitude=-1.5, altitude_m=100.0, zone=zone)
    session.add(row)
    await session.flush()
    return row


async def kept(session: AsyncSession, row: Garden, now: datetime = NOW) -> dict[date, Day]:
    return {day.on: day for day in await past_days.until(session, row, now)}


# -- the record


async def test_a_day_is_noted_with_what_evapotranspiration_is_reckoned_from(database: Database) -> None:
    """FAO-56 example 18: 3.9 mm (3.88 unrounded by two reference libraries)."""
    async with database.begin() as session:
        row = await garden(session)
        await past_days.note(session, row, forecast(NOW - timedelta(hours=30), 96), NOW)
        day = (await kept(session, row))[TODAY]
        assert (day.min_c, day.max_c, day.rain_mm) == (12.3, 21.5, 0.0)
        found = evapotranspiration.daily(day, 50.8, 100.0)
        assert found is not None and found.mm == pytest.approx(3.88, abs=0.05)


async def test_the_newest_forecast_of_an_hour_counts_and_one_that_begins_now_keeps_the_morning(
    database: Database,
) -> None:
    """Not every service looks back: the rain of the hours that are gone stays as it was said last."""
    morning, evening = NOW.replace(hour=5), NOW.replace(hour=16)
    async with database.begin() as session:
        row = await garden(session)
        early = forecast(NOW.replace(hour=0) - timedelta(hours=2), 72, {morning: 4.0, evening: 3.0})
        await past_days.note(session, row, early, NOW)
        later = NOW + timedelta(hours=5)
        await past_days.note(session, row, forecast(later, 48, {evening: 9.0}), later)
        assert (await kept(session, row))[TODAY].rain_mm == pytest.approx(13.0)


async def test_tomorrow_is_noted_before_it_begins_and_stays_when_no_forecast_comes(database: Database) -> None:
    async with database.begin() as session:
        row = await garden(session)
        await past_days.note(session, row, forecast(NOW, 60, {NOW + timedelta(hours=24): 2.5}), NOW)
        tomorrow = NOW + timedelta(days=1)
        await past_days.note(session, row, None, tomorrow)
        assert (await kept(session, row, tomorrow))[TODAY + timedelta(days=1)].rain_mm == pytest.approx(2.5)
        assert TODAY + timedelta(days=1) not in await kept(session, row)


async def test_a_day_whose_hours_nobody_spoke_of_has_no_rain_figure_instead_of_none_at_all(database: Database) -> None:
    async with database.begin() as session:
        row = await garden(session)
        noon = NOW.replace(hour=12)
        await past_days.note(session, row, forecast(noon, 48), noon)
        assert (await kept(session, row, noon))[TODAY].rain_mm is None


@pytest.mark.parametrize(("on", "hours_n"), [(date(2026, 3, 29), 23), (date(2026, 10, 25), 25)])
async def test_the_days_when_clocks_change_have_all_their_rain(database: Database, on: date, hours_n: int) -> None:
    """A millimetre every hour of the local day: 23 mm in spring, 25 in autumn."""
    start_at = datetime.combine(on, time(), UTC) - timedelta(hours=3)
    every = {start_at + timedelta(hours=n): 1.0 for n in range(80)}
    async with database.begin() as session:
        row = await garden(session)
        await past_days.note(session, row, forecast(start_at, 80, every), start_at + timedelta(hours=14))
        found = await kept(session, row, start_at + timedelta(hours=14))
        assert found[on].rain_mm == pytest.approx(hours_n)


async def test_hours_go_when_their_day_is_over_and_days_when_they_are_of_no_use(database: Database) -> None:
    async with database.begin() as session:
        row = await garden(session)
        for n in range(3):
            now = NOW + timedelta(days=n)
            await past_days.note(session, row, forecast(now - timedelta(hours=9), 60), now)
        rows = {one.on: one.hours for one in await session.scalars(select(PastDay))}
        assert [on for on, hours in rows.items() if hours is None] == [TODAY, TODAY + timedelta(days=1)]
        emptied = await session.scalars(select(PastDay.on).where(PastDay.hours.is_(None)).order_by(PastDay.on))
        assert emptied.all() == [TODAY, TODAY + timedelta(days=1)], "empty to a query too, so not emptied every hour"
        await retention.tidy(session, NOW + past_days.KEPT_FOR + timedelta(days=1))
        assert await session.scalar(select(func.count()).select_from(PastDay)) == 3
        await retention.tidy(session, NOW + past_days.KEPT_FOR + timedelta(days=2))
        assert await session.scalar(select(func.count()).select_from(PastDay)) == 2


async def test_another_gardens_days_are_never_seen(database: Database) -> None:
    async with database.begin() as session:
        mine, theirs = await garden(session), await garden(session)
        await past_days.note(session, theirs, forecast(NOW - timedelta(hours=9), 60), NOW)
        assert await kept(session, mine) == {}


# -- water


async def bed(session: AsyncSession, row: Garden, kind: PlaceKind = PlaceKind.BED, **sizes: object) -> Place:
    """A shared place of 2.88 m2 with French beans in flower: Kc mid 1.05, p 0.45 (FAO-56 Tables 12 and 22)."""
    given: dict[str, object] = {"length_m": 2.4, "width_m": 1.2, **sizes}
    place = Place(garden_id=row.id, name=f"{kind} {len(sizes)}", kind=kind, shared=True, **given)
    session.add(place)
    await session.flush()
    session.add(
        Planting(
            garden_id=row.id, place_id=place.id, crop="french-bean", count=12, stage=Stage.FLOWERING,
            height_cm=45.0, sown_on=TODAY - timedelta(days=60), planted_on=TODAY - timedelta(days=40),
        )
    )  # fmt: skip
    await session.flush()
    return place


async def days_of(session: AsyncSession, row: Garden, days_n: int, rain_mm: Mapping[int, float] | None = None) -> None:
    """Days like that of example 18 (3.9 mm), the last one yesterday; rain_mm: by days ago."""
    for ago in range(1, days_n + 1):
        session.add(
            PastDay(
                garden_id=row.id, on=TODAY - timedelta(days=ago), source="open-meteo", noted_at=NOW, min_c=12.3,
                max_c=21.5, humidity_min_pct=63.0, humidity_max_pct=84.0, wind_ms=2.78, sun_mj_m2=22.07,
                rain_mm=(rain_mm or {}).get(ago, 0.0),
            )
        )  # fmt: skip
    await session.flush()


async def due(
    session: AsyncSession, row: Garden, rain_mm: Mapping[datetime, float] | None = None
) -> Mapping[int, Watering]:
    snapshot = await gardens.snapshot(session, row)
    seen = forecast(NOW - timedelta(hours=9), 72, rain_mm)
    return await watering.due(session, row, Look(snapshot, load(), seen, (), (), (), ()), NOW)


async def test_a_bed_is_due_by_the_days_behind_it_and_not_by_today_alone(database: Database) -> None:
    """3.88 mm x 1.05 a day; RAW = (0.45 + 0.04 (5 - 4.07)) x 150 mm/m x root (FAO-56 (83), Table 22)."""
    root_m = load()["french-bean"].care.root_m
    raw_mm = (0.45 + 0.04 * (5 - 3.88 * 1.05)) * 150.0 * root_m
    dry_n = int(raw_mm / (3.88 * 1.05)) + 1
    async with database.begin() as session:
        row = await garden(session)
        place = await bed(session, row)
        assert (await due(session, row))[place.id].decision is Decision.NOT_DUE
        await days_of(session, row, dry_n)
        found = (await due(session, row))[place.id]
        assert found.decision is Decision.WATER
        assert found.days_n == dry_n + 1
        assert found.litres == pytest.approx((dry_n + 1) * 3.88 * 1.05 * 2.88, rel=0.02)


async def test_rain_of_last_week_spares_the_bed_but_not_the_pot_under_cover(database: Database) -> None:
    async with database.begin() as session:
        row = await garden(session)
        open_bed = await bed(session, row)
        pot = await bed(
            session, row, PlaceKind.CONTAINER, length_m=0.3, width_m=0.3, volume_l=15.0, inside=PlaceKind.TUNNEL
        )
        await days_of(session, row, 20, {4: 60.0})
        found = await due(session, row)
        assert found[open_bed.id].decision is Decision.NOT_DUE
        assert found[pot.id].decision is Decision.WATER
        assert found[pot.id].rain_l == 0.0


async def test_rain_tomorrow_is_enough_for_the_bed(database: Database) -> None:
    async with database.begin() as session:
        row = await garden(session)
        place = await bed(session, row)
        await days_of(session, row, 14)
        assert (await due(session, row))[place.id].decision is Decision.WATER
        coming = {NOW + timedelta(hours=24 + n): 6.0 for n in range(6)}
        assert (await due(session, row, coming))[place.id].decision is Decision.RAIN_ENOUGH


@pytest.mark.parametrize("how", ["week", "journal"])
async def test_what_was_watered_yesterday_is_not_due(database: Database, how: str) -> None:
    async with database.begin() as session:
        row = await garden(session)
        place = await bed(session, row)
        await days_of(session, row, 20)
        person = Person(name="Tobias")
        session.add(person)
        await session.flush()
        member = Member(garden_id=row.id, person_id=person.id, joined_at=NOW)
        session.add(member)
        await session.flush()
        yesterday = NOW - timedelta(days=1)
        if how == "week":
            session.add(
                JobMark(
                    garden_id=row.id, member_id=member.id, job=f"water:{place.id}", kind=MarkKind.DONE,
                    marked_at=yesterday, until_on=TODAY,
                )
            )  # fmt: skip
        else:
            session.add(
                Entry(
                    garden_id=row.id, member_id=member.id, place_id=place.id, written_at=yesterday,
                    done_on=yesterday.date(), action="watered",
                )
            )  # fmt: skip
        await session.flush()
        found = (await due(session, row))[place.id]
        assert (found.decision, found.days_n) == (Decision.NOT_DUE, 1)


async def test_a_gap_in_the_record_begins_the_balance_anew_and_invents_no_days(database: Database) -> None:
    async with database.begin() as session:
        row = await garden(session)
        place = await bed(session, row)
        await days_of(session, row, 20)
        gap = await session.get_one(PastDay, (row.id, TODAY - timedelta(days=4)))
        await session.delete(gap)
        await session.flush()
        found = (await due(session, row))[place.id]
        assert (found.decision, found.days_n) == (Decision.NOT_DUE, 4)


async def test_days_without_a_rain_figure_count_as_dry_and_are_counted(database: Database) -> None:
    async with database.begin() as session:
        row = await garden(session)
        place = await bed(session, row)
        await days_of(session, row, 5)
        for one in await session.scalars(select(PastDay)):
            one.rain_mm = None
        await session.flush()
        assert (await due(session, row))[place.id].dry_assumed_n == 5


async def test_young_plants_on_a_bench_ask_for_their_pots_and_not_for_the_whole_house(database: Database) -> None:
    """30 pots of 9 cm hold about 10 L of compost together (0.35 L each, from memory): never more than a can."""
    async with database.begin() as session:
        row = await garden(session)
        house = Place(
            garden_id=row.id, name="Greenhouse", kind=PlaceKind.GREENHOUSE, shared=True, length_m=6.0, width_m=3.0
        )
        session.add(house)
        await session.flush()
        session.add(Planting(garden_id=row.id, place_id=house.id, crop="french-bean", count=30, stage=Stage.SEEDLING))
        await session.flush()
        await days_of(session, row, 10)
        found = (await due(session, row))[house.id]
        assert found.decision is Decision.WATER
        assert 1.0 < found.litres < 10.0
