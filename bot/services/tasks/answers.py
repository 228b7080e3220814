"""What members answer: I'll do it, I can't, one more person. Every answer may come twice, late or in the wrong order.

It is about a warning, of which it means what is theirs, or about a walk of a day, of which it means the whole.

How people answer: the sooner a group does, the later it need be called, when the forecast is surer; and who never does.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.people import lifting
from bot.core.warnings.alerts import TIMELINE, Moment
from bot.storage.models import Ask, Garden, Member, Place, Task, Warning
from bot.storage.states import AskState, TaskState, WarningState
from bot.storage.tasks import tasks


@dataclass(frozen=True, slots=True)
class Walk:
    """The work of one walk of a day, or of several of them."""

    duties: tuple[Task, ...]


About = Warning | Walk


class Reply(StrEnum):
    """How an answer was taken."""

    THANKS = "thanks"
    ALREADY = "already"  # the same answer had come before
    NOT_NEEDED = "not needed"  # done, dropped or taken by others
    TOO_LATE = "too late"
    ADULTS_ONLY = "adults only"
    TOO_HEAVY = "too heavy"  # for what the member has said they are glad to lift
    PASSED = "passed"
    NOT_ASKED = "not asked"
    REOPENED = "reopened"
    TAKEN_BACK = "taken back"  # their own Done, by Undo
    WHOLE = "whole"  # it wants several people: is the whole of it done?
    PART = "part"  # their part of it is noted, others' are still to come
    HANDS = "hands"  # one more person is looked for
    LEFT = "left"  # it was not done, they say afterwards
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Answer:
    """task_ids: the duties that the answer changed. shared: those that want several people, so that it is asked of each
    whether the whole of it is done. report_ids: first and last of what was noted, for Undo.
    """

    reply: Reply
    task_ids: tuple[int, ...] = ()
    shared: tuple[int, ...] = ()
    report_ids: tuple[int, int] | None = None


async def accept(
    session: AsyncSession, about: About, member: Member, now: datetime, shown: Collection[int] | None = None
) -> Answer:
    """A member takes what they were asked for, or, not asked, the first duty that still lacks somebody, or the walk.

    Whoever says so after their silence was noted takes all of it for which nobody else has been found.

    shown: the duties that the message named under which they say so, and only these; None for all of the warning.
    """
    if not member.adult:
        return Answer(Reply.ADULTS_ONLY)
    duties = [duty for duty in await _live(session, about, now) if shown is None or duty.id in shown]
    if not duties:
        return Answer(_none_left(about, now))
    asks = await tasks.asks_of(session, [duty.id for duty in duties])
    mine = {ask.task_id: ask for ask in asks if ask.member_id == member.id}
    heavy = await _too_heavy(session, duties, member)
    named = [duty for duty in duties if duty.id in mine and mine[duty.id].state in tasks.KEEPING]
    fresh = [duty for duty in named if mine[duty.id].state is AskState.ASKED and duty.id not in heavy]
    if named and not fresh and not any(duty.id in heavy for duty in named):
        return Answer(Reply.ALREADY)
    wanting = _wanting(duties, asks)
    late = [duty for duty in wanting if duty.id in mine and mine[duty.id].state is AskState.SILENT]
    light = [duty for duty in wanting if duty.id not in heavy]
    chosen = fresh or _offered(about, light, [duty for duty in late if duty.id not in heavy], heavy)
    for duty in chosen:
        take(session, duty, mine.get(duty.id), member, now)
        close_when_enough(duty, [*asks], member)
    _pass_on([(mine[duty.id], duty) for duty in named if duty.id in heavy], now)
    await session.flush()
    none = Reply.TOO_HEAVY if wanting else Reply.NOT_NEEDED
    return Answer(Reply.THANKS if chosen else none, tuple(duty.id for duty in chosen))


async def spare(session: AsyncSession, member: Member, now: datetime) -> tuple[int, ...]:
    """They lift less than before: what is too heavy now goes to others. Ids of the places."""
    open_ = await tasks.open_of_member(session, member.id)
    heavy = await _too_heavy(session, [duty for _, duty in open_], member)
    given = [(ask, duty) for ask, duty in open_ if duty.id in heavy]
    _pass_on(given, now)
    await session.flush()
    return tuple(dict.fromkeys(duty.where_id for _, duty in given))


def _pass_on(given: Sequence[tuple[Ask, Task]], now: datetime) -> None:
    for ask, duty in given:
        ask.state, ask.answered_at, duty.state = AskState.PASSED, now, TaskState.OPEN
        if duty.warning_id is None:
            duty.escalated_at = None  # whoever offered and then can't leaves it to be asked for anew


async def give_on(session: AsyncSession, member: Member, now: datetime) -> int:
    """They are away, have left, or can't be written to: what was theirs goes to others; returns how much that was."""
    open_ = await tasks.open_of_member(session, member.id)
    _pass_on(open_, now)
    await session.flush()
    return len(open_)


