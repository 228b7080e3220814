"""What a service manager and a monitoring see of the running bot.

Text format: prometheus.io/docs/instrumenting/exposition_formats (text version 0.0.4; read from memory, 2026-11-27): lines
`name{label="value"} number`, a `# TYPE` before the first of each name.
"""

from __future__ import annotations

import io
import json
import logging
import re
import socket
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
import pytest
from telegram import Bot

from bot.app import App, build
from bot.chat.wire.pace import Pace
from bot.chat.wire.redact import quieten
from bot.cli.logs import JsonLines
from bot.cli.web import answering
from bot.config import SettingsError, read
from bot.services.weather.garden_forecast import Source
from bot.storage import moments
from bot.storage.schema import upgrade
from bot.storage.session import Database
from tests.support.bot_api import TOKEN

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
SAMPLE = re.compile(r'^[a-zA-Z_:][a-zA-Z0-9_:]*(\{[a-zA-Z_]+="[^"]*"\})? [0-9.e+-]+$')


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@pytest.fixture
async def app(tmp_path: Path) -> AsyncIterator[App]:
    database = Database(f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}", patience_s=0.2)
    await upgrade(database)
    yield build(database, Bot(TOKEN), now=lambda: NOW, source=Source("open-meteo"), pace=Pace())
    await database.close()


async def test_health_follows_the_signs_of_life(app: App) -> None:
    port = free_port()
    async with answering(app, ("127.0.0.1", port)), httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}") as http:
        for age, wanted in ((timedelta(minutes=1), 200), (timedelta(hours=1), 503)):
            async with app.database.begin() as session:
                await moments.note(session, NOW - age)
            assert (await http.get("/healthz")).status_code == wanted


async def test_metrics_are_numbers_in_the_published_form(app: App) -> None:
    port = free_port()
    async with answering(app, ("127.0.0.1", port)), httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}") as http:
        found = await http.get("/metrics")
        assert found.status_code == 200 and found.headers["content-type"].startswith("text/plain; version=0.0.4")
        samples = [line for line in found.text.splitlines() if not line.startswith("#")]
        assert samples and all(SAMPLE.match(line) for line in samples), samples
        typed = {line.split()[2] for line in found.text.splitlines() if line.startswith("# TYPE")}
        assert {re.split(r"[{ ]", line)[0] for line in samples} == typed
        assert 'gatepost_outbox_messages{state="pending"} 0' in samples and "gatepost_inbox_waiting 0" in samples


async def test_whatever_else_is_asked_is_refused_and_nonsense_ends_nothing(app: App) -> None:
    port = free_port()
    async with answering(app, ("127.0.0.1", port)), httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}") as http:
        assert (await http.get("/")).status_code == 404
        assert (await http.post("/metrics")).status_code == 405
        for nonsense in (b"\r\n\r\n", b"GET /metrics\r\n\r\n", b"x" * 20_000, b"\xff\x00 \r\n\r\n"):
            with socket.create_connection(("127.0.0.1", port)) as raw:
                raw.sendall(nonsense)
        assert (await http.get("/metrics")).status_code == 200


async def test_it_is_off_unless_set_and_a_port_that_is_taken_is_named(app: App) -> None:
    async with answering(app, None):
        pass
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = int(taken.getsockname()[1])
        with pytest.raises(SettingsError, match=rf"GATEPOST_METRICS is 127\.0\.0\.1:{port}"):
            async with answering(app, ("127.0.0.1", port)):
                pass


@pytest.mark.parametrize("wrong", ["9108", "localhost", "localhost:0", "localhost:99999", ":9108", "localhost:²"])
def test_an_address_that_is_none_is_named(wrong: str) -> None:
    with pytest.raises(SettingsError, match="GATEPOST_METRICS"):
        read({"GATEPOST_METRICS": wrong, "GATEPOST_DATABASE_URL": "sqlite+aiosqlite:////srv/x.sqlite3"})


def test_a_line_of_json_an_event_without_the_token() -> None:
    """RFC 8259; one line each, whatever the message holds."""
    stream = io.StringIO()
    logger = logging.getLogger("tests.json")
    logger.propagate = False
    handler = logging.StreamHandler(stream)
    handler.setFormatter(JsonLines())
    logger.addHandler(handler)
    quieten(logger)
    try:
        raise ValueError(f"two\nlines {TOKEN}")
    except ValueError:
        logger.exception("with %s", TOKEN)
    logger.warning('a "quoted" word')
    logger.removeHandler(handler)
    first, second = (json.loads(line) for line in stream.getvalue().splitlines())
    assert first["level"] == "ERROR" and "two\nlines" in first["error"] and TOKEN not in stream.getvalue()
    assert second["message"] == 'a "quoted" word' and datetime.fromisoformat(second["at"]).tzinfo is not None
