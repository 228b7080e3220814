"""What one walk is, and the walks that each member has done, or has said yes to: one turn each, whatever its places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import NamedTuple
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import lifting, sun
from bot.core.fairness import Turn, turn_weight
from bot.core.garden import Garden
from bot.storage import warnings as store
from bot.storage.models import Ask, DayTurn, Duty, Warning
from bot.storage.states import AskState, DutyState

__all__ = ["Taken", "after_sunset", "parted", "taken"]

_LONGEST_MIN = 45
_SEASON = timedelta(days=180)


class Taken(NamedTuple):
    """One walk as a turn. on: its local day."""

    turn: Turn
    on: date


def parted(duties: Iterable[Duty]) -> list[list[Duty]]:
    """Duties of one kind, in order, as walks of up to three quarters of an hour (common practice, no source)."""
    walks: list[list[Duty]] = []
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

    What was asked of a member at one moment for one event, of one kind, is what they were to do in one go; so a walk is
    known afterwards without being kept.
    """
    rows = await session.execute(
        select(Ask, Duty)
        .join(Duty, Duty.id == Ask.duty_id)
        .join(Warning, Warning.id == Duty.warning_id)
        .where(
            Warning.garden_id == garden.id,
            Ask.state == AskState.ACCEPTED,
            ((Duty.state == DutyState.DONE) & (Duty.done_at > now - _SEASON)) | Duty.state.in_(store.LIVE),
        )
        .order_by(Duty.due_at, Duty.id, Ask.id)
    )
    alike: dict[tuple[object, ...], list[Duty]] = defaultdict(list)
    members: dict[tuple[object, ...], int] = {}
    for ask, duty in rows:
        if duty.id not in besides:
            key: tuple[object, ...] = (
                ask.member_id,
                duty.warning_id,
                ask.asked_at,
                duty.task,
                duty.target_place_id,
                duty.people,
            )
            alike[key].append(duty)
            members[key] = ask.member_id
    found: dict[int, list[Taken]] = defaultdict(list)
    for key, duties in alike.items():
        found[members[key]] += [_taken(walk, garden) for walk in parted(duties)]
    for member_id, turn in await _of_days(session, garden, now):
        found[member_id].append(Taken(turn, turn.at.astimezone(ZoneInfo(garden.zone)).date()))
    return found


def _taken(walk: Sequence[Duty], garden: Garden) -> Taken:
    """Coming counts once, and the heaviest load; a walk still to come is as of its latest safe time."""
    zone, due_at = ZoneInfo(garden.zone), min(duty.due_at for duty in walk)
    places = [(duty, garden.place_by_id.get(duty.place_id)) for duty in walk]
    weight = turn_weight(
        sum(duty.minutes for duty in walk),
        max(lifting.asked_kg(duty.task, place, duty.people) if place else 0.0 for duty, place in places),
        due_at.astimezone(zone).time(),
        after_sunset=after_sunset(garden, due_at),
    )
    at = max(duty.done_at or duty.due_at for duty in walk)
    return Taken(Turn(at, weight), at.astimezone(zone).date())


async def _of_days(session: AsyncSession, garden: Garden, now: datetime) -> list[tuple[int, Turn]]:
    """Walks of the days that were done; all of them are due by day."""
    rows = await session.execute(
        select(DayTurn.done_by, DayTurn.done_at, DayTurn.minutes)
        .where(DayTurn.garden_id == garden.id, DayTurn.state == DutyState.DONE, DayTurn.done_at > now - _SEASON)
        .order_by(DayTurn.id)
    )
    zone = ZoneInfo(garden.zone)
    return [
        (member_id, Turn(at, turn_weight(minutes, 0.0, at.astimezone(zone).time(), after_sunset=False)))
        for member_id, at, minutes in rows
        if member_id is not None and at is not None
    ]
