"""What should I do this week: everything that the week is drawn from, loaded and handed to core."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import blight, bolting, outdoors, warmth, water
from bot.core import days as weather_days
from bot.core import week as core
from bot.core.garden import Garden, Place, PlaceKind, Planting
from bot.core.rotation import Grown
from bot.core.week import Job, Mark, Week
from bot.services import frosts
from bot.services.outlook import Outlook, look
from bot.services.weather import Source
from bot.storage import members
from bot.storage import warnings as store
from bot.storage.models import Ask, Duty, JobMark, Member, Warning
from bot.storage.models import Garden as GardenRow
from bot.storage.models import Planting as PlantingRow
from bot.storage.states import AskState, MarkKind

__all__ = ["Answer", "advice", "answer", "mark", "of_group"]

_KEEPING = (AskState.ASKED, AskState.ACCEPTED)
_LATER = timedelta(days=7)
_NOBODY = 0  # no member's id


@dataclass(frozen=True, slots=True)
class Answer:
    """advice: for every batch that waits under cover, whoever's it is."""

    week: Week
    outlook: Outlook
    advice: tuple[outdoors.Advice, ...]


async def answer(session: AsyncSession, row: GardenRow, member: Member, source: Source, now: datetime) -> Answer:
    """One member's week at `now`."""
    outlook = await look(session, row, source, now)
    today = now.astimezone(row.tz).date()
    absences = await members.aways(session, row.id, today, today)
    known = replace(
        await _known(session, row, outlook, member.id, now),
        wanted=_wanted(outlook.garden, member.id),
        away=any(absence.member_id == member.id for absence in absences),
    )
    return Answer(core.week(outlook.garden, outlook.crops, member.id, known, now), outlook, tuple(known.advice))


async def of_group(session: AsyncSession, row: GardenRow, source: Source, now: datetime) -> Answer:
    """The week of what the group shares, for the sheet at the gate."""
    outlook = await look(session, row, source, now)
    known = await _known(session, row, outlook, _NOBODY, now)
    return Answer(core.of_group(outlook.garden, outlook.crops, known, now), outlook, tuple(known.advice))


async def _known(session: AsyncSession, row: GardenRow, outlook: Outlook, member_id: int, now: datetime) -> core.Known:
    today = now.astimezone(row.tz).date()
    return core.Known(
        findings=outlook.findings,
        advice=await advice(session, row, outlook, now),
        nights=outlook.nights,
        days=outlook.days,
        marks=await _marks(session, row.id, member_id),
        asks=await _asks(session, row, outlook, now),
        soil_c=_soil_c(outlook, now),
        history=await _history(session, outlook),
        blight_on=_blight_on(outlook),
        bolting=_bolting(outlook),
        litres=_litres(outlook, today, member_id),
    )


async def advice(session: AsyncSession, row: GardenRow, outlook: Outlook, now: datetime) -> tuple[outdoors.Advice, ...]:
    """May it go out yet, for every batch that waits under cover."""
    known = await frosts.of_garden(session, row)
    conditions = outdoors.Conditions(
        today=now.astimezone(row.tz).date(),
        nights=outlook.nights,
        frost_after=known.last_spring.after if known else None,
        soil_c=_soil_c(outlook, now),
    )
    return outdoors.advise_all(outlook.garden, outlook.crops, conditions)


def _soil_c(outlook: Outlook, now: datetime) -> float | None:
    soil = warmth.soil_c(outlook.forecast, now) if outlook.forecast else None
    return soil.mean_c if soil else None


async def mark(session: AsyncSession, member: Member, job: Job, kind: MarkKind, now: datetime, today: date) -> None:
    """Remember Done or Not now of every item of a job; said twice, it is the same."""
    known = {one.job: one for one in await session.scalars(select(JobMark).where(JobMark.member_id == member.id))}
    for item in job.items:
        until_on = today + (timedelta(days=item.again_days) if kind is MarkKind.DONE else _LATER)
        row = known.get(item.key)
        if row is None:
            session.add(
                JobMark(
                    garden_id=member.garden_id,
                    member_id=member.id,
                    job=item.key,
                    kind=kind,
                    marked_at=now,
                    until_on=until_on,
                )
            )
        else:
            row.kind, row.marked_at, row.until_on = kind, now, until_on
    await session.flush()


async def _marks(session: AsyncSession, garden_id: int, member_id: int) -> Mapping[str, Mark]:
    """Own marks, and what anybody of the garden has done: a watered bed is watered."""
    rows = await session.scalars(
        select(JobMark).where(
            JobMark.garden_id == garden_id,
            (JobMark.member_id == member_id) | (JobMark.kind == MarkKind.DONE),
        )
    )
    return {row.job: Mark(row.kind is MarkKind.DONE, row.marked_at.date(), row.until_on) for row in rows}


