"""What members answer: I'll do it, I can't, done, not done. Every answer may come twice, late or in the wrong order.

It is about a warning, of which it means what is theirs, or about a walk of a day, of which it means the whole.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import lifting
from bot.services import afterwards, reported
from bot.storage import gardens, tasks
from bot.storage.models import Ask, Garden, JobMark, Member, Place, Task, TaskReport, Warning
from bot.storage.states import AskState, MarkKind, TaskState, WarningState

__all__ = [
    "About", "Answer", "Reply", "Reportable", "Share", "Walk", "accept", "all_seen_to", "close_when_enough", "done",
    "give_on", "hands", "left", "not_done", "pass_on", "reportable", "reports", "spare", "take", "take_back",
]  # fmt: skip

_KEEPING = tasks.KEEPING
_OPEN = (*tasks.LIVE, TaskState.MISSED)
#: A Done of a walk is still taken so long after it was due.
_LATE = timedelta(days=3)


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


class Share(StrEnum):
    """How much of what wants several people a Done is about."""

    UNSAID = "unsaid"  # so nothing of it is taken: it is asked
    PART = "part"  # the speaker's own
    WHOLE = "whole"  # all of it, said plainly


@dataclass(frozen=True, slots=True)
class Reportable:
    """What may be reported done now. mine: what the member has accepted, or where there is none of it, was asked for;
    every: with it, all that is due now. before: whether they have reported something already. Ids, in a fixed order.
    """

    mine: tuple[int, ...]
    every: tuple[int, ...]
    before: bool


async def accept(session: AsyncSession, about: About, member: Member, now: datetime) -> Answer:
    """A member takes what they were asked for, or, not asked, the first duty that still lacks somebody, or the walk."""
    if not member.adult:
        return Answer(Reply.ADULTS_ONLY)
    duties = await _live(session, about, now)
    if not duties:
        return Answer(_none_left(about, now))
    asks = await tasks.asks_of(session, [duty.id for duty in duties])
    mine = {ask.task_id: ask for ask in asks if ask.member_id == member.id}
    heavy = await _too_heavy(session, duties, member)
    named = [duty for duty in duties if duty.id in mine and mine[duty.id].state in _KEEPING]
    fresh = [duty for duty in named if mine[duty.id].state is AskState.ASKED and duty.id not in heavy]
    if named and not fresh and not any(duty.id in heavy for duty in named):
        return Answer(Reply.ALREADY)
    chosen = fresh or _volunteer(about, [duty for duty in duties if duty.id not in heavy], asks, heavy)
    for duty in chosen:
        take(session, duty, mine.get(duty.id), member, now)
        close_when_enough(duty, [*asks], member)
    _pass_on([(mine[duty.id], duty) for duty in named if duty.id in heavy], now)
    await session.flush()
    none = Reply.TOO_HEAVY if _volunteer(about, duties, asks) else Reply.NOT_NEEDED
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


async def pass_on(session: AsyncSession, about: About, member: Member, now: datetime) -> Answer:
    """A member can't: somebody else is found. Said after an accept it frees the duty again."""
    duties = {duty.id: duty for duty in await _live(session, about, now)}
    mine = [ask for ask in await tasks.asks_of(session, list(duties)) if ask.member_id == member.id]
    passed_before = any(ask.state is AskState.PASSED for ask in mine)
    given = [(ask, duties[ask.task_id]) for ask in mine if ask.state in _KEEPING]
    _pass_on(given, now)
    if given:
        return Answer(Reply.PASSED, tuple(duty.id for _, duty in given))
    return Answer(Reply.ALREADY if passed_before else Reply.NOT_ASKED if duties else _none_left(about, now))


