"""Whatever is fed to it, no reader crashes or hangs, and nothing of another garden comes out.

A seeded share runs with the other tests. A million cases, on as many cores as there are:
`GATEPOST_FUZZ_EXAMPLES=50000 GATEPOST_FUZZ_SEED=1 pytest -n auto tests/gate/test_every_parser.py`
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import os
import random
import string
import time
from collections.abc import AsyncIterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, seed, settings
from sqlalchemy import func, select

from bot.chat.presses import PRESSES
from bot.chat.wire import webhook
from bot.storage.models import Inbox
from bot.storage.schema import upgrade
from bot.storage.session import Database
from tests.gate import test_forged_presses
from tests.gate.parsers import PARSERS, Parser
from tests.support.talk import Talk

EXAMPLES_N = int(os.environ.get("GATEPOST_FUZZ_EXAMPLES", "40"))
SEED = int(os.environ.get("GATEPOST_FUZZ_SEED", "20260505"))
neighbours = test_forged_presses.neighbours


@pytest.fixture(autouse=True)
def _no_bound_on_our_own_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """What reads files bounds the memory of its process, which is the tests' here."""
    monkeypatch.setattr("bot.services.garden.file_reading.resource.setrlimit", lambda *_: None)


def _took_ms(parser: Parser, fed: Any) -> float:
    began_s = time.process_time()
    with contextlib.suppress(*parser.may_raise):
        parser.read(fed)
    return 1000 * (time.process_time() - began_s)


@pytest.mark.parametrize("name", PARSERS)
def test_it_returns_or_says_what_is_wrong_and_soon(name: str) -> None:
    parser = PARSERS[name]
    if name.startswith("sentences"):
        parser.read("watered bed 1")  # a language's lists are read once

    @seed(SEED)
    @settings(max_examples=EXAMPLES_N, deadline=None, suppress_health_check=list(HealthCheck), database=None)
    @given(parser.fed)
    def fed(what: Any) -> None:
        # What is slow once may have been held up, or have read its lists first; what is slow each time is slow.
        if _took_ms(parser, what) > parser.most_ms:
            assert min(_took_ms(parser, what) for _ in range(5)) <= parser.most_ms

    fed()


@pytest.fixture
async def database(tmp_path: Path) -> AsyncIterator[Database]:
    opened = Database(f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}")
    await upgrade(opened)
    yield opened
    await opened.close()


def _body(chance: random.Random) -> bytes:
    """JSON of an update with something in it made odd, or no JSON."""
    odd: list[Any] = [None, -1, 2**70, 1.5, "x", [], {}, True, "\0", "\ud800", float("nan"), [[]] * 3]
    whole: dict[str, Any] = {"update_id": chance.randrange(2**40), "message": {"chat": {"id": 1}, "text": "hi"}}
    where = chance.choice([whole, whole["message"], whole["message"]["chat"]])
    where[chance.choice([*where, "from", "extra"])] = chance.choice(odd)
    text = json.dumps(chance.choice([whole, whole, whole, *odd]))
    at = chance.randrange(len(text))
    return (text if chance.random() < 0.8 else text[:at] + chance.choice(string.printable) + text[at + 1 :]).encode()


async def test_the_webhook_keeps_puts_aside_or_refuses_any_body(database: Database) -> None:
    chance = random.Random(SEED)
    for _ in range(EXAMPLES_N):
        body = _body(chance)
        began_s = time.process_time()
        await webhook.taken(database, body, lambda: datetime(2026, 5, 5, tzinfo=UTC))
        assert time.process_time() - began_s < 0.5, body
    async with database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Inbox))


def _data(chance: random.Random) -> str:
    """A true verb, and after it what no button of ours has."""
    some = [
        str(chance.randrange(-2, 40)),
        "".join(chance.choices(string.printable, k=chance.randrange(1, 12))),
        "",
        "é",
    ]
    rest = ":".join(chance.choice(some) for _ in range(chance.randrange(0, 4)))
    while len(f"x:{rest}".encode()) > 50:
        rest = rest[:-1]
    return f"{chance.choice(sorted(PRESSES))}:{rest}"


async def test_made_up_buttons_are_answered_and_tell_nothing_of_another_garden(neighbours: Talk) -> None:
    """Petra is of Fern Row alone; numbers of rows are those of Teasel Lane as often as not."""
    await neighbours.look()
    await neighbours.write("Petra", "/week")
    chance = random.Random(SEED)
    for _ in range(EXAMPLES_N):
        data = _data(chance)
        shown = [one for one in (*neighbours.group(), *neighbours.private("Petra")) if one.keyboard]
        answers = await asyncio.wait_for(neighbours.forge("Petra", data, chance.choice(shown)), 60)
        said = " ".join(answer.text for answer in answers)
        assert "went wrong" not in said and "Teasel" not in said, data
