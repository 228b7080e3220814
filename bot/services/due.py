"""When a garden is to be looked at next: the first moment at which anything may be to be said or done by time alone.

Whatever else changes, a report, an answer, a forecast, makes it due at once (`storage.revision`). Quiet hours, days, the
morning's list, reminders of the calendar and the forecast's own hours begin on the hour; what a look rests on is reckoned
anew each quarter of an hour at most (`services.look`). So while nothing is under way the next hour is soon enough, where
the garden's hours are those of UTC, and else the next quarter; the moments in between are those below, each from the rows
that it hangs on.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import NamedTuple

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.tasks.daily_work import NOTICE, Part
from bot.core.warnings.alerts import ANSWER_TIME, CLEAR_FOR, TIMELINE, Quiet, Threat, answer_wait
from bot.core.weather.forecast import Forecast
from bot.services.look import Look, quiet
from bot.services.tasks.daily.walk_views import answer_by
from bot.services.tasks.safely_home import GRACE, REACH, SILENCE
from bot.services.warnings import official
from bot.services.warnings.step import LAST
from bot.services.weather.garden_forecast import STALE_AFTER, Source
from bot.storage.models import Ask, Garden, Task, Warning
from bot.storage.states import AskState
from bot.storage.warnings import warnings

#: A threat is nothing yet before its first step.
_NEAR = max(before for _, before in TIMELINE) + timedelta(hours=1)
_QUARTER, _HOUR = timedelta(minutes=15), timedelta(hours=1)
#: What has to be past, not only reached, is seen with the next tick of the clock.
_PAST = timedelta(seconds=1)


class _Row(NamedTuple):
    """A task, with one of those who were asked for it."""

    id: int
    warning_id: int | None
    on: date
    part: Part | None
    due_at: datetime
    minutes: int
    unneeded_since_at: datetime | None
    state: AskState | None
    asked_at: datetime | None
    reminded_at: datetime | None
    home_asked_at: datetime | None


async def next_look(session: AsyncSession, row: Garden, look: Look, source: Source, now: datetime) -> datetime | None:
    """None for now: forecasts that are not kept in the garden's rows may change at any moment, unseen."""
    if not source.is_stored:
        return None
    active = await warnings.active(session, row.id, now)
    tasks = await _tasks(session, row, now)
    officials = await official.in_force(session, row.id)
    under_way = active or tasks or officials or any(threat.due_at - now <= _NEAR for threat in look.threats)
    by_quarter = under_way or _is_off_the_hour(row, now)
    moments = [_next(now, _QUARTER if by_quarter else _HOUR), *_of_forecast(look.forecast)]
    moments += [at for threat in look.threats for at in _of_threat(threat, quiet(row))]
    moments += [at for warning in active for at in _of_warning(warning, quiet(row))]
    moments += [at for one in officials for at in (one.starts_at, one.ends_at)]
    moments += _of_tasks(tasks, quiet(row))
    return min(at + wait for at in moments for wait in (timedelta(), _PAST) if at + wait > now)


def _next(now: datetime, step: timedelta) -> datetime:
    return now - (now - datetime.min.replace(tzinfo=UTC)) % step + step


def _is_off_the_hour(row: Garden, now: datetime) -> bool:
    """Whether an hour of the garden's clock begins within one of UTC: half-hour zones, and those of quarters."""
    return bool((now.astimezone(row.tz).utcoffset() or timedelta()) % _HOUR)


def _of_forecast(forecast: Forecast | None) -> Iterator[datetime]:
    since_at = (forecast.issued_at or forecast.fetched_at) if forecast is not None else None
    if since_at is not None:
        yield since_at + STALE_AFTER


def _steps(due_at: datetime) -> Iterator[datetime]:
    """What is counted back from a latest safe time; where it is counted back from an evening, it is on the hour."""
    yield from (due_at, due_at - LAST, *(due_at - before for _, before in TIMELINE))


def _called_from(due_at: datetime, quiet: Quiet) -> Iterator[datetime]:
    """A group that answers soon is called later, by hours that need not be whole."""
    if quiet.call_before is not None:
        yield due_at - quiet.call_before


def _of_threat(threat: Threat, quiet: Quiet) -> Iterator[datetime]:
    yield from (*_steps(threat.due_at), *_called_from(threat.due_at, quiet), threat.starts_at, threat.ends_at)


def _of_warning(warning: Warning, quiet: Quiet) -> Iterator[datetime]:
    yield from (*_steps(warning.due_at), *_called_from(warning.due_at, quiet), warning.starts_at, warning.ends_at)
    if warning.said_due_at is not None:
        yield warning.said_due_at
    if warning.clear_since_at is not None:
        yield from (warning.clear_since_at + CLEAR_FOR, warning.clear_since_at + 2 * CLEAR_FOR)


async def _tasks(session: AsyncSession, row: Garden, now: datetime) -> Sequence[_Row]:
    """Those that are to be done, or were so lately that somebody may still be out."""
    query = (
        select(
            Task.id, Task.warning_id, Task.on, Task.part, Task.due_at, Task.minutes, Task.unneeded_since_at,
            Ask.state, Ask.asked_at, Ask.reminded_at, Ask.home_asked_at,
        )
        .outerjoin(Ask, Ask.task_id == Task.id)
        .where(Task.garden_id == row.id, Task.due_at > now - REACH)
        .order_by(Task.id)
    )  # fmt: skip
    return [_Row(*found) for found in await session.execute(query)]


def _of_tasks(rows: Sequence[_Row], quiet: Quiet) -> Iterator[datetime]:
    walks = defaultdict[tuple[date, Part | None], list[_Row]](list)
    for row in rows:
        if row.warning_id is None:
            walks[row.on, row.part].append(row)
        yield from (*_steps(row.due_at), row.due_at - NOTICE, row.due_at + GRACE, row.due_at + REACH)
        yield row.due_at - ANSWER_TIME - timedelta(minutes=row.minutes)
        if row.unneeded_since_at is not None:
            yield row.unneeded_since_at + CLEAR_FOR
        yield from (at + wait for at, wait in _waits(row, quiet) if at is not None)
    for walk in walks.values():
        dues = [row.due_at for row in walk]
        yield from (answer_by(dues, row.asked_at) for row in walk if row.asked_at and row.state is AskState.ASKED)


def _waits(row: _Row, quiet: Quiet) -> Iterable[tuple[datetime | None, timedelta]]:
    yield row.asked_at, ANSWER_TIME
    yield row.home_asked_at, SILENCE
    for at in (row.asked_at, row.reminded_at):
        if at is not None:
            yield at, answer_wait(at, row.due_at, quiet)
