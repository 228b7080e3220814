"""Plays weather to the demo's garden with willing members, and counts every message that rings, by kind and length."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path

from sqlalchemy import select

from bot.chat.wire.markup import strip_tags
from bot.core.garden.place_state import Layer
from bot.core.warnings.hazards import Hazard
from bot.demo.weather import Day
from bot.services.look import look
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage.garden import gardens
from bot.storage.models import Ask, Outbox, Place, Task
from bot.storage.session import Database
from tests.support.group_messages import furnished, solve_here
from tests.support.invented_weather import EVERY, write
from tests.support.willing import Willing

__all__ = ["GROUP", "LETTERS", "Heard", "Played", "frosty", "lines_of", "play"]

GROUP = "group"
#: What a phone shows of a message in a line, roughly: the owner's measure.
LETTERS = 40
#: The frosty week: Monday to Monday, told of from two days before. Invented.
FROM_AT, TO_AT = datetime.fromisoformat("2026-04-18T12:00+00:00"), datetime.fromisoformat("2026-04-27T12:00+00:00")


#: The last day that the records of the demo speak of.
RECORDS_AT = datetime.fromisoformat("2026-05-03T12:00+00:00")


def _frosty_days() -> dict[date, Day]:
    """Nights at the end of a cold April: three in a row, a mild one, and one more; each by its morning.

    Cold enough that no slip of a forecast changes which cover is wanted.
    """
    lows = {21: 6.0, 22: -1.6, 23: -3.2, 24: -2.1, 25: 6.5, 26: -1.1, 27: 6.0}
    clear = {22, 23, 24, 26}
    return {
        date(2026, 4, day): (low, 12.0, 5.0 if day in clear else 80.0, 1.0 if day in clear else 3.0, 5.0, 0.0)
        for day, low in lows.items()
    }


def frosty(issued_at: datetime) -> list[Day]:
    """What a forecast issued then tells; each slips a little to and fro, as forecasts do."""
    slip = (0.3, -0.3, 0.2, -0.2)[(issued_at - FROM_AT) // EVERY % 4]
    found = []
    for n in range(9):
        day = _frosty_days().get(issued_at.date() + timedelta(days=n), (7.0, 14.0, 80.0, 3.0, 6.0, 0.0))
        found.append((round(day[0] + slip, 1), *day[1:]))
    return found


@dataclass(frozen=True, slots=True)
class Heard:
    """One message that rang. kind: why it came; rows: lines of 40 letters."""

    chat: str
    kind: str
    at: datetime
    rows: int
    text: str


@dataclass(slots=True)
class Played:
    """heard: of the group and of each member. wanted: by evening, the places that the last look before dusk wanted
    protected; bare: those of them that nobody had reported as protected; asked: places that somebody was asked about."""

    heard: list[Heard] = field(default_factory=list)
    wanted: dict[date, set[str]] = field(default_factory=dict)
    bare: dict[date, set[str]] = field(default_factory=dict)
    asked: set[str] = field(default_factory=set)

    def of(self, chat: str) -> list[Heard]:
        return [one for one in self.heard if one.chat == chat]

    def members(self) -> list[str]:
        return sorted({one.chat for one in self.heard} - {GROUP})

    def kinds(self, chat: str) -> Counter[str]:
        return Counter(one.kind for one in self.of(chat))


def lines_of(text: str) -> int:
    return sum(max(1, len(textwrap.wrap(line, LETTERS))) for line in strip_tags(text).splitlines())


async def play(
    folder: Path, seen: Callable[[datetime], Sequence[Day]], start_at: datetime, end_at: datetime, step: timedelta
) -> Played:
    """seen: the days that a forecast issued at a moment tells, from that day on."""
    database, path = Database(f"sqlite+aiosqlite:///{folder}/rings.sqlite3"), folder / "forecast.json"
    issued_at, found = start_at, Played()
    write(path, seen(issued_at), issued_at)
    await furnished(database, max(start_at, RECORDS_AT))
    source = Source(f"file:{path}")
    async with on_stage(database, source, start_at, solve_here) as stage:
        names, last_id = {user.id: user.first_name for user in stage.people()}, 0
        people = Willing(stage, [user.id for user in stage.people()])
        while stage.clock.at < end_at:
            await _note_bare(stage, source, found, step)
            stage.clock.at += step
            if stage.clock.at - issued_at >= EVERY:
                issued_at = stage.clock.at
                write(path, seen(issued_at), issued_at)
            await people.live()
            await stage.tick()
            last_id = await _note_heard(database, names, found, last_id)
        found.asked = await _asked(database)
    await database.close()
    return found


async def _note_heard(database: Database, names: dict[int, str], found: Played, last_id: int) -> int:
    """Note what was sent since; gives the newest row."""
    async with database.begin() as session:
        rows = (await session.scalars(select(Outbox).where(Outbox.id > last_id).order_by(Outbox.id))).all()
    for row in rows:
        if row.method.startswith("send"):
            text = row.payload.get("text") or row.payload.get("caption") or ""
            chat = names.get(row.chat_id, GROUP)
            found.heard.append(Heard(chat, _kind(row.key), row.queued_at, lines_of(text), strip_tags(text)))
    return max([last_id, *(row.id for row in rows)])


async def _asked(database: Database) -> set[str]:
    async with database.begin() as session:
        query = select(Place.name).join(Task, Task.place_id == Place.id).join(Ask, Ask.task_id == Task.id)
        return set(await session.scalars(query))


def _kind(key: str) -> str:
    first, *rest = key.split(":")
    if first == "warning":
        return rest[1]
    if first == "ask":
        return next(one for one in rest if not one.replace("-", "").isdecimal())
    return {"reply": "answer to a tap", "short": "nobody found", "walk": "daily turn"}.get(first, first)


_COVERED = (Layer.COVER, Layer.INSIDE, Layer.EARTH)


async def _note_bare(stage: Stage, source: Source, found: Played, step: timedelta) -> None:
    """At the last look before the latest safe time: what the cold of that night asks for, and what nobody has reported.

    These members report whatever they put on and take off, so that what the ledger has on is on.
    """
    now = stage.clock.at
    async with stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        outlook = await look(session, row, source, now)
    for one in outlook.findings:
        if one.hazard is Hazard.COLD and now < one.due_at <= now + step:
            name = outlook.garden.place_by_id[one.place_id].name
            found.wanted.setdefault(one.window_on, set()).add(name)
            stands = outlook.states.get(one.place_id)
            if stands is None or not any(layer in stands.on for layer in _COVERED):
                found.bare.setdefault(one.window_on, set()).add(name)
