"""Which batches, places and counts a note means: found, asked about, or refused."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.core.garden.snapshot import HOUSES, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop, Start
from bot.core.growing.hardiness import is_potted_tuber
from bot.services.journal import reporting
from bot.services.journal.note import CELLS, Action, Container, Note
from bot.services.journal.outcome import Question, QuestionKind, Reason, Refused
from bot.services.journal.question import ask
from bot.services.journal.scene import Scene

#: Answers that fit on a phone.
OPTIONS_N = 8
_COUNTS = (6, 12, 24, 48, 96)
_ORDER = {stage: n for n, stage in enumerate(Stage)}
_WAITING = frozenset(stage for stage in Stage if _ORDER[stage] < _ORDER[Stage.GROWING])
_OUT = frozenset({Stage.GROWING, Stage.FLOWERING, Stage.READY})
_STAGES = {
    Action.POTTED_ON: _WAITING - {Stage.CHITTING},
    Action.HARDENING: _WAITING - {Stage.CHITTING, Stage.HARDENED},
    Action.HARDENED: _WAITING - {Stage.CHITTING},
    Action.PLANTED_OUT: _WAITING,
}
_UP = _WAITING - {Stage.CHITTING, Stage.SOWN}
_PREFERRED = {Action.HARVESTED: _OUT, Action.EARTHED_UP: _OUT, Action.HARDENING: _UP, Action.HARDENED: _UP}
#: What is seen to be up was sown, what flowers or is ready stands out, unless it was never written down.
_SEEN = {Stage.SEEDLING: {Stage.SOWN, Stage.SEEDLING}, Stage.FLOWERING: _OUT, Stage.READY: _OUT}
_MOVES = frozenset({Action.POTTED_ON, Action.HARDENING, Action.PLANTED_OUT, Action.MOVED})
#: Of a crop that stands in several places, such work is taken as done to all of it; it answers no warning.
_FOR_ALL = frozenset({Action.WATERED, Action.FED})
_ONE_ONLY = frozenset({Action.HARVESTED, Action.LOST, Action.MEASURED})


@dataclass(frozen=True, slots=True)
class Counted:
    """count of plants; cells: how many a tray was taken to have, when nobody said."""

    count: int
    cells: int | None = None


async def plantings_of(scene: Scene, note: Note) -> list[Planting] | Question | Refused:
    """The batches that a note is about; an empty list when there is none and the note does not need one."""
    if note.plantings:
        chosen = [one for one in scene.garden.plantings if one.id in note.plantings]
        return chosen or Refused(Reason.NOT_GROWING, note.crops)
    if not (note.crops or note.places or note.from_places):
        return []
    fitting = _fitting(scene, note)
    allowed = scene.near(fitting)
    theirs = await reporting.asked_of_writer(scene, note)  # they may say so, whoever's the plot is
    if asked := [one for one in fitting if one.place_id in theirs]:
        allowed = [*allowed, *(one for one in asked if one not in allowed)] if note.places else asked
    if fitting and not allowed:
        return Refused(Reason.NOT_YOURS, note.crops)
    likely = _SEEN.get(note.stage, ()) if note.stage else _PREFERRED.get(note.action, ())
    near = [one for one in allowed if one.stage in likely] or allowed
    if len(near) <= 1:
        return near
    if note.places and not note.crops and note.action is not Action.CLEARED:
        return []  # done to the place as a whole
    kinds = {one.crop.partition("-")[0] for one in near}  # "beans" and "peppers" may be other plants than are meant
    plain = note.count is None and note.share is None and not note.from_places
    if note.action in _FOR_ALL and note.crops and plain and len(kinds) == 1:
        return near  # "watered the potatoes": shown by name, with Undo
    ids: list[int | str] = [one.id for one in near[:OPTIONS_N]]
    every: list[int | str] = [] if note.action in _ONE_ONLY or note.count is not None else [0]
    return await ask(scene, note, QuestionKind.PLANTING, [*ids, *every])


def _fitting(scene: Scene, note: Note) -> list[Planting]:
    """By crop, then whence, then where: a place that none of them stands in is where they go. A chilli that lives in its pot
    is repotted, too, once somebody has said that it was.
    """
    known = list(scene.garden.plantings)
    if note.crops:
        known = [one for one in known if one.crop in note.crops]
    if note.action in _STAGES and not (note.action is Action.POTTED_ON and note.believed):
        known = [one for one in known if one.stage in _STAGES[note.action] or _goes_out(scene, one, note)]
    if note.from_places:
        known = [one for one in known if one.place_id in note.from_places]
    here = [one for one in known if one.place_id in note.places]
    if note.places and (here or note.action not in _MOVES):
        known = here
    return known


def _goes_out(scene: Scene, one: Planting, note: Note) -> bool:
    """Whether it came up from tubers in pots in a house, and is now hardened off or planted somewhere else."""
    crop, place = scene.crops.get(one.crop), scene.garden.place_of(one)
    stays = note.action is Action.POTTED_ON or (note.action is Action.PLANTED_OUT and place.id in note.places)
    return crop is not None and not stays and is_potted_tuber(one, place, crop, note.done_on)


async def crop_of(scene: Scene, note: Note) -> str | Question | Refused:
    """The one crop of a new batch; among several, those grown here before the others."""
    keys = [key for key in note.crops if key in scene.crops]
    if not keys:
        return Refused(Reason.NOT_GROWING)
    if len(keys) == 1:
        return keys[0]
    sets = [key for key in keys if scene.crops[key].sowing.start is Start.SET]
    if note.action is Action.PLANTED_OUT and len(sets) == 1:
        return sets[0]  # onions that are planted are sets, those from seed are sown
    grown = {planting.crop for planting in scene.garden.plantings}
    options = sorted(keys, key=lambda key: (key not in grown, key))
    return await ask(scene, note, QuestionKind.CROP, options[:OPTIONS_N])


async def place_for(scene: Scene, note: Note, batch: Planting | None) -> int | Question | Refused | None:
    """Where a batch goes; None when it stays where it is. A new batch needs a place, and so does one that goes out."""
    said = [place for place in scene.garden.places if place.id in note.places]
    allowed = [place for place in said if scene.may(place)]
    if said and not allowed:
        return Refused(Reason.NOT_YOURS, note.crops)
    stays = batch is not None and note.action is not Action.MOVED and not _under_cover(scene, batch, note)
    if stays and batch is not None and batch.place_id in note.places:
        return None
    if batch is not None and note.action is Action.MOVED:  # to where it stands already nothing is moved
        allowed = [place for place in allowed if place.id != batch.place_id]
    if len(allowed) == 1:
        return allowed[0].id
    if not allowed and stays:
        return None
    options = allowed or _likely(scene, note)
    if not options:
        return Refused(Reason.NO_PLACE)
    return await ask(scene, note, QuestionKind.PLACE, [place.id for place in options[:OPTIONS_N]])


def under_glass(scene: Scene, note: Note) -> bool:
    """Whether it names a house, in which none of the crop grows."""
    here = [scene.garden.place_by_id[id_] for id_ in note.places if id_ in scene.garden.place_by_id]
    grow = {one.place_id for one in scene.garden.plantings if one.crop in note.crops}
    return bool(here) and all(place.kind in HOUSES and place.id not in grow for place in here)


def _under_cover(scene: Scene, batch: Planting, note: Note) -> bool:
    """Whether it must have been moved to be planted out: it was in a room or a frame, or in pots in a house."""
    kind = scene.garden.place_of(batch).kind
    if note.action is not Action.PLANTED_OUT:
        return False
    return kind in (PlaceKind.INDOORS, PlaceKind.FRAME) or _goes_out(scene, batch, note)


def _likely(scene: Scene, note: Note) -> Sequence[Place]:
    places = scene.open_places()
    if note.action is Action.PLANTED_OUT:
        return [place for place in places if place.kind not in (PlaceKind.INDOORS, PlaceKind.FRAME)]
    return places


async def counted(scene: Scene, note: Note, crop: Crop, place: Place) -> Counted | Question:
    """How many plants a new batch has: as said, by trays and pots, by rows as long as the bed; else asked."""
    if note.count is not None and not (note.container is Container.TRAY and note.cells is None and note.containers):
        return Counted(note.count)
    number = note.containers or 1.0
    if note.container is Container.TRAY:
        cells = note.cells or CELLS
        count = note.count or max(1, round(number * cells))
        return Counted(count, None if note.cells or note.count else CELLS)
    if note.container is Container.POT:
        return Counted(max(1, round(number)))
    if note.container is Container.ROW and place.length_m is not None:
        return Counted(max(1, round(number * place.length_m * 100 / crop.planting.in_row_cm)))
    return await ask(scene, note, QuestionKind.COUNT, _COUNTS)


def share_of(note: Note, batch: Planting) -> int | None:
    """How many of a batch were moved; None for all of it."""
    if note.count is not None:
        return note.count
    return None if note.share in (None, 1.0) else max(1, round((note.share or 0.0) * batch.count))


async def lost_of(scene: Scene, note: Note, batch: Planting) -> int | Question:
    """How many were lost; asked when nobody said."""
    if note.count is not None:
        return note.count
    if note.share is not None or batch.count == 1:
        return max(1, round((note.share or 1.0) * batch.count))
    options = {batch.count, round(batch.count * 0.75), round(batch.count * 0.5), round(batch.count * 0.25), 1}
    return await ask(scene, note, QuestionKind.COUNT, sorted(options - {0}, reverse=True))


async def house_of(scene: Scene, note: Note) -> int | Question | Refused:
    """Into which house: as said, the only one there is, or as the garden had asked; else it is asked."""
    known = [place for place in scene.garden.places if place.kind in HOUSES]
    said = [place.id for place in known if place.id in note.into]
    options = said or await reporting.asked_into(scene, note.places) or [place.id for place in known]
    if not options:
        return Refused(Reason.NO_PLACE)
    if len(options) > 1:
        return await ask(scene, note, QuestionKind.HOUSE, options[:OPTIONS_N])
    return options[0]
