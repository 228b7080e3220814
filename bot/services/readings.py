"""What the garden's thermometers showed, and what that teaches about its forecast."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import cold, learn
from bot.core.cold import Night, NightKind
from bot.core.forecast import Forecast
from bot.core.garden import PlaceKind
from bot.core.learn import Correction, Teaches, ThermometerKind, Verdict
from bot.core.recursive import Fit, Prior
from bot.storage.models import Garden, Learned, Member, Place, Reading, Thermometer

__all__ = [
    "Lesson", "Line", "Taken", "forget", "learned", "settle", "summary", "take", "take_back", "thermometers",
]  # fmt: skip

_EVENING = time(18)  # a minimum read before it is of the night that has passed
_NOON = time(12)


@dataclass(frozen=True, slots=True)
class Lesson:
    """What a reading is held against: forecast_c as the garden's air or place was expected; on: the night's morning."""

    kind: NightKind
    forecast_c: float
    on: date


@dataclass(frozen=True, slots=True)
class Taken:
    """undo: what `take_back` needs, as JSON: the reading, when it taught something, and what was known before."""

    reading: Reading
    verdict: Verdict
    undo: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Line:
    """What is known of one kind of night: offset_c (warmer than its forecast) with its sd, sd_c of one night, readings."""

    offset_c: float
    offset_sd_c: float
    sd_c: float
    count: int


async def thermometers(session: AsyncSession, garden_id: int) -> Sequence[Thermometer]:
    query = select(Thermometer).where(Thermometer.garden_id == garden_id).order_by(Thermometer.id)
    return (await session.scalars(query)).all()


async def learned(session: AsyncSession, row: Garden) -> Correction:
    """What the garden's own thermometers have taught about its air; the prior before they have."""
    kept = await session.get(Learned, row.id)
    return learn.untaught(row.lay) if kept is None else _from_row(kept.correction)


async def take(
    session: AsyncSession,
    row: Garden,
    member: Member,
    thermometer: Thermometer,
    value_c: float,
    done_on: date,
    now: datetime,
    forecast: Forecast | None,
) -> Taken:
    """Keep a reading. It teaches at once, or waits (accepted None, Verdict.ASK) until somebody says it is right.

    done_on: the local day it was read. Without a forecast for that night it is kept and teaches nothing.
    """
    night_on = _night_on(row, thermometer, done_on, now)
    reading = Reading(
        thermometer_id=thermometer.id,
        member_id=member.id,
        read_at=now,
        night_on=night_on,
        value_c=value_c,
    )
    session.add(reading)
    await session.flush()
    return await _learn(session, row, thermometer, reading, forecast, now, confirmed=False)


async def settle(
    session: AsyncSession, row: Garden, reading: Reading, now: datetime, forecast: Forecast | None
) -> Taken:
    """Somebody says that a doubted reading is right: it teaches, though less than one that was expected."""
    thermometer = await session.get_one(Thermometer, reading.thermometer_id)
    return await _learn(session, row, thermometer, reading, forecast, now, confirmed=True)


async def take_back(session: AsyncSession, undo: Mapping[str, Any]) -> bool:
    """The reading of a `Taken.undo` counts no more; False when later readings rest on what it taught."""
    reading = await session.get(Reading, undo["reading"])
    if reading is None:
        return False
    if undo["taught_at"] is not None:
        thermometer = await session.get_one(Thermometer, reading.thermometer_id)
        kept = await session.get(Learned, thermometer.garden_id, with_for_update=True)
        if kept is None or kept.updated_at != datetime.fromisoformat(undo["taught_at"]):
            return False
        if undo["before"] is None:
            await session.delete(kept)
        else:
            kept.correction = undo["before"]["correction"]
            kept.updated_at = datetime.fromisoformat(undo["before"]["updated_at"])
    reading.accepted = False
    await session.flush()
    return True


async def forget(session: AsyncSession, row: Garden) -> None:
    """Start again from the prior, for an organiser who has moved the thermometer or found it broken."""
    kept = await session.get(Learned, row.id)
    if kept is not None:
        await session.delete(kept)
        await session.flush()


async def summary(session: AsyncSession, row: Garden, today: date) -> Mapping[NightKind, Line]:
    """What has been learned, for clear still nights (RADIATION) and for all others (MIXED)."""
    correction = await learned(session, row)
    fits = ((kind, correction.fit(kind)) for kind in (NightKind.RADIATION, NightKind.MIXED))
    return {kind: Line(fit.offset_c(today), fit.offset_sd_c(today), fit.sd_c(today), fit.count) for kind, fit in fits}


