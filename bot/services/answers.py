"""What members answer: I'll do it, I can't, done, not done. Every answer may come twice, late or in the wrong order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services import afterwards, reported
from bot.storage import gardens
from bot.storage import warnings as store
from bot.storage.models import Ask, Duty, DutyReport, Member, Warning
from bot.storage.states import AskState, DutyState, WarningState

__all__ = [
    "Answer", "Reply", "accept", "close_when_enough", "done", "hands", "not_done", "pass_on", "reports", "take",
]  # fmt: skip

_KEEPING = (AskState.ASKED, AskState.ACCEPTED)


class Reply(StrEnum):
    """How an answer was taken."""

    THANKS = "thanks"
    ALREADY = "already"  # the same answer had come before
    NOT_NEEDED = "not needed"  # done, dropped or taken by others
    TOO_LATE = "too late"
    ADULTS_ONLY = "adults only"
    PASSED = "passed"
    NOT_ASKED = "not asked"
    REOPENED = "reopened"
    HANDS = "hands"  # one more person is looked for
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Answer:
    """duty_ids: the duties that the answer changed."""

    reply: Reply
    duty_ids: tuple[int, ...] = ()


async def accept(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Answer:
    """A member takes what they were asked for, or, not asked, the first duty that still lacks somebody."""
    if not member.adult:
        return Answer(Reply.ADULTS_ONLY)
    duties = await _live(session, warning, now)
    if not duties:
        late = warning.state is WarningState.OVER or now >= warning.due_at
        return Answer(Reply.TOO_LATE if late else Reply.NOT_NEEDED)
    asks = await store.asks_of(session, [duty.id for duty in duties])
    mine = {ask.duty_id: ask for ask in asks if ask.member_id == member.id}
    named = [duty for duty in duties if duty.id in mine and mine[duty.id].state in _KEEPING]
    fresh = [duty for duty in named if mine[duty.id].state is AskState.ASKED]
    if named and not fresh:
        return Answer(Reply.ALREADY)
    chosen = fresh or _volunteer(duties, asks, member)
    for duty in chosen:
        take(session, duty, mine.get(duty.id), member, now)
        close_when_enough(duty, [*asks], member)
    await session.flush()
    return Answer(Reply.THANKS if chosen else Reply.NOT_NEEDED, tuple(duty.id for duty in chosen))


async def pass_on(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Answer:
    """A member can't: somebody else is found. Said after an accept it frees the duty again."""
    duties = {duty.id: duty for duty in await _live(session, warning, now)}
    changed = []
    passed_before = False
    for ask in await store.asks_of(session, list(duties)):
        if ask.member_id != member.id:
            continue
        passed_before |= ask.state is AskState.PASSED
        if ask.state in _KEEPING:
            ask.state, ask.answered_at = AskState.PASSED, now
            duties[ask.duty_id].state = DutyState.OPEN
            changed.append(ask.duty_id)
    if changed:
        return Answer(Reply.PASSED, tuple(changed))
    return Answer(Reply.ALREADY if passed_before else Reply.NOT_ASKED if duties else Reply.TOO_LATE)


