"""What should I do this week: everything that the week is drawn from, loaded and handed to core.

Jobs of the week that a note from the plot has done: what was written need not be pressed as well.

What a member means to grow, and who of the members has gone silent: asked of the records for the week.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import partial
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.finding import Finding, Hazard
from bot.core.garden.snapshot import Garden, Planting, Role, Stage
from bot.core.growing import blight, bolting, outdoors, warmth, water
from bot.core.growing import week as core
from bot.core.growing.crop import Crop, Kind
from bot.core.growing.jobs.job import Job, JobKind, Mark
from bot.core.growing.seasons import growing_year
from bot.core.growing.week import Week
from bot.core.weather import days as weather_days
from bot.services.growing import past_crops, shares, watering
from bot.services.journal.note import Action
from bot.services.look import Look, look, part
from bot.services.people import inactivity
from bot.services.tasks.daily import walk_views as daily_week
from bot.services.warnings import settling
from bot.services.weather import frost_dates, past_days
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Ask, Entry, JobMark, Member, Task, Warning
from bot.storage.models import Garden as GardenRow
from bot.storage.models import Planting as PlantingRow
from bot.storage.people import members
from bot.storage.states import AskState, MarkKind
from bot.storage.tasks import tasks

#: How long each holds, as after Done (`core.growing.jobs.tending`, `harvesting`); feeding holds as long as the crop's rule says.
_HOLDS = {
    Action.EARTHED_UP: (JobKind.EARTH_UP, timedelta(days=14)),
    Action.SUPPORTED: (JobKind.SUPPORT, timedelta(days=200)),
    Action.HARVESTED: (JobKind.HARVEST, timedelta(days=3)),
    Action.FED: (JobKind.FEED, timedelta(days=0)),
}


async def marks(session: AsyncSession, garden: Garden, crops: Mapping[str, Crop], today: date) -> Mapping[str, Mark]:
    """By item key; a place that was fed was fed with all that stands there.

    A harvest from a shared place is not done by one who took theirs: shares count it down (`services.growing.shares`).
    """
    longest = max(holds for _, holds in _HOLDS.values())
    rows = await session.execute(
        select(Entry.action, Entry.planting_id, Entry.place_id, Entry.done_on)
        .where(
            Entry.garden_id == garden.id,
            Entry.action.in_([action.value for action in _HOLDS]),
            Entry.undone_at.is_(None),
            Entry.done_on > today - longest,
        )
        .order_by(Entry.done_on)
    )
    found: dict[str, Mark] = {}
    for action, planting_id, place_id, done_on in rows:
        kind, holds = _HOLDS[Action(action)]
        for planting in _meant(garden, planting_id, place_id):
            if kind is JobKind.HARVEST and garden.place_of(planting).shared:
                continue
            crop = crops.get(planting.crop)
            weeks = crop.care.feed_weeks if crop is not None and kind is JobKind.FEED else None
            until_on = done_on + (timedelta(weeks=weeks) if weeks else holds)
            if until_on > today:
                found[f"{kind}:{planting.id}"] = Mark(done=True, marked_on=done_on, until_on=until_on)
    return found


def _meant(garden: Garden, planting_id: int | None, place_id: int | None) -> Iterator[Planting]:
    for planting in garden.plantings:
        if planting.id == planting_id or (planting_id is None and planting.place_id == place_id):
            yield planting


#: Common practice, no source: a loss is made good within the season, and two asks in a row without a word are silence.
_LOST_FOR, _SILENT_FOR, _SILENT_N = timedelta(days=120), timedelta(days=60), 2


async def wanted(session: AsyncSession, garden: Garden, member_id: int, today: date) -> frozenset[str]:
    """Crops of the member's own plots: what grows there, what grew there last year, and what was lost this season."""
    plots = {plot.id for plot in garden.plots if member_id in plot.holder_ids}
    own = {place.id for place in garden.places if place.plot_id in plots}
    growing = {planting.crop for planting in garden.plantings if planting.place_id in own}
    if not own:
        return frozenset()
    ended = await session.execute(
        select(
            PlantingRow.id, PlantingRow.crop, PlantingRow.sown_on, PlantingRow.planted_on, PlantingRow.ended_on
        ).where(PlantingRow.place_id.in_(own), PlantingRow.stage == Stage.ENDED)
    )
    south = garden.latitude < 0
    this = growing_year(today, south=south)
    old = [
        (id_, crop, growing_year(since, south=south))
        for id_, crop, *days in ended
        if (since := next(filter(None, days), None))
    ]
    gone = {id_ for id_, _, year in old if year == this}
    lost = await _lost(session, garden.id, today) if gone else set()
    return frozenset(growing) | {crop for id_, crop, year in old if year == this - 1 or id_ in lost}


async def _lost(session: AsyncSession, garden_id: int, today: date) -> set[int]:
    """Batches that came to an end by a loss."""
    rows = await session.scalars(
        select(Entry.planting_id).where(
            Entry.garden_id == garden_id,
            Entry.action == Action.LOST.value,
            Entry.undone_at.is_(None),
            Entry.planting_id.is_not(None),
            Entry.done_on >= today - _LOST_FOR,
        )
    )
    return {id_ for id_ in rows if id_ is not None}


