"""Corrections of somebody else's note: who may take it back, what was written in its place, and when that is a dispute."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.services.journal.note import Action
from bot.storage.models import Entry, Member, Place, PlotHolder

#: So soon after a note was taken back, one of the two who writes the same thing again writes it in its place.
_IN_PLACE = timedelta(days=2)
#: So many times taken back by somebody other than the writer, a matter goes to the organisers.
_DISPUTED_N = 2


@dataclass(frozen=True, slots=True)
class Trace:
    """Every version of one matter, in order. root_id: the first note of it; taken_back_n: how often by somebody else."""

    root_id: int
    entries: tuple[tuple[Entry, str | None], ...]
    taken_back_n: int

    @property
    def disputed(self) -> bool:
        return self.taken_back_n >= _DISPUTED_N


async def may_take_back(session: AsyncSession, member: Member, entry: Entry) -> bool:
    """One's own; as an organiser, any; else what is the group's, or on one's own plot, and no rule of the garden."""
    if entry.member_id == member.id or member.role is Role.ORGANISER:
        return True
    if entry.action == Action.RULE.value:
        return False
    place = await session.get(Place, entry.place_id) if entry.place_id is not None else None
    if place is None or place.shared or place.plot_id is None:
        return True
    return await session.get(PlotHolder, (place.plot_id, member.id)) is not None


async def in_place_of(
    session: AsyncSession, member: Member, action: Action, place_id: int | None, now: datetime
) -> int | None:
    """The note that one of this kind and place, written now, stands in for; None for any other.

    That is a note taken back a short time ago by or from this member, who has not written it anew since.
    """
    undos = select(Entry).where(
        Entry.garden_id == member.garden_id,
        Entry.action == Action.UNDO.value,
        Entry.corrects_id.is_not(None),
        Entry.written_at > now - _IN_PLACE,
    )
    for undo in await session.scalars(undos.order_by(Entry.id.desc())):
        before = await session.get(Entry, undo.corrects_id)
        if before is None or (before.action, before.place_id) != (action.value, place_id):
            continue
        if member.id not in (undo.member_id, before.member_id):
            continue
        anew = select(Entry.id).where(
            Entry.corrects_id == before.id, Entry.member_id == member.id, Entry.action != Action.UNDO.value
        )
        if (await session.scalars(anew)).first() is None:
            return before.id
    return None


async def trace(session: AsyncSession, entry: Entry) -> Trace:
    """The whole matter that a note belongs to, with the name of each writer, None once they are forgotten."""
    root = entry
    while root.corrects_id is not None and (before := await session.get(Entry, root.corrects_id)) is not None:
        root = before
    found, ring = [root], [root.id]
    while ring:
        query = select(Entry).where(Entry.corrects_id.in_(ring)).order_by(Entry.id)
        more = (await session.scalars(query)).all()
        found, ring = [*found, *more], [one.id for one in more]
    by_id = {one.id: one for one in found}
    taken_back = [
        one
        for one in found
        if one.action == Action.UNDO.value and by_id[one.corrects_id or root.id].member_id != one.member_id
    ]
    found.sort(key=lambda one: (one.written_at, one.id))
    named = [(one, await _name(session, one)) for one in found]
    return Trace(root.id, tuple(named), len(taken_back))


async def latest(session: AsyncSession, member: Member, most: int) -> Sequence[Entry]:
    """The last notes that stand and that this member may take back, newest first."""
    query = select(Entry).where(
        Entry.garden_id == member.garden_id,
        Entry.undone_at.is_(None),
        Entry.undo.is_not(None),
        Entry.action != Action.UNDO.value,
    )
    rows = await session.scalars(query.order_by(Entry.written_at.desc(), Entry.id.desc()).limit(most * 5))
    return [one for one in rows if await may_take_back(session, member, one)][:most]


async def _name(session: AsyncSession, entry: Entry) -> str | None:
    writer = await session.get(Member, entry.member_id) if entry.member_id is not None else None
    return writer.person.name if writer is not None else None
