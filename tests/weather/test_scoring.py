"""How a garden's odds and warnings did: noon odds are kept once a night, and scored against shaded minima only."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.warnings.hazards import Hazard, Severity
from bot.core.weather.ground import NightKind
from bot.core.weather.night import Night
from bot.core.weather.odds import Estimate
from bot.services.look import Look
from bot.services.weather import score
from bot.storage.models import Garden, NightOdds, Reading, Thermometer, Warning
from bot.storage.session import Database
from bot.storage.states import WarningState

NOON_AT = datetime(2026, 4, 20, 11, 30, tzinfo=UTC)  # 12:30 summer time
FIRST_ON = date(2026, 4, 1)

#: The four odds and outcomes of the worked Brier score (computed with `scores` 2.7.0): 0.0375.
ODDS = (0.9, 0.1, 0.8, 0.3)
FROSTS = (True, False, True, False)


async def _garden(session: AsyncSession) -> Garden:
    row = Garden(name="Teasel Lane", latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
    session.add(row)
    await session.flush()
    return row


def _outlook(evening_on: date, mean_c: float) -> Look:
    sunset_at = datetime.combine(evening_on, datetime.min.time(), UTC) + timedelta(hours=19)
    night = Night(
        evening_on=evening_on,
        sunset_at=sunset_at,
        sunrise_at=sunset_at + timedelta(hours=10),
        hours_covered=10,
        forecast_min_c=mean_c,
        coldest_at=sunset_at + timedelta(hours=9),
        wind_ms=1.0,
        cloud_pct=10.0,
        kind=NightKind.RADIATION,
        lead_h=20.0,
        untaught_c=mean_c,
        dusk_c=None,
        air=Estimate(mean_c, 1.5),
        ground=Estimate(mean_c - 3.0, 2.0),
    )
    garden = CoreGarden(1, "Teasel Lane", 52.2, -1.5, 74.0, "Europe/London")
    return Look(garden, {}, None, (night,), (), (), ())


async def test_the_odds_of_noon_are_kept_once_and_not_changed_by_the_afternoon(database: Database) -> None:
    async with database.begin() as session:
        row = await _garden(session)
        await score.note_odds(session, row, _outlook(NOON_AT.date(), 0.0), NOON_AT - timedelta(hours=2))
        assert await session.get(NightOdds, (row.id, NOON_AT.date())) is None
        await score.note_odds(session, row, _outlook(NOON_AT.date(), 0.0), NOON_AT)
        await session.flush()
        await score.note_odds(session, row, _outlook(NOON_AT.date(), -5.0), NOON_AT + timedelta(hours=3))
        kept = await session.get_one(NightOdds, (row.id, NOON_AT.date()))
        assert kept.mean_c == 0.0
        assert kept.frost_odds == pytest.approx(0.5)


async def _nights(session: AsyncSession, row: Garden, thermometer: Thermometer) -> None:
    """Four nights with their odds and readings; people were called for the first and the last."""
    for n, (odds, frost) in enumerate(zip(ODDS, FROSTS, strict=True)):
        evening_on = FIRST_ON + timedelta(days=n)
        session.add(
            NightOdds(
                garden_id=row.id,
                evening_on=evening_on,
                made_at=NOON_AT,
                forecast_c=0.0,
                mean_c=0.0,
                sd_c=1.0,
                frost_odds=odds,
            )
        )
        session.add(
            Reading(
                thermometer_id=thermometer.id,
                read_at=NOON_AT,
                night_on=evening_on,
                value_c=-0.1 if frost else 0.0,
                accepted=True,
            )
        )
        if n in (0, 3):
            session.add(_called(row, evening_on))
    await session.flush()


def _called(row: Garden, window_on: date) -> Warning:
    return Warning(
        garden_id=row.id,
        hazard=Hazard.COLD,
        window_on=window_on,
        state=WarningState.OVER,
        severity=Severity.SLIGHT,
        starts_at=NOON_AT,
        ends_at=NOON_AT,
        due_at=NOON_AT,
        probability=0.5,
        detected_at=NOON_AT,
        called_at=NOON_AT,
    )


async def test_odds_and_calls_are_scored_by_the_published_measures(database: Database) -> None:
    async with database.begin() as session:
        row = await _garden(session)
        shaded = Thermometer(garden_id=row.id, name="Shed", height_m=1.5, shaded=True)
        session.add(shaded)
        await session.flush()
        await _nights(session, row, shaded)
        found = await score.scores(session, row)
    assert found is not None
    # BS 0.0375 against always saying one half, which scores 0.25 (Brier 1950): skill 1 - 0.0375 / 0.25.
    assert found.skill == pytest.approx(0.85)
    # 0.0 C is no air frost (weatherfaqs.org.uk, node 26), so the last call was a false alarm and the third night a miss.
    table = found.called
    assert (table.hits, table.false_alarms, table.misses, table.correct_negatives) == (1, 1, 1, 1)


@pytest.mark.parametrize(
    "thermometer",
    [
        Thermometer(name="Sunny", height_m=1.5, shaded=False),
        Thermometer(name="Grass", height_m=0.1, shaded=True),
        Thermometer(name="Now", height_m=1.5, shaded=True, momentary=True),
    ],
    ids=lambda one: one.name,
)
async def test_other_thermometers_score_nothing(database: Database, thermometer: Thermometer) -> None:
    async with database.begin() as session:
        row = await _garden(session)
        other = Thermometer(
            garden_id=row.id,
            name=thermometer.name,
            height_m=thermometer.height_m,
            shaded=thermometer.shaded,
            momentary=bool(thermometer.momentary),
        )
        session.add(other)
        await session.flush()
        await _nights(session, row, other)
        assert await score.scores(session, row) is None
