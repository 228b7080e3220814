"""The last note taken back, and the records as they were."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.place_state import OFF, ON
from bot.core.garden.snapshot import Stage
from bot.services.growing import rule_changes
from bot.services.journal import disputing
from bot.services.journal.note import Action
from bot.services.journal.outcome import Reason, Refused, Undone
from bot.services.weather import readings
from bot.storage.garden import place_reports
from bot.storage.models import Entry, Garden, Member, Planting

__all__ = ["last", "undo"]

#: How far back a bare "undo" reaches; a button reaches its own entry at any time.
_REACH = timedelta(days=7)


async def undo(session: AsyncSession, member: Member, now: datetime, entry_id: int | None = None) -> Undone | Refused:
    """Take back one message's entries: those of `entry_id`, else the member's last not yet undone.

    Entries stay in the journal, marked. What somebody else wrote about what is the group's, or one's own plot, may be
    taken back too (an organiser: anything): then the correction is an entry of its own, so that both versions are kept.
    Refused when somebody has gone on from there, or when it was undone before; a harvest among later ones may go.
    """
    first = await _first(session, member, now, entry_id)
    if first is None or first.garden_id != member.garden_id or first.undo is None:
        return Refused(Reason.NOTHING_TO_UNDO)
    if not await disputing.may_take_back(session, member, first):
        return Refused(Reason.NOT_YOURS)
    if first.undone_at is not None:
        return Refused(Reason.ALREADY_UNDONE)
    entries = await _together(session, first)
    later = await _later(session, entries)
    only_picked = later and all(entry.action == Action.HARVESTED.value for entry in (*entries, *later))
    if (later and not only_picked) or await _told_since(session, entries):
        return Refused(Reason.CHANGED_SINCE)
    # Newest first, all or none. A harvest among later ones leaves the batch as those found it.
    async with session.begin_nested() as step:
        for entry in () if only_picked else reversed(entries):
            if not await _restore(session, member, entry.undo or {}, now):
                await step.rollback()
                return Refused(Reason.CHANGED_SINCE)
    for entry in entries:
        entry.undone_at = now
    for report in await place_reports.of_entries(session, [entry.id for entry in entries]):
        report.withdrawn_at = now
    writer = await _correction(session, member, first, now)
    await session.flush()
    return Undone(tuple(entries), writer, await disputing.trace(session, first) if writer is not None else None)


async def last(session: AsyncSession, member: Member, now: datetime) -> Entry | None:
    """The member's last entry that a bare "undo" would take back."""
    return await _first(session, member, now, None)


async def _first(session: AsyncSession, member: Member, now: datetime, entry_id: int | None) -> Entry | None:
    if entry_id is not None:
        return await session.get(Entry, entry_id, with_for_update=True)
    query = select(Entry).where(
        Entry.member_id == member.id,
        Entry.undone_at.is_(None),
        Entry.undo.is_not(None),
        Entry.action != Action.UNDO.value,
        Entry.written_at > now - _REACH,
    )
    return await session.scalar(query.order_by(Entry.written_at.desc(), Entry.id.desc()).limit(1))


async def _together(session: AsyncSession, first: Entry) -> Sequence[Entry]:
    """Everything that the same message caused, in the order written: one moment, one message."""
    query = select(Entry).where(
        Entry.garden_id == first.garden_id,
        Entry.member_id == first.member_id,
        Entry.written_at == first.written_at,
        Entry.undone_at.is_(None),
    )
    return (await session.scalars(query.order_by(Entry.id))).all()


async def _later(session: AsyncSession, entries: Sequence[Entry]) -> Sequence[Entry]:
    """Later entries that changed a planting that these had changed."""
    touched = {int(id_) for entry in entries for id_ in _plantings(entry.undo or {})}
    query = select(Entry).where(
        Entry.garden_id == entries[0].garden_id,
        Entry.id > entries[-1].id,
        Entry.undone_at.is_(None),
        Entry.undo.is_not(None),
    )
    later = (await session.scalars(query)).all()
    return [entry for entry in later if touched & {int(id_) for id_ in _plantings(entry.undo or {})}]


async def _told_since(session: AsyncSession, entries: Sequence[Entry]) -> bool:
    """Whether somebody has told otherwise since how a place stands."""
    mine = await place_reports.of_entries(session, [entry.id for entry in entries])
    for report in mine:
        layer = ON.get(report.did) or OFF[report.did]
        for other in await place_reports.rows(session, [report.place_id]):
            later = (other.at, other.id) > (report.at, report.id) and other not in mine
            if later and not other.still and layer in (ON.get(other.did), OFF.get(other.did)):
                return True
    return False


def _plantings(undo: Mapping[str, Any]) -> list[Any]:
    return [*undo.get("was", {}), *undo.get("made", [])]


async def _restore(session: AsyncSession, member: Member, undo: Mapping[str, Any], now: datetime) -> bool:
    for id_, was in undo.get("was", {}).items():
        planting = await session.get(Planting, int(id_))
        if planting is None:
            return False
        _set(planting, was)
    for id_ in undo.get("made", []):
        planting = await session.get(Planting, id_)
        if planting is not None:
            await session.delete(planting)
    if (reading := undo.get("reading")) and not await readings.take_back(session, reading):
        return False
    if rule := undo.get("rule"):
        await _put_back(session, member, rule, now)
    await session.flush()
    return True


def _set(planting: Planting, was: Mapping[str, Any]) -> None:
    for name, value in was.items():
        if name.endswith("_on"):
            setattr(planting, name, date.fromisoformat(value) if value else None)
        else:
            setattr(planting, name, Stage(value) if name == "stage" else value)


async def _put_back(session: AsyncSession, member: Member, rule: Mapping[str, Any], now: datetime) -> None:
    if rule["before"] is None:
        await rule_changes.put_back(session, member, rule["crop"], rule["key"])
    else:
        await rule_changes.change(session, member, rule["crop"], rule["key"], rule["before"], now)


async def _correction(session: AsyncSession, member: Member, first: Entry, now: datetime) -> Member | None:
    """The entry of whoever took back somebody else's; returns that person."""
    if first.member_id is None or first.member_id == member.id:
        return None
    garden = await session.get_one(Garden, first.garden_id)
    # A batch that began with what is taken back is gone by now.
    batch = await session.get(Planting, first.planting_id) if first.planting_id is not None else None
    session.add(
        Entry(
            garden_id=first.garden_id,
            member_id=member.id,
            planting_id=batch.id if batch is not None else None,
            place_id=first.place_id,
            written_at=now,
            done_on=now.astimezone(garden.tz).date(),
            action=Action.UNDO.value,
            words=first.words,
            corrects_id=first.id,
        )
    )
    await session.flush()
    return await session.get(Member, first.member_id)
