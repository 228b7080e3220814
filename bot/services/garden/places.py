"""Plots, places and thermometers of a garden: added as a spreadsheet's rows would be, renamed, and taken away."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import delete, func, or_, select, update
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Stage
from bot.i18n import Say
from bot.services.garden.records.importing import import_records
from bot.services.garden.records.rows import same
from bot.storage.models import (
    Garden,
    Place,
    Planting,
    Plot,
    PlotHolder,
    Reading,
    Support,
    Task,
    Thermometer,
    Warning,
)
from bot.storage.people import members
from bot.storage.states import WarningState
from bot.storage.tasks import tasks

Thing = Plot | Place | Thermometer
#: The file of docs/records.md that the rows belong to, the rows, and the people that they name.
Rows = tuple[str, Sequence[Mapping[str, str]], Sequence[str]]
_DAY = timedelta(days=1)
_LETTERS: dict[str, type[Any]] = {"q": Plot, "p": Place, "t": Thermometer}


@dataclass(frozen=True, slots=True)
class Laid:
    """added: names, by file. changed: names of what was there already. people: who is new on the list."""

    added: tuple[tuple[str, tuple[str, ...]], ...]
    changed: tuple[str, ...]
    people: tuple[str, ...]
    problems: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Hanging:
    """What goes with a thing: batches growing there, supports, places of a plot (they stay), readings.

    in_use: somebody has been asked to look after it just now.
    """

    plantings: tuple[str, ...] = ()
    supports_n: int = 0
    places_n: int = 0
    readings_n: int = 0
    in_use: bool = False


async def add(
    session: AsyncSession, garden: Garden, items: Sequence[Rows], say: Say, now: datetime, *, dry_run: bool
) -> Laid:
    """All of it or nothing: with a problem, or in a dry run, nothing is stored.

    People whom nobody knows are put on the list by name; when somebody of such a name taps Join, the organisers are asked
    whether it is them.
    """
    added: dict[str, tuple[str, ...]] = {}
    changed: list[str] = []
    problems: list[str] = []
    known = {same(one.person.name) for one in await members.in_garden(session, garden.id)}
    people = tuple(dict.fromkeys(name for _, _, names in items for name in names if same(name) not in known))
    new: Rows = ("members", [{"name": name, "adult": "no"} for name in people], ())
    async with session.begin_nested() as nested:
        for file, rows, _ in [*([new] if people else []), *items]:
            report = await import_records(session, {f"{file}.csv": _csv(rows)}, say, now, garden)
            problems += [problem.text.partition(": ")[2] or problem.text for problem in report.problems]
            tally = report.tallies.get(file)
            if tally is not None and file != "members":
                added[file] = added.get(file, ()) + tally.added
                changed += [one.name for one in tally.changed]
        if dry_run or problems:
            await nested.rollback()
    return Laid(tuple(added.items()), tuple(dict.fromkeys(changed)), people, tuple(dict.fromkeys(problems)))


def _csv(rows: Sequence[Mapping[str, str]]) -> bytes:
    out = io.StringIO()
    writer = csv.DictWriter(out, list(rows[0]))
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue().encode()


async def all_of(session: AsyncSession, garden_id: int) -> list[tuple[str, Thing]]:
    """Everything with a name, with a short code for it: plots, then places, then thermometers."""
    found: list[tuple[str, Thing]] = []
    for letter, table in _LETTERS.items():
        rows = await session.scalars(select(table).where(table.garden_id == garden_id).order_by(table.id))
        found += [(f"{letter}{row.id}", row) for row in rows]
    return found


async def by_code(session: AsyncSession, garden_id: int, code: str) -> Thing | None:
    """The thing of this garden that a code of `all_of` means."""
    table, number = _LETTERS.get(code[:1]), code[1:]
    if table is None or not number.isdecimal() or len(number) > 9:
        return None
    row: Thing | None = await session.get(table, int(number))
    return row if row is not None and row.garden_id == garden_id else None


async def rename(session: AsyncSession, thing: Thing, name: str) -> bool:
    """False when another of its kind has that name."""
    table = type(thing)
    others = await session.scalars(select(table.name).where(table.garden_id == thing.garden_id, table.id != thing.id))
    if same(name) in {same(other) for other in others}:
        return False
    thing.name = name
    await session.flush()
    return True


async def hanging(session: AsyncSession, thing: Thing, now: datetime) -> Hanging:
    async def count(table: type[Support] | type[Place] | type[Reading], condition: object) -> int:
        return await session.scalar(select(func.count()).select_from(table).where(condition)) or 0  # type: ignore[arg-type]

    if isinstance(thing, Plot):
        return Hanging(places_n=await count(Place, Place.plot_id == thing.id))
    if isinstance(thing, Thermometer):
        return Hanging(readings_n=await count(Reading, Reading.thermometer_id == thing.id))
    growing = select(Planting.crop).where(Planting.place_id == thing.id, Planting.stage != Stage.ENDED)
    busy = (
        select(func.count())
        .select_from(Task)
        .outerjoin(Warning, Warning.id == Task.warning_id)
        .where(
            or_(Task.place_id == thing.id, Task.target_place_id == thing.id),
            Task.state.in_(tasks.LIVE),
            or_(Warning.state != WarningState.OVER, Warning.id.is_(None) & (Task.due_at > now - _DAY)),
        )
    )
    return Hanging(
        plantings=tuple(await session.scalars(growing.order_by(Planting.id))),
        supports_n=await count(Support, Support.place_id == thing.id),
        in_use=bool(await session.scalar(busy)),
    )


async def remove(session: AsyncSession, thing: Thing) -> None:
    """The journal keeps what was done there; places of a plot stay, as nobody's plot."""
    if isinstance(thing, Plot):
        await session.execute(update(Place).where(Place.plot_id == thing.id).values(plot_id=None))
        await session.execute(delete(PlotHolder).where(PlotHolder.plot_id == thing.id))
    elif isinstance(thing, Place):
        await session.execute(delete(Planting).where(Planting.place_id == thing.id))
    await session.delete(thing)
    await session.flush()
