"""What members wish of the rota: weight, mornings, how often, which hours. Their own word, never an assumption."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfoNotFoundError

from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import FreeTime, Garden, Member

#: What can be tapped. 25 kg is the higher published figure (`core.people.lifting`), above which nobody is asked.
LIFTS_KG = (0, 5, 10, 15, 20, 25)
PER_WEEK = (1, 2, 3)
#: To the garden; the longest stands for all that is longer.
TRAVEL_MIN = (5, 10, 20, 30, 60)


class Free(StrEnum):
    """Free hours that many people share."""

    EVENINGS = "evenings"
    WEEKENDS = "weekends"


#: (weekday, from, to) of each, by the garden's clock; 24 is midnight. Common practice, no source.
HOURS: dict[Free, frozenset[tuple[int, int, int]]] = {
    Free.EVENINGS: frozenset((weekday, 17, 22) for weekday in range(5)),
    Free.WEEKENDS: frozenset((weekday, 0, 24) for weekday in (5, 6)),
}


@dataclass(frozen=True, slots=True)
class Wishes:
    """lift_kg, travel_min: None when unsaid. per_week: None for no limit. free: empty with no other_times means any time.

    other_times: hours are stored that no button stands for.
    """

    lift_kg: float | None
    mornings_only: bool
    per_week: int | None
    travel_min: int | None
    free: frozenset[Free]
    other_times: bool


async def lift_nothing_until(session: AsyncSession, member: Member, on: date) -> None:
    """Nothing to lift until that day, it included; then again what they said before."""
    if member.lift_back_on is None:
        member.lift_back_kg = member.lift_kg
    member.lift_kg, member.lift_back_on = 0.0, on + timedelta(days=1)
    await session.flush()


async def lift_again(session: AsyncSession, now: datetime) -> None:
    """Whoever lifted nothing until a day that is over, by the garden's clock, lifts again as before."""
    resting = select(Member, Garden).join(Garden, Garden.id == Member.garden_id).where(Member.lift_back_on.is_not(None))
    for member, garden in (await session.execute(resting)).all():
        if member.lift_back_on is None or member.lift_back_on > _today(garden, now):
            continue
        member.lift_kg, member.lift_back_on, member.lift_back_kg = member.lift_back_kg, None, None


def _today(garden: Garden, now: datetime) -> date:
    """By the garden's clock; by UTC where that cannot be read, so that one garden keeps no other waiting."""
    try:
        return now.astimezone(garden.tz).date()
    except (ZoneInfoNotFoundError, ValueError):
        return now.date()


async def wishes(session: AsyncSession, member: Member) -> Wishes:
    """What this member has said so far."""
    kept = await _hours(session, member)
    shared = frozenset(kind for kind, hours in HOURS.items() if hours <= kept)
    other = bool(kept.difference(*(HOURS[kind] for kind in shared)))
    return Wishes(member.lift_kg, member.mornings_only, member.per_week, member.travel_min, shared, other)


async def free(session: AsyncSession, member: Member, kind: Free | None, *, wanted: bool) -> None:
    """Add hours or take them away; None: any time, which forgets every hour that was said."""
    if kind is None:
        await session.execute(delete(FreeTime).where(FreeTime.member_id == member.id))
        return
    kept = await _hours(session, member)
    for weekday, from_h, to_h in sorted(HOURS[kind]):
        here = (FreeTime.member_id == member.id, FreeTime.weekday == weekday)
        if wanted and (weekday, from_h, to_h) not in kept:
            session.add(FreeTime(member_id=member.id, weekday=weekday, from_h=from_h, to_h=to_h))
        elif not wanted:
            await session.execute(delete(FreeTime).where(*here, FreeTime.from_h == from_h, FreeTime.to_h == to_h))
    await session.flush()


async def _hours(session: AsyncSession, member: Member) -> frozenset[tuple[int, int, int]]:
    rows = await session.scalars(select(FreeTime).where(FreeTime.member_id == member.id))
    return frozenset((row.weekday, row.from_h, row.to_h) for row in rows)
