"""Plays invented weather to the demo's garden, and counts what its group hears of each event."""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from sqlalchemy import select, update

from bot.core.garden.snapshot import Stage as PlantStage
from bot.core.tasks.rota import Problem, Solution
from bot.core.tasks.rota_solver import solve
from bot.demo.weather import Day
from bot.i18n import LANGUAGES, say
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.importing import import_records
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.models import Base, Outbox, Planting, Warning
from bot.storage.session import Database
from tests.open_data import ROOT
from tests.support.invented_weather import EVERY, write
from tests.support.neighbours import Neighbours

__all__ = ["Event", "by_event", "furnished", "played", "solve_here"]

GARDEN = ROOT / "bot/demo/garden"
_NAME = "Teasel Lane"
_HARDY = ("onion-set", "broad-bean", "pea", "cabbage-summer")
_WINTER = (11, 12, 1, 2, 3)


@dataclass(frozen=True, slots=True)
class Event:
    """One hazard in one window, as the group heard of it. kinds: of its new messages, in order."""

    hazard: str
    window_on: date
    kinds: tuple[str, ...]
    edits: int

    @property
    def spoken(self) -> int:
        return len(self.kinds)

    @property
    def is_false_start(self) -> bool:
        """Spoken of, and called off before anybody was called."""
        return "called off" in self.kinds and not {"call", "too late"} & set(self.kinds)

    @property
    def is_called_for_nothing(self) -> bool:
        """People were called, and it was called off after that."""
        called = next((n for n, kind in enumerate(self.kinds) if kind in ("call", "too late")), len(self.kinds))
        return "called off" in self.kinds[called:]


async def furnished(database: Database, now: datetime, names: Sequence[str] = (_NAME,)) -> None:
    """An empty database with every table, and in it the demo's garden once under each of the names."""
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
    files = read_folder(GARDEN)
    for name in names:
        named = {"garden.csv": files["garden.csv"].replace(_NAME.encode(), name.encode())}
        async with database.begin() as session:
            report = await import_records(session, files | named, say("en", "Europe/London"), now)
            assert not report.problems, report.problems


async def by_event(database: Database) -> list[Event]:
    """What the group was told of each warning of which it was told anything."""
    async with database.begin() as session:
        warnings = {row.id: row for row in await session.scalars(select(Warning).order_by(Warning.window_on))}
        keys = (await session.scalars(select(Outbox.key).where(Outbox.chat_id < 0).order_by(Outbox.id))).all()
    said: dict[int, list[str]] = defaultdict(list)
    for key in keys:
        if key.startswith("warning:"):
            said[int(key.split(":")[1])].append(key.split(":")[2])
    return [
        Event(warnings[id_].hazard, warnings[id_].window_on, tuple(kind for kind in kinds if kind != "edit"), count)
        for id_, kinds in said.items()
        for count in [Counter(kinds)["edit"]]
    ]


async def played(
    folder: Path,
    seen: Callable[[datetime], Sequence[Day]],
    start_at: datetime,
    end_at: datetime,
    chance: random.Random | None,
    step: timedelta,
) -> list[Event]:
    """The events of a stretch of time.

    seen: the days that a forecast issued at a moment tells, from that day on. chance: of how people answer; None where
    nobody does.
    """
    database, path = Database(f"sqlite+aiosqlite:///{folder}/year.sqlite3"), folder / "forecast.json"
    issued_at = start_at
    write(path, seen(issued_at), issued_at)
    await furnished(database, start_at)
    async with on_stage(database, Source(f"file:{path}"), start_at, solve_here) as stage:
        users = [user.id for user in stage.people()] if chance else []
        people = Neighbours(stage.api, users, stage.clock, chance or random.Random(), tuple(LANGUAGES))
        while stage.clock.at < end_at:
            stage.clock.at += step
            if stage.clock.at - issued_at >= EVERY:
                issued_at = stage.clock.at
                write(path, seen(issued_at), issued_at)
                await _by_season(database, issued_at)
            people.live()
            await stage.tick()
        events = await by_event(database)
    await database.close()
    return events


async def solve_here(problem: Problem) -> Solution:
    """The real solver, without a process of its own."""
    return solve(problem)


async def _by_season(database: Database, now: datetime) -> None:
    """Tender things are gone in winter and back in spring."""
    tender, gone = Planting.crop.not_in(_HARDY), Planting.stage == PlantStage.ENDED
    if now.month in _WINTER:
        change = update(Planting).where(tender, ~gone).values(stage=PlantStage.ENDED)
    else:
        change = update(Planting).where(tender, gone).values(stage=PlantStage.GROWING)
    async with database.begin() as session:
        await session.execute(change)
