"""What members answer about a walk: done, I can't, I'll do it. Every answer may come twice, late or crossed."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.chores import ChoreKind
from bot.core.lifting import LIGHT_KG, can
from bot.core.place_state import Did
from bot.services.answers import Reply
from bot.services.journal.note import Action
from bot.services.watering import job_key
from bot.storage import turns
from bot.storage.models import DayTurn, DayTurnAsk, Entry, Garden, JobMark, Member, Place, PlaceReport
from bot.storage.states import AskState, DutyState, MarkKind

__all__ = ["agree", "done", "done_elsewhere", "give_on", "lifted_kg", "pass_on", "take"]

#: A Done is still taken so long after the day.
_LATE = timedelta(days=3)
_HOUSES = {ChoreKind.OPEN: Did.OPENED, ChoreKind.CLOSE: Did.SHUT}
_SETTLED = (DutyState.DONE, DutyState.DROPPED)


async def done(session: AsyncSession, turn: DayTurn, member: Member, garden: Garden, now: datetime) -> Reply:
    """The whole walk is done, by whichever adult; what it did counts for the week, and for the water of its places."""
    if not member.adult:
        return Reply.ADULTS_ONLY
    if turn.state is DutyState.DONE:
        return Reply.ALREADY
    if turn.state is DutyState.DROPPED:
        return Reply.NOT_NEEDED
    today = now.astimezone(garden.tz).date()
    if today - turn.on > _LATE:
        return Reply.TOO_LATE
    await _finish(session, turn, member.id, now if turn.on == today else turn.due_at)
    for one in turn.chores:
        if one["key"]:
            await _mark(session, member, one["key"], turn)
    await session.flush()
    return Reply.THANKS


def lifted_kg(turn: DayTurn) -> float:
    """What a walk lifts: a can half full, or nothing. Whoever lifts nothing is not asked to water."""
    return LIGHT_KG if any(one["kind"] == ChoreKind.WATER for one in turn.chores) else 0.0


async def agree(session: AsyncSession, turn: DayTurn, member: Member, now: datetime) -> Reply:
    """Yes, to all that is theirs that day; what has gone on to others meanwhile is offered for."""
    open_ = await turns.live_of_member(session, member.id)
    mine = [(ask, one) for ask, one in open_ if one.on == turn.on and ask.state is AskState.ASKED]
    if turn.id not in {one.id for _, one in mine}:
        return await take(session, turn, member, now)
    for ask, one in mine:
        ask.state, ask.answered_at, one.state = AskState.ACCEPTED, now, DutyState.ACCEPTED
    await session.flush()
    return Reply.THANKS


async def pass_on(session: AsyncSession, turn: DayTurn, member: Member, now: datetime) -> Reply:
    """A member can't: the next look finds somebody else."""
    if turn.state in _SETTLED:
        return Reply.NOT_NEEDED
    if turn.state not in turns.LIVE or now >= turn.due_at:
        return Reply.TOO_LATE
    ask = await _ask_of(session, turn, member)
    if ask is None:
        return Reply.NOT_ASKED
    if ask.state not in turns.KEEPING:
        return Reply.ALREADY
    ask.state, ask.answered_at, turn.state = AskState.PASSED, now, DutyState.OPEN
    turn.escalated_at = None  # whoever offered and then can't leaves it to be asked for anew
    await session.flush()
    return Reply.PASSED


async def take(session: AsyncSession, turn: DayTurn, member: Member, now: datetime) -> Reply:
    """Somebody offers, when everybody was asked."""
    if not member.adult:
        return Reply.ADULTS_ONLY
    if turn.state in _SETTLED:
        return Reply.NOT_NEEDED
    if turn.state not in turns.LIVE or now >= turn.due_at:
        return Reply.TOO_LATE
    if not can(member.lift_kg, lifted_kg(turn)):
        return Reply.TOO_HEAVY
    keeping = [ask for ask in await turns.asks_of(session, [turn.id]) if ask.state in turns.KEEPING]
    if any(ask.member_id == member.id for ask in keeping):
        return Reply.ALREADY
    if keeping:
        return Reply.NOT_NEEDED
    ask = await _ask_of(session, turn, member)
    if ask is None:
        ask = DayTurnAsk(turn_id=turn.id, member_id=member.id, asked_at=now)
        session.add(ask)
    ask.state, ask.answered_at, turn.state = AskState.ACCEPTED, now, DutyState.ACCEPTED
    await session.flush()
    return Reply.THANKS


async def done_elsewhere(session: AsyncSession, turn: DayTurn, garden: Garden) -> bool:
    """Whether the week's Done, or the journal, has reported every part of a walk that day; then it is done."""
    keys = {one["key"] for one in turn.chores}
    if not keys or "" in keys:
        return False
    marks = await session.scalars(
        select(JobMark).where(JobMark.garden_id == garden.id, JobMark.kind == MarkKind.DONE, JobMark.job.in_(keys))
    )
    told = [(mark.marked_at, mark.job, mark.member_id) for mark in marks]
    notes = await session.scalars(
        select(Entry).where(
            Entry.garden_id == garden.id,
            Entry.action == Action.WATERED,
            Entry.done_on == turn.on,
            Entry.undone_at.is_(None),
        )
    )
    told += [(note.written_at, job_key(note.place_id or 0), note.member_id) for note in notes if note.member_id]
    that_day = sorted(one for one in told if one[0].astimezone(garden.tz).date() == turn.on and one[1] in keys)
    if {key for _, key, _ in that_day} != keys:
        return False
    at, _, member_id = that_day[-1]
    await _finish(session, turn, member_id, at)
    return True


async def give_on(session: AsyncSession, member_id: int, now: datetime) -> int:
    """A member is away, has left, or can't be written to: what was theirs is nobody's; returns how many walks."""
    open_ = await turns.live_of_member(session, member_id)
    for ask, turn in open_:
        ask.state, ask.answered_at, turn.state, turn.escalated_at = AskState.PASSED, now, DutyState.OPEN, None
    await session.flush()
    return len(open_)


async def _finish(session: AsyncSession, turn: DayTurn, member_id: int, at: datetime) -> None:
    turn.state, turn.done_at, turn.done_by = DutyState.DONE, at, member_id
    for one in turn.chores:
        did = _HOUSES.get(ChoreKind(one["kind"]))
        if did is not None and await session.get(Place, one["place_id"]) is not None:
            session.add(PlaceReport(place_id=one["place_id"], did=did, at=at, member_id=member_id))
    for ask in await turns.asks_of(session, [turn.id]):
        if ask.member_id == member_id:
            ask.state, ask.answered_at = AskState.ACCEPTED, ask.answered_at or at
        elif ask.state in turns.KEEPING:
            ask.state = AskState.RELEASED
    await session.flush()


async def _ask_of(session: AsyncSession, turn: DayTurn, member: Member) -> DayTurnAsk | None:
    query = select(DayTurnAsk).where(DayTurnAsk.turn_id == turn.id, DayTurnAsk.member_id == member.id)
    return await session.scalar(query)


async def _mark(session: AsyncSession, member: Member, key: str, turn: DayTurn) -> None:
    assert turn.done_at is not None
    until_on = turn.on + timedelta(days=1)
    query = select(JobMark).where(
        JobMark.garden_id == turn.garden_id, JobMark.member_id == member.id, JobMark.job == key
    )
    row = await session.scalar(query)
    if row is None:
        row = JobMark(garden_id=turn.garden_id, member_id=member.id, job=key)
        session.add(row)
    row.kind, row.marked_at, row.until_on = MarkKind.DONE, turn.done_at, until_on
