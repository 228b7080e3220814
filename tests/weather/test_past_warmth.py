"""Seed is reckoned to come up by the warmth of the days that have passed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from bot.core.garden.snapshot import PlaceKind, Stage
from bot.core.growing.stages import Basis, reckoned
from bot.crops.loader import load
from bot.services.weather import past_days
from bot.storage.garden import gardens
from bot.storage.models import Garden, PastDay, Place, Planting
from bot.storage.session import Database

EVENING_AT = datetime(2026, 4, 30, 18, 30, tzinfo=UTC)
SOWN_ON = date(2026, 4, 1)


async def test_carrots_come_up_by_the_warmth_that_was_kept_and_not_by_another_gardens(database: Database) -> None:
    # Carrot: 17 days at 10 C, 10 at 15 C (Harrington & Minges 1954). Bare soil is a little warmer than air of 10 C
    # (Kaetterer & Andren 2009), so they are up between the tenth and the seventeenth day.
    async with database.begin() as session:
        rows = [
            Garden(name=name, latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
            for name in ("Teasel Lane", "Other Lane")
        ]
        session.add_all(rows)
        await session.flush()
        for row in rows:
            bed = Place(garden_id=row.id, name="Bed 1", kind=PlaceKind.BED, shared=True)
            session.add(bed)
            await session.flush()
            session.add(
                Planting(
                    garden_id=row.id, place_id=bed.id, crop="carrot", count=50, stage=Stage.SOWN,
                    stage_on=SOWN_ON, sown_on=SOWN_ON,
                )
            )  # fmt: skip
        for n in range(30):
            session.add(
                PastDay(
                    garden_id=rows[0].id,
                    on=SOWN_ON + timedelta(days=n),
                    source="invented",
                    noted_at=EVENING_AT,
                    mean_c=10.0,
                )
            )
        await session.flush()
        found = []
        for row in rows:
            garden = await gardens.snapshot(session, row)
            warmth = await past_days.since_sowing(session, garden, load())
            found.append(tuple(reckoned(garden, load(), EVENING_AT.date(), warmth)[1].values()))
        (up,) = found[0]
        assert up.stage is Stage.SEEDLING and up.basis is Basis.WARMTH
        assert up.due_on is not None and 10 <= (up.due_on - SOWN_ON).days <= 17
        assert found[1] == ()


async def test_the_chill_of_past_days_is_that_of_the_garden_since_sowing(database: Database) -> None:
    async with database.begin() as session:
        row = Garden(name="Teasel Lane", latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
        session.add(row)
        await session.flush()
        bed = Place(garden_id=row.id, name="Bed 1", kind=PlaceKind.BED, shared=True)
        session.add(bed)
        await session.flush()
        garden = await gardens.snapshot(session, row)
        for n in range(-5, 30):
            session.add(
                PastDay(
                    garden_id=row.id, on=SOWN_ON + timedelta(days=n), source="invented", noted_at=EVENING_AT, mean_c=6.0
                )
            )
        assert await past_days.since_chilled(session, garden, load()) == (), "nothing that chill sends to seed"
        session.add(
            Planting(
                garden_id=row.id, place_id=bed.id, crop="carrot", count=50, stage=Stage.GROWING,
                stage_on=SOWN_ON, sown_on=SOWN_ON,
            )
        )  # fmt: skip
        await session.flush()
        found = await past_days.since_chilled(session, await gardens.snapshot(session, row), load())
        assert {day.on for day in found} == {SOWN_ON + timedelta(days=n) for n in range(30)}
        assert {day.mean_c for day in found} == {6.0}


async def test_the_soil_is_told_by_the_days_that_were_kept_when_the_forecast_begins_today(database: Database) -> None:
    """Kaetterer & Andren 2009: bare soil under steady air comes to 0.95 + 0.05 exp(1.2) of it, by hand 1.116."""
    today = date(2026, 6, 1)
    async with database.begin() as session:
        row = Garden(name="Teasel Lane", latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
        session.add(row)
        await session.flush()

        def kept(*days_ago: int) -> list[PastDay]:
            return [
                PastDay(
                    garden_id=row.id, on=today - timedelta(days=n), source="invented", noted_at=EVENING_AT, mean_c=12.0
                )
                for n in days_ago
            ]

        assert await past_days.soil_lately_c(session, row.id, today) is None
        session.add_all(kept(1, 2))
        await session.flush()
        assert await past_days.soil_lately_c(session, row.id, today) is None, "two days are too few"
        session.add_all(kept(3, 4, 5))
        await session.flush()
        found = await past_days.soil_lately_c(session, row.id, today)
        assert found is not None and abs(found - 12.0 * 1.116) < 0.1
        assert await past_days.soil_lately_c(session, row.id, today + timedelta(days=5)) is None, "that is too long ago"