async def reportable(session: AsyncSession, about: About, member: Member, now: datetime) -> Reportable:
    """What a member's Done may be about: theirs, however late, and all else that is due now; of a walk, all of it."""
    if isinstance(about, Walk):
        every = tuple(duty.id for duty in about.duties if duty.state in _OPEN)
        return Reportable(every, every, before=any(duty.state is TaskState.DONE for duty in about.duties))
    duties = [duty for duty in await tasks.of_warnings(session, [about.id]) if duty.starts_at <= now]
    ids = [duty.id for duty in duties]
    asks = [ask for ask in await tasks.asks_of(session, ids) if _keeps(ask, member)]
    said = {report.task_id for report in await _done_reports(session, ids) if report.member_id == member.id}
    open_ = [duty for duty in duties if duty.state in _OPEN]
    still = {duty.id for duty in open_}
    accepted = {ask.task_id for ask in asks if ask.state is AskState.ACCEPTED} & still
    theirs = accepted or {ask.task_id for ask in asks} & still
    mine = tuple(duty.id for duty in open_ if duty.id in theirs and duty.id not in said)
    over = about.state is WarningState.OVER
    every = tuple(duty.id for duty in open_ if duty.id in theirs or (duty.kind in afterwards.TASKS) is over)
    return Reportable(mine, every, before=bool(said))


async def all_seen_to(session: AsyncSession, warning: Warning, member: Member) -> bool:
    """Whether the member keeps something, and all of it is done, whoever reported it."""
    duties = {duty.id: duty for duty in await tasks.of_warnings(session, [warning.id])}
    kept = [ask.task_id for ask in await tasks.asks_of(session, list(duties)) if _keeps(ask, member)]
    return bool(kept) and all(duties[task_id].state is TaskState.DONE for task_id in kept)


async def done(
    session: AsyncSession,
    about: About,
    member: Member,
    now: datetime,
    task_ids: Collection[int] | None = None,
    share: Share = Share.UNSAID,
) -> Answer:
    """A member reports what is done: theirs, or what they say. What wants several people is done when so many have
    reported their part, or when somebody says that the whole of it is.

    Late is as good as in time: what was missed is done all the same, and is to be undone like the rest. What was
    others' names nobody: they have the credit, and whoever only says so has not.
    """
    if not member.adult:
        return Answer(Reply.ADULTS_ONLY)
    may = await reportable(session, about, member, now)
    wanted = may.mine if task_ids is None else [one for one in may.every if one in task_ids]
    duties = [duty for duty in await _every(session, about) if duty.id in wanted]
    if isinstance(about, Walk) and (none := _no_more(about, now)) is not None:
        return Answer(none)
    if not duties:
        return Answer(Reply.ALREADY if may.every or may.before else Reply.UNKNOWN)
    asks = await tasks.asks_of(session, [duty.id for duty in duties])
    asked = [duty.id for duty in duties if duty.people > 1 and share is Share.UNSAID]
    late = any(duty.state is TaskState.MISSED for duty in duties)
    garden = await gardens.by_id(session, member.garden_id)
    assert garden is not None
    noted = [
        await _note(session, about, duty, asks, member, _at(garden, duty, now), share)
        for duty in duties
        if duty.id not in asked
    ]
    if late and isinstance(about, Warning):
        await afterwards.plan(session, garden, about, now)
    if not noted:
        return Answer(Reply.WHOLE, shared=tuple(asked))
    closed = any(duty.state is TaskState.DONE for duty in duties)
    changed = tuple(report.task_id for report in noted)
    return Answer(Reply.THANKS if closed else Reply.PART, changed, tuple(asked), (noted[0].id, noted[-1].id))


def _no_more(walk: Walk, now: datetime) -> Reply | None:
    """Why nothing of a walk can be reported any more; None where something can."""
    open_ = [duty for duty in walk.duties if duty.state in _OPEN]
    if not open_:
        return Reply.ALREADY if any(duty.state is TaskState.DONE for duty in walk.duties) else Reply.NOT_NEEDED
    return Reply.TOO_LATE if all(now - duty.due_at > _LATE for duty in open_) else None


def _at(garden: Garden, duty: Task, now: datetime) -> datetime:
    """When it was done, by a report of now: what a day wanted was done that day."""
    return now if duty.warning_id is not None or now.astimezone(garden.tz).date() == duty.on else duty.due_at


