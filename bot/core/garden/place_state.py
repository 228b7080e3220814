"""What lies over a place now and where a pot stands now: derived from the record, then each report in order of time.

A report is believed for what it was done for: a cover for its night, until that morning. After that it is perhaps still
there, since hardly anybody writes that it came off; what is only perhaps there protects nothing in any reckoning. What
stands until further word, by the record or by a report, counts always.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum

from bot.core.finding import Finding, Hazard, TaskKind
from bot.core.garden.snapshot import Cover, Place, PlaceKind

#: Two stretches closer than this are one spell: what one of them wants stays for the next. Two nights of any latitude
#: with a day between are; two with a mild night between are not.
GAP = timedelta(hours=24)
#: What nobody spoke of for so long is taken to be off: common practice, no source.
PERHAPS_FOR = timedelta(days=30)
#: The same thing told by two people is one: an uncovering told again within this time takes nothing more off.
_TOLD_TWICE = timedelta(hours=24)
#: A forecast may shift the end of a stretch by so much, and what was done for it counts still.
_SHIFT = timedelta(hours=3)
#: Haulm under soil shoots again: common practice, no source.
EARTH_FOR = timedelta(days=4)


class Did(StrEnum):
    """What was reported of a place."""

    COVERED = "covered"
    UNCOVERED = "uncovered"
    BROUGHT_IN = "brought in"
    PUT_BACK = "put back"
    LAID_DOWN = "laid down"
    STOOD_UP = "stood up"
    EARTHED_UP = "earthed up"
    OPENED = "opened"
    SHUT = "shut"
    RECORDED = "recorded"  # an organiser has written down anew how it stands: what was told before counts no more


class Layer(StrEnum):
    """What can be so for a while, each apart from the others."""

    COVER = "cover"
    INSIDE = "inside"
    DOWN = "down"
    EARTH = "earth"
    OPEN = "open"


class Sure(StrEnum):
    SURE = "sure"
    PERHAPS = "perhaps"
    NOT = "not"


ON = {
    Did.COVERED: Layer.COVER,
    Did.BROUGHT_IN: Layer.INSIDE,
    Did.LAID_DOWN: Layer.DOWN,
    Did.EARTHED_UP: Layer.EARTH,
    Did.OPENED: Layer.OPEN,
}
OFF = {
    Did.UNCOVERED: Layer.COVER,
    Did.PUT_BACK: Layer.INSIDE,
    Did.STOOD_UP: Layer.DOWN,
    Did.SHUT: Layer.OPEN,
}
#: What each task that undoes things takes off.
UNDOES = {TaskKind.UNCOVER: Layer.COVER, TaskKind.PUT_BACK: Layer.INSIDE, TaskKind.STAND_UP: Layer.DOWN}
#: What answers a task, the best first; less than was asked answers it, too.
_ANSWERS = {
    TaskKind.COVER: (Layer.INSIDE, Layer.COVER),
    TaskKind.BRING_IN: (Layer.INSIDE, Layer.COVER),
    TaskKind.EARTH_UP: (Layer.EARTH, Layer.INSIDE, Layer.COVER),
    TaskKind.LAY_DOWN: (Layer.INSIDE, Layer.DOWN),
    TaskKind.MOVE_FROM_RAIN: (Layer.INSIDE,),
}
_DID = {
    TaskKind.COVER: Did.COVERED,
    TaskKind.UNCOVER: Did.UNCOVERED,
    TaskKind.BRING_IN: Did.BROUGHT_IN,
    TaskKind.MOVE_FROM_RAIN: Did.BROUGHT_IN,
    TaskKind.PUT_BACK: Did.PUT_BACK,
    TaskKind.LAY_DOWN: Did.LAID_DOWN,
    TaskKind.STAND_UP: Did.STOOD_UP,
    TaskKind.EARTH_UP: Did.EARTHED_UP,
    TaskKind.VENT: Did.OPENED,
    TaskKind.CLOSE: Did.SHUT,
}
#: Covers, what keeps least first.
WORTH = (Cover.NONE, Cover.NET, Cover.CLOCHE, Cover.FLEECE, Cover.DOUBLE_FLEECE)


@dataclass(frozen=True, slots=True)
class Report:
    """at: when it was so, aware UTC. until_at: what it was done for lasts until then; None until further word.

    house: the kind of house that it was carried into, None under any roof. task_id: the duty that it was done for.
    """

    id: int
    place_id: int
    did: Did
    at: datetime
    until_at: datetime | None = None
    cover: Cover | None = None
    house: PlaceKind | None = None
    member_id: int | None = None
    task_id: int | None = None


@dataclass(frozen=True, slots=True)
class On:
    """One thing that was put on or carried in and has not been told to be off; sure: how sure that is at the moment."""

    layer: Layer
    report: Report
    sure: Sure

    @property
    def stays(self) -> bool:
        """Whether it is so until further word."""
        return self.report.until_at is None


@dataclass(frozen=True, slots=True)
class State:
    """cover, inside: as it stands until further word, which every reckoning counts with. on: what came beside, for a while."""

    cover: Cover
    inside: PlaceKind | None
    on: Mapping[Layer, On] = field(default_factory=dict)

    @property
    def lies_over(self) -> tuple[Cover, Sure]:
        """What the wind may lift there, and how sure it is that it is there."""
        on = self.on.get(Layer.COVER)
        if on is not None and on.report.cover is not None:
            return on.report.cover, on.sure
        return self.cover, Sure.NOT if self.cover is Cover.NONE else Sure.SURE


NO_STATES: Mapping[int, State] = {}


def state(place: Place, reports: Iterable[Report], now: datetime) -> State:
    """How the place stands at `now`. place: as recorded; reports: those not withdrawn, of this place, in any order."""
    cover, inside = place.cover, place.inside
    on: dict[Layer, On] = {}
    off_at: dict[Layer, datetime] = {}
    for report in sorted(reports, key=lambda one: (one.at, one.id)):
        if report.at > now:
            break
        if report.did is Did.RECORDED:
            cover, inside, on = place.cover, place.inside, {}
        elif (layer := ON.get(report.did)) is not None:
            off_at.pop(layer, None)
            on[layer] = On(layer, report, _sure(report, now))
            if on[layer].stays and layer is Layer.COVER:
                cover = report.cover or cover
            elif on[layer].stays and layer is Layer.INSIDE:
                inside = report.house or inside
        else:
            layer = OFF[report.did]
            told_before = layer in off_at and report.at - off_at[layer] < _TOLD_TWICE
            off_at[layer] = report.at
            last = on.pop(layer, None)
            # What came for a night comes off first; only then what stood there.
            if told_before if last is None else not last.stays:
                continue
            if layer is Layer.COVER and report.cover in (None, cover):
                cover = Cover.NONE
            elif layer is Layer.INSIDE:
                inside = None
    return State(cover, inside, {layer: one for layer, one in on.items() if one.sure is not Sure.NOT})


def _sure(report: Report, now: datetime) -> Sure:
    if report.until_at is None or now < report.until_at:
        return Sure.SURE
    return Sure.PERHAPS if now < report.until_at + PERHAPS_FOR else Sure.NOT


@dataclass(frozen=True, slots=True)
class Want:
    """A task that some stretch of weather asks for at a place, or has asked for. cover: to be put over it."""

    place_id: int
    hazard: Hazard
    task: TaskKind
    starts_at: datetime
    ends_at: datetime
    #: False where what is there would not hold, and had better come off.
    enough: bool = True
    cover: Cover | None = None

    @classmethod
    def of(cls, found: Finding) -> Want:
        return cls(found.place_id, found.hazard, found.task, found.starts_at, found.ends_at, found.enough, found.cover)


def answering(stands: State | None, want: Want, wants: Iterable[Want], now: datetime, task_id: int = 0) -> On | None:
    """What surely answers a task by now: done for it, for longer, or for an earlier stretch of the same spell that goes on.

    wants: everything that the forecast asks for. task_id: the duty in question, whose own report always answers it.
    """
    for on in _fitting(stands, want):
        if on.report.task_id is not None and on.report.task_id == task_id:
            return on
        until_at = _until(on)
        if until_at is None:  # which the reckoning counts with: what is asked for is asked for in spite of it
            continue
        if until_at >= want.ends_at - _SHIFT:
            return on
        if on.layer is Layer.EARTH:  # soil sinks and haulm grows on, whatever the nights do
            continue
        spell = [(one.starts_at, one.ends_at) for one in (want, *wants) if _same(one, want)]
        ends_at = kept_until(spell, until_at + GAP)
        # A colder night wants more than lies there: that is asked for.
        if until_at > now and ends_at is not None and want.ends_at <= ends_at and not less(on, want):
            return on
    return None


def doubtful(stands: State | None, want: Want) -> On | None:
    """What perhaps answers a task: put on for a stretch that is past, and not told to be off."""
    return next((on for on in _fitting(stands, want) if on.sure is Sure.PERHAPS), None)


def sees_to(task: TaskKind, cover: Cover | None, later: TaskKind, later_cover: Cover | None) -> bool:
    """Whether what is done for one night is enough for a later one of the same spell, which asks for as much or less."""
    done = _DID.get(task)
    layer = ON.get(done) if done is not None else None
    if layer is None or layer not in _ANSWERS.get(later, ()):
        return False
    if layer is not Layer.COVER:
        return True
    enough = WORTH.index(cover or Cover.NONE) >= WORTH.index(later_cover or Cover.NONE)
    return later is TaskKind.COVER and enough


def layers(task: TaskKind) -> tuple[Layer, ...]:
    """What answers a task, the best first."""
    return _ANSWERS.get(task, ())


def _fitting(stands: State | None, want: Want) -> Iterator[On]:
    for layer in _ANSWERS.get(want.task, ()) if stands is not None else ():
        on = stands.on.get(layer) if stands is not None else None
        # A roof against the rain is none against the cold.
        if on is not None and not (layer is Layer.INSIDE and want.hazard is Hazard.COLD and on.report.house is None):
            yield on


def _until(on: On) -> datetime | None:
    if on.layer is Layer.EARTH:
        return on.report.at + EARTH_FOR
    return on.report.until_at


def _same(one: Want, other: Want) -> bool:
    return (one.place_id, one.hazard) == (other.place_id, other.hazard)


def wanting(layer: Layer, place_id: int, wants: Iterable[Want]) -> Iterator[tuple[datetime, datetime]]:
    """The stretches that want something left as it is: nights a cover and a house, gales whatever they would blow about."""
    for want in wants:
        if want.place_id == place_id and _keeps(layer, want):
            yield want.starts_at, want.ends_at


def _keeps(layer: Layer, want: Want) -> bool:
    if want.hazard is Hazard.COLD:
        return layer in (Layer.COVER, Layer.INSIDE)
    if want.hazard is Hazard.WIND:
        tasks = {
            Layer.COVER: (TaskKind.PIN,),
            Layer.INSIDE: (TaskKind.LAY_DOWN, TaskKind.TIE),
            Layer.DOWN: (TaskKind.LAY_DOWN,),
        }
        return want.task in tasks.get(layer, ()) and (want.enough or layer is not Layer.COVER)
    return want.hazard is Hazard.RAIN and layer is Layer.INSIDE


def kept_until(stretches: Iterable[tuple[datetime, datetime]], by_at: datetime) -> datetime | None:
    """When the spell ends that begins before by_at; None when there is none."""
    ends_at: datetime | None = None
    for start_at, end_at in sorted(stretches):
        if start_at < (by_at if ends_at is None else ends_at + GAP):
            ends_at = end_at if ends_at is None else max(ends_at, end_at)
    return ends_at


def did_of(task: TaskKind, kind: PlaceKind) -> Did | None:
    """What a task that is done is a report of; None for one that leaves the place as it was."""
    house = kind in (PlaceKind.TUNNEL, PlaceKind.GREENHOUSE, PlaceKind.FRAME)
    if task is TaskKind.PIN:
        return Did.SHUT if house else None
    if house and task in (TaskKind.BRING_IN, TaskKind.PUT_BACK):
        return None  # trays go out of a house and back; the house stays as it is
    return _DID.get(task)


def less(on: On, want: Want) -> bool:
    """Whether what is there is less than what is asked for: one layer for two, or a cover for a house."""
    if on.layer is not Layer.COVER:
        return False
    if want.task is not TaskKind.COVER:
        return True
    return WORTH.index(on.report.cover or Cover.NONE) < WORTH.index(want.cover or Cover.NONE)
