"""A garden's whole database carried to another, row by row, and compared; all of it or nothing."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import Table, func, select, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import Base
from bot.storage.session import Database

_BATCH = 500


class MoveError(RuntimeError):
    """Nothing was stored. The text says why and what to do, and shows no value of a row."""


async def move(source: Database, target: Database) -> Mapping[str, int]:
    """Fill an empty database with another's rows; gives how many, by table.

    Both must have this program's tables, and nobody may write to the source meanwhile. The source is not changed.
    Raises MoveError.
    """
    async with source.begin() as old, target.begin() as new:
        await _want_empty(new, target)
        moved = {table.name: await _copied(table, old, new) for table in Base.metadata.sorted_tables}
        if not target.is_sqlite:
            for table in Base.metadata.sorted_tables:
                await _number_on(table, new)
        for table in Base.metadata.sorted_tables:
            await _compare(table, old, new)
    return moved


async def _want_empty(new: AsyncSession, target: Database) -> None:
    for table in Base.metadata.sorted_tables:
        found = await new.scalar(select(func.count()).select_from(table))
        if found:
            raise MoveError(
                f"the database {target.address} is not empty: {table.name} has {found} rows; name an empty one in "
                "GATEPOST_DATABASE_URL"
            )


async def _copied(table: Table, old: AsyncSession, new: AsyncSession) -> int:
    """In the order of their numbers: what refers to a row of its own table refers to an older one."""
    count = 0
    rows = await old.stream(select(table).order_by(*table.primary_key))
    async for some in rows.mappings().partitions(_BATCH):
        try:
            await new.execute(table.insert(), [dict(row) for row in some])
        except DBAPIError as error:
            keys = [tuple(row[key.name] for key in table.primary_key) for row in (some[0], some[-1])]
            raise MoveError(
                f"{table.name}: a row from {keys[0]} to {keys[1]} cannot be stored there ({type(error.orig).__name__}); "
                "nothing was moved"
            ) from error
        count += len(some)
    return count


async def _number_on(table: Table, new: AsyncSession) -> None:
    """PostgreSQL numbers new rows by a counter of its own, which does not know the rows that came with theirs."""
    key = next(iter(table.primary_key)).name
    counter = await new.scalar(text("SELECT pg_get_serial_sequence(:name, :key)"), {"name": table.name, "key": key})
    last = await new.scalar(select(func.max(table.c[key]))) if counter else None
    if last is not None and last > 0:
        await new.execute(text("SELECT setval(:counter, :last)"), {"counter": counter, "last": last})


async def _compare(table: Table, old: AsyncSession, new: AsyncSession) -> None:
    query = select(table).order_by(*table.primary_key)
    theirs = await new.stream(query)
    async for some in (await old.stream(query)).partitions(_BATCH):
        others = await theirs.fetchmany(len(some))
        if list(some) != list(others):
            raise MoveError(f"{table.name} is not the same on both sides; nothing was moved. Is the bot stopped?")
    if await theirs.fetchone() is not None:
        raise MoveError(f"{table.name} has rows that were not there before; nothing was moved. Is the bot stopped?")