async def _note(
    session: AsyncSession,
    about: About,
    duty: Task,
    asks: Sequence[Ask],
    member: Member,
    now: datetime,
    share: Share,
) -> TaskReport:
    """Note one report, with what stood before it so that it can be taken back; the duty is done when that is enough."""
    here = [ask for ask in asks if ask.task_id == duty.id]
    before = {"state": duty.state.value, "asks": {str(ask.id): ask.state.value for ask in here}}
    told = {report.member_id for report in await _done_reports(session, [duty.id])} | {member.id}
    theirs = any(_keeps(ask, member) for ask in here)
    others = any(ask.state is AskState.ACCEPTED and ask.member_id != member.id for ask in here)
    if share is Share.PART or theirs or not (others or share is Share.WHOLE):
        take(session, duty, next((ask for ask in here if ask.member_id == member.id), None), member, now)
    if duty.people == 1 or share is Share.WHOLE or len(told) >= duty.people:
        named = member.id if duty.people == 1 and (theirs or not (others or share is Share.WHOLE)) else None
        duty.state, duty.done_at, duty.done_by = TaskState.DONE, now, named
        for ask in here:
            ask.state = AskState.RELEASED if ask.state is AskState.ASKED else ask.state
        await reported.by_duty(session, about.ends_at if isinstance(about, Warning) else None, duty, member.id, now)
        if duty.item:
            await _mark(session, duty, member, now)
    elif duty.state in tasks.LIVE:
        close_when_enough(duty, here, member)
    report = TaskReport(task_id=duty.id, member_id=member.id, done=True, reported_at=now, before=before)
    session.add(report)
    await session.flush()
    return report


async def _mark(session: AsyncSession, duty: Task, member: Member, now: datetime) -> None:
    """What a day's work did is done in the week, too."""
    row = await _marked(session, duty, member)
    if row is None:
        row = JobMark(garden_id=duty.garden_id, member_id=member.id, job=duty.item)
        session.add(row)
    row.kind, row.marked_at, row.until_on = MarkKind.DONE, now, duty.on + timedelta(days=1)


async def _marked(session: AsyncSession, duty: Task, member: Member) -> JobMark | None:
    if not duty.item:
        return None
    query = select(JobMark).where(
        JobMark.garden_id == duty.garden_id, JobMark.member_id == member.id, JobMark.job == duty.item
    )
    return await session.scalar(query)


async def take_back(
    session: AsyncSession, about: About, member: Member, report_ids: tuple[int, int], now: datetime
) -> Answer:
    """Undo under a member's own Done: everything of it stands as it stood before, as long as nothing has come of it."""
    first, last = report_ids
    query = (
        select(TaskReport, Task)
        .join(Task, Task.id == TaskReport.task_id)
        .where(
            TaskReport.id.between(first, last),
            TaskReport.member_id == member.id,
            TaskReport.done,
            Task.id.in_([duty.id for duty in about.duties]) if isinstance(about, Walk) else Task.warning_id == about.id,
        )
    )
    found = [(report, duty) for report, duty in await session.execute(query.order_by(TaskReport.id))]
    changed = [duty.id for report, duty in found if await _taken_back(session, about, report, duty, member, now)]
    await session.flush()
    if changed:
        return Answer(Reply.TAKEN_BACK, tuple(changed))
    return Answer(Reply.TOO_LATE if found else Reply.ALREADY)


async def _taken_back(
    session: AsyncSession, about: About, report: TaskReport, duty: Task, member: Member, now: datetime
) -> bool:
    """Put one duty back; False where something has come of it since: the night, or what another has said."""
    before = report.before or {"state": duty.state.value, "asks": {}}
    closed, was = duty.state is TaskState.DONE, TaskState(before["state"])
    if closed:
        newest = (await _done_reports(session, [duty.id]))[-1:]
        over = _is_over(about) and duty.kind not in afterwards.TASKS
        if newest != [report] or (over and not (was is TaskState.MISSED and await afterwards.unplan(session, duty))):
            return False
        await reported.taken_back(session, duty, now)
        mark = await _marked(session, duty, member)
        if mark is not None and mark.marked_at == duty.done_at:
            await session.delete(mark)
        duty.done_at = duty.done_by = None
    if closed or duty.state is TaskState.ACCEPTED:
        duty.state = was
    for ask in await tasks.asks_of(session, [duty.id]):
        was_ask = before["asks"].get(str(ask.id))  # None for whoever was asked since
        if ask.member_id == member.id and was_ask is None:
            await session.delete(ask)
        elif was_ask is not None and (closed or ask.member_id == member.id):
            ask.state = AskState(was_ask)
    await session.delete(report)
    return True


