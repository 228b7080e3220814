"""What one plain sentence from the plot says, once it is understood: a value that can wait as JSON for an answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from enum import StrEnum
from typing import Any

from bot.core.garden.snapshot import Cover, Stage

#: How much of a sentence is kept beside what was understood.
WORDS_N = 200
#: Cells of a tray when nobody says: common practice, no source (half the 48 of a deep module tray).
CELLS = 24

_KG = {"kg": 1.0, "g": 0.001, "lb": 0.45359237, "oz": 0.028349523125}  # avoirdupois, exact by definition since 1959


class Action(StrEnum):
    SOWED = "sowed"
    POTTED_ON = "potted on"
    HARDENING = "hardening off"  # begun
    HARDENED = "hardened"
    PLANTED_OUT = "planted out"
    COVERED = "covered"
    UNCOVERED = "uncovered"
    BROUGHT_IN = "brought in"
    PUT_BACK = "put back"
    WATERED = "watered"
    FED = "fed"
    SUPPORTED = "supported"
    EARTHED_UP = "earthed up"
    HARVESTED = "harvested"
    LOST = "lost"
    CLEARED = "cleared"
    MOVED = "moved"
    OPENED = "opened"  # a house, to be aired
    SHUT = "shut"
    WEEDED = "weeded"
    THINNED = "thinned"
    MULCHED = "mulched"
    PRUNED = "pruned"  # pinched out, side shoots taken
    MEASURED = "measured"
    SEEN = "seen"  # up, in flower or ready, or not yet
    READING = "reading"
    RULE = "rule"
    UNDO = "undo"


class Unit(StrEnum):
    NONE = ""
    KG = "kg"
    G = "g"
    LB = "lb"
    OZ = "oz"
    PIECE = "piece"
    BUNCH = "bunch"
    PUNNET = "punnet"
    BAG = "bag"
    BUCKET = "bucket"
    LITRE = "litre"
    CM = "cm"
    CELSIUS = "C"


class Container(StrEnum):
    """What seed or plants are counted by when not one by one."""

    TRAY = "tray"
    POT = "pot"
    ROW = "row"


class Cause(StrEnum):
    """What took them."""

    FROST = "frost"
    SLUGS = "slugs"
    WIND = "wind"
    BLIGHT = "blight"
    BIRDS = "birds"
    MICE = "mice"
    DROUGHT = "drought"
    RAIN = "rain"
    INSECTS = "insects"


@dataclass(frozen=True, slots=True)
class Note:
    """What was done or seen.

    words: as written, at most WORDS_N signs. crops: keys that it can be; places: ids that it can be, where it was done
    or whither; from_places: whence; into: houses that things were carried into;
    thermometers: ids that it can be. plantings: batches chosen by a button.
    amount in `unit`; count: of plants; share: of the batch, or of the crops of a rule, 1 for all. containers of the
    kind `container`, each of `cells`. rule_key, rule_value: a garden's own figure, as in the crop's file.
    beside: the words beside the crop's name, of a variety or not known; without crops, a plant that is no crop here.
    plant: the name of one that nothing is known of.
    stage: what was seen, SEEDLING for come up; not_yet: that it is not so far. reading_id: one that is asked about.
    evening_on: of the night that a reading speaks of, where that was said. wrong_day: as written, of a day that does not
    exist, or ISO of one to come. believed: somebody has said that so much is right.
    sure: False while the understanding itself is a guess.
    """

    action: Action
    words: str
    done_on: date
    crops: tuple[str, ...] = ()
    beside: str = ""
    plant: str = ""
    places: tuple[int, ...] = ()
    from_places: tuple[int, ...] = ()
    into: tuple[int, ...] = ()
    thermometers: tuple[int, ...] = ()
    plantings: tuple[int, ...] = ()
    amount: float | None = None
    unit: Unit = Unit.NONE
    count: int | None = None
    share: float | None = None
    containers: float | None = None
    container: Container | None = None
    cells: int | None = None
    cover: Cover | None = None
    cause: Cause | None = None
    rule_key: str = ""
    rule_value: str = ""
    stage: Stage | None = None
    not_yet: bool = False
    reading_id: int | None = None
    evening_on: date | None = None
    wrong_day: str = ""
    believed: bool = False
    sure: bool = True


_TUPLES = frozenset({"crops", "places", "from_places", "into", "thermometers", "plantings"})
_ENUMS = {"action": Action, "unit": Unit, "container": Container, "cover": Cover, "cause": Cause, "stage": Stage}


def to_row(note: Note) -> dict[str, Any]:
    """As plain JSON values."""
    row = {field.name: getattr(note, field.name) for field in fields(note)}
    row |= {name: list(row[name]) for name in _TUPLES}
    row |= {name: str(row[name]) for name in _ENUMS if row[name] is not None}
    evening_on = note.evening_on.isoformat() if note.evening_on else None
    return row | {"done_on": note.done_on.isoformat(), "evening_on": evening_on}


def from_row(row: Mapping[str, Any]) -> Note:
    """The note that `to_row` made."""
    values = dict(row)
    values |= {name: tuple(values.get(name, ())) for name in _TUPLES}
    values |= {name: kind(values[name]) for name, kind in _ENUMS.items() if values.get(name) is not None}
    evening = values.get("evening_on")
    days = {
        "done_on": date.fromisoformat(values["done_on"]),
        "evening_on": date.fromisoformat(evening) if evening else None,
    }
    return Note(**{**values, **days})


def weight_kg(amount: float, unit: Unit) -> float | None:
    """Kilograms of an amount that was weighed; None when it was counted."""
    factor = _KG.get(unit.value)
    return None if factor is None else amount * factor
