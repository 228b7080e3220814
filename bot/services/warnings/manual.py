"""Calling a warning by hand, and calling any off with a reason.

A call is a row like any other warning's: what it endangers, who is asked and what is said follow by the watch.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings.hazards import Severity
from bot.core.warnings.safety import Closed
from bot.services.warnings import aftermath
from bot.services.warnings.detect import drop
from bot.services.warnings.expected import Call
from bot.storage.models import Garden, Warning
from bot.storage.states import WarningState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store


async def call(session: AsyncSession, row: Garden, given: Call, now: datetime) -> bool:
    """Put the call into rows, for the watch to do the rest; False when the very same is in force already."""
    warning = await store.by_window(session, row.id, given.hazard, given.window_on(row))
    said = given.columns()
    starts_at, ends_at = given.bounds(row)
    if warning is None:
        warning = Warning(
            garden_id=row.id, hazard=given.hazard, window_on=given.window_on(row), detected_at=now, **said,
            severity=Severity.SEVERE, probability=1.0, starts_at=starts_at, ends_at=ends_at, due_at=starts_at,
        )  # fmt: skip
        session.add(warning)
    elif warning.state is WarningState.OVER:
        warning.begin_anew(now)
        await aftermath.withdraw(session, warning)
        _keep(warning, said)
        warning.starts_at, warning.ends_at, warning.due_at = starts_at, ends_at, starts_at
    elif all(getattr(warning, name) == value for name, value in said.items()):
        return False
    else:
        _keep(warning, said)
        warning.starts_at, warning.ends_at = min(warning.starts_at, starts_at), max(warning.ends_at, ends_at)
        warning.due_at, warning.clear_since_at = min(warning.due_at, starts_at), None
    await session.flush()
    if isinstance(given.expected, Closed):
        await aftermath.postpone(session, row, [given.expected], now)
    return True


def _keep(warning: Warning, said: Mapping[str, Any]) -> None:
    for name, value in said.items():
        setattr(warning, name, value)


async def in_force(session: AsyncSession, garden_id: int, now: datetime) -> tuple[Warning, ...]:
    """Every warning that can still be called off, the soonest first."""
    found = await store.active(session, garden_id, now)
    return tuple(one for one in found if one.state is not WarningState.OVER and one.ends_at > now)


async def call_off(session: AsyncSession, row: Garden, warning: Warning, reason: str, now: datetime) -> bool:
    """Nobody need come any more, and what was done can be undone; False when it is over already.

    The same window is not called again by the forecast, only by hand. reason: as written, empty for none.
    """
    if warning.state is WarningState.OVER:
        return False
    for duty in await tasks.of_warnings(session, [warning.id]):
        if duty.state in tasks.LIVE:
            await drop(session, duty)
    await aftermath.plan(session, row, warning, now)
    warning.state, warning.over_at = WarningState.OVER, now
    warning.off_reason = reason
    await session.flush()
    return True
