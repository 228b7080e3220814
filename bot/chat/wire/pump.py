"""The loop that both ends of the chat run on: take what is next, work on a few at once, sleep until woken."""

from __future__ import annotations

import asyncio
import logging
import traceback
from collections.abc import Awaitable, Callable, Iterable
from typing import Any, TypeVar

from telegram.error import InvalidToken

from bot.storage.trouble import Trouble, trouble

__all__ = ["log_of", "needs_a_person", "pump"]

_LOG = logging.getLogger(__name__)

Item = TypeVar("Item")

TICK_S = 1.0  # how long the net waits, should a wake-up get lost
#: After an error of the loop itself: doubled from a second on, so that one that lasts floods neither log nor database.
LONGEST_PAUSE_S = 30.0


def needs_a_person(error: BaseException) -> bool:
    """Whether nothing gets better before somebody has done something."""
    return isinstance(error, InvalidToken) or trouble(error) is Trouble.PERSON


def log_of(error: BaseException) -> str:
    """Its kind and where it happened, without its text, which may hold what a person wrote."""
    return f"{type(error).__name__}\n{''.join(traceback.format_tb(error.__traceback__))}"


async def pump(
    take: Callable[[], Awaitable[Item | None]],
    work: Callable[[Item], Awaitable[None]],
    *,
    limit: int,
    wake: asyncio.Event | None = None,
    stop: asyncio.Event | None = None,
    tick_s: Callable[[], float] = lambda: TICK_S,
) -> int:
    """Work on each item that `take` gives, at most `limit` at once; give how many.

    Without `stop` it returns when nothing is left, and an error of `take` or `work` ends it, after the others are
    finished. With it, it returns when stop is set and what was begun is finished; an error is logged and after a pause
    the work goes on, unless a person is needed first.
    """
    running: set[asyncio.Task[None]] = set()
    wake = wake or asyncio.Event()
    taken = failures = 0
    try:
        while stop is None or not stop.is_set():
            wake.clear()
            finished = {task for task in running if task.done()}
            running -= finished
            errors = _errors(finished)
            item = None
            if not errors and len(running) < limit:
                try:
                    item = await take()
                except Exception as error:
                    errors.append(error)
            if errors:
                failures += 1
                _bear(errors, stop)
                await _first(set(), None, stop, min(2.0 ** (failures - 1), LONGEST_PAUSE_S))
                continue
            failures = 0 if finished or item is None else failures
            if item is not None:
                taken += 1
                running.add(asyncio.ensure_future(work(item)))
            elif stop is None and not running:
                break
            else:
                await _first(running, wake, stop, tick_s())
    except asyncio.CancelledError:
        for task in running:
            task.cancel()
        raise
    finally:
        if running:
            await asyncio.wait(running)
    _bear(_errors(running), stop)
    return taken


def _errors(finished: Iterable[asyncio.Task[None]]) -> list[BaseException]:
    return [error for task in finished if not task.cancelled() and (error := task.exception()) is not None]


def _bear(errors: Iterable[BaseException], stop: asyncio.Event | None) -> None:
    """Log what a loop that goes on can bear; raise the rest."""
    for error in errors:
        if stop is None or needs_a_person(error):
            raise error
        _LOG.error("something failed, and the rest goes on: %s", log_of(error))


async def _first(running: set[Any], wake: asyncio.Event | None, stop: asyncio.Event | None, seconds: float) -> None:
    """Until a piece of work is finished, somebody wakes us, we are to stop, or the time is up."""
    waits = [asyncio.ensure_future(event.wait()) for event in (wake, stop) if event is not None]
    try:
        await asyncio.wait({*running, *waits}, timeout=seconds, return_when=asyncio.FIRST_COMPLETED)
    finally:
        for wait in waits:
            wait.cancel()
