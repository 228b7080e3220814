"""What one walk is, and the walks that each member has done, or has said yes to: one turn each, whatever its places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden
from bot.core.people import lifting
from bot.core.tasks.rota_rules import Turn, turn_weight
from bot.core.weather import sun
from bot.storage.models import Ask, Task
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks

_LONGEST_MIN = 45
_SEASON = timedelta(days=180)


class Taken(NamedTuple):
    """One walk as a turn. on: its local day."""

    turn: Turn
    on: date


def parted(duties: Iterable[Task]) -> list[list[Task]]:
    """Duties of one kind, in order, as walks of up to three quarters of an hour (common practice, no source)."""
    walks: list[list[Task]] = []
    for duty in duties:
        if not walks or sum(one.minutes for one in walks[-1]) + duty.minutes > _LONGEST_MIN:
            walks.append([])
        walks[-1].append(duty)
    return walks


def after_sunset(garden: Garden, at: datetime) -> bool:
    """Whether a moment is after that local day's sunset."""
    day = at.astimezone(ZoneInfo(garden.zone)).date()
    sunset_at = sun.sun_day(day, ZoneInfo(garden.zone), garden.latitude, garden.longitude).sunset_at
    return sunset_at is not None and at > sunset_at


async def taken(
    session: AsyncSession, garden: Garden, now: datetime, besides: Collection[int] = ()
) -> dict[int, list[Taken]]:
    """What each member has done this season or has still promised, by walks. besides: duties that are not counted.

    What was asked of a member at one moment for one event, of one kind, is what they were to do in one go, and so is what
    one part of a day wants; so a walk is known afterwards without being kept.
    """
    rows = await session.execute(
        select(Ask, Task)
        .join(Task, Task.id == Ask.task_id)
        .where(
            Task.garden_id == garden.id,
            Ask.state == AskState.ACCEPTED,
            ((Task.state == TaskState.DONE) & (Task.done_at > now - _SEASON)) | Task.state.in_(tasks.LIVE),
        )
        .order_by(Task.due_at, Task.id, Ask.id)
    )
    alike: dict[tuple[object, ...], list[Task]] = defaultdict(list)
    members: dict[tuple[object, ...], int] = {}
    for ask, duty in rows:
        if duty.id not in besides:
            key = (ask.member_id, *_walk_of(ask, duty))
            alike[key].append(duty)
            members[key] = ask.member_id
    found: dict[int, list[Taken]] = defaultdict(list)
    for key, duties in alike.items():
        walks = parted(duties) if duties[0].warning_id is not None else [duties]
        found[members[key]] += [_taken(walk, garden) for walk in walks]
    return found


def _walk_of(ask: Ask, duty: Task) -> tuple[object, ...]:
    if duty.warning_id is None:
        return duty.on, duty.part
    return duty.warning_id, ask.asked_at, duty.kind, duty.target_place_id, duty.people


def _taken(walk: Sequence[Task], garden: Garden) -> Taken:
    """Coming counts once, and the heaviest load; a walk still to come is as of its latest safe time."""
    zone, due_at = ZoneInfo(garden.zone), min(duty.due_at for duty in walk)
    places = [(duty, garden.place_by_id.get(duty.where_id)) for duty in walk]
    weight = turn_weight(
        sum(duty.minutes for duty in walk),
        max(lifting.asked_kg(duty.kind, place, duty.people) for duty, place in places),
        due_at.astimezone(zone).time(),
        after_sunset=after_sunset(garden, due_at),
    )
    at = max(duty.done_at or duty.due_at for duty in walk)
    return Taken(Turn(at, weight), at.astimezone(zone).date())
