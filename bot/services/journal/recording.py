"""A note kept: the records changed, an entry written, and what comes next said."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Cover, PlaceKind, Planting, Role, Stage
from bot.core.growing import stages
from bot.core.growing.crop import Crop
from bot.core.growing.seasons import growing_year
from bot.core.growing.spacing import repeat
from bot.core.growing.succession import sowing_places
from bot.core.weather.forecast import Forecast
from bot.core.weather.learn import Verdict
from bot.crops.mistakes import CropRulesError
from bot.services.growing import past_crops, rules
from bot.services.journal import disputing, finding, plausible, reporting, undoing
from bot.services.journal.note import Action, Note, Unit
from bot.services.journal.outcome import Change, Outcome, Question, QuestionKind, Reason, Recorded, Refused
from bot.services.journal.question import answered, ask, which_place
from bot.services.journal.scene import Scene, as_reached
from bot.services.journal.undoing import Undo
from bot.services.look import recorded
from bot.services.weather import readings
from bot.storage import models as rows
from bot.storage.models import Entry, Member, Reading
from bot.storage.models import Garden as GardenRow

_COVERS = [Cover.FLEECE.value, Cover.DOUBLE_FLEECE.value, Cover.CLOCHE.value, Cover.NET.value]
_STARTS = frozenset({Action.SOWED, Action.PLANTED_OUT})
_OF_PLACES = frozenset({Action.COVERED, Action.UNCOVERED, Action.BROUGHT_IN, Action.PUT_BACK})
_PLACE_ONLY = frozenset(
    {Action.WATERED, Action.FED, Action.SUPPORTED, Action.EARTHED_UP, Action.WEEDED, Action.THINNED, Action.MULCHED,
     Action.PRUNED, Action.OPENED, Action.SHUT}
)  # fmt: skip


async def record(
    session: AsyncSession,
    row: GardenRow,
    member: Member,
    note: Note,
    crops: Mapping[str, Crop],
    now: datetime,
    *,
    forecast: Forecast | None = None,
    photo_id: str | None = None,
) -> Outcome:
    """Keep what a member reports, or ask, or say why not. forecast: what a reading is held against."""
    # As recorded: what somebody did is never refused because of a stage that was only reckoned.
    scene = Scene(session, row, member, await recorded(session, row), crops, now, forecast, photo_id)
    if note.action is Action.UNDO:
        return await undoing.undo(session, member, now)
    refused = _refused(note)
    if refused is not None:
        return refused
    if note.plant and not note.crops:
        keep = note.believed
        return await (_of_its_own(scene, note) if keep else ask(scene, note, QuestionKind.PLANT, ["yes"]))
    if not note.sure and note.reading_id is None:
        return await ask(scene, note, QuestionKind.VARIETY if note.beside else QuestionKind.CONFIRM, ["yes"])
    if not note.believed and plausible.is_much(note, scene.garden, crops):
        return await ask(scene, note, QuestionKind.MUCH, ["yes"])
    if note.action is Action.RULE:
        return await _rule(scene, note)
    if note.action is Action.READING:
        return await _reading(scene, note)
    if note.action is Action.SOWED:
        return await _new(scene, note)
    if note.action in _OF_PLACES:
        return await _state(scene, note)
    return await _done(scene, note)


async def _of_its_own(scene: Scene, note: Note) -> Outcome:
    """A plant that nothing is known of becomes a crop of the garden's own; then the note is one like any other."""
    key = await rules.add(scene.session, scene.row.id, scene.member.id, note.plant, scene.now)
    if key is None:
        return Refused(Reason.NO_CROP, details=note.plant)
    crops, note = await rules.of_garden(scene.session, scene.row.id), replace(note, crops=(key,), plant="")
    return await record(scene.session, scene.row, scene.member, note, crops, scene.now, photo_id=scene.photo_id)


async def answer(
    session: AsyncSession,
    row: GardenRow,
    member: Member,
    pending_id: int,
    option: int,
    crops: Mapping[str, Crop],
    now: datetime,
    *,
    forecast: Forecast | None = None,
    change: Mapping[str, Any] | None = None,
) -> Outcome:
    """A button under a question was pressed: its index, or NEVER_MIND. Pressed twice, it counts once.

    change: fields of the note by an answer that no button bears.
    """
    found = await answered(session, member, pending_id, option, now, change)
    if found is None:
        return Refused(Reason.GONE)
    note, photo_id, chosen = found
    if chosen:
        return await record(session, row, member, note, crops, now, forecast=forecast, photo_id=photo_id)
    if note.reading_id is not None and (reading := await session.get(Reading, note.reading_id)):
        reading.accepted = False
    return Refused(Reason.NEVER_MIND)


