"""Who does the long work: claim an errand in one transaction, do it between transactions, try again when it fails."""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import Awaitable, Callable, Sequence
from datetime import timedelta

from telegram.error import TelegramError

from bot.chat.calendar import calendar
from bot.chat.garden import export, files
from bot.chat.season import report, wall
from bot.chat.warnings import rehearse
from bot.chat.weather import picture
from bot.chat.wire.errands import Desk, opened
from bot.chat.wire.pump import ALONE_TICK_S, TICK_S, log_of, pump
from bot.services.warnings.rehearsing import LONGEST_S
from bot.storage.models import Errand
from bot.storage.states import ErrandKind, ErrandState
from bot.storage.wire import errand_rows

_LOG = logging.getLogger(__name__)

RETRY_AFTER = (timedelta(seconds=2), timedelta(seconds=10), timedelta(seconds=60))
#: A claim older than this is a dead process's: longer than a fetch and a page together may take.
STALE = timedelta(minutes=5)
#: The same of a rehearsal, which may be played for minutes.
STALE_PLAY = timedelta(seconds=2 * LONGEST_S)
#: At once: the work is done by processes of their own, of which a small machine bears few, and of rehearsals one.
LIMIT = 2

Work = Callable[[Desk, Errand], Awaitable[None]]

WORK: dict[ErrandKind, tuple[str, Work]] = {
    ErrandKind.OUTLOOK: ("upload_photo", picture.work),
    ErrandKind.SEASON: ("upload_photo", calendar.work),
    ErrandKind.WALL: ("upload_document", wall.work),
    ErrandKind.REPORT: ("upload_photo", report.work),
    ErrandKind.REPORT_TO_GROUP: ("upload_photo", report.to_group),
    ErrandKind.FILE: ("typing", files.fetch),
    ErrandKind.APPLY: ("typing", files.apply),
    ErrandKind.EXPORT: ("upload_document", export.work),
    ErrandKind.REHEARSAL: ("typing", rehearse.work),
}


async def run(desk: Desk, *, done: Callable[[], None], wake: asyncio.Event, stop: asyncio.Event) -> None:
    """Until stopped. done: called after each errand, so that the sender wakes."""
    # On SQLite there is one process, so whatever was being worked on at its start was its forerunner's.
    every = desk.database.is_sqlite
    await desk.database.insist(lambda to: errand_rows.recover(to, desk.now(), STALE, STALE_PLAY, every=every))
    take, work = _parts(desk, done)
    tick_s = ALONE_TICK_S if desk.database.is_sqlite else TICK_S
    await pump(take, work, limit=LIMIT, wake=wake, stop=stop, tick_s=lambda: tick_s)


async def work_off(desk: Desk) -> int:
    """All that can be done now; gives how many."""
    return await pump(*_parts(desk, lambda: None), limit=LIMIT)


def _parts(
    desk: Desk, done: Callable[[], None]
) -> tuple[Callable[[int], Awaitable[Sequence[Errand]]], Callable[[Errand], Awaitable[bool]]]:
    async def take(most_n: int) -> Sequence[Errand]:
        now = desk.now()
        async with desk.database.begin() as session:
            await errand_rows.recover(session, now, STALE, STALE_PLAY)
            # A kind that another version wrote keeps no other waiting.
            return await errand_rows.claim(session, [*WORK], now, most_n)

    async def work(row: Errand) -> bool:
        action, deed = WORK[row.kind]
        with contextlib.suppress(TelegramError):  # only the line that something is on its way
            await desk.bot.send_chat_action(row.chat_id, action, message_thread_id=row.thread_id)
        try:
            await deed(desk, row)
        except Exception as error:
            _LOG.error("errand %d failed: %s", row.id, log_of(error))
            await _failed(desk, row, error)
        done()
        return False

    return take, work


async def _failed(desk: Desk, row: Errand, error: Exception) -> None:
    """Nothing of the attempt is left: wait, or give up and say so."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        errand = scene.errand
        errand.attempts, errand.error = errand.attempts + 1, type(error).__name__
        if errand.attempts > len(RETRY_AFTER):
            scene.settle(ErrandState.FAILED)
            await scene.tell(scene.say.gettext("Sorry, something went wrong with that on my side. Please try again."))
        else:
            errand.state, errand.retry_at = ErrandState.WAITING, scene.now + RETRY_AFTER[errand.attempts - 1]
