"""An organiser changes a crop rule for the garden, sees what differs from the shared rules, and puts it back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.core.growing.crop import Crop
from bot.crops.change import Change, overridden
from bot.crops.fields import flat
from bot.services.growing import rules
from bot.storage.models import Member, RuleChange

__all__ = ["Difference", "change", "differences", "figure", "put_back"]

_ENDS = {"from": 0, "to": 1, "least": 0, "most": 1}


@dataclass(frozen=True, slots=True)
class Difference:
    """One figure of the garden's own. shared, source: what the shared rule says and where that comes from.

    by: who changed it, None when they are gone.
    """

    crop: str
    key: str
    own: Change
    shared: Change | None
    source: str
    changed_at: datetime
    by: str | None


async def change(
    session: AsyncSession, member: Member, crop: str, key: str, value: Change, now: datetime
) -> Change | None:
    """Set one figure for the member's garden; returns the garden's own figure before, None when there was none.

    key, value: as `bot.crops.change` has them. Raises PermissionError for one who is no organiser, KeyError for an
    unknown crop, and CropRulesError when the rule would not stand up to its checks.
    """
    _organiser(member)
    rows = await _rows(session, member.garden_id, crop)
    own: dict[str, Change] = {row.key: row.value["value"] for row in rows}
    overridden((await rules.shared_by(session, member.garden_id))[crop], {**own, key: value})
    row = next((row for row in rows if row.key == key), None)
    if row is None:
        row = RuleChange(garden_id=member.garden_id, crop=crop, key=key)
        session.add(row)
    row.member_id, row.value, row.changed_at = member.id, {"value": value}, now
    await session.flush()
    return own.get(key)


async def put_back(session: AsyncSession, member: Member, crop: str, key: str) -> bool:
    """The shared figure holds again; False when it did already. Raises as `change` does."""
    _organiser(member)
    rows = await _rows(session, member.garden_id, crop)
    row = next((row for row in rows if row.key == key), None)
    if row is None:
        return False
    rest: dict[str, Change] = {other.key: other.value["value"] for other in rows if other is not row}
    shared = await rules.shared_by(session, member.garden_id)
    overridden(shared[crop], rest)  # one end of a window may have made room for the other
    await session.delete(row)
    await session.flush()
    return True


async def differences(session: AsyncSession, garden_id: int) -> tuple[Difference, ...]:
    """Everything in which the garden's rules differ from the shared ones, by crop and key."""
    shared = await rules.shared_by(session, garden_id)
    query = select(RuleChange).where(RuleChange.garden_id == garden_id).order_by(RuleChange.crop, RuleChange.key)
    return tuple(
        [
            Difference(
                crop=row.crop,
                key=row.key,
                own=row.value["value"],
                shared=figure(shared[row.crop], row.key),
                source=_source(shared[row.crop], row.key),
                changed_at=row.changed_at,
                by=await _name(session, row.member_id),
            )
            for row in await session.scalars(query)
            if row.crop in shared
        ]
    )


def figure(crop: Crop, key: str) -> Change | None:
    """What a rule says at a changeable key: days as "MM-DD"; None where it says nothing."""
    values = flat(crop)
    value = values.get(key)
    if value is None and key.rpartition(".")[2] in _ENDS:
        base, _, end = key.rpartition(".")
        whole = values.get(base)
        value = whole[_ENDS[end]] if isinstance(whole, tuple) else None
    if isinstance(value, tuple):
        month, day = value
        return f"{month:02}-{day:02}"
    return value if isinstance(value, int | float | str) else None


def _source(crop: Crop, key: str) -> str:
    return crop.sources.get(key) or crop.sources.get(key.rpartition(".")[0], "practice")


async def _rows(session: AsyncSession, garden_id: int, crop: str) -> Sequence[RuleChange]:
    query = select(RuleChange).where(RuleChange.garden_id == garden_id, RuleChange.crop == crop)
    return (await session.scalars(query)).all()


async def _name(session: AsyncSession, member_id: int | None) -> str | None:
    member = await session.get(Member, member_id) if member_id is not None else None
    return member.person.name if member else None


def _organiser(member: Member) -> None:
    if member.role is not Role.ORGANISER:
        raise PermissionError(f"member {member.id} is no organiser; only organisers change the garden's rules")
