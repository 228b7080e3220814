"""Rows that are stored once: what is there already stays as it is, whoever else stores it at the same moment."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any, TypeVar

from sqlalchemy import Row, inspect
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.base import Base

_Row = TypeVar("_Row", bound=Base)


async def insert_new(session: AsyncSession, table: type[_Row], *values: dict[str, Any]) -> Sequence[_Row]:
    """The rows that were not there by any of their unique keys, in one statement."""
    insert = _insert_of(session)
    query = insert(table).on_conflict_do_nothing().returning(table)
    # As parameters: a statement that holds the values of several rows would be compiled anew each time.
    return (await session.scalars(query, list(values))).all()


async def insert_numbers(session: AsyncSession, table: type[Base], values: Sequence[dict[str, Any]]) -> Sequence[int]:
    """The same, but only the new rows' numbers, for what is stored with every message: that takes half as long."""
    return [number for (number,) in await insert_columns(session, table, values)]


async def insert_columns(
    session: AsyncSession, table: type[Base], values: Sequence[dict[str, Any]], *more: str
) -> Sequence[Row[Any]]:
    """The same, with more columns of the new rows behind their numbers."""
    return (await session.execute(_numbering(table, _insert_of(session), *more), values)).all()


def _insert_of(session: AsyncSession) -> Any:
    return sqlite.insert if session.get_bind().dialect.name == "sqlite" else postgresql.insert


@cache
def _numbering(table: type[Base], insert: Any, *more: str) -> Any:
    named = inspect(table)
    columns = (*named.primary_key, *(named.local_table.c[name] for name in more))
    return insert(named.local_table).on_conflict_do_nothing().returning(*columns)
