"""How the odds and the warnings of a garden did, against what its own thermometer then showed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime, time

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings.hazards import Hazard
from bot.core.weather import verification
from bot.services.look import Look
from bot.services.weather import before_night
from bot.services.weather.how_cold import counted
from bot.storage.models import Garden, NightOdds, Reading, Thermometer, Warning

#: An air frost is a screen minimum below 0.0 degrees C (Met Office, What is frost?, read via weatherfaqs.org.uk, node 26).
FROST_C = 0.0
_FROM = time(12)


@dataclass(frozen=True, slots=True)
class Scores:
    """nights: (evening, odds, whether there was an air frost, whether people had been called). skill: over always
    giving the share of frosty nights, None without any difference between nights.
    """

    nights: tuple[tuple[date, float, bool, bool], ...]
    parts: verification.BrierParts
    skill: float | None
    called: verification.Table
    bins: tuple[verification.Bin, ...]


async def note_odds(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> None:
    """Keep the noon odds of the coming night, once, and the forecast behind them, which a reading is held against."""
    local = now.astimezone(row.tz)
    night = next((night for night in outlook.nights if night.evening_on == local.date()), None)
    if night is None or local.time() < _FROM or now >= night.sunset_at:
        return
    if await session.get(NightOdds, (row.id, night.evening_on)) is not None:
        return
    await before_night.forget(session, row, night.evening_on)
    forecast = outlook.forecast
    session.add(
        NightOdds(
            garden_id=row.id,
            evening_on=night.evening_on,
            made_at=now,
            forecast_c=night.forecast_min_c,
            mean_c=night.air.mean_c,
            sd_c=night.air.total_sd_c,
            frost_odds=night.air.below(FROST_C),
            kind=night.kind,
            lead_h=night.lead_h,
            untaught_c=night.untaught_c,
            ground_c=night.ground.mean_c,
            spread_c=night.spread_c,
            forecast=before_night.to_row(forecast, night.evening_on, row) if forecast is not None else None,
        )
    )


async def scores(session: AsyncSession, row: Garden) -> Scores | None:
    """Every night with odds and an accepted reading of shaded air; None when there is none yet."""
    seen = await observed(session, row)
    kept = await session.scalars(select(NightOdds).where(NightOdds.garden_id == row.id).order_by(NightOdds.evening_on))
    warnings = await session.scalars(
        select(Warning).where(
            Warning.garden_id == row.id, Warning.hazard == Hazard.COLD, Warning.called_at.is_not(None)
        )
    )
    called = {
        warning.window_on for warning in warnings if warning.called_plant_c is None
    }  # those by hand are no forecast
    nights = tuple(
        (odds.evening_on, odds.frost_odds, seen[odds.evening_on] < FROST_C, odds.evening_on in called)
        for odds in kept
        if odds.evening_on in seen
    )
    if not nights:
        return None
    pairs = [(odds, frost) for _, odds, frost, _ in nights]
    share = sum(frost for _, frost in pairs) / len(pairs)
    reference = verification.brier_score([(share, frost) for _, frost in pairs])
    table = verification.tabulate([(float(was_called), frost) for _, _, frost, was_called in nights], 0.5)
    return Scores(
        nights=nights,
        parts=verification.brier_parts(pairs),
        skill=verification.skill(verification.brier_score(pairs), reference),
        called=table,
        bins=verification.reliability(pairs),
    )


async def observed(session: AsyncSession, row: Garden) -> dict[date, float]:
    """The lowest minimum of each night, by thermometers in shaded air; one a thermometer (`how_cold.counted`)."""
    readings = await session.execute(
        select(Reading.night_on, Reading.thermometer_id, Reading.member_id, Reading.value_c)
        .join(Thermometer)
        .where(
            Thermometer.garden_id == row.id,
            Thermometer.shaded,
            Thermometer.momentary.is_(False),
            Thermometer.height_m.between(1.0, 2.0),
            Reading.accepted.is_(True),
        )
        .order_by(Reading.read_at, Reading.id)
    )
    said: dict[tuple[date, int], list[tuple[int | None, float]]] = defaultdict(list)
    for night_on, thermometer_id, member_id, value_c in readings:
        said[night_on, thermometer_id].append((member_id, value_c))
    found: dict[date, float] = {}
    for (night_on, _), values in said.items():
        one_c = counted(values)
        if one_c is not None:
            found[night_on] = min(one_c, found.get(night_on, one_c))
    return found
