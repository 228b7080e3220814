"""A group that answers soon is called later, when the forecast is surer; never so late that nobody else could be found.

And whoever was called, and for which days of a wind, is known to whatever reckons the next findings.
"""

from __future__ import annotations

from collections.abc import AsyncIterator
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.finding import Hazard, Severity, TaskKind
from bot.core.garden.snapshot import PlaceKind
from bot.core.warnings.alerts import Moment, Quiet, moment
from bot.services.look import quiet
from bot.services.tasks import answers
from bot.storage.models import Ask, Garden, Member, Person, Place, Task, Warning
from bot.storage.session import Database
from bot.storage.states import AskState, TaskState, WarningState
from bot.storage.warnings import warnings as store

AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
DUE_AT = datetime(2026, 5, 6, 19, 30, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")


@pytest.fixture
async def session(database: Database) -> AsyncIterator[AsyncSession]:
    async with database.begin() as unit:
        unit.add(Garden(id=1, name="Teasel Lane", latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London"))
        await unit.flush()
        unit.add(Place(id=1, garden_id=1, name="Bed 1", kind=PlaceKind.BED))
        unit.add_all(Person(id=n, name=f"Member {n}") for n in range(1, 31))
        await unit.flush()
        unit.add_all(Member(id=n, garden_id=1, person_id=n, joined_at=AT) for n in range(1, 31))
        await unit.flush()
        yield unit


async def _warning(
    session: AsyncSession, hazard: Hazard = Hazard.COLD, *, on: date = date(2026, 5, 4), days: int = 1,
    called: bool = True, over: bool = False, task: TaskState = TaskState.OPEN,
) -> Task:  # fmt: skip
    ends_at = datetime.combine(on, datetime.min.time(), UTC) + timedelta(days=days - 1, hours=20)
    warning = Warning(
        garden_id=1, hazard=hazard, window_on=on, severity=Severity.SLIGHT, starts_at=AT, ends_at=ends_at, due_at=AT,
        probability=0.3, detected_at=AT, called_at=AT if called else None,
        state=WarningState.OVER if over else WarningState.CALLED,
    )  # fmt: skip
    session.add(warning)
    await session.flush()
    row = Task(garden_id=1, warning_id=warning.id, on=on, place_id=1, support_id=0, kind=TaskKind.COVER, more=0,
               people=1, minutes=10, crops="", starts_at=AT, due_at=ends_at, state=task)  # fmt: skip
    session.add(row)
    await session.flush()
    return row


async def _answers(session: AsyncSession, hours: list[float | None]) -> None:
    """One ask each, answered after so many hours; None for never, when somebody else was asked."""
    task = await _warning(session)
    for n, took_h in enumerate(hours, 1):
        answered_at = AT + timedelta(hours=took_h) if took_h is not None else None
        state = AskState.ACCEPTED if took_h is not None else AskState.SILENT
        session.add(Ask(task_id=task.id, member_id=n, state=state, asked_at=AT, answered_at=answered_at))
    await session.flush()


@pytest.mark.parametrize(
    ("hours", "call_h"),
    [
        ([1.0] * 19, None),  # too few to tell of a habit
        ([1.0] * 20, 12.0),  # never later than twelve hours
        ([1.0] * 17 + [7.0] * 3, 15.0),  # nine in ten within seven; then eight for the reminder, the next one, the way
        ([1.0] * 18 + [None] * 2, 12.0),
        ([1.0] * 17 + [None] * 3, None),  # more than one in ten never answers
        ([30.0] * 25, None),
    ],
)
async def test_the_hour_of_calling_goes_by_how_soon_nine_in_ten_answer(
    session: AsyncSession, hours: list[float | None], call_h: float | None
) -> None:
    await _answers(session, hours)
    assert await answers.usual_call_h(session, 1) == call_h
    await answers.note(session)
    assert (await session.get_one(Garden, 1)).call_h == call_h


async def test_that_hour_moves_the_call_and_no_other_step(session: AsyncSession) -> None:
    row = await session.get_one(Garden, 1)
    usual = quiet(row)
    row.call_h = 14.0
    later = quiet(row)
    ends_at = DUE_AT + timedelta(hours=10)
    steps = [
        (step, moment(DUE_AT - timedelta(hours=hours), DUE_AT, ends_at, one))
        for hours in (60, 40, 31, 15, 13, 5, 3, 1)
        for step, one in ((moment(DUE_AT - timedelta(hours=hours), DUE_AT, ends_at, usual), later),)
    ]
    assert [one for one in steps if one[0] is not one[1]] == [(Moment.CALL, Moment.HEADS_UP)] * 2  # at 31 and 15 hours


def test_a_group_of_which_nothing_is_known_is_called_as_early_as_any() -> None:
    nobody = Quiet(21, 7, "Europe/London")
    assert moment(DUE_AT - timedelta(hours=32), DUE_AT, DUE_AT, nobody) is Moment.CALL


async def test_who_was_called_is_known_for_each_day_of_a_wind(session: AsyncSession) -> None:
    await _warning(session)
    await _warning(session, Hazard.WIND, on=date(2026, 5, 6), days=3)
    found = await store.called(session, 1, LONDON)
    assert found == {
        (Hazard.COLD, date(2026, 5, 4), 1),
        *((Hazard.WIND, date(2026, 5, 6) + timedelta(days=n), 1) for n in range(3)),
    }


@pytest.mark.parametrize(
    ("called", "over", "task", "is_known"),
    [
        (True, False, TaskState.DONE, True),
        (False, False, TaskState.OPEN, False),
        (True, True, TaskState.OPEN, False),
        (True, False, TaskState.DROPPED, False),
    ],
)
async def test_what_was_only_announced_called_off_or_dropped_holds_nobody(
    session: AsyncSession, called: bool, over: bool, task: TaskState, is_known: bool
) -> None:
    await _warning(session, called=called, over=over, task=task)
    assert bool(await store.called(session, 1, LONDON)) is is_known
