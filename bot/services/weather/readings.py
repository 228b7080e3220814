"""What the garden's thermometers showed, and what that teaches about its forecast."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Cover, PlaceKind, Taught
from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.weather import cold, learn
from bot.core.weather.cold import placed
from bot.core.weather.forecast import Forecast
from bot.core.weather.ground import NightKind
from bot.core.weather.learn import Correction, Fit, Prior, Teaches, ThermometerKind, Verdict, fitted
from bot.core.weather.night import Night
from bot.core.weather.odds import Estimate
from bot.services.weather import before_night
from bot.storage.models import Garden, Learned, Member, NightOdds, Place, PlaceLearned, Reading, Thermometer
from bot.storage.read_once import lasting, read_once

_EVENING = time(18)  # a minimum read before it is of the night that has passed
_NOON = time(12)
#: Before so many readings of a kind of night a place is taken as reckoned: this project's own choice.
_ENOUGH_N = 3


@dataclass(frozen=True, slots=True)
class Lesson:
    """What a reading is held against: forecast_c as the garden's air or place was expected; on: the night's morning.

    spread_c: of the service's members about it, for the air.
    """

    kind: NightKind
    forecast_c: float
    on: date
    spread_c: float | None = None


class Learnt(StrEnum):
    """Whether a reading taught something, and why not."""

    YES = "yes"
    NOT_COMPARED = "not compared"  # no forecast of that night is known from before it
    NOT_AT_NIGHT = "not at night"  # a thermometer without memory says nothing of a night by day
    NIGHT_KNOWN = "night known"  # one night is one lesson, and this one was given


@dataclass(frozen=True, slots=True)
class Taken:
    """undo: what `take_back` needs, as JSON: the reading, when it taught something, and what was known before.

    expected_c: what the reading was held against, None where it was not.
    """

    reading: Reading
    verdict: Verdict
    undo: dict[str, Any]
    learnt: Learnt = Learnt.NOT_COMPARED
    expected_c: float | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """What is known of one kind of night: offset_c (warmer than its forecast) with its sd, sd_c of one night, readings;
    last_error_c: of the newest night, the morning of last_on."""

    offset_c: float
    offset_sd_c: float
    sd_c: float
    count: int
    last_error_c: float
    last_on: date | None


@read_once(Thermometer)
async def thermometers(session: AsyncSession, garden_id: int) -> Sequence[Thermometer]:
    query = select(Thermometer).where(Thermometer.garden_id == garden_id).order_by(Thermometer.id)
    return (await session.scalars(query)).all()


@lasting(Learned, Garden)
async def learned(session: AsyncSession, row: Garden) -> Correction:
    """What the garden's own thermometers have taught about its air; the prior before they have."""
    kept = await session.get(Learned, row.id)
    return learn.untaught(row.lay) if kept is None else _from_row(kept.correction)


async def take(
    session: AsyncSession,
    row: Garden,
    member: Member | None,
    thermometer: Thermometer,
    value_c: float,
    done_on: date,
    now: datetime,
    forecast: Forecast | None,
    *,
    evening_on: date | None = None,
    is_minimum: bool = False,
) -> Taken:
    """Keep a reading. It teaches at once, or waits (accepted None, Verdict.ASK) until somebody says it is right.

    done_on: the local day it was read. evening_on: of the night that it speaks of, where that was said. Without a forecast
    for that night it is kept and teaches nothing. is_minimum: it is the night's, whatever the thermometer keeps itself.
    """
    night_on = evening_on or _night_on(row, thermometer, done_on, now)
    reading = Reading(
        thermometer_id=thermometer.id,
        member_id=member.id if member is not None else None,
        read_at=now,
        night_on=night_on,
        value_c=value_c,
    )
    session.add(reading)
    await session.flush()
    return await _learn(session, row, thermometer, reading, forecast, now, confirmed=False, is_minimum=is_minimum)


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
        air = learn.teaches(await _shape(session, thermometer)) is Teaches.AIR
        kept = await _kept(session, thermometer, air)
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
    places = await session.scalars(_of_places(row.id))
    for one in (*([kept] if kept else []), *places):
        await session.delete(one)
    await session.flush()


async def summary(session: AsyncSession, row: Garden, today: date) -> Mapping[NightKind, Line]:
    """What has been learned, for clear still nights (RADIATION) and for all others (MIXED)."""
    return _lines(await learned(session, row), today)