def _keeps(ask: Ask, member: Member) -> bool:
    return ask.member_id == member.id and ask.state in _KEEPING


async def _done_reports(session: AsyncSession, task_ids: Collection[int]) -> list[TaskReport]:
    """Of each duty, who has said done since it was last said that it is not, in order."""
    query = select(TaskReport).where(TaskReport.task_id.in_(task_ids)).order_by(TaskReport.id)
    since: dict[int, list[TaskReport]] = {}
    for report in await session.scalars(query):
        since[report.task_id] = [*since.get(report.task_id, []), report] if report.done else []
    return sorted((report for those in since.values() for report in those), key=lambda report: report.id)


async def not_done(session: AsyncSession, warning: Warning, duty: Task, now: datetime) -> Answer:
    """Somebody saw that it is not done: it is open again, people are asked anew, and nobody is named."""
    undoes = duty.kind in afterwards.TASKS
    if duty.state is not TaskState.DONE:
        return Answer(Reply.ALREADY)
    if (warning.state is WarningState.OVER) is not undoes or now >= duty.due_at:
        return Answer(Reply.TOO_LATE)
    duty.state, duty.done_at, duty.done_by, duty.escalated_at = TaskState.OPEN, None, None, None
    session.add(TaskReport(task_id=duty.id, member_id=None, done=False, reported_at=now))
    await reported.not_so(session, duty, now)
    for ask in await tasks.asks_of(session, [duty.id]):
        if ask.state is AskState.ACCEPTED:
            ask.state = AskState.RELEASED
    await session.flush()
    return Answer(Reply.REOPENED, (duty.id,))


async def left(session: AsyncSession, warning: Warning, member: Member) -> Answer:
    """Asked the morning after, they say that it was not done: it is not theirs any more, whoever reports it later."""
    missed = [one.id for one in await tasks.of_warnings(session, [warning.id]) if one.state is TaskState.MISSED]
    mine = [one for one in await tasks.asks_of(session, missed) if _keeps(one, member)]
    for ask in mine:
        ask.state = AskState.RELEASED
    await session.flush()
    return Answer(Reply.LEFT if mine else Reply.ALREADY, tuple(ask.task_id for ask in mine))


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


async def reports(session: AsyncSession, duty: Task) -> tuple[tuple[TaskReport, str | None], ...]:
    """What was said of a duty, in order, with the name of whoever said done; not done names nobody."""
    rows = await session.scalars(select(TaskReport).where(TaskReport.task_id == duty.id).order_by(TaskReport.id))
    found = []
    for row in rows:
        member = await session.get(Member, row.member_id) if row.member_id is not None else None
        found.append((row, member.person.name if member is not None else None))
    return tuple(found)


async def _every(session: AsyncSession, about: About) -> Sequence[Task]:
    """What it is about and still counts."""
    if isinstance(about, Walk):
        return [duty for duty in about.duties if duty.state is not TaskState.DROPPED]
    return await tasks.of_warnings(session, [about.id])


async def _live(session: AsyncSession, about: About, now: datetime) -> list[Task]:
    """Duties that can still be taken: open or accepted, and not after their latest safe time."""
    return [duty for duty in await _every(session, about) if duty.state in tasks.LIVE and now < duty.due_at]


def _is_over(about: About) -> bool:
    return isinstance(about, Warning) and about.state is WarningState.OVER


def _none_left(about: About, now: datetime) -> Reply:
    """Why nothing can be taken: its time is past, or others see to it."""
    if isinstance(about, Walk):
        return Reply.TOO_LATE if any(duty.state in _OPEN for duty in about.duties) else Reply.NOT_NEEDED
    return Reply.TOO_LATE if _is_over(about) or now >= about.due_at else Reply.NOT_NEEDED


def _volunteer(about: About, duties: list[Task], asks: Sequence[Ask], heavy: Collection[int] = ()) -> list[Task]:
    """The first duty for which too few have accepted; of a walk all such, and none where part of it is too heavy."""
    wanting = [
        duty
        for duty in duties
        if sum(ask.task_id == duty.id and ask.state is AskState.ACCEPTED for ask in asks) < duty.people
    ]
    if isinstance(about, Walk):
        return [] if heavy else wanting
    return wanting[:1]


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
