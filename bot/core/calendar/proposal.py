"""A season proposed from the crop rules and the garden's own frosts: when to sow, harden off, plant out and harvest.

The windows of the rules, carried to the garden's nights where they are known (`carrying`), hold as outer limits; within
them a crop that frost kills waits until a later frost is unlikely here, and what comes before is counted back from that.
An entry is two weeks long at most, time for a group to do a job: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from bot.core.calendar.entry import EntryKind
from bot.core.growing.crop import Crop, DayRange, Hardiness, Life, Raising, Start
from bot.core.growing.outdoors import FROST_TENDER_C, RISK
from bot.core.growing.seasons import next_in_window, on_day
from bot.core.growing.succession import Where, first_harvest, sow_between
from bot.core.weather.climate import Climate, safe_on

SPAN = timedelta(days=13)
CHIT = timedelta(weeks=6)  # before planting: RHS, growing potatoes
LONGEST = timedelta(days=92)  # a perennial picked for longer needs no entry: common practice, no source
YEAR = timedelta(days=365)
HALF_OF_YEARS = 0.5
_DAY = timedelta(days=1)

Span = tuple[date, date]


class Because(StrEnum):
    """Why an entry stands where it does; see Reason for what `low` and `high` are."""

    WINDOW = "window"  # the trade's window; none
    LAST_FROST = "last frost"  # odds of a later frost on the first day; low = high = odds, 0-1
    FROSTS_UNKNOWN = "frosts unknown"  # frost kills it, and the garden's frosts are not known; none
    BEFORE_PLANTING = "before planting"  # days before planting out
    HARDENING = "hardening"  # days of hardening off
    AFTER_START = "after start"  # days from sowing or planting to the first harvest
    FIRST_FROST = "first frost"  # ends before the autumn frost that half of the years have had; none


@dataclass(frozen=True, slots=True)
class Reason:
    """source: key of a source of the crop rules, "practice" or "climate"."""

    code: Because
    low: float | None
    high: float | None
    source: str


@dataclass(frozen=True, slots=True)
class Proposed:
    """One entry to take, change or drop. where: to sow, None for anything else."""

    kind: EntryKind
    crop: str
    where: Where | None
    first_on: date
    last_on: date
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class Proposal:
    """entries in the order of their days. too_frosty: crops for which no day of the window is safe enough outdoors."""

    entries: tuple[Proposed, ...]
    too_frosty: tuple[str, ...]


def propose(crops: Iterable[Crop], climate: Climate | None, today: date) -> Proposal:
    """For each crop the next of each kind of entry that is not over, within a year of today."""
    chosen: dict[tuple[str, EntryKind], Proposed] = {}
    frosty: list[str] = []
    for crop in crops:
        chains = [_chain(crop, climate, year) for year in (today.year - 1, today.year, today.year + 1)]
        if not any(chains) and _waits(crop):
            frosty.append(crop.key)
        for one in (one for chain in chains for one in chain):
            if one.last_on >= today and one.first_on < today + YEAR:
                chosen.setdefault((one.crop, one.kind), one)
    return Proposal(tuple(sorted(chosen.values(), key=lambda one: (one.first_on, one.kind, one.crop))), tuple(frosty))


def _chain(crop: Crop, climate: Climate | None, year: int) -> list[Proposed]:
    """The entries of one crop whose start outdoors lies in that year; none where no day of it is safe."""
    if crop.life is Life.PERENNIAL:
        return list(_picked(crop, year))
    if crop.raising is not None and crop.planting.out is not None:
        return list(_raised(crop, crop.raising, crop.planting.out, climate, year))
    if crop.sowing.outdoors is not None:
        return list(_in_place(crop, crop.sowing.outdoors, climate, year))
    return []


def _raised(crop: Crop, raising: Raising, out: DayRange, climate: Climate | None, year: int) -> Iterator[Proposed]:
    placed = _after_frost(crop, out, "planting.out", climate, year, timedelta(0))
    if placed is None:
        return
    (first_on, last_on), why = placed
    least, most = raising.hardening_days
    before = Reason(Because.BEFORE_PLANTING, 7 * raising.ready_weeks[0], 7 * raising.ready_weeks[1],
                    _source(crop, "raising.ready_weeks"))  # fmt: skip
    hardening = Reason(Because.HARDENING, least, most, _source(crop, "raising.hardening_days"))
    where, sown = _sown(crop, sow_between(first_on, raising))
    yield Proposed(EntryKind.SOW, crop.key, where, *sown, (before, *why))
    yield Proposed(
        EntryKind.HARDEN_OFF, crop.key, None, first_on - timedelta(days=most), first_on - _DAY, (hardening, *why)
    )
    yield Proposed(EntryKind.PLANT_OUT, crop.key, None, first_on, last_on, why)
    yield from _harvest(crop, sown[0], climate)


def _in_place(crop: Crop, outdoors: DayRange, climate: Climate | None, year: int) -> Iterator[Proposed]:
    below_soil = timedelta(days=crop.sowing.emergence[-1][1]) if crop.sowing.emergence else timedelta(0)
    placed = _after_frost(crop, outdoors, "sowing.outdoors", climate, year, below_soil)
    if placed is None:
        return
    (first_on, last_on), why = placed
    seed = crop.sowing.start is Start.SEED
    if crop.sowing.chit is not None:
        opens, closes = _laid(crop.sowing.chit, year)
        chit_on = min(max(first_on - CHIT, opens), closes)
        counted = Reason(Because.BEFORE_PLANTING, CHIT.days, CHIT.days, "rhs-potato")
        yield Proposed(EntryKind.CHIT, crop.key, None, chit_on, min(chit_on + SPAN, closes), (counted,))
    kind, where = (EntryKind.SOW, Where.OUTDOORS) if seed else (EntryKind.PLANT, None)
    yield Proposed(kind, crop.key, where, first_on, last_on, why)
    yield from _harvest(crop, first_on, climate)


def _picked(crop: Crop, year: int) -> Iterator[Proposed]:
    first_on, last_on = _laid(crop.harvest.window, year)
    if last_on - first_on <= LONGEST:
        why = Reason(Because.WINDOW, None, None, _source(crop, "harvest.window"))
        yield Proposed(EntryKind.HARVEST, crop.key, None, first_on, last_on, (why,))


def _harvest(crop: Crop, started_on: date, climate: Climate | None) -> Iterator[Proposed]:
    """The days on which the first harvest is due, within its season; of what frost kills, before the autumn's."""
    first_on, last_on = first_harvest(crop, started_on)
    why = [Reason(Because.AFTER_START, *crop.harvest.days, _source(crop, "harvest.days"))]
    opens, closes = _laid(crop.harvest.window, first_on.year)
    if opens > last_on:  # a season over the new year that began the year before
        opens, closes = _laid(crop.harvest.window, first_on.year - 1)
    frost = climate.first_autumn.by(HALF_OF_YEARS) if climate and crop.hardiness is Hardiness.TENDER else None
    if frost and closes > (frost_on := next_in_window(opens, (frost, frost))):
        closes = frost_on
        why.append(Reason(Because.FIRST_FROST, None, None, "climate"))
    first_on, last_on = max(first_on, opens), min(last_on, closes)
    if first_on <= last_on:
        yield Proposed(EntryKind.HARVEST, crop.key, None, first_on, last_on, tuple(why))


