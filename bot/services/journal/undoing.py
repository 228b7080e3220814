"""The last note taken back, and the records as they were.

What a note does to the records, with what is needed to take it back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.place_state import OFF, ON
from bot.core.garden.snapshot import Stage
from bot.core.growing.crop import Crop, Start
from bot.services.growing import rules
from bot.services.journal import disputing
from bot.services.journal.note import Action, Note
from bot.services.journal.outcome import Reason, Refused, Undone
from bot.services.weather import readings
from bot.storage.garden import gardens, place_reports
from bot.storage.models import Entry, Garden, Member, Planting

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


async def entry(session: AsyncSession, entry_id: int | None) -> Entry | None:
    return await session.get(Entry, entry_id) if entry_id is not None else None


async def about(session: AsyncSession, entry: Entry) -> tuple[str | None, str | None]:
    """The crop and the place's name that an entry is about, None where it is about none, or that is gone."""
    planting = await session.get(Planting, entry.planting_id) if entry.planting_id is not None else None
    place = await gardens.place(session, entry.place_id)
    return planting.crop if planting is not None else None, place.name if place is not None else None


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
        await rules.put_back(session, member, rule["crop"], rule["key"])
    else:
        await rules.change(session, member, rule["crop"], rule["key"], rule["before"], now)


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


VARIETY_N = 60  # signs of a variety's name
_DAYS = ("stage_on", "sown_on", "potted_on", "hardening_on", "planted_on", "ended_on")
_ORDER = {stage: n for n, stage in enumerate(Stage)}
#: What was sown in place may be eaten before anybody wrote that it was up.
_UNRIPE = frozenset({Stage.SOWN, Stage.SEEDLING, Stage.GROWING, Stage.FLOWERING})
_BELOW = frozenset({Stage.CHITTING, Stage.SOWN})
_OUT = frozenset({Stage.GROWING, Stage.FLOWERING, Stage.READY})
_STAGES = {
    Action.POTTED_ON: Stage.POTTED_ON,
    Action.HARDENING: Stage.HARDENING,
    Action.HARDENED: Stage.HARDENED,
    Action.PLANTED_OUT: Stage.GROWING,
    Action.CLEARED: Stage.ENDED,
}


@dataclass(slots=True)
class Undo:
    """was: plantings as they were, by id; made: ids of new ones. reading, rule: see readings.Taken and recording.

    What was reported of a place needs nothing here: it is withdrawn with its entry.
    """

    was: dict[str, dict[str, Any]] = field(default_factory=dict)
    made: list[int] = field(default_factory=list)
    reading: dict[str, Any] | None = None
    rule: dict[str, Any] | None = None

    def row(self) -> dict[str, Any]:
        """As JSON, without what is empty."""
        found = {"was": self.was, "made": self.made, "reading": self.reading, "rule": self.rule}
        return {key: value for key, value in found.items() if value}


def state(planting: Planting) -> dict[str, Any]:
    """Everything that a note may change of a planting, as JSON."""
    days: dict[str, Any] = {name: on.isoformat() if (on := getattr(planting, name)) else None for name in _DAYS}
    return days | {
        "place_id": planting.place_id,
        "variety": planting.variety,
        "count": planting.count,
        "stage": planting.stage.value,
        "height_cm": planting.height_cm,
    }


async def sown(
    session: AsyncSession, garden_id: int, note: Note, crop: Crop, place_id: int, count: int, undo: Undo
) -> Planting:
    """A new batch: sown, potted on as seedlings of which nobody has told, or bought and planted out at once; of sets and
    tubers nothing shows above the soil yet.
    """
    out, potted = note.action is Action.PLANTED_OUT, note.action is Action.POTTED_ON
    planting = Planting(
        garden_id=garden_id,
        place_id=place_id,
        crop=crop.key,
        variety=note.beside[:VARIETY_N],
        count=count,
        stage=_planted(crop) if out else Stage.POTTED_ON if potted else Stage.SOWN,
        stage_on=note.done_on,
        sown_on=None if out or potted else note.done_on,
        potted_on=note.done_on if potted else None,
        planted_on=note.done_on if out else None,
    )
    session.add(planting)
    await session.flush()
    undo.made.append(planting.id)
    return planting


