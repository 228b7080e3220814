"""The loop that both ends of the chat run on: take what is next, work on a few at once, sleep until woken."""

from __future__ import annotations

import asyncio
import logging
import traceback
from collections.abc import Awaitable, Callable, Iterable, Sequence
from typing import Any, TypeVar

from telegram.error import InvalidToken

from bot.storage.trouble import Trouble, trouble

_LOG = logging.getLogger(__name__)

Item = TypeVar("Item")

#: How long the net waits, should a wake-up get lost, or come from another process, s.
TICK_S = 1.0
#: The same where no other process has a part in the database.
ALONE_TICK_S = 5.0
#: After an error of the loop itself: doubled from a second on, so that one that lasts floods neither log nor database.
LONGEST_PAUSE_S = 30.0


def needs_a_person(error: BaseException) -> bool:
    """Whether nothing gets better before somebody has done something."""
    return isinstance(error, InvalidToken) or trouble(error) is Trouble.PERSON


def log_of(error: BaseException) -> str:
    """Its kind and where it happened, without its text, which may hold what a person wrote."""
    return f"{type(error).__name__}\n{''.join(traceback.format_tb(error.__traceback__))}"


async def pump(
    take: Callable[[int], Awaitable[Sequence[Item]]],
    work: Callable[[Item], Awaitable[bool]],
    *,
    limit: int,
    batch: int | None = None,
    wake: asyncio.Event | None = None,
    stop: asyncio.Event | None = None,
    tick_s: Callable[[], float] = lambda: TICK_S,
) -> int:
    """Work on each item that `take` gives, at most `limit` at once; give how many.

    batch: so many are taken at once, as many as there is room for unless it is given.
    take: given how many at most; fewer mean that nothing else can be worked on until something wakes us or the time is up.
    work: gives whether there may be more to take now that it is done.

    Without `stop` it returns when nothing is left, and an error of `take` or `work` ends it, after the others are
    finished. With it, it returns when stop is set and what was begun is finished; an error is logged and after a pause
    the work goes on, unless a person is needed first.
    """
    running: set[asyncio.Task[bool]] = set()
    wake = wake or asyncio.Event()
    taken = failures = 0
    due = True
    try:
        while stop is None or not stop.is_set():
            due = due or wake.is_set()
            wake.clear()
            finished = {task for task in running if task.done()}
            running -= finished
            errors = _errors(finished)
            due = due or bool(errors) or any(task.result() for task in finished if not task.cancelled())
            items: Sequence[Item] = ()
            free = min(limit - len(running), batch or limit)
            if not errors and due and free > 0:
                try:
                    items = await take(free)
                    due = len(items) == free
                except Exception as error:
                    errors.append(error)
            if errors:
                failures += 1
                _bear(errors, stop)
                await _first(set(), None, stop, min(2.0 ** (failures - 1), LONGEST_PAUSE_S))
                continue
            failures = 0 if finished or not items else failures
            if items:
                taken += len(items)
                running |= {asyncio.ensure_future(work(item)) for item in items}
            elif stop is None and not running:
                break
            elif not await _first(running, wake, stop, tick_s()):
                due = True
    except asyncio.CancelledError:
        for task in running:
            task.cancel()
        raise
    finally:
        if running:
            await asyncio.wait(running)
    _bear(_errors(running), stop)
    return taken


def _errors(finished: Iterable[asyncio.Task[Any]]) -> list[BaseException]:
    return [error for task in finished if not task.cancelled() and (error := task.exception()) is not None]


def _bear(errors: Iterable[BaseException], stop: asyncio.Event | None) -> None:
    """Log what a loop that goes on can bear; raise the rest."""
    for error in errors:
        if stop is None or needs_a_person(error):
            raise error
        _LOG.error("something failed, and the rest goes on: %s", log_of(error))


async def _first(running: set[Any], wake: asyncio.Event | None, stop: asyncio.Event | None, seconds: float) -> bool:
    """Until a piece of work is finished, somebody wakes us or we are to stop; False when the time is up before."""
    waits = [asyncio.ensure_future(event.wait()) for event in (wake, stop) if event is not None]
    try:
        done, _ = await asyncio.wait({*running, *waits}, timeout=seconds, return_when=asyncio.FIRST_COMPLETED)
        return bool(done)
    finally:
        for wait in waits:
            wait.cancel()
