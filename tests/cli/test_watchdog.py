"""What stands still ends the process, and the service manager hears of the rest.

sd_notify(3): a datagram of lines NAME=VALUE to $NOTIFY_SOCKET, an abstract socket where it begins with @; $WATCHDOG_USEC.
"""

from __future__ import annotations

import asyncio
import os
import signal
import socket
import subprocess
import sys
import textwrap
from pathlib import Path

import pytest

from bot.cli.watchdog import GLANCE_S, SLACK_S, STOOD_STILL, Watchdog, notify
from tests.open_data import ROOT


class Seconds:
    now = 0.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def manager(tmp_path: Path) -> socket.socket:
    one = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
    one.bind(str(tmp_path / "notify"))
    one.settimeout(5)
    return one


def test_nothing_is_said_where_nobody_listens() -> None:
    notify("READY=1", {})
    notify("READY=1", {"NOTIFY_SOCKET": "/nowhere/at/all"})


@pytest.mark.parametrize("kind", ["path", "abstract"])
def test_words_reach_the_service_manager(tmp_path: Path, kind: str) -> None:
    name = str(tmp_path / "notify") if kind == "path" else f"@gatepost-test-{os.getpid()}"
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(name.replace("@", "\0") if kind == "abstract" else name)
        manager.settimeout(5)
        notify("READY=1", {"NOTIFY_SOCKET": name})
        assert manager.recv(100) == b"READY=1"


def test_whoever_is_not_back_in_time_ends_it_and_whoever_is_does_not(manager: socket.socket, tmp_path: Path) -> None:
    seconds, ended = Seconds(), list[float]()
    environ = {"NOTIFY_SOCKET": str(tmp_path / "notify")}
    dog = Watchdog(steady_s=seconds, end=lambda: ended.append(seconds.now), environ=environ)
    dog.alive("a", 10)
    dog.alive("b", 1_000)
    seconds.now = 10 + SLACK_S
    dog.glance()
    assert ended == [] and manager.recv(100) == b"WATCHDOG=1"
    seconds.now += 1
    dog.glance()
    assert ended == [seconds.now] and dog.overdue() == "a"
    dog.alive("a", 10)
    assert dog.overdue() is None
    manager.close()


def test_while_the_database_is_away_only_the_loop_itself_counts() -> None:
    seconds, away = Seconds(), [True]
    dog = Watchdog(steady_s=seconds, is_excused=lambda: away[0])
    dog.alive("updates", 1)
    for _ in range(10):
        seconds.now += 100
        assert dog.overdue() is None
    away[0] = False
    assert dog.overdue() is None, "it has time to go on"
    seconds.now += 100 + SLACK_S
    assert dog.overdue() == "updates"
    away[0] = True
    dog.alive("the event loop", 0)
    seconds.now += SLACK_S + 1
    assert dog.overdue() == "the event loop"


@pytest.mark.parametrize(
    ("usec", "wanted_s"), [("", GLANCE_S), ("2000000", 1.0), ("600000000", GLANCE_S), ("x", GLANCE_S)]
)
def test_the_manager_hears_of_it_twice_as_often_as_it_wants(usec: str, wanted_s: float) -> None:
    assert Watchdog(environ={"WATCHDOG_USEC": usec})._every_s() == wanted_s


async def test_it_watches_while_the_block_runs(manager: socket.socket, tmp_path: Path) -> None:
    environ = {"NOTIFY_SOCKET": str(tmp_path / "notify"), "WATCHDOG_USEC": "20000"}
    async with Watchdog(environ=environ).watching():
        assert await asyncio.to_thread(manager.recv, 100) == b"WATCHDOG=1"
    manager.close()


def test_a_loop_that_hangs_ends_its_process_and_says_where() -> None:
    program = """
        import asyncio, time
        from bot.cli import watchdog
        watchdog.SLACK_S = watchdog.GLANCE_S = 0.2
        async def hang():
            async with watchdog.Watchdog().watching():
                await asyncio.sleep(0.1)
                time.sleep(60)
        asyncio.run(hang())
    """
    done = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=50,
        check=False,
    )
    assert done.returncode == STOOD_STILL and "in hang" in done.stderr


def test_its_status_is_no_signals_and_none_that_means_something_else() -> None:
    assert STOOD_STILL not in (0, 1, 2, 3, 5, 128 + signal.SIGKILL, 128 + signal.SIGTERM)
