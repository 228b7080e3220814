"""The stored garden as its files would say it: what an import compares with, and what an export writes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.services.garden.records.columns import FILES
from bot.services.garden.records.rows import key_of, same
from bot.storage.models import (
    NAME,
    Away,
    FreeTime,
    Garden,
    Member,
    NamedHelper,
    NightMinimum,
    Place,
    Planting,
    Plot,
    PlotHolder,
    Support,
    Thermometer,
)  # fmt: skip

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True)
class Kept:
    """One stored row. values: as its file would say it, by column; names that are there twice are told apart."""

    values: Mapping[str, Any]
    row: Any


Stored = dict[str, list[Kept]]


async def load(session: AsyncSession, garden: Garden) -> Stored:
    """Everything of the garden that has a file, in the order in which it came; only members who have not left."""
    members = await _all(session, Member, (Member.garden_id == garden.id) & Member.left_at.is_(None))
    plots = await _all(session, Plot, Plot.garden_id == garden.id)
    places = await _all(session, Place, Place.garden_id == garden.id)
    member_names = _names(members, lambda member: member.person.name)
    plot_names = _names(plots, lambda plot: plot.name)
    place_names = _names(places, lambda place: place.name)
    holders = await _holders(session, member_names)
    helpers = await _helpers(session, member_names)

    def kept(file: str, rows: Iterable[Any], **more: Callable[[Any], Any]) -> list[Kept]:
        return [Kept({**_values(file, row), **{name: make(row) for name, make in more.items()}}, row) for row in rows]

    def of_member(row: Any) -> str:
        return member_names[row.member_id]

    def of_place(row: Any) -> str | None:
        return place_names.get(row.place_id)

    theirs = tuple(member_names)
    there = tuple(place_names)
    return {
        "garden": kept("garden", [garden]),
        "members": kept(
            "members",
            members,
            name=lambda row: member_names[row.id],
            language=lambda row: row.person.language,
            helper=lambda row: helpers.get(row.id),
        ),
        "plots": kept("plots", plots, name=lambda row: plot_names[row.id], holders=lambda row: tuple(holders[row.id])),
        "places": kept(
            "places", places, name=lambda row: place_names[row.id], plot=lambda row: plot_names.get(row.plot_id)
        ),
        "supports": kept("supports", await _all(session, Support, Support.place_id.in_(there)), place=of_place),
        "plantings": _apart(
            kept("plantings", await _all(session, Planting, Planting.garden_id == garden.id), place=of_place)
        ),
        "thermometers": kept(
            "thermometers", await _all(session, Thermometer, Thermometer.garden_id == garden.id), place=of_place
        ),
        "free_times": kept(
            "free_times", await _all(session, FreeTime, FreeTime.member_id.in_(theirs)), member=of_member
        ),
        "aways": kept("aways", await _all(session, Away, Away.member_id.in_(theirs)), member=of_member),
        "minima": kept("minima", await _minima(session, garden.id)),
    }


async def _all(session: AsyncSession, table: type[Thing], condition: Any) -> Sequence[Thing]:
    rows = await session.scalars(select(table).where(condition).order_by(table.id))  # type: ignore[attr-defined]
    return rows.all()


async def _minima(session: AsyncSession, garden_id: int) -> Sequence[NightMinimum]:
    query = select(NightMinimum).where(NightMinimum.garden_id == garden_id).order_by(NightMinimum.on)
    return (await session.scalars(query)).all()


async def _holders(session: AsyncSession, names: Mapping[int, str]) -> Mapping[int, list[str]]:
    query = select(PlotHolder).where(PlotHolder.member_id.in_(names)).order_by(PlotHolder.member_id)
    holders: dict[int, list[str]] = defaultdict(list)
    for row in await session.scalars(query):
        holders[row.plot_id].append(names[row.member_id])
    return holders


async def _helpers(session: AsyncSession, names: Mapping[int, str]) -> Mapping[int, str]:
    query = select(NamedHelper).where(NamedHelper.member_id.in_(names), NamedHelper.helper_id.in_(names))
    return {row.member_id: names[row.helper_id] for row in await session.scalars(query)}


def _values(file: str, row: Any) -> dict[str, Any]:
    return {
        column.name: getattr(row, column.stored_as) for column in FILES[file] if hasattr(type(row), column.stored_as)
    }


def _names(rows: Iterable[Any], name: Callable[[Any], str]) -> dict[int, str]:
    """Each row's name by its id; a second "Anna" is "Anna (2)", since chat lets two people have one name."""
    taken: set[Hashable] = set()
    return {row.id: _free(name(row), taken, same) for row in rows}


def _apart(plantings: Iterable[Kept]) -> list[Kept]:
    """Batches of one crop in one place that nobody named get a name, so that a file can tell them apart."""
    taken: set[Hashable] = set()
    return [Kept({**kept.values, "batch": _free_batch(kept.values, taken)}, kept.row) for kept in plantings]


def _free_batch(values: Mapping[str, Any], taken: set[Hashable]) -> str:
    return _free(values["batch"], taken, lambda batch: key_of("plantings", {**values, "batch": batch}))


def _free(name: str, taken: set[Hashable], key: Callable[[str], Hashable]) -> str:
    found, n = name, 1
    while key(found) in taken:
        n += 1
        found = f"{name[: NAME - 6]} ({n})".strip()
    taken.add(key(found))
    return found