async def silent(session: AsyncSession, garden_id: int, now: datetime) -> tuple[int, ...]:
    """Members whose last asks, two or more, all went without a word; any answer ends it."""
    rows = await session.execute(
        select(Ask.member_id, Ask.state)
        .join(Task, Task.id == Ask.task_id)
        .join(Warning, Warning.id == Task.warning_id)
        .where(Warning.garden_id == garden_id, Ask.asked_at > now - _SILENT_FOR, Ask.state != AskState.ASKED)
        .order_by(Ask.member_id, Ask.asked_at.desc(), Ask.id.desc())
    )
    last: dict[int, list[AskState]] = {}
    for member_id, state in rows:
        last.setdefault(member_id, []).append(state)
    quiet = (AskState.SILENT,) * _SILENT_N
    return tuple(member_id for member_id, states in last.items() if tuple(states[:_SILENT_N]) == quiet)


_LATER = timedelta(days=7)
_OWN = (f"{core.JobKind.CHIT}:", f"{core.JobKind.SOW}:", f"{core.JobKind.SOW_AGAIN}:")
_NOBODY = 0  # no member's id


@dataclass(frozen=True, slots=True)
class Answer:
    """advice: for every batch that waits under cover, whoever's it is."""

    week: Week
    outlook: Look
    advice: tuple[outdoors.Advice, ...]


async def answer(session: AsyncSession, row: GardenRow, member: Member, source: Source, now: datetime) -> Answer:
    """One member's week at `now`."""
    outlook = await look(session, row, source, now)
    today = now.astimezone(row.tz).date()
    away = await part(outlook, "away", partial(_away, session, row.id, today))
    is_organiser = member.role is Role.ORGANISER
    known = replace(
        await _known(session, row, outlook, member.id, now),
        wanted=await part(outlook, f"wanted {member.id}", partial(wanted, session, outlook.garden, member.id, today)),
        silent=await part(outlook, "silent", partial(_silent, session, row, now)) if is_organiser else (),
        away=member.id in away,
    )
    return Answer(core.week(outlook.garden, outlook.crops, member.id, known, now), outlook, tuple(known.advice))


async def of_group(session: AsyncSession, row: GardenRow, source: Source, now: datetime) -> Answer:
    """The week of what the group shares, for the sheet at the gate."""
    outlook = await look(session, row, source, now)
    known = await _known(session, row, outlook, _NOBODY, now)
    return Answer(core.of_group(outlook.garden, outlook.crops, known, now), outlook, tuple(known.advice))


async def _known(
    session: AsyncSession, row: GardenRow, outlook: Look, member_id: int, now: datetime
) -> core.WeekRecords:
    """What the week of one member, or of the group, is drawn from; all but their own marks is the same for everybody."""
    known = await part(outlook, "week", partial(_of_all, session, row, outlook, now))
    today = now.astimezone(row.tz).date()
    marks = await part(outlook, f"marks {member_id}", partial(_marks, session, row.id, member_id, today))
    return replace(known, marks={**marks, **known.marks})


async def _of_all(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime) -> core.WeekRecords:
    """What everybody's week is drawn from; its marks are what notes report as done."""
    dry = await watering.due(session, row, outlook, now)
    wanted = await settling.wants(session, row, outlook, now)
    return core.WeekRecords(
        findings=tuple(one for one in outlook.findings if not settling.is_answered(outlook, one, wanted, now)),
        advice=await advice(session, row, outlook, now),
        nights=outlook.nights,
        days=outlook.days,
        asks={
            **await daily_week.whose(session, row, outlook, [one for one, due in dry.items() if due.litres], now),
            **await _asks(session, row, outlook, now),
        },
        marks={
            **await marks(session, outlook.garden, outlook.crops, now.astimezone(row.tz).date()),
            **_ended(outlook, now.astimezone(row.tz).date()),
        },
        soil_c=await _soil_c(session, row, outlook, now),
        history=await past_crops.history(session, row.id, outlook.crops),
        blight_on=_blight_on(outlook),
        bolting=await _bolting(session, outlook),
        litres={place_id: one.litres for place_id, one in dry.items()},
        water_steps={place_id: water.steps(one) for place_id, one in dry.items()},
        shared=await shares.of_garden(session, outlook.garden),
    )


def _ended(outlook: Look, today: date) -> dict[str, core.Mark]:
    """Nothing is left to pick of fruit, pods and flowers where a frost has taken the tops; what is in the soil may be sound."""
    mark = core.Mark(done=True, marked_on=today, until_on=today + timedelta(days=1))
    bare = (one for one in outlook.garden.plantings if one.id in outlook.fallen)
    above = (one for one in bare if _is_of_the_tops(outlook.crops[one.crop]))
    return {f"{core.JobKind.HARVEST}:{one.id}": mark for one in above}


def _is_of_the_tops(crop: Crop) -> bool:
    return crop.kind is Kind.FLOWER or (crop.harvest.after_flower and not crop.cold.regrows)


