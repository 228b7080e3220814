"""What a note does to the records, with what is needed to take it back."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Stage
from bot.core.growing.crop import Crop, Start
from bot.services.journal.note import Action, Note
from bot.storage.models import Planting

__all__ = ["Undo", "move_on", "seen", "sown", "state"]

VARIETY_N = 60  # signs of a variety's name
_DAYS = ("stage_on", "sown_on", "potted_on", "hardening_on", "planted_on", "ended_on")
_ORDER = {stage: n for n, stage in enumerate(Stage)}
#: What was sown in place may be eaten before anybody wrote that it was up.
_UNRIPE = frozenset({Stage.SOWN, Stage.SEEDLING, Stage.GROWING, Stage.FLOWERING})
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
    """A new batch: sown, or bought and planted out at once; of sets and tubers nothing shows above the soil yet."""
    out = note.action is Action.PLANTED_OUT
    planting = Planting(
        garden_id=garden_id,
        place_id=place_id,
        crop=crop.key,
        variety=note.beside[:VARIETY_N],
        count=count,
        stage=_planted(crop) if out else Stage.SOWN,
        stage_on=note.done_on,
        sown_on=None if out else note.done_on,
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
    below = crop is not None and note.action is Action.PLANTED_OUT and planting.stage in (Stage.CHITTING, Stage.SOWN)
    planted = _planted(crop) if below and crop is not None else _STAGES[note.action]
    _stage(planting, planted, note.done_on)
    if note.action is Action.PLANTED_OUT:
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
