"""What a job of the week is, and the one view of the garden that every subject's jobs are drawn from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from bot.core.finding import DAILY, Finding, TaskKind
from bot.core.garden.snapshot import Garden, Planting
from bot.core.growing.bolting import Bolt
from bot.core.growing.crop import Crop
from bot.core.growing.harvest import Share, Shared
from bot.core.growing.outdoors import Advice
from bot.core.growing.spacing import Grown
from bot.core.weather.night import Night
from bot.core.weather.odds import Step
from bot.core.weather.timeline import Day

_MOST_PLANTS = 30  # a row of 200 carrots is not ten times a bed of beans: common practice, no source


class JobKind(StrEnum):
    """The first words are those of `finding.TaskKind`."""

    PICK = "pick or lift"
    CLOSE = "close"
    COVER = "cover"
    EARTH_UP = "earth up"
    BRING_IN = "bring in"
    TIE = "tie"
    LAY_DOWN = "lay down"
    PIN = "pin down"
    VENT = "vent"
    SHADE = "shade"
    MOVE_FROM_RAIN = "move out of the rain"
    CHIT = "chit"
    SOW = "sow"
    SOW_AGAIN = "sow again"
    POT_ON = "pot on"
    HARDEN_OFF = "harden off"
    PLANT_OUT = "plant out"
    WATER = "water"
    SUPPORT = "support"
    FASTEN = "fasten"
    FEED = "feed"
    PINCH = "pinch out"
    WATCH = "watch"
    NET = "net"
    BLIGHT = "blight weather"
    BOLTING = "running to seed"
    SWING = "cold and heat close together"
    CUT_HAULM = "cut haulm"
    HARVEST = "harvest"
    ROTATION = "rotation"
    FIND_SOMEBODY = "find somebody"  # organisers: a duty that nobody has been asked for
    SPEAK_TO = "speak to"  # organisers: a member who has gone silent
    COMPLETE = "complete records"  # organisers: something that the warnings need is not known


#: What the weather asks for, in the words of `finding.TaskKind`: a duty, for adults alone.
WEATHER = frozenset(JobKind(task.value) for task in TaskKind if task not in DAILY and task.value in frozenset(JobKind))


@dataclass(frozen=True, slots=True)
class Mark:
    """What was said of an item: done, or later; out of sight before `until_on`."""

    done: bool
    marked_on: date
    until_on: date


#: Who is on an item, by its key: the ids of the members asked or accepted. An item that is not here is nobody's turn.
Ask = Mapping[str, frozenset[int]]


@dataclass(frozen=True, slots=True)
class Item:
    """One job for one thing, before the same job for many things is said once.

    key: the same from day to day; marks and asks refer to it. group: items of one group are one job. value_lost:
    weeks of growing x plants x probability that not doing it loses. due_at: a deadline by the clock; by_on: by the
    calendar. again_days: how long a Done holds. detail: the pest, the place to sow, the cover: an enum's value.
    asked_only: not shown to those who have not been asked. hours: outside. cm: of soil, or tall. share: of a harvest from
    a shared place, what the member's household may take. people: wanted at once. kg_each: what each of them must be glad
    to lift (`lifting.asked_kg`).
    """

    key: str
    kind: JobKind
    group: tuple[str, ...]
    value_lost: float
    crop: str | None = None
    planting_id: int | None = None
    place_id: int | None = None
    member_id: int | None = None
    target_place_id: int | None = None
    due_at: datetime | None = None
    by_on: date | None = None
    again_days: int = 7
    count: int | None = None
    litres: float | None = None
    hours: int | None = None
    cm: float | None = None
    detail: str | None = None
    asked_only: bool = False
    share: Share | None = None
    people: int = 1
    kg_each: float = 0.0
    reasons: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Job:
    """One line of the week. key: stable from day to day. crop: None when it is for several crops, or for none.

    due_at, by_on, reasons: of the item that presses most. count, litres: sums over the items, None when none has any.
    """

    key: str
    kind: JobKind
    crop: str | None
    detail: str | None
    items: tuple[Item, ...]
    planting_ids: tuple[int, ...]
    place_ids: tuple[int, ...]
    due_at: datetime | None
    by_on: date | None
    value_lost: float
    count: int | None
    litres: float | None
    reasons: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class View:
    """Everything that jobs are drawn from. scope: ids of the places looked at.

    plantings: those in scope that have not ended and whose crop is known. soil_c: soil warmth, None when unknown.
    litres, water_steps: due by place id, and how that came about. wanted: crops that this member means to grow.
    history: what beds carried before, by place. blight_on: days on which the Hutton Criteria are met. bolting: by
    planting id. member_id: whose week it is, None for the group. shared: by planting id, of what stands in shared places.
    """

    garden: Garden
    crops: Mapping[str, Crop]
    now: datetime
    today: date
    scope: frozenset[int]
    plantings: tuple[Planting, ...]
    findings: tuple[Finding, ...] = ()
    advice: tuple[Advice, ...] = ()
    nights: tuple[Night, ...] = ()
    days: tuple[Day, ...] = ()
    marks: Mapping[str, Mark] = field(default_factory=dict)
    soil_c: float | None = None
    litres: Mapping[int, float] = field(default_factory=dict)
    water_steps: Mapping[int, tuple[Step, ...]] = field(default_factory=dict)
    wanted: frozenset[str] = frozenset()
    history: Mapping[int, tuple[Grown, ...]] = field(default_factory=dict)
    blight_on: tuple[date, ...] = ()
    bolting: Mapping[int, Bolt] = field(default_factory=dict)
    member_id: int | None = None
    shared: Mapping[int, Shared] = field(default_factory=dict)


def worth(planting: Planting) -> int:
    """Plants that count in ranking."""
    return min(planting.count, _MOST_PLANTS)
