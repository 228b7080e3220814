"""What comes of a note: kept, a question, or a refusal with its reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from bot.core.garden.snapshot import Garden, Planting
from bot.core.growing.spacing import Grown
from bot.core.growing.stages import Reached
from bot.services.journal.disputing import Trace
from bot.services.journal.note import Note
from bot.services.weather.readings import Taken
from bot.storage.models import Entry, Member

#: The index of the answer that is under every question: forget it.
NEVER_MIND = -1

Answer = int | str


class QuestionKind(StrEnum):
    """What is asked; the answers are of one kind each."""

    CONFIRM = "confirm"  # "yes"
    VARIETY = "variety"  # "yes": the words beside the crop's name are a variety of it
    CROP = "crop"  # keys of crops; "all" for a rule
    PLANTING = "planting"  # ids of plantings, 0 for all of them
    PLACE = "place"  # ids of places
    HOUSE = "house"  # ids of houses that things were carried into
    COUNT = "count"  # how many plants
    COVER = "cover"  # words of Cover
    THERMOMETER = "thermometer"  # ids of thermometers
    READING = "reading"  # "yes": it really showed that
    NIGHT = "night"  # ISO days of evenings: of which night a minimum is
    MUCH = "much"  # "yes": it really was so much
    PLANT = "plant"  # "yes": keep a plant that nothing is known of


class Reason(StrEnum):
    """Why nothing was kept."""

    NOT_YOURS = "not yours"  # on somebody else's plot, or written by somebody else
    NOT_GROWING = "not growing"  # no such batch is known there
    NO_CROP = "no crop"  # a plant that is none of the crops, whatever its name
    NO_PLACE = "no place"  # the garden has no place that would do
    NO_THERMOMETER = "no thermometer"
    ORGANISERS_ONLY = "organisers only"
    OUT_OF_RANGE = "out of range"  # an amount that no plot gives; details: as written
    NO_SUCH_DAY = "no such day"  # details: as written
    TO_COME = "to come"  # details: the day, ISO
    RULE = "rule"  # the changed rule would not make sense
    GONE = "gone"  # the question was answered before
    NEVER_MIND = "never mind"
    NOTHING_TO_UNDO = "nothing to undo"
    ALREADY_UNDONE = "already undone"
    CHANGED_SINCE = "changed since"  # somebody has gone on from there


@dataclass(frozen=True, slots=True)
class Change:
    """One batch as it now stands. planting is None for what was done to a place alone. made: it is new.

    place_id: where. reached: the stage that it counts as having reached by days or warmth, None when it stands as
    recorded. coming: the stage that comes next, from which day, and whether by days or warmth. too_soon: what of the same
    family its bed carried too few years ago.
    """

    entry_id: int
    planting: Planting | None
    place_id: int | None
    made: bool = False
    reached: Reached | None = None
    coming: Reached | None = None
    too_soon: Grown | None = None


@dataclass(frozen=True, slots=True)
class Recorded:
    """Kept. entries: of one note; cells: counted for a tray that nobody sized. thermometer: the name of the one read.

    taken: of a reading. resow_until: last day of this season on which what was lost can still be sown; None when it is too late.
    """

    note: Note
    entries: tuple[Entry, ...]
    changes: tuple[Change, ...]
    garden: Garden
    cells: int | None = None
    resow_until: date | None = None
    thermometer: str | None = None
    taken: Taken | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """options: the answers, one a button in this order; see QuestionKind. thermometers: names by id, to choose from."""

    kind: QuestionKind
    pending_id: int
    note: Note
    options: tuple[Answer, ...]
    garden: Garden
    today: date
    thermometers: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Refused:
    """details: what the rules' own checks said, for Reason.RULE, or the plant's name, for NO_CROP. crops: of the note."""

    reason: Reason
    crops: tuple[str, ...] = ()
    details: str = ""


@dataclass(frozen=True, slots=True)
class Undone:
    """entries: what was taken back. writer: whose they were, when they were somebody else's; trace: then, of the matter."""

    entries: tuple[Entry, ...]
    writer: Member | None = None
    trace: Trace | None = None


Outcome = Recorded | Question | Refused | Undone