async def _asks(session: AsyncSession, row: GardenRow, outlook: Outlook, now: datetime) -> Mapping[str, frozenset[int]]:
    """Who is on what the weather asks for, by the key of its item."""
    rows = await session.execute(
        select(Warning.hazard, Warning.window_on, Duty.place_id, Duty.support_id, Duty.task, Ask.member_id)
        .join(Duty, Duty.warning_id == Warning.id)
        .join(Ask, Ask.duty_id == Duty.id)
        .where(Warning.garden_id == row.id, Ask.state.in_(_KEEPING), Duty.state.in_(store.LIVE), Warning.ends_at > now)
    )
    on: dict[tuple[object, ...], set[int]] = {}
    for hazard, window_on, place_id, support_id, task, member_id in rows:
        on.setdefault((hazard, window_on, place_id, support_id, task), set()).add(member_id)
    return {
        core.finding_key(one): frozenset(people)
        for one in outlook.findings
        if (people := on.get((one.hazard, one.window_on, one.place_id, one.support_id or 0, one.task)))
    }


def _blight_on(outlook: Outlook) -> tuple[date, ...]:
    """Days to come on which the Hutton Criteria are met; what is not known is not said to be safe, nor called."""
    if outlook.forecast is None:
        return ()
    judged = blight.hutton_days(outlook.forecast, ZoneInfo(outlook.garden.zone))
    return tuple(on for on, met in blight.hutton_periods(judged) if met is blight.Met.YES)


def _bolting(outlook: Outlook) -> Mapping[int, bolting.Bolt]:
    """Who is at risk of running to seed, by planting, on the days of the forecast."""
    if outlook.forecast is None:
        return {}
    days = weather_days.days(outlook.forecast, ZoneInfo(outlook.garden.zone))
    rules = ((planting, outlook.crops.get(planting.crop)) for planting in outlook.garden.plantings)
    return {
        planting.id: bolting.judge(planting, crop, days, outlook.garden.latitude)
        for planting, crop in rules
        if crop is not None and crop.bolting is not None
    }


async def _history(session: AsyncSession, outlook: Outlook) -> Mapping[int, tuple[Grown, ...]]:
    """What each bed carried in earlier years, ended batches included."""
    rows = await session.execute(
        select(PlantingRow.place_id, PlantingRow.crop, PlantingRow.planted_on, PlantingRow.sown_on).where(
            PlantingRow.garden_id == outlook.garden.id
        )
    )
    found: dict[int, set[Grown]] = {}
    for place_id, key, planted_on, sown_on in rows:
        started_on = planted_on or sown_on
        if key in outlook.crops and started_on is not None:
            found.setdefault(place_id, set()).add(Grown(key, outlook.crops[key].family, started_on.year))
    return {place_id: tuple(sorted(grown, key=lambda one: (one.year, one.crop))) for place_id, grown in found.items()}


def _wanted(garden: Garden, member_id: int) -> frozenset[str]:
    """What this member grows already, so that the next of a row can be sown."""
    plots = {plot.id for plot in garden.plots if member_id in plot.holder_ids}
    own = {place.id for place in garden.places if place.plot_id in plots}
    return frozenset(planting.crop for planting in garden.plantings if planting.place_id in own)


def _litres(outlook: Outlook, today: date, member_id: int) -> Mapping[int, float]:
    """Litres due by place, of the member's plots and of what is shared.

    Without a record of past days, only today's own drying counts.
    """
    if outlook.forecast is None:
        return {}
    every = weather_days.days(outlook.forecast, ZoneInfo(outlook.garden.zone))
    past = [day for day in every if day.on <= today]
    coming = [day for day in every if today < day.on <= today + timedelta(days=1)]
    growing: dict[int, list[Planting]] = {}
    for planting in outlook.garden.plantings:
        growing.setdefault(planting.place_id, []).append(planting)
    found = {}
    plots = {plot.id for plot in outlook.garden.plots if member_id in plot.holder_ids}
    for place in outlook.garden.places:
        if not place.shared and place.plot_id not in plots:
            continue
        litres = _litres_of(place, growing.get(place.id, []), past, coming, outlook)
        if litres:
            found[place.id] = litres
    return found


def _litres_of(
    place: Place,
    plantings: list[Planting],
    past: list[weather_days.Day],
    coming: list[weather_days.Day],
    outlook: Outlook,
) -> float:
    rules = [(planting, outlook.crops[planting.crop]) for planting in plantings if planting.crop in outlook.crops]
    if not rules or not past or place.shelter is PlaceKind.INDOORS:
        return 0.0
    try:
        due = water.litres_due(
            place,
            rules,
            past,
            coming,
            latitude=outlook.garden.latitude,
            altitude_m=outlook.garden.altitude_m,
        )
    except ValueError:  # sizes that nobody has told us; the organiser's week asks for them
        return 0.0
    return due.litres
