"""The crop rules of one garden: the shared ones with their days as they are there, and the garden's own changes.

An organiser changes a crop rule for the garden, sees what differs from the shared rules, and puts it back.

The crops of a garden's own: kept when somebody names a plant without a rule, told more of by organisers, shared.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache

from sqlalchemy import extract, func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.core.growing.carrying import carried, carrier, dayless, is_tropical, warmed
from bot.core.growing.crop import Crop
from bot.core.growing.seasons import turned
from bot.crops import loader
from bot.crops.own import PREFIX, Change, OwnCrop, OwnCropError, built, from_row, key_for, named, overridden, to_row
from bot.crops.reading import flat
from bot.storage.models import Garden, Member, NightMinimum, RuleChange
from bot.storage.models import OwnCrop as Row
from bot.storage.read_once import lasting

#: More crops than any garden names; beyond it somebody plays.
MOST_N = 200


@lasting(Row)
async def own_crops_of(session: AsyncSession, garden_id: int) -> Mapping[str, OwnCrop]:
    """By key. One that cannot be read is taken as a plant of which nothing is known, and so protected."""
    rows = await session.scalars(select(Row).where(Row.garden_id == garden_id).order_by(Row.key))
    return {row.key: _read(row) for row in rows}


async def own_crop(session: AsyncSession, number: int) -> Row | None:
    return await session.get(Row, number)


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
    known = await own_crops_of(session, garden_id)
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


_MONTHS = 12
_LEAST_NIGHTS = 140  # of each month: five years of February

_Monthly = tuple[float, ...] | None  # degrees C, January first


@lasting(Garden, NightMinimum, Row, RuleChange)
async def of_garden(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """Crop rules by key."""
    shared = await shared_by(session, garden_id)
    changes = await _changes(session, garden_id)
    own_rules = {
        key: replace(
            overridden(shared[key], own), south=shared[key].south, days=shared[key].days, winter=shared[key].winter
        )
        for key, own in changes.items()
        if key in shared
    }
    return {**shared, **own_rules}


@lasting(RuleChange)
async def _changes(session: AsyncSession, garden_id: int) -> Mapping[str, Mapping[str, Change]]:
    """What the garden has put in place of shared figures, by crop and key."""
    changes: dict[str, dict[str, Change]] = defaultdict(dict)
    for row in await session.scalars(select(RuleChange).where(RuleChange.garden_id == garden_id)):
        changes[row.crop][row.key] = row.value["value"]
    return changes


async def shared_by(session: AsyncSession, garden_id: int) -> Mapping[str, Crop]:
    """The rules before the garden's changes of figures: the shared ones as they hold where it lies, their days by its
    nights, turned round south of the equator; and those of its own crops."""
    latitude = await session.scalar(select(Garden.latitude).where(Garden.id == garden_id))
    if latitude is None:
        return loader.load()
    placed = _placed(latitude < 0, is_tropical(latitude), *await _monthly_c(session, garden_id))
    own = await own_crops_of(session, garden_id)
    return {**placed, **{key: built(key, one, placed) for key, one in own.items()}} if own else placed


@lasting(NightMinimum)
async def _monthly_c(session: AsyncSession, garden_id: int) -> tuple[_Monthly, _Monthly]:
    """The mean minimum and the mean maximum of each month; each None where a month of it is not known for years enough."""
    month, low, high = extract("month", NightMinimum.on), NightMinimum.min_c, NightMinimum.max_c
    query = select(func.avg(low), func.count(low), func.avg(high), func.count(high))
    query = query.where(NightMinimum.garden_id == garden_id).group_by(month).order_by(month)
    found = (await session.execute(query)).all()
    lows, highs = [(row[0], row[1]) for row in found], [(row[2], row[3]) for row in found]
    return _means(lows), _means(highs)


def _means(months: Sequence[tuple[float | None, int]]) -> _Monthly:
    if len(months) < _MONTHS or any(mean is None or count < _LEAST_NIGHTS for mean, count in months):
        return None
    return tuple(round(float(mean or 0.0), 1) for mean, _ in months)


@lru_cache(maxsize=128)
def _placed(southern: bool, tropical: bool, monthly_c: _Monthly, highs_c: _Monthly) -> Mapping[str, Crop]:
    crops = loader.load()
    to = carrier(monthly_c, southern=southern) if monthly_c is not None else None
    if to is not None and monthly_c is not None:
        warmth = warmed(to, monthly_c, highs_c, southern=southern) if highs_c is not None else None
        crops = {key: carried(crop, to, warmth) for key, crop in crops.items()}
    elif monthly_c is not None or tropical:
        crops = {key: dayless(crop) for key, crop in crops.items()}
    return {key: turned(crop) for key, crop in crops.items()} if southern else crops


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
    overridden((await shared_by(session, member.garden_id))[crop], {**own, key: value})
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
    shared = await shared_by(session, member.garden_id)
    overridden(shared[crop], rest)  # one end of a window may have made room for the other
    await session.delete(row)
    await session.flush()
    return True


async def differences(session: AsyncSession, garden_id: int) -> tuple[Difference, ...]:
    """Everything in which the garden's rules differ from the shared ones, by crop and key."""
    shared = await shared_by(session, garden_id)
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
