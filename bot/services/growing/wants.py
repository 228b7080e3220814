"""What a member means to grow, and who of the members has gone silent: asked of the records for the week."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden, Stage
from bot.core.growing.seasons import growing_year
from bot.services.journal.note import Action
from bot.storage.models import Ask, Entry, Planting, Task, Warning
from bot.storage.states import AskState

__all__ = ["silent", "wanted"]

#: Common practice, no source: a loss is made good within the season, and two asks in a row without a word are silence.
_LOST_FOR, _SILENT_FOR, _SILENT_N = timedelta(days=120), timedelta(days=60), 2


async def wanted(session: AsyncSession, garden: Garden, member_id: int, today: date) -> frozenset[str]:
    """Crops of the member's own plots: what grows there, what grew there last year, and what was lost this season."""
    plots = {plot.id for plot in garden.plots if member_id in plot.holder_ids}
    own = {place.id for place in garden.places if place.plot_id in plots}
    growing = {planting.crop for planting in garden.plantings if planting.place_id in own}
    if not own:
        return frozenset()
    ended = await session.execute(
        select(Planting.id, Planting.crop, Planting.sown_on, Planting.planted_on, Planting.ended_on).where(
            Planting.place_id.in_(own), Planting.stage == Stage.ENDED
        )
    )
    south = garden.latitude < 0
    this = growing_year(today, south=south)
    old = [
        (id_, crop, growing_year(since, south=south))
        for id_, crop, *days in ended
        if (since := next(filter(None, days), None))
    ]
    gone = {id_ for id_, _, year in old if year == this}
    lost = await _lost(session, garden.id, today) if gone else set()
    return frozenset(growing) | {crop for id_, crop, year in old if year == this - 1 or id_ in lost}


async def _lost(session: AsyncSession, garden_id: int, today: date) -> set[int]:
    """Batches that came to an end by a loss."""
    rows = await session.scalars(
        select(Entry.planting_id).where(
            Entry.garden_id == garden_id,
            Entry.action == Action.LOST.value,
            Entry.undone_at.is_(None),
            Entry.planting_id.is_not(None),
            Entry.done_on >= today - _LOST_FOR,
        )
    )
    return {id_ for id_ in rows if id_ is not None}


async def silent(session: AsyncSession, garden_id: int, now: datetime) -> tuple[int, ...]:
    """Members whose last asks, two or more, all went without a word; any answer ends it."""
    rows = await session.execute(
        select(Ask.member_id, Ask.state)
        .join(Task, Task.id == Ask.task_id)
        .join(Warning, Warning.id == Task.warning_id)
        .where(Warning.garden_id == garden_id, Ask.asked_at > now - _SILENT_FOR, Ask.state != AskState.ASKED)
        .order_by(Ask.member_id, Ask.asked_at.desc(), Ask.id.desc())
    )
    last: dict[int, list[AskState]] = {}
    for member_id, state in rows:
        last.setdefault(member_id, []).append(state)
    quiet = (AskState.SILENT,) * _SILENT_N
    return tuple(member_id for member_id, states in last.items() if tuple(states[:_SILENT_N]) == quiet)
