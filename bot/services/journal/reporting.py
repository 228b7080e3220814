"""What a note says of how a place stands: one more row in the ledger of places."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime, time

from sqlalchemy import select

from bot.core.garden.place_state import EARTH_FOR, ON, Did, Layer
from bot.core.garden.snapshot import Cover, Place
from bot.core.warnings.hazards import TaskKind
from bot.services.garden import place_ledger
from bot.services.journal.note import Action, Note
from bot.services.journal.scene import Scene
from bot.storage.models import Entry, PlaceReport, Task, Warning
from bot.storage.tasks import tasks

_DID = {
    Action.COVERED: Did.COVERED,
    Action.UNCOVERED: Did.UNCOVERED,
    Action.BROUGHT_IN: Did.BROUGHT_IN,
    Action.PUT_BACK: Did.PUT_BACK,
    Action.EARTHED_UP: Did.EARTHED_UP,
    Action.OPENED: Did.OPENED,
    Action.SHUT: Did.SHUT,
}
#: What people are asked for by these names.
_KIND = {
    Action.COVERED: TaskKind.COVER,
    Action.UNCOVERED: TaskKind.UNCOVER,
    Action.BROUGHT_IN: TaskKind.BRING_IN,
    Action.PUT_BACK: TaskKind.PUT_BACK,
    Action.EARTHED_UP: TaskKind.EARTH_UP,
    Action.SUPPORTED: TaskKind.TIE,
    Action.HARVESTED: TaskKind.PICK,
}
#: Notes that say how a place stands.
OF_PLACES = frozenset(_DID)
_PAST_DAY = time(18)  # what was done on an earlier day was done before its night


async def report(scene: Scene, note: Note, entry: Entry, place: Place, house_id: int | None = None) -> None:
    """The ledger's row of a note, withdrawn when the note is taken back; nothing for notes that leave places as they are."""
    did = _DID.get(note.action)
    if did is None:
        return
    at = _at(scene, note)
    until_at = None
    if did is Did.EARTHED_UP:
        until_at = at + EARTH_FOR
    elif did in ON and did is not Did.OPENED:  # that lasts until it is shut
        until_at = await place_ledger.night_until(scene.session, scene.row, place.id, at)
    scene.session.add(
        PlaceReport(
            place_id=place.id,
            did=did,
            cover=note.cover if note.cover is not Cover.NONE else None,
            target_place_id=house_id,
            at=at,
            until_at=until_at,
            member_id=scene.member.id,
            entry_id=entry.id,
        )
    )
    await scene.session.flush()


def _at(scene: Scene, note: Note) -> datetime:
    if note.done_on >= scene.now.astimezone(scene.row.tz).date():
        return scene.now
    return datetime.combine(note.done_on, _PAST_DAY, scene.row.tz)


async def asked_of(scene: Scene) -> frozenset[int]:
    """Places at which everybody is asked for something now."""
    query = (
        select(Task.place_id)
        .join(Warning, Warning.id == Task.warning_id)
        .where(Warning.garden_id == scene.row.id, Task.state.in_(tasks.LIVE))
    )
    return frozenset(await scene.session.scalars(query))


async def asked_of_writer(scene: Scene, note: Note) -> frozenset[int]:
    """Places of which the writer was asked for just that: "brought the pots in" is about theirs."""
    kind = _KIND.get(note.action)
    open_ = await tasks.open_of_member(scene.session, scene.member.id) if kind is not None else []
    return frozenset(duty.where_id for _, duty in open_ if duty.kind is kind)


async def covered(scene: Scene) -> list[int]:
    """Where something lies that was put on for a while."""
    stands = await place_ledger.states(scene.session, scene.garden, scene.now)
    return sorted(id_ for id_, one in stands.items() if Layer.COVER in one.on)


async def asked_into(scene: Scene, place_ids: Collection[int]) -> list[int]:
    """Where these are asked to be carried: the house that the soonest call names."""
    found = await _asked(scene, place_ids, TaskKind.BRING_IN)
    return [one.target_place_id for one in found if one.target_place_id is not None][:1]


async def asked_cover(scene: Scene, place_ids: Collection[int]) -> Cover | None:
    """What these are asked to be covered with, where that is one and the same."""
    covers = {one.cover for one in await _asked(scene, place_ids, TaskKind.COVER)}
    return covers.pop() if len(covers) == 1 else None


async def _asked(scene: Scene, place_ids: Collection[int], kind: TaskKind) -> Sequence[Task]:
    """What warnings that are not over ask for there, the soonest first."""
    query = (
        select(Task)
        .join(Warning, Warning.id == Task.warning_id)
        .where(
            Warning.garden_id == scene.row.id,
            Warning.ends_at > scene.now,
            Task.kind == kind,
            Task.place_id.in_(place_ids),
        )
        .order_by(Task.due_at, Task.id)
    )
    return (await scene.session.scalars(query)).all()