def seen(note: Note, planting: Planting, crop: Crop, undo: Undo) -> Planting:
    """What somebody saw stands from that day on; that it is not so far yet keeps it where it was."""
    undo.was[str(planting.id)] = state(planting)
    shown = _shown(note.stage or Stage.SEEDLING, crop)
    if note.not_yet:
        planting.stage = _before(shown, crop)
    elif _ORDER[planting.stage] < _ORDER[shown] or note.stage is not Stage.SEEDLING:
        planting.stage = shown
    planting.stage_on = note.done_on
    return planting


def _shown(stage: Stage, crop: Crop) -> Stage:
    """Sets and tubers stand in their final place when they come up."""
    return _planted_up(crop) if stage is Stage.SEEDLING else stage


def _planted_up(crop: Crop) -> Stage:
    return Stage.SEEDLING if crop.sowing.start is Start.SEED else Stage.GROWING


def _before(stage: Stage, crop: Crop) -> Stage:
    if stage is Stage.READY and (crop.harvest.after_flower or crop.harvest.flowering):
        return Stage.FLOWERING
    return Stage.GROWING if stage in (Stage.READY, Stage.FLOWERING) else Stage.SOWN


def _planted(crop: Crop) -> Stage:
    return Stage.SOWN if crop.sowing.start in (Start.SET, Start.TUBER) else Stage.GROWING


async def move_on(
    session: AsyncSession,
    note: Note,
    planting: Planting,
    crop: Crop | None,
    count: int | None,
    place_id: int | None,
    undo: Undo,
) -> Planting:
    """Do to a batch what the note says; fewer plants than it has part from it, and the rest stays as it was."""
    undo.was[str(planting.id)] = state(planting)
    if note.action is Action.LOST:
        planting.count -= min(count or 0, planting.count)
        if planting.count == 0:
            _stage(planting, Stage.ENDED, note.done_on)
        return planting
    if note.action is Action.MEASURED:
        planting.height_cm = note.amount
        return planting
    if note.action is Action.HARVESTED:
        if planting.stage in _UNRIPE:
            _stage(planting, Stage.READY, note.done_on)
        return planting
    if count is not None and count < planting.count:
        planting = await _part(session, planting, count, undo)
    elif count is not None:
        planting.count = count
    planting.variety = planting.variety or note.beside[:VARIETY_N]
    if place_id is not None:
        planting.place_id = place_id
    repotted = note.action is Action.POTTED_ON and planting.stage in _OUT
    if note.action is Action.MOVED or repotted:
        return planting
    below = crop is not None and note.action is Action.PLANTED_OUT and planting.stage in _BELOW
    planted = _planted(crop) if below and crop is not None else _STAGES[note.action]
    potted_tubers = crop is not None and crop.sowing.start is Start.TUBER and planting.stage not in _BELOW
    _stage(planting, planted, note.done_on)
    if note.action is Action.PLANTED_OUT and not (potted_tubers and planting.planted_on):
        planting.planted_on = note.done_on
    return planting


def _stage(planting: Planting, stage: Stage, on: date) -> None:
    planting.stage, planting.stage_on = stage, on
    if stage is Stage.POTTED_ON:
        planting.potted_on = on
    elif stage is Stage.HARDENING:
        planting.hardening_on = on
    elif stage is Stage.ENDED:
        planting.ended_on = on


async def _part(session: AsyncSession, planting: Planting, count: int, undo: Undo) -> Planting:
    planting.count -= count
    part = Planting(
        garden_id=planting.garden_id,
        place_id=planting.place_id,
        crop=planting.crop,
        variety=planting.variety,
        batch=planting.batch,
        count=count,
        stage=planting.stage,
        stage_on=planting.stage_on,
        height_cm=planting.height_cm,
        sown_on=planting.sown_on,
        potted_on=planting.potted_on,
        hardening_on=planting.hardening_on,
        planted_on=planting.planted_on,
    )
    session.add(part)
    await session.flush()
    undo.made.append(part.id)
    return part
