"""Rows that are stored once: what is there already stays as it is, whoever else stores it at the same moment."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.base import Base

__all__ = ["insert_new"]

_Row = TypeVar("_Row", bound=Base)


async def insert_new(session: AsyncSession, table: type[_Row], *values: dict[str, Any]) -> Sequence[_Row]:
    """The rows that were not there by any of their unique keys, in one statement."""
    insert = sqlite.insert if session.get_bind().dialect.name == "sqlite" else postgresql.insert
    query = insert(table).on_conflict_do_nothing().returning(table)
    # As parameters: a statement that holds the values of several rows would be compiled anew each time.
    return (await session.scalars(query, list(values))).all()
