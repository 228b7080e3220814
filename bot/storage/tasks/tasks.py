"""What is to be done, from warnings and from the days, and who was asked for it.

Marks on the jobs of the week that outlast it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import bindparam, func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings import fastening
from bot.storage.models import Ask, JobMark, Task, Warning
from bot.storage.read_once import lasting, read_each, read_once
from bot.storage.states import AskState, MarkKind, TaskState

LIVE = (TaskState.OPEN, TaskState.ACCEPTED)
#: What may still be reported as done.
UNDONE = (*LIVE, TaskState.MISSED)
KEEPING = (AskState.ASKED, AskState.ACCEPTED)
#: The work of a day hangs on no warning.
_OF_DAYS = Task.warning_id.is_(None)


async def by_id(session: AsyncSession, task_id: int) -> Task | None:
    return await session.get(Task, task_id)


async def of_warnings(session: AsyncSession, warning_ids: Collection[int]) -> Sequence[Task]:
    """The tasks of these warnings that still count, in a fixed order."""
    return [task for task in await every_of_warnings(session, warning_ids) if task.state is not TaskState.DROPPED]


async def every_of_warnings(session: AsyncSession, warning_ids: Collection[int]) -> Sequence[Task]:
    """The same, with those that were dropped."""
    found = await _by_warning(session, warning_ids)
    return sorted((task for of in found.values() for task in of), key=lambda task: (task.due_at, task.id))


@read_each(Task)
async def _by_warning(session: AsyncSession, warning_ids: Collection[int]) -> Mapping[int, Sequence[Task]]:
    found: dict[int, list[Task]] = {warning_id: [] for warning_id in warning_ids}
    for task in await session.scalars(_of_warnings(), {"warning_ids": warning_ids}):
        found[task.cause_id].append(task)
    return found


@cache
def _of_warnings() -> Any:
    return select(Task).where(Task.warning_id.in_(bindparam("warning_ids", expanding=True)))


@read_once(Task)
async def of_days(session: AsyncSession, garden_id: int, first_on: date, last_on: date) -> Sequence[Task]:
    """The work of these days that still counts, in order of the day and of the time."""
    query = select(Task).where(
        _OF_DAYS, Task.garden_id == garden_id, Task.on.between(first_on, last_on), Task.state != TaskState.DROPPED
    )
    return (await session.scalars(query.order_by(Task.on, Task.due_at, Task.id))).all()


async def walk(session: AsyncSession, task_id: int) -> Sequence[Task]:
    """The walk of a day that a task is part of, what is dropped by now included; empty where it is of no day.

    Held until the transaction ends, so that two answers to it do not cross.
    """
    one = await session.get(Task, task_id)
    if one is None or one.warning_id is not None:
        return ()
    query = select(Task).where(_OF_DAYS, Task.garden_id == one.garden_id, Task.on == one.on, Task.part == one.part)
    return (await session.scalars(query.order_by(Task.due_at, Task.id).with_for_update())).all()


async def told_of(session: AsyncSession, warning_ids: Collection[int], now: datetime) -> Sequence[tuple[int, Ask]]:
    """Each ask of these warnings for what is not due yet, by the warning's id, also of what is not needed any more."""
    query = select(Task.warning_id, Ask).join(Ask, Ask.task_id == Task.id)
    rows = await session.execute(query.where(Task.warning_id.in_(warning_ids), Task.due_at > now).order_by(Ask.id))
    return [(warning_id, ask) for warning_id, ask in rows if warning_id is not None]


async def asks_of(session: AsyncSession, task_ids: Collection[int]) -> Sequence[Ask]:
    """Who was asked for these tasks, in the order in which they were."""
    found = await _by_task(session, task_ids)
    return sorted((ask for of in found.values() for ask in of), key=lambda ask: (ask.asked_at, ask.id))


@read_each(Ask)
async def _by_task(session: AsyncSession, task_ids: Collection[int]) -> Mapping[int, Sequence[Ask]]:
    found: dict[int, list[Ask]] = {task_id: [] for task_id in task_ids}
    for ask in await session.scalars(_asked(), {"task_ids": task_ids}):
        found[ask.task_id].append(ask)
    return found


@cache
def _asked() -> Any:
    return select(Ask).where(Ask.task_id.in_(bindparam("task_ids", expanding=True)))


async def last_answer(session: AsyncSession, garden_id: int) -> datetime | None:
    """When anybody last answered about the work of a day in this garden."""
    query = select(func.max(Ask.answered_at)).join(Task, Task.id == Ask.task_id)
    return await session.scalar(query.where(_OF_DAYS, Task.garden_id == garden_id))


async def freed(session: AsyncSession, garden_id: int) -> Sequence[tuple[Ask, Task, Warning]]:
    """Of a garden's warnings, each yes that is no longer needed and whose member has yet to hear of it."""
    rows = await session.execute(
        select(Ask, Task, Warning)
        .join(Task, Task.id == Ask.task_id)
        .join(Warning, Warning.id == Task.warning_id)
        .where(Task.garden_id == garden_id, Ask.state == AskState.FREED)
        .order_by(Ask.member_id, Task.due_at, Task.id)
    )
    return [(ask, duty, warning) for ask, duty, warning in rows]


@read_once(Ask, Task)
async def open_of_member(session: AsyncSession, member_id: int) -> Sequence[tuple[Ask, Task]]:
    """What a member has been asked for, or has accepted, and is not done yet, the soonest first."""
    return [(ask, duty) for ask, duty in await session.execute(_open_of_member(), {"member_id": member_id})]


@cache
def _open_of_member() -> Any:
    is_open = (Ask.state.in_(KEEPING), Task.state.in_(LIVE))
    query = select(Ask, Task).join(Task, Task.id == Ask.task_id)
    return query.where(Ask.member_id == bindparam("member_id"), *is_open).order_by(Task.due_at, Task.id)


@lasting(JobMark)
async def fastened(session: AsyncSession, garden_id: int, today: date) -> frozenset[int]:
    """Pots that somebody has marked as fastened for good, by place id."""
    start = fastening.key(0).removesuffix("0")
    rows = await session.scalars(
        select(JobMark.job).where(
            JobMark.garden_id == garden_id,
            JobMark.kind == MarkKind.DONE,
            JobMark.until_on > today,
            JobMark.job.startswith(start),
        )
    )
    return frozenset(int(job.removeprefix(start)) for job in rows)