async def _too_heavy(session: AsyncSession, duties: Sequence[Task], member: Member) -> set[int]:
    """Ids of the duties that lift more than the member has said they are glad to, however they came to be asked."""
    rows = await session.scalars(select(Place).where(Place.id.in_({duty.where_id for duty in duties})))
    places = {place.id: place for place in rows}
    asked = {duty.id: lifting.asked_kg(duty.kind, places.get(duty.where_id), duty.people) for duty in duties}
    return {task_id for task_id, kg in asked.items() if not lifting.can(member.lift_kg, kg)}


async def pass_on(
    session: AsyncSession, about: About, member: Member, now: datetime, shown: Collection[int] | None = None
) -> Answer:
    """A member can't: somebody else is found. Said after an accept it frees the duty again.

    shown: only these duties; None for all that are theirs.
    """
    duties = {duty.id: duty for duty in await _live(session, about, now) if shown is None or duty.id in shown}
    mine = [ask for ask in await tasks.asks_of(session, list(duties)) if ask.member_id == member.id]
    passed_before = any(ask.state is AskState.PASSED for ask in mine)
    given = [(ask, duties[ask.task_id]) for ask in mine if ask.state in tasks.KEEPING]
    _pass_on(given, now)
    late = [ask for ask in mine if ask.state is AskState.SILENT]  # others are asked by now, and have it perhaps
    for ask in late:
        ask.state, ask.answered_at = AskState.PASSED, now
    if given or late:
        return Answer(Reply.PASSED, (*(duty.id for _, duty in given), *(ask.task_id for ask in late)))
    return Answer(Reply.ALREADY if passed_before else Reply.NOT_ASKED if duties else _none_left(about, now))


def keeps(ask: Ask, member: Member) -> bool:
    return ask.member_id == member.id and ask.state in tasks.KEEPING


