"""Jobs of the week that a note from the plot has done: what was written need not be pressed as well."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden, Planting
from bot.core.growing.crop import Crop
from bot.core.growing.week import JobKind, Mark
from bot.services.journal.note import Action
from bot.storage.models import Entry

__all__ = ["marks"]

#: How long each holds, as after Done (`core.growing.jobs.tending`, `harvesting`); feeding holds as long as the crop's rule says.
_HOLDS = {
    Action.EARTHED_UP: (JobKind.EARTH_UP, timedelta(days=14)),
    Action.SUPPORTED: (JobKind.SUPPORT, timedelta(days=200)),
    Action.HARVESTED: (JobKind.HARVEST, timedelta(days=3)),
    Action.FED: (JobKind.FEED, timedelta(days=0)),
}


async def marks(session: AsyncSession, garden: Garden, crops: Mapping[str, Crop], today: date) -> Mapping[str, Mark]:
    """By item key; a place that was fed was fed with all that stands there.

    A harvest from a shared place is not done by one who took theirs: shares count it down (`services.growing.shares`).
    """
    longest = max(holds for _, holds in _HOLDS.values())
    rows = await session.execute(
        select(Entry.action, Entry.planting_id, Entry.place_id, Entry.done_on)
        .where(
            Entry.garden_id == garden.id,
            Entry.action.in_([action.value for action in _HOLDS]),
            Entry.undone_at.is_(None),
            Entry.done_on > today - longest,
        )
        .order_by(Entry.done_on)
    )
    found: dict[str, Mark] = {}
    for action, planting_id, place_id, done_on in rows:
        kind, holds = _HOLDS[Action(action)]
        for planting in _meant(garden, planting_id, place_id):
            if kind is JobKind.HARVEST and garden.place_of(planting).shared:
                continue
            crop = crops.get(planting.crop)
            weeks = crop.care.feed_weeks if crop is not None and kind is JobKind.FEED else None
            until_on = done_on + (timedelta(weeks=weeks) if weeks else holds)
            if until_on > today:
                found[f"{kind}:{planting.id}"] = Mark(done=True, marked_on=done_on, until_on=until_on)
    return found


def _meant(garden: Garden, planting_id: int | None, place_id: int | None) -> Iterator[Planting]:
    for planting in garden.plantings:
        if planting.id == planting_id or (planting_id is None and planting.place_id == place_id):
            yield planting
