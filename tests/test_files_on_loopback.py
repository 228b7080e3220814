"""A file sent to `gatepost run` over HTTP: fetched outside of any transaction, again after a cut, and after a kill."""

from __future__ import annotations

import asyncio
import signal
import sqlite3
from collections.abc import AsyncIterator
from contextlib import closing

import pytest

from tests.support.bot_api import TOKEN, Fault
from tests.support.running import Running
from tests.test_app_on_loopback import MIRIAM
from tests.test_app_on_loopback import running as running

PLACES = b"name,kind,shared\nNorth bed,bed,yes\n"


def beds(running: Running) -> int:
    with closing(sqlite3.connect(running.folder / "own.sqlite3")) as connection:
        (count,) = connection.execute("select count(*) from places where name = 'North bed'").fetchone()
        return int(count)


@pytest.fixture
async def organised(running: Running) -> AsyncIterator[Running]:
    running.api.write(MIRIAM, MIRIAM, f"/start {running.code}")
    await running.until(lambda: bool(running.api.said(MIRIAM)), "it answers")
    yield running


async def test_a_cut_while_fetching_is_made_up_for_and_the_button_stores(organised: Running) -> None:
    faults = organised.server.faults
    faults.methods, faults.next_up = frozenset({"file"}), type(faults.next_up)([Fault.CUT_BEFORE])
    organised.api.send_file(MIRIAM, MIRIAM, "places.csv", PLACES)
    preview = await organised.heard(MIRIAM, "places: 1 new")
    assert faults.met[Fault.CUT_BEFORE] == 1
    assert beds(organised) == 0
    organised.api.press(MIRIAM, preview, "Save the changes")
    await organised.heard(MIRIAM, "Saved: Teasel Lane.")
    assert beds(organised) == 1
    assert organised.server.problems == []
    assert await organised.end(signal.SIGTERM) == 0
    log = organised.log.read_text(encoding="utf-8")
    assert TOKEN.partition(":")[2] not in log, "a file's address holds the token"
    assert "North bed" not in log


async def test_killed_while_reading_it_goes_on_and_answers_once(organised: Running) -> None:
    organised.api.send_file(MIRIAM, MIRIAM, "places.csv", PLACES)
    await organised.heard(MIRIAM, "I am reading places.")
    await organised.end(signal.SIGKILL)
    await asyncio.sleep(0.1)
    await organised.start()
    preview = await organised.heard(MIRIAM, "places: 1 new")
    organised.api.press(MIRIAM, preview, "Save the changes")
    await organised.until(lambda: beds(organised) == 1, "it is stored")
    await organised.heard(MIRIAM, "Saved: Teasel Lane.")
    texts = [one.text for one in organised.api.said(MIRIAM)]
    assert sum("Saved" in text for text in texts) == 1