async def hands(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Answer:
    """A member who has said yes asks for one more person: one more person is wanted for theirs, once."""
    duties = {duty.id: duty for duty in await _live(session, warning, now)}
    asks = await tasks.asks_of(session, list(duties))
    mine = [duties[ask.task_id] for ask in asks if ask.member_id == member.id and ask.state is AskState.ACCEPTED]
    fresh = [duty for duty in mine if not duty.more]
    if not fresh:
        return Answer(Reply.ALREADY if mine else Reply.NOT_ASKED if duties else Reply.TOO_LATE)
    for duty in fresh:
        duty.more, duty.people, duty.state = 1, duty.people + 1, TaskState.OPEN
    await session.flush()
    return Answer(Reply.HANDS, tuple(duty.id for duty in fresh))


async def every(session: AsyncSession, about: About) -> Sequence[Task]:
    """What it is about and still counts."""
    if isinstance(about, Walk):
        return [duty for duty in about.duties if duty.state is not TaskState.DROPPED]
    return await tasks.of_warnings(session, [about.id])


async def _live(session: AsyncSession, about: About, now: datetime) -> list[Task]:
    """Duties that can still be taken: open or accepted, and not after their latest safe time."""
    return [duty for duty in await every(session, about) if duty.state in tasks.LIVE and now < duty.due_at]


def is_over(about: About) -> bool:
    return isinstance(about, Warning) and about.state is WarningState.OVER


def _none_left(about: About, now: datetime) -> Reply:
    """Why nothing can be taken: its time is past, or others see to it."""
    if isinstance(about, Walk):
        return Reply.TOO_LATE if any(duty.state in tasks.UNDONE for duty in about.duties) else Reply.NOT_NEEDED
    return Reply.TOO_LATE if is_over(about) or now >= about.due_at else Reply.NOT_NEEDED


def _wanting(duties: Sequence[Task], asks: Sequence[Ask]) -> list[Task]:
    """Those for which too few have accepted."""
    accepted = Counter(ask.task_id for ask in asks if ask.state is AskState.ACCEPTED)
    return [duty for duty in duties if accepted[duty.id] < duty.people]


def _offered(about: About, wanting: list[Task], late: list[Task], heavy: Collection[int]) -> list[Task]:
    """What an offer takes: what they had been asked for, else the first that wants somebody; a walk whole or not at all."""
    if isinstance(about, Walk):
        return [] if heavy else wanting
    return late or wanting[:1]


def take(session: AsyncSession, duty: Task, ask: Ask | None, member: Member, now: datetime) -> None:
    """The member's yes. ask: their own for this duty, None when they were never asked."""
    if ask is None:
        ask = Ask(task_id=duty.id, member_id=member.id, asked_at=now, why="OFFERED")
        session.add(ask)
    ask.state, ask.answered_at = AskState.ACCEPTED, now


def close_when_enough(duty: Task, asks: Sequence[Ask], member: Member) -> None:
    """When enough have accepted the duty is closed, and those who have not answered need not."""
    others = [ask for ask in asks if ask.task_id == duty.id and ask.member_id != member.id]
    if 1 + sum(ask.state is AskState.ACCEPTED for ask in others) >= duty.people:
        duty.state = TaskState.ACCEPTED
        for ask in others:
            if ask.state is AskState.ASKED:
                ask.state = AskState.RELEASED


_HOUR = timedelta(hours=1)
_LATEST_H, _EARLIEST_H = 12.0, dict(TIMELINE)[Moment.CALL] / _HOUR
#: Time to ask others, for them to answer, and for the way there, before the latest safe time.
_AFTER_H = 8.0
#: So many of the newest asks are looked at, and fewer tell of no habit. All four: this project's own choice.
_NEWEST_N, _LEAST_N = 60, 20
_SHARE = 0.9
#: Whoever has let so many walks or warnings of a fortnight pass without a word comes after everybody else: common practice,
#: no source.
_OFTEN, _FOR_A_WHILE = 2, timedelta(days=14)


async def note(session: AsyncSession) -> None:
    """Bring every garden's hour of calling up to what its people have shown."""
    for row in (await session.scalars(select(Garden).order_by(Garden.id))).all():
        found_h = await usual_call_h(session, row.id)
        if found_h is None or row.call_h is None or abs(found_h - row.call_h) >= 1.0:
            row.call_h = found_h


async def usual_call_h(session: AsyncSession, garden_id: int) -> float | None:
    """Hours before the latest safe time from which people are called; None for as early as anybody.

    Nine in ten had answered by then; who never did counts as slower than all others.
    """
    query = (
        select(Ask.asked_at, Ask.answered_at)
        .join(Task, Task.id == Ask.task_id)
        .where(
            Task.garden_id == garden_id,
            Task.warning_id.is_not(None),
            Ask.answered_at.is_not(None) | (Ask.state == AskState.SILENT),
        )
        .order_by(Ask.asked_at.desc())
        .limit(_NEWEST_N)
    )
    took_h = sorted(
        math.inf if answered_at is None else (answered_at - asked_at) / _HOUR
        for asked_at, answered_at in await session.execute(query)
    )
    if len(took_h) < _LEAST_N:
        return None
    found_h = called_from_h(took_h[math.ceil(_SHARE * len(took_h)) - 1])
    return found_h if found_h < _EARLIEST_H else None


def called_from_h(answered_h: float | None) -> float:
    """The same where nine in ten answer within so many hours; None where that is not known."""
    return _EARLIEST_H if answered_h is None else min(max(answered_h + _AFTER_H, _LATEST_H), _EARLIEST_H)


async def often_silent(session: AsyncSession, garden_id: int, now: datetime) -> frozenset[int]:
    """Who has let several walks or warnings pass without a word lately, and has answered nothing since."""
    silent = (Ask.state == AskState.SILENT) | ((Ask.state == AskState.ASKED) & (Task.state == TaskState.MISSED))
    query = (
        select(
            Ask.member_id, Ask.asked_at, Ask.answered_at, silent.label("silent"), Task.warning_id, Task.on, Task.part
        )
        .join(Task, Task.id == Ask.task_id)
        .where(Task.garden_id == garden_id, Ask.asked_at > now - _FOR_A_WHILE)
    )
    rows = (await session.execute(query)).all()
    heard_at: dict[int, datetime] = {}
    for row in rows:
        if row.answered_at is not None:
            heard_at[row.member_id] = max(row.answered_at, heard_at.get(row.member_id, row.answered_at))
    passed: dict[int, set[tuple[object, ...]]] = defaultdict(set)
    for row in rows:
        if row.silent and (row.member_id not in heard_at or row.asked_at > heard_at[row.member_id]):
            passed[row.member_id].add((row.warning_id, row.on, row.part))
    return frozenset(member_id for member_id, those in passed.items() if len(those) >= _OFTEN)