async def done(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Answer:
    """A member has done what was theirs; whoever has no part in it has done what is left: first what nobody had taken.

    Late is as good as in time: what was missed is done all the same, and is to be undone like the rest.
    """
    if not member.adult:
        return Answer(Reply.ADULTS_ONLY)
    duties = [duty for duty in await store.duties_of(session, [warning.id]) if duty.starts_at <= now]
    asks = await store.asks_of(session, [duty.id for duty in duties])
    chosen = _reported(warning, duties, asks, member)
    if not chosen:
        return Answer(Reply.ALREADY if duties else Reply.UNKNOWN)
    late = any(duty.state is DutyState.MISSED for duty in chosen)
    for duty in chosen:
        _finish(session, duty, asks, member, now)
        session.add(DutyReport(duty_id=duty.id, member_id=member.id, done=True, reported_at=now))
        await reported.by_duty(session, warning, duty, member.id, now)
    await session.flush()
    garden = await gardens.by_id(session, warning.garden_id)
    if late and garden is not None:
        await afterwards.plan(session, garden, warning, now)
    return Answer(Reply.THANKS, tuple(duty.id for duty in chosen))


def _reported(warning: Warning, duties: Sequence[Duty], asks: Sequence[Ask], member: Member) -> list[Duty]:
    """What a member's Done is about. Whoever has reported theirs says nothing new by saying it again."""
    open_ = [duty for duty in duties if duty.state in (*store.LIVE, DutyState.MISSED)]
    mine = {ask.duty_id for ask in asks if ask.member_id == member.id and ask.state in _KEEPING}
    if own := [duty for duty in open_ if duty.id in mine]:
        return own
    now_due = [duty for duty in duties if (duty.task in afterwards.TASKS) is (warning.state is WarningState.OVER)]
    if any(duty.id in mine for duty in now_due):
        return []
    left = [duty for duty in now_due if duty in open_]
    taken = {ask.duty_id for ask in asks if ask.state is AskState.ACCEPTED}
    return [duty for duty in left if duty.id not in taken] or left


async def not_done(session: AsyncSession, warning: Warning, duty: Duty, now: datetime) -> Answer:
    """Somebody saw that it is not done: it is open again, people are asked anew, and nobody is named."""
    undoes = duty.task in afterwards.TASKS
    if duty.state is not DutyState.DONE:
        return Answer(Reply.ALREADY)
    if (warning.state is WarningState.OVER) is not undoes or now >= duty.due_at:
        return Answer(Reply.TOO_LATE)
    duty.state, duty.done_at, duty.done_by, duty.escalated_at = DutyState.OPEN, None, None, None
    session.add(DutyReport(duty_id=duty.id, member_id=None, done=False, reported_at=now))
    await reported.not_so(session, duty, now)
    for ask in await store.asks_of(session, [duty.id]):
        if ask.state is AskState.ACCEPTED:
            ask.state = AskState.RELEASED
    await session.flush()
    return Answer(Reply.REOPENED, (duty.id,))


async def hands(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Answer:
    """A member who has said yes needs another pair of hands: one more person is wanted for theirs, once."""
    duties = {duty.id: duty for duty in await _live(session, warning, now)}
    asks = await store.asks_of(session, list(duties))
    mine = [duties[ask.duty_id] for ask in asks if ask.member_id == member.id and ask.state is AskState.ACCEPTED]
    more: dict[str, int] = dict(warning.said.get("more", {}))
    fresh = [duty for duty in mine if str(duty.id) not in more]
    if not fresh:
        return Answer(Reply.ALREADY if mine else Reply.NOT_ASKED if duties else Reply.TOO_LATE)
    for duty in fresh:
        more[str(duty.id)] = 1
        duty.people, duty.state = duty.people + 1, DutyState.OPEN
    warning.said = {**warning.said, "more": more}
    await session.flush()
    return Answer(Reply.HANDS, tuple(duty.id for duty in fresh))


async def reports(session: AsyncSession, duty: Duty) -> tuple[tuple[DutyReport, str | None], ...]:
    """What was said of a duty, in order, with the name of whoever said done; not done names nobody."""
    rows = await session.scalars(select(DutyReport).where(DutyReport.duty_id == duty.id).order_by(DutyReport.id))
    found = []
    for row in rows:
        member = await session.get(Member, row.member_id) if row.member_id is not None else None
        found.append((row, member.person.name if member is not None else None))
    return tuple(found)


async def _live(session: AsyncSession, warning: Warning, now: datetime) -> list[Duty]:
    """Duties that can still be taken: open or accepted, and not after their latest safe time."""
    duties = await store.duties_of(session, [warning.id])
    return [duty for duty in duties if duty.state in store.LIVE and now < duty.due_at]


def _volunteer(duties: list[Duty], asks: Sequence[Ask], member: Member) -> list[Duty]:
    """The first duty for which too few have accepted and that this member has not passed on."""
    for duty in duties:
        accepted = [ask for ask in asks if ask.duty_id == duty.id and ask.state is AskState.ACCEPTED]
        if len(accepted) < duty.people:
            return [duty]
    return []


def take(session: AsyncSession, duty: Duty, ask: Ask | None, member: Member, now: datetime) -> None:
    """The member's yes. ask: their own for this duty, None when they were never asked."""
    if ask is None:
        ask = Ask(duty_id=duty.id, member_id=member.id, asked_at=now, why="OFFERED")
        session.add(ask)
    ask.state, ask.answered_at = AskState.ACCEPTED, now


def close_when_enough(duty: Duty, asks: Sequence[Ask], member: Member) -> None:
    """When enough have accepted the duty is closed, and those who have not answered need not."""
    others = [ask for ask in asks if ask.duty_id == duty.id and ask.member_id != member.id]
    if 1 + sum(ask.state is AskState.ACCEPTED for ask in others) >= duty.people:
        duty.state = DutyState.ACCEPTED
        for ask in others:
            if ask.state is AskState.ASKED:
                ask.state = AskState.RELEASED


def _finish(session: AsyncSession, duty: Duty, asks: Sequence[Ask], member: Member, now: datetime) -> None:
    duty.state, duty.done_at, duty.done_by = DutyState.DONE, now, member.id
    here = [ask for ask in asks if ask.duty_id == duty.id]
    for ask in here:
        if ask.state is AskState.ASKED and ask.member_id != member.id:
            ask.state = AskState.RELEASED
    if not any(ask.member_id == member.id and ask.state is AskState.ACCEPTED for ask in here):
        mine = next((ask for ask in here if ask.member_id == member.id), None)
        take(session, duty, mine, member, now)
