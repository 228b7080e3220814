"""The loop that both ends of the chat run on: take what is next, work on a few at once, sleep until woken."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any, TypeVar

__all__ = ["pump"]

Item = TypeVar("Item")

TICK_S = 1.0  # how long the net waits, should a wake-up get lost


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

    Without `stop` it returns when nothing is left; with it, when stop is set and what was begun is finished. An
    error of `take` or `work` ends it, after the others are finished.
    """
    running: set[asyncio.Task[None]] = set()
    wake = wake or asyncio.Event()
    taken = 0
    try:
        while stop is None or not stop.is_set():
            wake.clear()
            item = await take() if len(running) < limit else None
            if item is not None:
                taken += 1
                running.add(asyncio.ensure_future(work(item)))
            elif stop is None and not running:
                break
            else:
                await _first(running, wake, stop, tick_s())
            running -= _finished(running)
    except asyncio.CancelledError:
        for task in running:
            task.cancel()
        raise
    finally:
        errors = await asyncio.gather(*running, return_exceptions=True)
    for error in errors:
        if isinstance(error, BaseException):
            raise error
    return taken


def _finished(running: set[asyncio.Task[None]]) -> set[asyncio.Task[None]]:
    done = {task for task in running if task.done()}
    for task in done:
        task.result()
    return done


async def _first(running: set[Any], wake: asyncio.Event, stop: asyncio.Event | None, seconds: float) -> None:
    """Until a piece of work is finished, somebody wakes us, we are to stop, or the time is up."""
    waits = [asyncio.ensure_future(event.wait()) for event in (wake, stop) if event is not None]
    try:
        await asyncio.wait({*running, *waits}, timeout=seconds, return_when=asyncio.FIRST_COMPLETED)
    finally:
        for wait in waits:
            wait.cancel()