async def places(session: AsyncSession, row: Garden, today: date) -> Mapping[int, Mapping[NightKind, Line]]:
    """The same of each thermometer, by its id, that teaches only the place it stands in."""
    kept = await session.scalars(_of_places(row.id))
    return {one.thermometer_id: _lines(_from_row(one.correction), today) for one in kept}


async def with_taught_places(session: AsyncSession, row: Garden, garden: CoreGarden, today: date) -> CoreGarden:
    """The garden with what thermometers have taught about the places in which they stand.

    One under a cover speaks only for a place under that cover. A container in a house has that house's, where the
    garden has but one of its kind.
    """
    known = await places(session, row, today)
    if not known:
        return garden
    air = _lines(await learned(session, row), today)
    taught: dict[int, tuple[Taught | None, Taught | None]] = {}
    for one in await thermometers(session, row.id):
        place = garden.place_by_id.get(one.place_id or 0)
        if place is not None and one.id in known and one.cover in (Cover.NONE, place.cover):
            still, other = (_taught(known[one.id][k], air[k]) for k in (NightKind.RADIATION, NightKind.MIXED))
            taught[place.id] = still, other
    for place in garden.places:
        houses = [house.id for house in garden.places if house.kind is place.inside]
        if place.inside is not None and len(houses) == 1 and houses[0] in taught:
            taught[place.id] = taught[houses[0]]
    changed = (replace(one, taught=taught[one.id]) if one.id in taught else one for one in garden.places)
    return replace(garden, places=tuple(changed), place_by_id={})


def _taught(line: Line, air: Line) -> Taught | None:
    """Of the last night's error only what the air's own does not carry over already."""
    if line.count < _ENOUGH_N:
        return None
    shared_c = air.last_error_c if air.last_on == line.last_on else 0.0
    return Taught(line.offset_c, line.offset_sd_c, line.count, line.last_error_c - shared_c, line.last_on)


def _of_places(garden_id: int) -> Select[PlaceLearned]:
    return select(PlaceLearned).join(Thermometer).where(Thermometer.garden_id == garden_id)


def _lines(correction: Correction, today: date) -> Mapping[NightKind, Line]:
    def line(fit: Fit) -> Line:
        known = fit.offset_c(today), fit.offset_sd_c(today), fit.sd_c(today)
        return Line(*known, fit.count, fit.last_error_c, fit.last_on)

    return {kind: line(correction.fit(kind)) for kind in (NightKind.RADIATION, NightKind.MIXED)}


async def _learn(
    session: AsyncSession,
    row: Garden,
    thermometer: Thermometer,
    reading: Reading,
    forecast: Forecast | None,
    now: datetime,
    *,
    confirmed: bool,
    is_minimum: bool = False,
) -> Taken:
    known = await learned(session, row)
    shape = await _shape(session, thermometer)
    shape = replace(shape, kind=ThermometerKind.MIN_MAX) if is_minimum else shape
    before = await before_night.known(session, row, reading.night_on)
    lesson = _lesson(row, shape, reading, before or forecast, known)
    said = await before_night.said(session, row, reading.night_on)
    if isinstance(lesson, Learnt) and before is None and said is not None:
        lesson = _late_lesson(shape, reading, said)
    if said is not None and isinstance(lesson, Lesson) and learn.teaches(shape) is Teaches.AIR:
        lesson = replace(lesson, spread_c=said.spread_c)
    undo: dict[str, Any] = {"reading": reading.id, "taught_at": None, "before": None}
    reading.accepted = True
    if isinstance(lesson, Learnt):
        return Taken(reading, Verdict.ACCEPT, undo, lesson)
    reading.forecast_c = lesson.forecast_c
    air = learn.teaches(shape) is Teaches.AIR
    kept = await _kept(session, thermometer, air)
    start = known if air else _from_row(kept.correction) if kept else learn.untaught_place()
    better, verdict = learn.updated(
        start, lesson.kind, lesson.forecast_c, reading.value_c, lesson.on, spread_c=lesson.spread_c, confirmed=confirmed
    )
    learnt = Learnt.NIGHT_KNOWN
    if verdict is Verdict.ASK:
        reading.accepted = None
    elif not await _known_night(session, reading):
        learnt = Learnt.YES
        undo |= {"taught_at": now.isoformat(), "before": _keep(session, kept, thermometer, air, better, now)}
    return Taken(reading, verdict, undo, learnt, lesson.forecast_c)


