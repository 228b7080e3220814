"""What members report as done, or not done after all: by whom, how much of it, taken back, and what follows of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.garden import place_ledger
from bot.services.tasks.answers import About, Answer, Reply, Walk, close_when_enough, every, is_over, keeps, take
from bot.services.warnings import aftermath
from bot.storage.garden import gardens
from bot.storage.models import Ask, Garden, JobMark, Member, Task, TaskReport, Warning
from bot.storage.states import AskState, MarkKind, TaskState, WarningState
from bot.storage.tasks import tasks

#: A Done of a walk is still taken so long after it was due.
_LATE = timedelta(days=3)


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


async def reportable(session: AsyncSession, about: About, member: Member, now: datetime) -> Reportable:
    """What a member's Done may be about: theirs, however late, and all else that is due now; of a walk, all of it."""
    if isinstance(about, Walk):
        every = tuple(duty.id for duty in about.duties if duty.state in tasks.UNDONE)
        return Reportable(every, every, before=any(duty.state is TaskState.DONE for duty in about.duties))
    duties = [duty for duty in await tasks.of_warnings(session, [about.id]) if duty.starts_at <= now]
    ids = [duty.id for duty in duties]
    asks = [ask for ask in await tasks.asks_of(session, ids) if keeps(ask, member)]
    said = {report.task_id for report in await _done_reports(session, ids) if report.member_id == member.id}
    open_ = [duty for duty in duties if duty.state in tasks.UNDONE]
    still = {duty.id for duty in open_}
    accepted = {ask.task_id for ask in asks if ask.state is AskState.ACCEPTED} & still
    theirs = accepted or {ask.task_id for ask in asks} & still
    mine = tuple(duty.id for duty in open_ if duty.id in theirs and duty.id not in said)
    over = about.state is WarningState.OVER
    every = tuple(duty.id for duty in open_ if duty.id in theirs or (duty.kind in aftermath.TASKS) is over)
    return Reportable(mine, every, before=bool(said))


async def all_seen_to(session: AsyncSession, warning: Warning, member: Member) -> bool:
    """Whether the member keeps something, and all of it is done, whoever reported it."""
    duties = {duty.id: duty for duty in await tasks.of_warnings(session, [warning.id])}
    kept = [ask.task_id for ask in await tasks.asks_of(session, list(duties)) if keeps(ask, member)]
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
    duties = [duty for duty in await every(session, about) if duty.id in wanted]
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
        await aftermath.plan(session, garden, about, now)
    if not noted:
        return Answer(Reply.WHOLE, shared=tuple(asked))
    closed = any(duty.state is TaskState.DONE for duty in duties)
    changed = tuple(report.task_id for report in noted)
    return Answer(Reply.THANKS if closed else Reply.PART, changed, tuple(asked), (noted[0].id, noted[-1].id))


def _no_more(walk: Walk, now: datetime) -> Reply | None:
    """Why nothing of a walk can be reported any more; None where something can."""
    open_ = [duty for duty in walk.duties if duty.state in tasks.UNDONE]
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
    theirs = any(keeps(ask, member) for ask in here)
    others = any(ask.state is AskState.ACCEPTED and ask.member_id != member.id for ask in here)
    if share is Share.PART or theirs or not (others or share is Share.WHOLE):
        take(session, duty, next((ask for ask in here if ask.member_id == member.id), None), member, now)
    if duty.people == 1 or share is Share.WHOLE or len(told) >= duty.people:
        named = member.id if duty.people == 1 and (theirs or not (others or share is Share.WHOLE)) else None
        duty.state, duty.done_at, duty.done_by = TaskState.DONE, now, named
        for ask in here:
            ask.state = AskState.RELEASED if ask.state is AskState.ASKED else ask.state
        until_at = await place_ledger.until(session, about) if isinstance(about, Warning) else None
        await place_ledger.by_duty(session, until_at, duty, member.id, now)
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
        over = is_over(about) and duty.kind not in aftermath.TASKS
        if newest != [report] or (over and not (was is TaskState.MISSED and await aftermath.unplan(session, duty))):
            return False
        await place_ledger.taken_back(session, duty, now)
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


async def _done_reports(session: AsyncSession, task_ids: Collection[int]) -> list[TaskReport]:
    """Of each duty, who has said done since it was last said that it is not, in order."""
    query = select(TaskReport).where(TaskReport.task_id.in_(task_ids)).order_by(TaskReport.id)
    since: dict[int, list[TaskReport]] = {}
    for report in await session.scalars(query):
        since[report.task_id] = [*since.get(report.task_id, []), report] if report.done else []
    return sorted((report for those in since.values() for report in those), key=lambda report: report.id)


async def not_done(session: AsyncSession, warning: Warning, duty: Task, now: datetime) -> Answer:
    """Somebody saw that it is not done: it is open again, people are asked anew, and nobody is named."""
    undoes = duty.kind in aftermath.TASKS
    if duty.state is not TaskState.DONE:
        return Answer(Reply.ALREADY)
    if (warning.state is WarningState.OVER) is not undoes or now >= duty.due_at:
        return Answer(Reply.TOO_LATE)
    duty.state, duty.done_at, duty.done_by, duty.escalated_at = TaskState.OPEN, None, None, None
    session.add(TaskReport(task_id=duty.id, member_id=None, done=False, reported_at=now))
    await place_ledger.not_so(session, duty, now)
    for ask in await tasks.asks_of(session, [duty.id]):
        if ask.state is AskState.ACCEPTED:
            ask.state = AskState.RELEASED
    await session.flush()
    return Answer(Reply.REOPENED, (duty.id,))


async def left(session: AsyncSession, warning: Warning, member: Member) -> Answer:
    """Asked the morning after, they say that it was not done: it is not theirs any more, whoever reports it later."""
    missed = [one.id for one in await tasks.of_warnings(session, [warning.id]) if one.state is TaskState.MISSED]
    mine = [one for one in await tasks.asks_of(session, missed) if keeps(one, member)]
    for ask in mine:
        ask.state = AskState.RELEASED
    await session.flush()
    return Answer(Reply.LEFT if mine else Reply.ALREADY, tuple(ask.task_id for ask in mine))


async def reports(session: AsyncSession, duty: Task) -> tuple[tuple[TaskReport, str | None], ...]:
    """What was said of a duty, in order, with the name of whoever said done; not done names nobody."""
    rows = await session.scalars(select(TaskReport).where(TaskReport.task_id == duty.id).order_by(TaskReport.id))
    found = []
    for row in rows:
        member = await session.get(Member, row.member_id) if row.member_id is not None else None
        found.append((row, member.person.name if member is not None else None))
    return tuple(found)