def _after_frost(
    crop: Crop, window: DayRange, key: str, climate: Climate | None, year: int, below_soil: timedelta
) -> tuple[Span, tuple[Reason, ...]] | None:
    """When it goes outdoors: from the window's opening, or from when a later frost is unlikely; None if never."""
    opens, closes = _laid(window, year)
    why = [Reason(Because.WINDOW, None, None, _source(crop, key))]
    first_on = opens
    if _waits(crop):
        safe = safe_on(climate, RISK, year) if climate else None
        if climate is None or safe is None:
            why.append(Reason(Because.FROSTS_UNKNOWN, None, None, "climate"))
        else:
            first_on = max(opens, safe - below_soil)
            odds = climate.last_spring.after(first_on + below_soil)
            why.append(Reason(Because.LAST_FROST, odds, odds, "climate"))
    return ((first_on, min(first_on + SPAN, closes)), tuple(why)) if first_on <= closes else None


def _waits(crop: Crop) -> bool:
    """Whether a frost after it goes out would lose it; what shoots again from below the soil need not wait."""
    return crop.life is not Life.PERENNIAL and crop.cold.hardened_c > FROST_TENDER_C and not crop.cold.regrows


def _sown(crop: Crop, span: Span) -> tuple[Where, Span]:
    """Where and when to sow for planting out: within the trade's window where the two meet, else as counted back."""
    places = ((Where.INDOORS, crop.sowing.indoors), (Where.UNDER_COVER, crop.sowing.under_cover),
              (Where.OUTDOORS, crop.sowing.outdoors))  # fmt: skip
    known = [(where, window) for where, window in places if window is not None]
    for where, window in known:
        for year in (span[0].year, span[0].year - 1):  # a window over the new year may have opened the year before
            opens, closes = _laid(window, year)
            if opens <= span[1] and span[0] <= closes:
                return where, (max(opens, span[0]), min(closes, span[1]))
    return (known[0][0] if known else Where.INDOORS), span


def _laid(window: DayRange, year: int) -> Span:
    """The window on real dates, from its opening in that year; over the new year where it runs so."""
    first, last = window
    return on_day(year, first), on_day(year + (last < first), last)


def _source(crop: Crop, key: str) -> str:
    return crop.sources.get(key, "practice")
