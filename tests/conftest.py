"""Fixtures that several areas share: a database of each kind, and the stand-in for the chat platform."""

from __future__ import annotations

import asyncio
import gc
import shutil
from collections.abc import AsyncIterator, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from sqlalchemy import URL, Table, event
from sqlalchemy.orm import ORMExecuteState, Session
from sqlalchemy.sql.visitors import iterate

from bot.chat.warnings import brief
from bot.chat.wire.platform import MemoryApi
from bot.cli.demo import _FOLDER, _furnish
from bot.core.tasks.rota import Problem, Solution
from bot.core.tasks.rota_solver import solve
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage.read_once import READING
from bot.storage.session import Database
from tests.support import postgres
from tests.support.bot_api import BotApiServer
from tests.support.group_messages import furnished
from tests.support.invented_weather import calm, write
from tests.support.stored import Stored, with_every_table
from tests.support.talk import MONDAY_AT, Talk, first_who_can, nobody
from tests.support.two_gardens import START_AT, both
from tests.support.village import AMIRA, GROUP, HANA, JOE, Village

settings.register_profile("gatepost", deadline=None, derandomize=True)  # time is never tested
settings.load_profile("gatepost")


@event.listens_for(Session, "do_orm_execute")
def _reads_what_it_says(state: ORMExecuteState) -> None:
    """A function that is marked `read_once` names every table that it asks."""
    said = state.session.info.get(READING)
    if said is not None and state.is_select:
        statement: Any = state.statement
        asked = {one.name for one in iterate(statement) if isinstance(one, Table)}
        assert asked <= said, f"reads {asked - said} too"


def pytest_collection_finish() -> None:
    # What is loaded stays loaded; looking through it for garbage again and again takes a seventh of the time.
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)


@pytest.fixture(autouse=True)
def _no_settings_of_our_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever runs the tests may have a garden too."""
    monkeypatch.setenv("GATEPOST_SETTINGS", "off")


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[URL]:
    # In a thread, since the first test to ask for it runs in a loop already.
    with postgres.server() as url, ThreadPoolExecutor(1) as pool:
        yield pool.submit(asyncio.run, postgres.filled_template(url)).result()


@pytest.fixture(scope="session")
def stored(tmp_path_factory: pytest.TempPathFactory) -> Stored:
    return Stored(tmp_path_factory.mktemp("stored"))


@pytest.fixture
def apart(request: pytest.FixtureRequest, tmp_path: Path) -> Path | None:
    """Where a story's database stands that is marked `apart`: one of its own, opened as the bot opens it."""
    return tmp_path / "garden.sqlite3" if request.node.get_closest_marker("apart") else None


@pytest.fixture(params=["sqlite", "postgres"])
async def database_url(request: pytest.FixtureRequest, stored: Stored, tmp_path: Path) -> AsyncIterator[str]:
    """The address of an empty database with every table: SQLite in a file, then PostgreSQL."""
    if request.param == "postgres":
        async with postgres.database_copy(request.getfixturevalue("postgres_server")) as url:
            yield url
        return
    path = tmp_path / "gatepost.sqlite3"
    shutil.copyfile(await stored.file(with_every_table), path)
    yield f"sqlite+aiosqlite:///{path}"


@pytest.fixture
async def database(database_url: str) -> AsyncIterator[Database]:
    opened = Database(database_url)
    yield opened
    await opened.close()


@pytest.fixture
async def bot_api() -> AsyncIterator[BotApiServer]:
    """The platform on loopback; a call whose form is not the Bot API's fails the test."""
    async with BotApiServer(MemoryApi(lambda: datetime.now(UTC))) as server:
        yield server
    assert server.problems == []


# -- gardens on stage: an invented one in calm weather, the demo's own before its cold night, two beside each other, none yet


async def on_monday(database: Database) -> None:
    await furnished(database, MONDAY_AT)


@pytest.fixture
async def furnished_database(stored: Stored, apart: Path | None) -> AsyncIterator[Database]:
    async with stored.opened(on_monday, apart) as database:
        yield database


@pytest.fixture
async def lane(furnished_database: Database, tmp_path: Path) -> AsyncIterator[Talk]:
    """On a Monday morning in May, its weather calm until a story says otherwise."""
    forecast = tmp_path / "forecast.json"
    write(forecast, [calm()] * 10, MONDAY_AT)
    async with on_stage(furnished_database, Source(f"file:{forecast}"), MONDAY_AT, first_who_can) as stage:
        yield Talk(stage, forecast)


@pytest.fixture
def whole_messages(monkeypatch: pytest.MonkeyPatch) -> None:
    """Warnings and asks in full, as Show all gives them, for stories that read every line of them."""
    monkeypatch.setattr(brief, "ROWS", 1000)


@pytest.fixture
async def stage(stored: Stored, apart: Path | None) -> AsyncIterator[Stage]:
    """The demo's garden on the Monday morning before its cold night."""
    source = Source(f"file:{_FOLDER / 'forecast.json'}")
    async with stored.opened(_furnish, apart) as database, on_stage(database, source, MONDAY_AT) as on:
        on.app.solve = nobody
        yield on


@pytest.fixture
def talk(stage: Stage) -> Talk:
    return Talk(stage)


@pytest.fixture
async def two_gardens(stored: Stored, apart: Path | None) -> AsyncIterator[Database]:
    async with stored.opened(both, apart) as opened:
        yield opened


@pytest.fixture
async def street(two_gardens: Database) -> AsyncIterator[Talk]:
    """Two gardens on a mild Sunday; a cold night comes on Tuesday, a windy day on Friday."""
    source = Source(f"file:{_FOLDER / 'forecast.json'}")
    async with on_stage(two_gardens, source, START_AT, solve=_solve) as on:
        yield Talk(on)


async def _solve(problem: Problem) -> Solution:
    return solve(problem)


@pytest.fixture
async def village(stored: Stored, apart: Path | None) -> AsyncIterator[Village]:
    """An empty database, and a group chat with three people to which the bot has not been added."""
    source = Source(f"file:{_FOLDER / 'forecast.json'}")
    async with stored.opened(with_every_table, apart) as database, on_stage(database, source, MONDAY_AT) as on:
        for number, name in ((AMIRA, "Amira"), (HANA, "Hana"), (JOE, "Joe")):
            on.api.add_user(number, name)
        group = on.api.add_group(GROUP, "Elm Lane Allotments", topics={5})
        group.statuses |= {AMIRA: "creator", HANA: "administrator", JOE: "member"}
        yield Village(on)