async def _learn(
    session: AsyncSession,
    row: Garden,
    thermometer: Thermometer,
    reading: Reading,
    forecast: Forecast | None,
    now: datetime,
    *,
    confirmed: bool,
) -> Taken:
    known = await learned(session, row)
    shape = await _shape(session, thermometer)
    lesson = _lesson(row, shape, reading, forecast, known)
    undo: dict[str, Any] = {"reading": reading.id, "taught_at": None, "before": None}
    reading.accepted = True
    if lesson is None:
        return Taken(reading, Verdict.ACCEPT, undo)
    reading.forecast_c = lesson.forecast_c
    air = learn.teaches(shape) is Teaches.AIR
    start = known if air else learn.untaught_place()
    better, verdict = learn.updated(
        start, lesson.kind, lesson.forecast_c, reading.value_c, lesson.on, confirmed=confirmed
    )
    if verdict is Verdict.ASK:
        reading.accepted = None
    elif air and not await _known_night(session, reading):
        undo |= {"taught_at": now.isoformat(), "before": await _keep(session, row, better, now)}
    return Taken(reading, verdict, undo)


async def _keep(session: AsyncSession, row: Garden, correction: Correction, now: datetime) -> dict[str, Any] | None:
    """Store what is known now; returns what was stored before."""
    kept = await session.get(Learned, row.id, with_for_update=True)
    if kept is None:
        session.add(Learned(garden_id=row.id, correction=_to_row(correction), updated_at=now))
        return None
    before = {"correction": kept.correction, "updated_at": kept.updated_at.isoformat()}
    kept.correction, kept.updated_at = _to_row(correction), now
    return before


async def _known_night(session: AsyncSession, reading: Reading) -> bool:
    """Whether this thermometer has taught this night already: one night is one lesson."""
    query = select(Reading.id).where(
        Reading.thermometer_id == reading.thermometer_id,
        Reading.night_on == reading.night_on,
        Reading.accepted.is_(True),
        Reading.forecast_c.is_not(None),
        Reading.id != reading.id,
    )
    return await session.scalar(query.limit(1)) is not None


def _lesson(
    row: Garden, shape: learn.Thermometer, reading: Reading, forecast: Forecast | None, known: Correction
) -> Lesson | None:
    """What the forecast had said for this reading; None when it says nothing, or the sun was up."""
    night = _night(row, reading.night_on, forecast, known) if forecast else None
    if forecast is None or night is None:
        return None
    momentary = shape.kind is ThermometerKind.MOMENTARY
    if momentary and not night.sunset_at <= reading.read_at <= night.sunrise_at:
        return None
    if learn.teaches(shape) is Teaches.AIR:
        expected_c = cold.expected_at(forecast, night, reading.read_at) if momentary else night.untaught_c
    else:
        in_pot = shape.shelter is PlaceKind.CONTAINER
        expected_c = None if momentary else cold.at_plant(night, shape.shelter, shape.cover, in_pot=in_pot).mean_c
    on = night.evening_on + timedelta(days=1)
    return None if expected_c is None else Lesson(night.kind, expected_c, on)


def _night(row: Garden, night_on: date, forecast: Forecast, known: Correction) -> Night | None:
    """That night as the forecast at hand has it, which may have come in while it lasted."""
    site = cold.Site(row.latitude, row.longitude, row.altitude_m, row.tz, row.lay)
    noon_at = datetime.combine(night_on, _NOON, row.tz)
    return next((night for night in cold.nights(forecast, site, known, noon_at) if night.evening_on == night_on), None)


def _night_on(row: Garden, thermometer: Thermometer, done_on: date, now: datetime) -> date:
    """The evening of the night that a reading speaks of."""
    local = now.astimezone(row.tz)
    evening = _NOON if thermometer.momentary else _EVENING
    if done_on == local.date() and local.time() < evening:
        return done_on - timedelta(days=1)
    return done_on


async def _shape(session: AsyncSession, row: Thermometer) -> learn.Thermometer:
    place = await session.get(Place, row.place_id) if row.place_id is not None else None
    return learn.Thermometer(
        kind=ThermometerKind.MOMENTARY if row.momentary else ThermometerKind.MIN_MAX,
        height_m=row.height_m,
        shaded=row.shaded,
        shelter=(place.inside or place.kind) if place else PlaceKind.BED,
        cover=row.cover,
    )


def _to_row(correction: Correction) -> dict[str, Any]:
    return asdict(correction)


def _from_row(row: Mapping[str, Any]) -> Correction:
    return Correction(clear_still=_fit(row["clear_still"]), other=_fit(row["other"]))


def _fit(row: Mapping[str, Any]) -> Fit:
    return Fit(
        prior=Prior(**row["prior"]),
        weights=tuple(row["weights"]),
        covariance=tuple(tuple(cells) for cells in row["covariance"]),
        noise_c2=row["noise_c2"],
        noise_n=row["noise_n"],
        count=row["count"],
    )
