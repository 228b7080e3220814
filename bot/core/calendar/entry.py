"""Entries of the seasonal calendar, and the days on which they fall. Recurrence is dateutil's, by RFC 5545.

An entry lives by the garden's own clock and days: a rule that ends, ends on a day (UNTIL=20260630), whatever the entry's
hours; `services.calendar.ical_out` writes that as RFC 5545 section 3.3.10 wants it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from functools import lru_cache
from itertools import chain
from zoneinfo import ZoneInfo

from dateutil.rrule import rrule, rrulestr

MOST_TITLE_N = 120
WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_PARTS = frozenset({"FREQ", "INTERVAL", "COUNT", "UNTIL", "BYDAY", "BYMONTHDAY", "BYMONTH", "BYSETPOS", "WKST"})
_MOST_INTERVAL_N, _MOST_COUNT_N, _MOST_SETPOS_N = 999, 1000, 5
_LONGEST = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)  # days of each month at most
_DAY = timedelta(days=1)
_FAR = timedelta(days=3653)


class EntryKind(StrEnum):
    SOW = "sow"
    CHIT = "chit"  # set tubers out in the light
    PLANT = "plant"  # sets and tubers
    HARDEN_OFF = "harden off"
    PLANT_OUT = "plant out"  # young plants into their final place
    HARVEST = "harvest"
    WATER = "water"
    WORK = "work day"
    OTHER = "other"


class EntryState(StrEnum):
    DRAFT = "draft"
    PUBLISHED = "published"
    WITHDRAWN = "withdrawn"


class RuleError(ValueError):
    """The repetition cannot be kept. part: the piece of the rule that is to blame, as written."""

    def __init__(self, part: str) -> None:
        super().__init__(
            f"RRULE part {part}: expected a repetition by days, weeks, months or years that falls on a day"
        )
        self.part = part


@dataclass(frozen=True, slots=True)
class Entry:
    """What stands in the calendar. uid: kept through every change, empty until stored.

    first_on, last_on: local days of the first time, both included. starts: local clock time on first_on, None for whole
    days; ends: on last_on, None when nobody said. rrule: RFC 5545 RRULE value in days, empty for once; only such as
    `checked` lets through. skips: first days of times that fall out. crop: key of a crop rule.
    """

    title: str
    kind: EntryKind
    first_on: date
    last_on: date
    starts: time | None = None
    ends: time | None = None
    rrule: str = ""
    skips: tuple[date, ...] = ()
    crop: str | None = None
    uid: str = ""


@dataclass(frozen=True, slots=True)
class Occurrence:
    """One time of an entry: local days, both included."""

    entry: Entry
    first_on: date
    last_on: date

    @property
    def key(self) -> str:
        return f"{self.entry.uid}:{self.first_on.isoformat()}"

    def bounds(self, zone: ZoneInfo) -> tuple[datetime, datetime]:
        """(start, end), aware UTC: whole local days, or from the first clock time to the last, which may be the same."""
        entry = self.entry
        if entry.starts is None:
            return _utc(self.first_on, time(), zone), _utc(self.last_on + _DAY, time(), zone)
        return _utc(self.first_on, entry.starts, zone), _utc(self.last_on, entry.ends or entry.starts, zone)


def occurrences(entries: Iterable[Entry], first_on: date, last_on: date) -> tuple[Occurrence, ...]:
    """Every time of every entry that touches the days first_on to last_on, in the order in which they begin."""
    found = chain.from_iterable(_within(entry, first_on, last_on) for entry in entries)
    return tuple(sorted(found, key=lambda one: (one.first_on, one.entry.starts or time(), one.last_on, one.key)))


def is_over(entry: Entry, on: date) -> bool:
    """Whether no time of it touches that day or the ten years after."""
    return next(_within(entry, on, on + _FAR), None) is None


def first_occurrences(entry: Entry, most: int) -> tuple[Occurrence, ...]:
    """The first times of an entry, at most so many."""
    days = _days(entry)
    return tuple(_on(entry, day) for day, _ in zip(days, range(most), strict=False))


def checked(entry: Entry) -> Entry:
    """The entry with its first day moved to the first on which its rule falls. Raises RuleError.

    RFC 5545 section 3.8.5.3 leaves undefined what a first day out of step with the rule means.
    """
    if not entry.rrule:
        return entry
    _check_parts(rule_parts(entry.rrule))
    try:
        first = next(iter(_rule(entry.rrule, entry.first_on)), None)
    except (ValueError, TypeError) as wrong:  # how dateutil refuses a value
        raise RuleError(entry.rrule) from wrong
    if first is None:
        raise RuleError(entry.rrule)
    return moved(entry, first.date())


def moved(entry: Entry, first_on: date) -> Entry:
    """The same entry, as long as before, from another day on."""
    return replace(entry, first_on=first_on, last_on=first_on + (entry.last_on - entry.first_on))


def rule_parts(rrule: str) -> dict[str, str]:
    """The parts of an RRULE value by name. Raises RuleError for what is no part."""
    parts: dict[str, str] = {}
    for piece in rrule.upper().split(";"):
        name, _, value = piece.partition("=")
        if name not in _PARTS or not value or name in parts:
            raise RuleError(piece[:60])
        parts[name] = value
    return parts


def _check_parts(parts: dict[str, str]) -> None:
    """Refuse hours, and what could look through thousands of years for a day that never comes."""
    often = parts.get("FREQ", "")
    narrowed = [name for name in parts if name.startswith("BY")]
    numbered = [day for day in parts.get("BYDAY", "").split(",") if len(day) > 2]
    wrong = (
        (often not in ("DAILY", "WEEKLY", "MONTHLY", "YEARLY"), "FREQ"),
        (not 1 <= _whole(parts.get("INTERVAL", "1")) <= _MOST_INTERVAL_N, "INTERVAL"),
        (not 1 <= _whole(parts.get("COUNT", "1")) <= _MOST_COUNT_N, "COUNT"),
        ("COUNT" in parts and "UNTIL" in parts, "UNTIL"),  # section 3.3.10: one of them at most
        ("UNTIL" in parts and len(parts["UNTIL"]) != 8, "UNTIL"),
        (often == "DAILY" and narrowed and parts.get("INTERVAL", "1") != "1", "INTERVAL"),
        (often in ("DAILY", "WEEKLY") and "BYMONTHDAY" in parts, "BYMONTHDAY"),
        (often in ("DAILY", "WEEKLY") and "BYSETPOS" in parts, "BYSETPOS"),
        (any(abs(n) > _MOST_SETPOS_N for n in _listed(parts.get("BYSETPOS", ""))), "BYSETPOS"),
        (not _has_day(parts), "BYMONTHDAY"),
        ("BYSETPOS" in parts and ("BYDAY" not in parts or "BYMONTHDAY" in parts), "BYSETPOS"),
        (bool(numbered) and (often in ("DAILY", "WEEKLY") or "BYSETPOS" in parts or "BYMONTHDAY" in parts), "BYDAY"),
    )
    for is_wrong, name in wrong:
        if is_wrong:
            raise RuleError(f"{name}={parts.get(name, '')}")


def _whole(text: str) -> int:
    return int(text) if text.isdecimal() and len(text) < 10 else 0


def _listed(text: str) -> list[int]:
    return [int(each) for each in text.split(",") if each.lstrip("+-").isdecimal() and len(each) < 6]


def _has_day(parts: dict[str, str]) -> bool:
    """Whether one of the months has one of the days."""
    months, days = _listed(parts.get("BYMONTH", "")) or [1], _listed(parts.get("BYMONTHDAY", "")) or [1]
    return any(1 <= month <= 12 and 1 <= abs(day) <= _LONGEST[month - 1] for month in months for day in days)


@lru_cache(maxsize=512)
def _rule(text: str, first_on: date) -> rrule:
    found = rrulestr(text, dtstart=datetime.combine(first_on, time()))
    assert isinstance(found, rrule)
    return found


def _days(entry: Entry) -> Iterator[date]:
    if not entry.rrule:
        return iter(() if entry.first_on in entry.skips else (entry.first_on,))
    return (at.date() for at in _rule(entry.rrule, entry.first_on) if at.date() not in entry.skips)


def _within(entry: Entry, first_on: date, last_on: date) -> Iterator[Occurrence]:
    earliest = first_on - (entry.last_on - entry.first_on)
    for day in _days(entry):
        if day > last_on:
            return
        if day >= earliest:
            yield _on(entry, day)


def _on(entry: Entry, day: date) -> Occurrence:
    return Occurrence(entry, day, day + (entry.last_on - entry.first_on))


def _utc(on: date, clock: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(on, clock, zone).astimezone(UTC)
