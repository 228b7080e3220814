"""What people report of places goes into the ledger here, and nothing in it is ever written over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden import place_state
from bot.core.garden.place_state import OFF, ON, Did, Layer, State, did_of
from bot.core.garden.snapshot import Cover
from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.growing.week import Job
from bot.core.warnings.hazards import DAILY, Hazard, TaskKind
from bot.core.weather.sun import night_bounds
from bot.storage.garden import place_reports
from bot.storage.models import Garden, Place, PlaceReport, Task, Warning
from bot.storage.states import TaskState, WarningState
from bot.storage.warnings import warnings

_TASKS = {task.value: task for task in TaskKind if task not in DAILY}
_AGAIN_OFF = {layer: did for did, layer in OFF.items()}
#: How far ahead a call may be that a report answers: as early as people are called by name (`alerts.TIMELINE`).
_CALLED_AHEAD = timedelta(hours=32)


async def states(session: AsyncSession, garden: CoreGarden, now: datetime) -> dict[int, State]:
    """How each place of which anything was reported stands now. garden: as recorded."""
    found = await place_reports.reports(session, garden.id, now - 2 * place_state.PERHAPS_FOR)
    by_id = garden.place_by_id
    return {id_: place_state.state(by_id[id_], told, now) for id_, told in found.items() if id_ in by_id}


def as_it_stands(garden: CoreGarden, by_place: Mapping[int, State]) -> CoreGarden:
    """The garden with only what stands until further word: what was done for a night protects nothing in a reckoning.

    Else a pot that has been covered would make its own warning vanish, and the group would be told that no cold comes.
    """
    if all(_agrees(garden, id_, one) for id_, one in by_place.items()):
        return garden
    stand = tuple(
        replace(place, cover=by_place[place.id].cover, inside=by_place[place.id].inside)
        if place.id in by_place
        else place
        for place in garden.places
    )
    return replace(garden, places=stand, place_by_id={})


def _agrees(garden: CoreGarden, place_id: int, one: State) -> bool:
    place = garden.place_by_id[place_id]
    return (place.cover, place.inside) == (one.cover, one.inside)


async def by_duty(session: AsyncSession, until_at: datetime | None, duty: Task, member_id: int, now: datetime) -> None:
    """A duty that was reported done, as a report of its place; it holds for what the duty was for, and for the nights of
    which people were told with it, until until_at.
    """
    place = await session.get(Place, duty.where_id)
    did = did_of(duty.kind, place.kind) if place is not None else None
    if place is None or did is None:
        return
    lasts = did in ON and did is not Did.OPENED
    session.add(
        PlaceReport(
            place_id=place.id,
            did=did,
            cover=duty.cover if did is Did.COVERED else None,
            target_place_id=duty.target_place_id if did is Did.BROUGHT_IN else None,
            at=now,
            until_at=until_at if lasts else None,
            member_id=member_id,
            task_id=duty.id,
        )
    )
    await session.flush()


async def until(session: AsyncSession, warning: Warning) -> datetime:
    """The end of the hazard; of a night, that of the spell that people were told of with it."""
    garden = await session.get_one(Garden, warning.garden_id)
    if warning.hazard is not Hazard.COLD:
        return warning.ends_at
    return max(warning.ends_at, await _spell_until(session, garden, warning.window_on))


async def _spell_until(session: AsyncSession, garden: Garden, evening_on: date) -> datetime:
    """The morning after the last of the nights that people were told of with this one."""
    told, last_on = await warnings.told_with(session, garden.id, evening_on), evening_on
    while last_on + timedelta(days=1) in told:
        last_on += timedelta(days=1)
    return night_bounds(last_on, garden.tz, garden.latitude, garden.longitude)[1]


async def by_job(session: AsyncSession, garden: Garden, job: Job, member_id: int, now: datetime) -> bool:
    """A job of the week that was marked as done, as reports of its places; False where it leaves them as they are."""
    task = _TASKS.get(job.kind.value)
    found = False
    for item in job.items if task is not None else ():
        place = await session.get(Place, item.place_id) if item.place_id is not None else None
        did = did_of(task, place.kind) if place is not None and task is not None else None
        if place is None or did is None:
            continue
        session.add(
            PlaceReport(
                place_id=place.id,
                did=did,
                cover=Cover(item.detail) if did is Did.COVERED and item.detail else None,
                target_place_id=item.target_place_id if did is Did.BROUGHT_IN else None,
                at=now,
                until_at=await _job_until(session, garden, did, item.by_on, now),
                member_id=member_id,
            )
        )
        found = True
    await session.flush()
    return found


async def _job_until(
    session: AsyncSession, garden: Garden, did: Did, window_on: date | None, now: datetime
) -> datetime | None:
    """The morning after the window of what the weather asks for."""
    if did not in ON or did is Did.OPENED:
        return None
    if did is Did.EARTHED_UP or window_on is None:
        return now + place_state.EARTH_FOR
    return await _spell_until(session, garden, window_on)


async def not_so(session: AsyncSession, duty: Task, now: datetime) -> None:
    """Somebody saw that a duty is not done: what was told of it is not so, whoever told it; nobody is named."""
    undone = place_state.UNDOES.get(duty.kind)
    for row in await place_reports.rows(session, [duty.where_id]):
        if row.task_id == duty.id or (undone is not None and OFF.get(row.did) is undone and row.at >= duty.starts_at):
            row.withdrawn_at = now
    for layer in () if undone is not None else place_state.layers(duty.kind):
        if layer in _AGAIN_OFF:
            session.add(PlaceReport(place_id=duty.where_id, did=_AGAIN_OFF[layer], at=now, task_id=duty.id))
    await session.flush()


async def taken_back(session: AsyncSession, duty: Task, now: datetime) -> None:
    """Whoever told it takes it back: what was told by that duty was never so."""
    for row in await place_reports.rows(session, [duty.where_id]):
        if row.task_id == duty.id:
            row.withdrawn_at = now
    await session.flush()


async def still(
    session: AsyncSession, warning: Warning, duty: Task, layer: Layer, member_id: int, now: datetime
) -> PlaceReport | None:
    """Somebody saw that what was put on for an earlier night is on still: it is, for this one, too."""
    last = [row for row in await place_reports.rows(session, [duty.where_id]) if ON.get(row.did) is layer]
    if not last:
        return None
    row = PlaceReport(
        place_id=duty.where_id,
        did=last[-1].did,
        cover=last[-1].cover,
        target_place_id=last[-1].target_place_id,
        at=now,
        until_at=warning.ends_at,
        still=True,
        member_id=member_id,
        task_id=duty.id,
    )
    session.add(row)
    await session.flush()
    return row


async def stays(session: AsyncSession, report: PlaceReport, member_id: int, now: datetime) -> bool:
    """What was reported stays so until somebody says otherwise; False when it is off by now, or stays already."""
    if report.withdrawn_at is not None or report.until_at is None:
        return False
    layer = ON.get(report.did)
    later = [
        row for row in await place_reports.rows(session, [report.place_id]) if (row.at, row.id) > (report.at, report.id)
    ]
    if layer is None or any(layer in (ON.get(row.did), OFF.get(row.did)) for row in later):
        return False
    session.add(
        PlaceReport(
            place_id=report.place_id,
            did=report.did,
            cover=report.cover,
            target_place_id=report.target_place_id,
            at=now,
            still=True,
            member_id=member_id,
            task_id=report.task_id,
            entry_id=report.entry_id,
        )
    )
    await session.flush()
    return True


async def night_until(session: AsyncSession, garden: Garden, place_id: int, at: datetime) -> datetime:
    """The morning until which something counts that somebody put on or carried in at that moment, in their own words.

    That of the next cold night for which the place is called, else of the night that comes, or is.
    """
    called = await session.scalar(
        select(Warning)
        .join(Task, Task.warning_id == Warning.id)
        .where(
            Warning.garden_id == garden.id,
            Warning.hazard == Hazard.COLD,
            Warning.state != WarningState.OVER,
            Warning.ends_at > at,
            Warning.due_at < at + _CALLED_AHEAD,
            Task.place_id == place_id,
            Task.kind.in_((TaskKind.COVER, TaskKind.BRING_IN, TaskKind.EARTH_UP)),
            Task.state != TaskState.DROPPED,
        )
        .order_by(Warning.ends_at)
        .limit(1)
    )
    if called is not None:
        return await until(session, called)
    today = at.astimezone(garden.tz).date()
    for on in (today - timedelta(days=1), today):
        sunrise_at = night_bounds(on, garden.tz, garden.latitude, garden.longitude)[1]
        if sunrise_at > at:
            return sunrise_at
    return at + timedelta(days=1)