async def _kept(session: AsyncSession, thermometer: Thermometer, air: bool) -> Learned | PlaceLearned | None:
    """What a thermometer's readings have taught so far, of the garden's air or of its own place."""
    if air:
        return await session.get(Learned, thermometer.garden_id, with_for_update=True)
    return await session.get(PlaceLearned, thermometer.id, with_for_update=True)


def _keep(
    session: AsyncSession,
    kept: Learned | PlaceLearned | None,
    thermometer: Thermometer,
    air: bool,
    correction: Correction,
    now: datetime,
) -> dict[str, Any] | None:
    """Store what is known now; returns what was stored before."""
    if kept is None:
        taught = {"correction": _to_row(correction), "updated_at": now}
        session.add(
            Learned(garden_id=thermometer.garden_id, **taught)
            if air
            else PlaceLearned(thermometer_id=thermometer.id, **taught)
        )
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
) -> Lesson | Learnt:
    """What the forecast had said for this reading, else why it teaches nothing."""
    night = _night(row, reading.night_on, forecast, known) if forecast else None
    momentary = shape.kind is ThermometerKind.MOMENTARY
    if forecast is None or night is None or not (momentary or _said_before(forecast, night)):
        return Learnt.NOT_COMPARED
    if momentary and not night.sunset_at <= reading.read_at <= night.sunrise_at:
        return Learnt.NOT_AT_NIGHT
    if learn.teaches(shape) is Teaches.AIR:
        expected_c = cold.expected_at(forecast, night, reading.read_at) if momentary else night.untaught_c
    else:
        in_pot = shape.shelter is PlaceKind.CONTAINER
        expected_c = None if momentary else cold.at_plant(night, shape.shelter, shape.cover, in_pot=in_pot).mean_c
    on = night.evening_on + timedelta(days=1)
    return Learnt.NOT_COMPARED if expected_c is None else Lesson(night.kind, expected_c, on)


def _late_lesson(shape: learn.Thermometer, reading: Reading, said: NightOdds) -> Lesson | Learnt:
    """Of a night whose hours are kept no more: a minimum is held against noon's figures, of the air or the place."""
    if shape.kind is ThermometerKind.MOMENTARY or said.kind is None or said.untaught_c is None or said.ground_c is None:
        return Learnt.NOT_COMPARED
    expected_c = said.untaught_c
    if learn.teaches(shape) is Teaches.PLACE:
        air, ground = Estimate(said.mean_c, 0.0), Estimate(said.ground_c, 0.0)
        in_pot = shape.shelter is PlaceKind.CONTAINER
        expected_c = placed(air, ground, shape.shelter, shape.cover, in_pot=in_pot)[0].mean_c
    return Lesson(said.kind, expected_c, reading.night_on + timedelta(days=1))


def _said_before(forecast: Forecast, night: Night) -> bool:
    """A minimum is held against what was expected, not against what is known once the night has begun."""
    since = forecast.issued_at or forecast.fetched_at
    return since is None or since <= night.sunset_at


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
    return {name: {**fit, "last_on": _iso(fit["last_on"])} for name, fit in asdict(correction).items()}


def _iso(on: date | None) -> str | None:
    return None if on is None else on.isoformat()


def _from_row(row: Mapping[str, Any]) -> Correction:
    return Correction(clear_still=_fit(row["clear_still"]), other=_fit(row["other"]))


def _fit(row: Mapping[str, Any]) -> Fit:
    """A line that was stored before it had weights for all features has them from its prior, as unlearned."""
    new = fitted(prior := Prior(**row["prior"]))
    known_n, all_n = len(row["weights"]), len(new.weights)
    return Fit(
        prior=prior,
        weights=(*row["weights"], *new.weights[known_n:]),
        covariance=tuple(
            tuple(
                row["covariance"][i][j] if i < known_n and j < known_n else new.covariance[i][j] for j in range(all_n)
            )
            for i in range(all_n)
        ),
        noise_c2=row["noise_c2"],
        noise_n=row["noise_n"],
        count=row["count"],
        last_error_c=row.get("last_error_c", 0.0),
        last_on=date.fromisoformat(on) if (on := row.get("last_on")) is not None else None,
    )