def _refused(note: Note) -> Refused | None:
    """A plant that is no crop here; a day that does not exist or is still to come; an amount that no plot gives."""
    if note.beside and not note.crops:
        return Refused(Reason.NO_CROP, details=note.beside)
    if note.wrong_day:
        to_come = len(note.wrong_day) == len("2026-05-20") and note.wrong_day[4] == "-"
        return Refused(Reason.TO_COME if to_come else Reason.NO_SUCH_DAY, note.crops, note.wrong_day)
    return None if plausible.is_possible(note) else Refused(Reason.OUT_OF_RANGE, note.crops, note.words)


async def _new(scene: Scene, note: Note) -> Outcome:
    """A batch that was not there before."""
    crop = await finding.crop_of(scene, note)
    if not isinstance(crop, str):
        return crop
    note = replace(note, crops=(crop,))
    place_id = await finding.place_for(scene, note, None)
    if not isinstance(place_id, int):
        return place_id or Refused(Reason.NO_PLACE)
    count = await finding.counted(scene, note, scene.crops[crop], scene.garden.place_by_id[place_id])
    if isinstance(count, Question):
        return count
    undo = Undo()
    planting = await undoing.sown(scene.session, scene.row.id, note, scene.crops[crop], place_id, count.count, undo)
    entry = await _entry(scene, note, planting.id, place_id, undo, amount=float(count.count), unit=Unit.PIECE)
    return await _kept(scene, note, [(entry, planting.id, place_id, True)], cells=count.cells)


async def _state(scene: Scene, note: Note) -> Outcome:
    """Places covered or free of it, carried in or put back: those named, or those where the named crop stands."""
    ids = list(note.places)
    if not ids or note.crops:
        found = await finding.plantings_of(scene, note)
        if not isinstance(found, list):
            return found
        ids = list(dict.fromkeys(one.place_id for one in found)) or ids
    if not ids and not note.crops and note.action is Action.UNCOVERED:
        ids = await reporting.covered(scene)
        note = replace(note, places=tuple(ids))
    if not ids:
        return Refused(Reason.NOT_GROWING, note.crops)
    places = [scene.garden.place_by_id[id_] for id_ in ids if id_ in scene.garden.place_by_id]
    asked = await reporting.asked_of(scene)
    # Whoever does what everybody is asked for may say so, whoever's the place is.
    allowed = [place for place in places if scene.may(place) or place.id in asked]
    if not allowed:
        return Refused(Reason.NOT_YOURS)
    every = note.plantings or note.share == 1.0
    if len(note.places) > 1 and len(allowed) > 1 and not every:
        theirs = await reporting.asked_of_writer(scene, note)
        mine = [place for place in allowed if place.id in theirs]
        if not mine:
            return await which_place(scene, note, [place.id for place in allowed[: finding.OPTIONS_N]])
        allowed = mine
    if note.action is Action.COVERED and note.cover is None:
        note = replace(note, cover=await reporting.asked_cover(scene, [place.id for place in allowed]))
    if note.action is Action.COVERED and note.cover is None:
        return await ask(scene, note, QuestionKind.COVER, _COVERS)
    house = await finding.house_of(scene, note) if note.action is Action.BROUGHT_IN else None
    if isinstance(house, Question | Refused):
        return house
    kept = []
    for place in allowed:
        entry = await _entry(scene, note, None, place.id, Undo())
        await reporting.report(scene, note, entry, place, house)
        kept.append((entry, None, place.id, False))
    return await _kept(scene, note, kept)


async def _done(scene: Scene, note: Note) -> Outcome:
    """Something done to batches that are there, or to a place."""
    if note.action in _PLACE_ONLY and not note.crops and not note.plantings and len(note.places) > 1:
        return await _to_places(scene, note)
    found = await finding.plantings_of(scene, note)
    if not isinstance(found, list):
        return found
    if not found and note.action is Action.POTTED_ON and note.count is not None and finding.under_glass(scene, note):
        return await _new(scene, note)  # seedlings of which nobody has told
    if not found and note.action is Action.POTTED_ON and not note.believed and _grows(scene, note):
        return await ask(scene, note, QuestionKind.CONFIRM, ["yes"])  # what grows out of doors may have been repotted
    if not found:
        if note.action is Action.PLANTED_OUT:
            return await _new(scene, note)  # bought, or raised elsewhere
        return await _to_place(scene, note) if note.action in _PLACE_ONLY else Refused(Reason.NOT_GROWING, note.crops)
    moves = []
    for batch in found:  # everything is asked before anything is changed
        move = await _move(scene, note, batch)
        if isinstance(move, Question | Refused):
            return move
        moves.append(move)
    return await _kept(scene, note, [await _to_batch(scene, note, move) for move in moves])


