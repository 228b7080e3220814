"""The crops of a garden's own: kept when somebody names a plant without a rule, told more of by organisers, shared."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.crops.own import PREFIX, OwnCrop, OwnCropError, from_row, key_for, named, to_row
from bot.storage.models import Member
from bot.storage.models import OwnCrop as Row
from bot.storage.read_once import lasting

__all__ = ["MOST_N", "add", "numbers", "of_garden", "say_of", "take"]

#: More crops than any garden names; beyond it somebody plays.
MOST_N = 200


@lasting(Row)
async def of_garden(session: AsyncSession, garden_id: int) -> Mapping[str, OwnCrop]:
    """By key. One that cannot be read is taken as a plant of which nothing is known, and so protected."""
    rows = await session.scalars(select(Row).where(Row.garden_id == garden_id).order_by(Row.key))
    return {row.key: _read(row) for row in rows}


def _read(row: Row) -> OwnCrop:
    try:
        return from_row(row.said, row.key)
    except (OwnCropError, TypeError, AttributeError):
        return OwnCrop(named(row.key.removeprefix(PREFIX)) or row.key)


async def numbers(session: AsyncSession, garden_id: int) -> dict[str, int]:
    """Row numbers by key, in the same order."""
    query = select(Row.key, Row.id).where(Row.garden_id == garden_id).order_by(Row.key)
    return {row.key: row.id for row in await session.execute(query)}


async def add(session: AsyncSession, garden_id: int, member_id: int | None, name: str, now: datetime) -> str | None:
    """Keep a plant of that name, of which nothing is known yet; its key. None where it has no name or there are too many."""
    own = OwnCrop(named(name))
    key = key_for(own.name)
    known = await of_garden(session, garden_id)
    if not own.name or key == key_for("") or (key not in known and len(known) >= MOST_N):
        return None
    if key not in known:
        session.add(Row(garden_id=garden_id, member_id=member_id, key=key, said=to_row(own), changed_at=now))
        await session.flush()
    return key


async def say_of(session: AsyncSession, member: Member, key: str, now: datetime, **said: object) -> OwnCrop | None:
    """What an organiser says of one; None where the garden has none of that key. Raises PermissionError, OwnCropError."""
    if member.role is not Role.ORGANISER:
        raise PermissionError(f"member {member.id} is no organiser; only organisers say what a crop is like")
    query = select(Row).where(Row.garden_id == member.garden_id, Row.key == key).with_for_update()
    row = await session.scalar(query)
    if row is None:
        return None
    own = replace(_read(row), **said)  # type: ignore[arg-type]
    row.said = to_row(from_row(to_row(own), key))
    row.member_id, row.changed_at = member.id, now
    await session.flush()
    return own


async def take(
    session: AsyncSession, garden_id: int, given: Mapping[str, OwnCrop], now: datetime
) -> tuple[tuple[str, ...], tuple[str, ...], int]:
    """Crops of a file into the garden: names added, names changed, and how many were so already."""
    rows = {row.key: row for row in await session.scalars(select(Row).where(Row.garden_id == garden_id))}
    added, changed, unchanged_n = [], [], 0
    for key, own in given.items():
        row = rows.get(key)
        if row is None:
            session.add(Row(garden_id=garden_id, key=key, said=to_row(own), changed_at=now))
            added.append(own.name)
        elif own.is_known and _read(row) != own:  # what knows nothing takes nothing away
            row.said, row.changed_at = to_row(own), now
            changed.append(own.name)
        else:
            unchanged_n += 1
    await session.flush()
    return tuple(added), tuple(changed), unchanged_n