async def advice(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime) -> tuple[outdoors.Advice, ...]:
    """May it go out yet, for every batch that waits under cover."""
    conditions = await _conditions(session, row, outlook, now)
    return outdoors.advise_all(outlook.garden, outlook.crops, conditions)


async def opens_on(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime, crop: Crop) -> date | None:
    """The first day on which a crop may go out of which no batch waits; None when no day of this season looks safe."""
    return outdoors.opens_on(crop, await _conditions(session, row, outlook, now))


async def _conditions(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime) -> outdoors.Conditions:
    known = await frost_dates.of_garden(session, row)
    return outdoors.Conditions(
        today=now.astimezone(row.tz).date(),
        nights=outlook.nights,
        frost_after=known.last_spring.after if known else None,
        soil_c=await _soil_c(session, row, outlook, now),
    )


async def _away(session: AsyncSession, garden_id: int, today: date) -> frozenset[int]:
    return frozenset(absence.member_id for absence in await members.aways(session, garden_id, today, today))


async def _silent(session: AsyncSession, row: GardenRow, now: datetime) -> tuple[int, ...]:
    """For organisers: who let the last asks pass without a word, and who was asked whether they are still in."""
    asks, still = await silent(session, row.id, now), await inactivity.silent(session, row, now)
    return tuple(dict.fromkeys((*asks, *still)))


async def _soil_c(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime) -> float | None:
    """By the service where it says, by the air of the forecast where it reaches back, else by the days that were kept."""
    given_c = warmth.soil_given_c(outlook.forecast, now) if outlook.forecast else None
    if given_c is not None:
        return given_c
    soil = warmth.soil_c(outlook.forecast, now) if outlook.forecast else None
    if soil is not None:
        return soil.mean_c
    return await past_days.soil_lately_c(session, row.id, now.astimezone(row.tz).date())


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


async def _marks(session: AsyncSession, garden_id: int, member_id: int, today: date) -> Mapping[str, Mark]:
    """Own marks, and what anybody of the garden has done: a watered bed is watered.

    What somebody has done, while it holds, goes before what was put off. Sowing is everybody's own.
    """
    rows = await session.scalars(
        select(JobMark)
        .where(
            JobMark.garden_id == garden_id,
            (JobMark.member_id == member_id) | (JobMark.kind == MarkKind.DONE),
        )
        .order_by(JobMark.marked_at)
    )
    found: dict[str, Mark] = {}
    for row in rows:
        if row.member_id != member_id and row.job.startswith(_OWN):
            continue
        mark, known = Mark(row.kind is MarkKind.DONE, row.marked_at.date(), row.until_on), found.get(row.job)
        if known is None or not known.done or known.until_on <= today or mark.done:
            found[row.job] = mark
    return found


async def _asks(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime) -> Mapping[str, frozenset[int]]:
    """Who is on what the weather asks for, by the key of its item."""
    rows = await session.execute(
        select(Warning.hazard, Warning.window_on, Task.place_id, Task.support_id, Task.kind, Ask.member_id)
        .join(Task, Task.warning_id == Warning.id)
        .join(Ask, Ask.task_id == Task.id)
        .where(
            Warning.garden_id == row.id, Ask.state.in_(tasks.KEEPING), Task.state.in_(tasks.LIVE), Warning.ends_at > now
        )
    )
    on: dict[tuple[object, ...], set[int]] = {}
    for hazard, window_on, place_id, support_id, task, member_id in rows:
        window = None if hazard is Hazard.WIND else window_on  # windy days that follow each other are one warning
        on.setdefault((hazard, window, place_id, support_id, task), set()).add(member_id)
    return {
        core.finding_key(one): frozenset(people)
        for one in outlook.findings
        if (people := on.get((one.hazard, _window(one), one.place_id, one.support_id or 0, one.task)))
    }


def _window(one: Finding) -> date | None:
    return None if one.hazard is Hazard.WIND else one.window_on


def _blight_on(outlook: Look) -> tuple[date, ...]:
    """Days to come on which the Hutton Criteria are met; what is not known is not said to be safe, nor called."""
    if outlook.forecast is None:
        return ()
    judged = blight.hutton_days(outlook.forecast, ZoneInfo(outlook.garden.zone))
    return tuple(on for on, met in blight.hutton_periods(judged) if met is blight.Met.YES)


async def _bolting(session: AsyncSession, outlook: Look) -> Mapping[int, bolting.Bolt]:
    """Who is at risk of running to seed, by planting, on the days since sowing and those of the forecast."""
    if outlook.forecast is None:
        return {}
    days = weather_days.days(outlook.forecast, ZoneInfo(outlook.garden.zone))
    past = await past_days.since_chilled(session, outlook.garden, outlook.crops)
    rules = ((planting, outlook.crops.get(planting.crop)) for planting in outlook.garden.plantings)
    return {
        planting.id: bolting.judge(planting, crop, days, outlook.garden.latitude, past=past)
        for planting, crop in rules
        if crop is not None and crop.bolting is not None
    }