def _grows(scene: Scene, note: Note) -> bool:
    return bool(scene.near([one for one in scene.garden.plantings if one.crop in note.crops]))


async def _to_place(scene: Scene, note: Note) -> Outcome:
    """A whole place watered or fed."""
    if note.crops and not note.places:
        return Refused(Reason.NOT_GROWING, note.crops)
    place_id = await finding.place_for(scene, note, None)
    if not isinstance(place_id, int):
        return place_id or Refused(Reason.NO_PLACE)
    entry = await _entry(scene, note, None, place_id, Undo(), amount=note.amount, unit=note.unit)
    await reporting.report(scene, note, entry, scene.garden.place_by_id[place_id])
    return await _kept(scene, note, [(entry, None, place_id, False)])


async def _to_places(scene: Scene, note: Note) -> Outcome:
    """Several places that may be meant: all of them, where that is said, else the one that is chosen."""
    places = [one for one in scene.garden.places if one.id in note.places and scene.may(one)]
    if not places:
        return Refused(Reason.NOT_YOURS)
    if note.share != 1.0:
        return await which_place(scene, note, [one.id for one in places[: finding.OPTIONS_N]])
    kept: list[_Done] = []
    for place in places:
        entry = await _entry(scene, note, None, place.id, Undo(), amount=note.amount, unit=note.unit)
        await reporting.report(scene, note, entry, place)
        kept.append((entry, None, place.id, False))
    return await _kept(scene, note, kept)


_Done = tuple[Entry, int | None, int | None, bool]  # entry, planting, place, whether the planting is new


_Move = tuple[Planting, int | None, int | None]  # batch, how many of it (None for all), whither (None to stay)


async def _move(scene: Scene, note: Note, batch: Planting) -> _Move | Question | Refused:
    if note.action is Action.LOST and note.count is not None and note.count > batch.count and not note.believed:
        return await ask(scene, note, QuestionKind.MUCH, ["yes"])
    if note.action is Action.LOST:
        lost = await finding.lost_of(scene, note, batch)
        return lost if isinstance(lost, Question) else (batch, min(lost, batch.count), None)
    if note.action not in (Action.POTTED_ON, Action.HARDENING, Action.PLANTED_OUT, Action.MOVED):
        return batch, finding.share_of(note, batch), None
    target = await finding.place_for(scene, note, batch)
    if isinstance(target, Question | Refused):
        return target
    return batch, finding.share_of(note, batch), target


async def _to_batch(scene: Scene, note: Note, move: _Move) -> _Done:
    batch, count, place_id = move
    undo = Undo()
    if note.action in _PLACE_ONLY:
        entry = await _entry(scene, note, batch.id, batch.place_id, undo, amount=note.amount, unit=note.unit)
        await reporting.report(scene, note, entry, scene.garden.place_of(batch))
        return entry, batch.id, batch.place_id, False
    row = await scene.session.get_one(rows.Planting, batch.id)
    crop = scene.crops.get(batch.crop)
    if note.action is Action.SEEN and crop is not None:
        moved = undoing.seen(note, row, crop, undo)
    else:
        moved = await undoing.move_on(scene.session, note, row, crop, count, place_id, undo)
    amount, unit = (note.amount, note.unit) if note.amount is not None else (_float(count), Unit.PIECE)
    entry = await _entry(scene, note, moved.id, moved.place_id, undo, amount=amount, unit=unit)
    return entry, moved.id, moved.place_id, moved.id != batch.id


def _float(count: int | None) -> float | None:
    return None if count is None else float(count)


async def _reading(scene: Scene, note: Note) -> Outcome:
    known = {one.id: one for one in await readings.thermometers(scene.session, scene.row.id)}
    ids = [id_ for id_ in (note.thermometers or known) if id_ in known]
    if not ids:
        return Refused(Reason.NO_THERMOMETER)
    if len(ids) > 1:
        asked = await ask(scene, note, QuestionKind.THERMOMETER, ids[: finding.OPTIONS_N])
        return replace(asked, thermometers={id_: known[id_].name for id_ in ids})
    note = replace(note, thermometers=(ids[0],))
    today = scene.now.astimezone(scene.row.tz).date()
    if note.evening_on is None and note.done_on < today and not known[ids[0]].momentary:
        before = note.done_on - timedelta(days=1)
        return await ask(scene, note, QuestionKind.NIGHT, [before.isoformat(), note.done_on.isoformat()])
    taken = await _taken(scene, note, known[ids[0]])
    if taken is None:
        return Refused(Reason.GONE)
    if taken.verdict is Verdict.ASK:
        doubtful = replace(note, reading_id=taken.reading.id, sure=False)
        return await ask(scene, doubtful, QuestionKind.READING, ["yes"])
    undo = Undo(reading=taken.undo)
    entry = await _entry(scene, note, None, known[ids[0]].place_id, undo, amount=note.amount, unit=Unit.CELSIUS)
    return replace(await _kept(scene, note, [(entry, None, None, False)]), thermometer=known[ids[0]].name, taken=taken)


