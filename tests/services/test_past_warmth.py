"""The mean of each day is kept once as the day ends, and seed is reckoned to come up by it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from sqlalchemy import select

from bot.core.garden import PlaceKind, Stage
from bot.core.stages import Basis, reckoned
from bot.crops.loader import load
from bot.services import past_warmth
from bot.storage import gardens
from bot.storage.models import DayMean, Garden, Place, Planting
from bot.storage.session import Database
from tests.support.stories import Weather

EVENING_AT = datetime(2026, 4, 30, 18, 30, tzinfo=UTC)
SOWN_ON = date(2026, 4, 1)


async def test_a_day_is_kept_once_and_not_before_evening(database: Database) -> None:
    forecast = Weather((10.0,), days_c=(10.0,)).forecast(EVENING_AT)
    async with database.begin() as session:
        row = Garden(name="Teasel Lane", latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
        session.add(row)
        await session.flush()
        await past_warmth.note_day(session, row, forecast, EVENING_AT - timedelta(hours=8))
        assert (await session.scalars(select(DayMean))).all() == []
        for minutes in (0, 30):
            await past_warmth.note_day(session, row, forecast, EVENING_AT + timedelta(minutes=minutes))
            await session.flush()
        (kept,) = (await session.scalars(select(DayMean))).all()
        assert (kept.on, round(kept.mean_c, 6)) == (date(2026, 4, 30), 10.0)


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
            session.add(DayMean(garden_id=rows[0].id, on=SOWN_ON + timedelta(days=n), mean_c=10.0))
        await session.flush()
        found = []
        for row in rows:
            garden = await gardens.snapshot(session, row)
            warmth = await past_warmth.since_sowing(session, garden, load())
            found.append(tuple(reckoned(garden, load(), EVENING_AT.date(), warmth)[1].values()))
        (up,) = found[0]
        assert up.stage is Stage.SEEDLING and up.basis is Basis.WARMTH
        assert up.due_on is not None and 10 <= (up.due_on - SOWN_ON).days <= 17
        assert found[1] == ()
