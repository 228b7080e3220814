"""Harvests from shared places: what the journal says was taken, and a share taken by a tap."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden
from bot.core.growing.crop import Crop
from bot.core.growing.harvest import Pick, Shared
from bot.core.growing.jobs.job import Item
from bot.services import journal
from bot.services.journal.note import Action, Note, Unit, weight_kg
from bot.services.journal.outcome import Outcome
from bot.storage.models import Entry, Member, Planting
from bot.storage.models import Garden as GardenRow


async def of_garden(session: AsyncSession, garden: Garden) -> Mapping[int, Shared]:
    """By planting in a shared place: harvests in the journal that were not taken back, a member's words or their tap."""
    places = {place.id for place in garden.places if place.shared}
    ids = [one.id for one in garden.plantings if one.place_id in places]
    if not ids:
        return {}
    entries = await session.scalars(
        select(Entry)
        .where(Entry.planting_id.in_(ids), Entry.action == Action.HARVESTED.value, Entry.undone_at.is_(None))
        .order_by(Entry.id)
    )
    picks: dict[int, list[Pick]] = defaultdict(list)
    for entry in entries:
        kg = weight_kg(entry.amount, Unit(entry.unit)) if entry.amount is not None else None
        picks[entry.planting_id or 0].append(Pick(entry.member_id, kg))
    turns = await _turns(session, garden.id, places)
    return {id_: Shared(tuple(picks[id_]), turns[id_]) for id_ in ids}


async def _turns(session: AsyncSession, garden_id: int, places: set[int]) -> Mapping[int, int]:
    """How many batches of the same crop stood in shared places before each one."""
    rows = await session.execute(
        select(Planting.id, Planting.crop)
        .where(Planting.garden_id == garden_id, Planting.place_id.in_(places))
        .order_by(Planting.id)
    )
    seen: dict[str, int] = defaultdict(int)
    turns: dict[int, int] = {}
    for planting_id, crop in rows:
        turns[planting_id] = seen[crop]
        seen[crop] += 1
    return turns


async def take(
    session: AsyncSession, row: GardenRow, member: Member, item: Item, crops: Mapping[str, Crop], now: datetime
) -> Outcome:
    """The household's share was picked: kept in the journal like any harvest, so that it can be undone."""
    assert item.share is not None and item.planting_id is not None
    by_weight = item.share.mine_kg is not None
    note = Note(
        action=Action.HARVESTED,
        words="",
        done_on=now.astimezone(row.tz).date(),
        plantings=(item.planting_id,),
        amount=round(item.share.mine_kg, 2) if item.share.mine_kg is not None else float(item.share.plants),
        unit=Unit.KG if by_weight else Unit.PIECE,
    )
    return await journal.record(session, row, member, note, crops, now)