async def _taken(scene: Scene, note: Note, thermometer: rows.Thermometer) -> readings.Taken | None:
    if note.reading_id is None:
        value_c = note.amount or 0.0
        return await readings.take(
            scene.session, scene.row, scene.member, thermometer, value_c, note.done_on, scene.now, scene.forecast,
            evening_on=note.evening_on,
        )  # fmt: skip
    doubted = await scene.session.get(Reading, note.reading_id)
    if doubted is None:
        return None
    return await readings.settle(scene.session, scene.row, doubted, scene.now, scene.forecast)


async def _rule(scene: Scene, note: Note) -> Outcome:
    if scene.member.role is not Role.ORGANISER:
        return Refused(Reason.ORGANISERS_ONLY)
    keys = [key for key in note.crops if key in scene.crops]
    if len(keys) > 1 and note.share is None:
        return await ask(scene, note, QuestionKind.CROP, [*keys[: finding.OPTIONS_N], "all"])
    kept: list[_Done] = []
    try:
        # All or none: a savepoint takes back those already changed when one does not stand up to its checks.
        async with scene.session.begin_nested():
            for key in keys:
                before = await rules.change(scene.session, scene.member, key, note.rule_key, note.rule_value, scene.now)
                undo = Undo(rule={"crop": key, "key": note.rule_key, "before": before})
                kept.append((await _entry(scene, note, None, None, undo), None, None, False))
    except CropRulesError as error:
        return Refused(Reason.RULE, note.crops, str(error))
    return await _kept(scene, note, kept) if kept else Refused(Reason.NOT_GROWING, note.crops)


async def _entry(
    scene: Scene,
    note: Note,
    planting_id: int | None,
    place_id: int | None,
    undo: Undo,
    *,
    amount: float | None = None,
    unit: Unit = Unit.NONE,
) -> Entry:
    entry = Entry(
        garden_id=scene.row.id,
        member_id=scene.member.id,
        planting_id=planting_id,
        place_id=place_id,
        written_at=scene.now,
        done_on=note.done_on,
        action=note.action.value,
        amount=amount,
        unit=unit.value if amount is not None else "",
        words=note.words,
        photo_id=scene.photo_id,
        corrects_id=await disputing.in_place_of(scene.session, scene.member, note.action, place_id, scene.now),
        undo=undo.row(),
    )
    scene.session.add(entry)
    await scene.session.flush()
    return entry


async def _kept(scene: Scene, note: Note, done: Sequence[_Done], *, cells: int | None = None) -> Recorded:
    after = await as_reached(scene.session, scene.row, scene.crops, scene.now)
    now_by_id = {planting.id: planting for planting in after.garden.plantings}
    before_by_id = {planting.id: planting for planting in scene.garden.plantings}
    today = scene.now.astimezone(scene.row.tz).date()
    changes = []
    started = note.action in _STARTS
    carried = await past_crops.history(scene.session, scene.row.id, scene.crops) if started else {}
    for entry, planting_id, place_id, made in done:
        planting = now_by_id.get(planting_id or 0)
        if planting is None and planting_id is not None:
            planting = replace(before_by_id[planting_id], stage=Stage.ENDED, count=await _left(scene, planting_id))
        crop = scene.crops.get(planting.crop) if planting else None
        coming = None
        if planting is not None and crop is not None and planting.stage is not Stage.ENDED:
            coming = stages.coming(planting, crop, after.garden.place_of(planting), today, after.warmth)
        too_soon = None
        if planting is not None and crop is not None and after.garden.place_of(planting).kind is PlaceKind.BED:
            year = growing_year(note.done_on, south=crop.south)
            too_soon = repeat(crop, carried.get(planting.place_id, ()), year)
        reached = after.reached.get(planting_id or 0)
        changes.append(Change(entry.id, planting, place_id, made, reached, coming, too_soon))
    lost = [change.planting.crop for change in changes if change.planting] if note.action is Action.LOST else []
    ends = [sown.ends_on for key in lost if key in scene.crops for sown in sowing_places(scene.crops[key], today)]
    entries = tuple(one[0] for one in done)
    return Recorded(note, entries, tuple(changes), after.garden, cells, max(ends, default=None))


async def _left(scene: Scene, planting_id: int) -> int:
    query = select(rows.Planting.count).where(rows.Planting.id == planting_id)
    return await scene.session.scalar(query) or 0
