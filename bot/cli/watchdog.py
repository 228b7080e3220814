"""What stands still is ended, since a bot that hangs warns nobody; and what a service manager is told of us.

The words and the socket: sd_notify(3), sd_watchdog_enabled(3).
"""

from __future__ import annotations

import asyncio
import contextlib
import faulthandler
import logging
import os
import socket
import sys
import threading
import time
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager

_LOG = logging.getLogger(__name__)
#: What the process ends with.
STOOD_STILL = 4
#: How much longer than announced something may take, s; how often it is looked at.
SLACK_S, GLANCE_S = 120.0, 5.0
_LOOP, _BEAT_S = "the event loop", 1.0


def notify(words: str, environ: Mapping[str, str] = os.environ) -> None:
    """Tell the service manager, where there is one that wants to hear."""
    address = environ.get("NOTIFY_SOCKET", "")
    if not address:
        return
    name = "\0" + address[1:] if address.startswith("@") else address
    with contextlib.suppress(OSError), socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as out:
        out.sendto(words.encode(), name)


def _end() -> None:
    faulthandler.dump_traceback(file=sys.stderr)  # where each thread stands, without anybody's words
    os._exit(STOOD_STILL)


class Watchdog:
    """Each loop says within which time it will be back; who is not, ends the process, which is then started anew.

    is_excused: while it is true only the event loop itself is watched: everything else may be waiting, for a database that
    is away. environ: where the service manager says how often it wants to hear.
    """

    def __init__(
        self,
        *,
        is_excused: Callable[[], bool] = lambda: False,
        end: Callable[[], None] = _end,
        steady_s: Callable[[], float] = time.monotonic,
        environ: Mapping[str, str] = os.environ,
    ) -> None:
        self._is_excused, self._end, self._steady_s, self._environ = is_excused, end, steady_s, environ
        self._until_s: dict[str, float] = {}

    def alive(self, name: str, for_s: float) -> None:
        """`name` is at work, and says so again within this time."""
        self._until_s[name] = self._steady_s() + for_s + SLACK_S

    def overdue(self) -> str | None:
        """Who has not been heard of for too long."""
        now_s = self._steady_s()
        if self._is_excused():
            for name in self._until_s.keys() - {_LOOP}:
                self._until_s[name] = max(self._until_s[name], now_s + SLACK_S)
        return next((name for name, until_s in list(self._until_s.items()) if until_s < now_s), None)

    def glance(self) -> None:
        """End what stands still; else let the service manager know that all is well."""
        late = self.overdue()
        if late is not None:
            _LOG.critical("%s has stood still for too long; the process ends, to be started anew", late)
            self._end()
        else:
            notify("WATCHDOG=1", self._environ)

    @asynccontextmanager
    async def watching(self) -> AsyncIterator[None]:
        """Watch while the block runs, from a thread, which goes on while something keeps the event loop busy."""
        over = threading.Event()

        def watch() -> None:
            while not over.wait(self._every_s()):
                self.glance()

        beat = asyncio.create_task(self._beat())
        thread = threading.Thread(target=watch, name="watchdog", daemon=True)
        thread.start()
        try:
            yield
        finally:
            over.set()
            beat.cancel()

    def _every_s(self) -> float:
        """Twice as often as the service manager wants to hear of us."""
        wanted = self._environ.get("WATCHDOG_USEC", "")
        return min(GLANCE_S, int(wanted) / 2e6) if wanted.isdecimal() and int(wanted) else GLANCE_S

    async def _beat(self) -> None:
        while True:
            self.alive(_LOOP, 0.0)
            await asyncio.sleep(_BEAT_S)
