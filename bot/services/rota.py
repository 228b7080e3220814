"""From open duties to names: the rota problem of a garden, and its answer turned into asks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import lifting, rota, sun
from bot.core.fairness import Turn, burden, turn_weight
from bot.core.garden import Garden, Member
from bot.storage import members as member_store
from bot.storage import warnings as store
from bot.storage.models import Ask, Duty, FreeTime, Warning
from bot.storage.models import Member as MemberRow
from bot.storage.states import AskState, DutyState

__all__ = ["ask", "problem"]

_SEASON = timedelta(days=180)
_KEEPING = (AskState.ASKED, AskState.ACCEPTED)
_REFUSED = (AskState.PASSED, AskState.SILENT)


async def problem(
    session: AsyncSession, garden: Garden, warning_ids: Collection[int], now: datetime
) -> rota.Problem | None:
    """Who could do what is open in these warnings and still lacks people; None when nothing does."""
    duties = [duty for duty in await store.duties_of(session, warning_ids) if _callable(duty, now)]
    asks = await _asks_by_duty(session, duties)
    if not any(_lacking(duty, asks[duty.id]) for duty in duties):
        return None
    helpers = await _helpers(session, garden, now)
    return rota.Problem(garden.zone, tuple(_duty(duty, asks[duty.id], garden) for duty in duties), helpers)


async def ask(session: AsyncSession, solution: rota.Solution, now: datetime) -> list[Ask]:
    """Store the new names of a solution; whoever has been asked before stays asked. Returns the new asks."""
    duty_ids = {each.duty_id for each in solution.assignments}
    rows = (await session.scalars(select(Duty).where(Duty.id.in_(duty_ids)))).all()
    duties = {duty.id: duty for duty in rows if duty.state is DutyState.OPEN}
    known = await _asks_by_duty(session, rows)
    fresh = []
    for each in solution.assignments:
        duty = duties.get(each.duty_id)
        if duty is None or not _lacking(duty, known[duty.id]):
            continue
        if any(row.member_id == each.helper_id for row in known[duty.id]):
            continue
        row = Ask(duty_id=duty.id, member_id=each.helper_id, asked_at=now, why=" ".join(why.name for why in each.why))
        session.add(row)
        known[duty.id].append(row)
        fresh.append(row)
    await session.flush()
    return fresh


def _lacking(duty: Duty, asks: Sequence[Ask]) -> bool:
    return duty.state is DutyState.OPEN and sum(row.state in _KEEPING for row in asks) < duty.people


def _callable(duty: Duty, now: datetime) -> bool:
    return duty.state in store.LIVE and duty.due_at > now


async def _asks_by_duty(session: AsyncSession, duties: Sequence[Duty]) -> dict[int, list[Ask]]:
    found: dict[int, list[Ask]] = defaultdict(list)
    for row in await store.asks_of(session, [duty.id for duty in duties]):
        found[row.duty_id].append(row)
    return found


def _duty(duty: Duty, asks: Sequence[Ask], garden: Garden) -> rota.Duty:
    place = garden.place_by_id[duty.place_id]
    lifted = place.wet_kg if place.movable and place.wet_kg else 0.0
    ends_at = duty.due_at
    starts_at = max(duty.starts_at, ends_at - timedelta(minutes=duty.minutes))
    return rota.Duty(
        id=duty.id,
        starts_at=min(starts_at, ends_at - timedelta(minutes=5)),
        ends_at=ends_at,
        place_id=duty.place_id,
        minutes=duty.minutes,
        people=duty.people,
        kg_each=lifting.kg_each(lifted, duty.people) if lifted else 0.0,
        needs_key=place.needs_key,
        after_sunset=_after_sunset(garden, ends_at),
        agreed=_ids(asks, (AskState.ACCEPTED,)),
        asked=_ids(asks, (AskState.ASKED,)),
        refused=_ids(asks, _REFUSED),
    )


def _ids(asks: Sequence[Ask], states: tuple[AskState, ...]) -> tuple[int, ...]:
    return tuple(row.member_id for row in asks if row.state in states)


def _after_sunset(garden: Garden, at: datetime) -> bool:
    day = at.astimezone(ZoneInfo(garden.zone)).date()
    sunset_at = sun.sun_day(day, ZoneInfo(garden.zone), garden.latitude, garden.longitude).sunset_at
    return sunset_at is not None and at > sunset_at


async def _helpers(session: AsyncSession, garden: Garden, now: datetime) -> tuple[rota.Helper, ...]:
    today = now.astimezone(ZoneInfo(garden.zone)).date()
    rows = {row.id: row for row in await member_store.in_garden(session, garden.id)}
    away: dict[int, list[tuple[date, date]]] = defaultdict(list)
    for absence in await member_store.aways(session, garden.id, today, today + timedelta(days=14)):
        away[absence.member_id].append((absence.from_on, absence.to_on))
    free = await _free_times(session, list(rows))
    turns = await _turns(session, garden, now)
    return tuple(
        _helper(member, rows[member.id], garden, tuple(away[member.id]), free.get(member.id), turns[member.id], now)
        for member in garden.members
    )


def _helper(
    member: Member,
    row: MemberRow,
    garden: Garden,
    away: tuple[tuple[date, date], ...],
    free: tuple[rota.Window, ...] | None,
    turns: list[Turn],
    now: datetime,
) -> rota.Helper:
    plots = {plot.id for plot in garden.plots if member.id in plot.holder_ids}
    zone = ZoneInfo(garden.zone)
    return rota.Helper(
        id=member.id,
        adult=member.adult,
        reachable=member.reachable,
        lift_kg=member.lift_kg,
        has_key=member.has_key,
        skills=frozenset(row.skills.split()),
        free=free,
        away=away,
        mornings_only=row.mornings_only,
        per_week=row.per_week,
        turns_on=tuple(turn.at.astimezone(zone).date() for turn in turns if now - turn.at < timedelta(days=8)),
        burden=burden(turns, now),
        own_places=frozenset(place.id for place in garden.places if place.plot_id in plots),
    )


async def _free_times(session: AsyncSession, member_ids: Sequence[int]) -> dict[int, tuple[rota.Window, ...]]:
    found: dict[int, list[rota.Window]] = defaultdict(list)
    for row in await session.scalars(select(FreeTime).where(FreeTime.member_id.in_(member_ids)).order_by(FreeTime.id)):
        found[row.member_id].append(rota.Window(row.weekday, time(row.from_h), time(row.to_h % 24)))
    return {member_id: tuple(windows) for member_id, windows in found.items()}


async def _turns(session: AsyncSession, garden: Garden, now: datetime) -> dict[int, list[Turn]]:
    """What each member has done this season: accepted asks whose duty is done."""
    rows = await session.execute(
        select(Ask.member_id, Duty.done_at, Duty.minutes, Duty.due_at, Duty.people, Duty.place_id)
        .join(Duty, Duty.id == Ask.duty_id)
        .join(Warning, Warning.id == Duty.warning_id)
        .where(
            Warning.garden_id == garden.id,
            Ask.state == AskState.ACCEPTED,
            Duty.state == DutyState.DONE,
            Duty.done_at > now - _SEASON,
        )
        .order_by(Ask.id)
    )
    found: dict[int, list[Turn]] = defaultdict(list)
    for member_id, done_at, minutes, due_at, people, place_id in rows:
        assert done_at is not None  # the query asks for it to be later than a moment
        place = garden.place_by_id.get(place_id)
        lifted = place.wet_kg if place and place.movable and place.wet_kg else 0.0
        weight = turn_weight(
            minutes,
            lifting.kg_each(lifted, people) if lifted else 0.0,
            due_at.astimezone(ZoneInfo(garden.zone)).time(),
            after_sunset=_after_sunset(garden, due_at),
        )
        found[member_id].append(Turn(done_at, weight))
    return found
