"""A zone's clock changes as a VTIMEZONE (RFC 5545 section 3.6.5): yearly rules where the changes follow one.

Lists of single changes, which some programs do not read, are left to zones without a rule.
"""

from __future__ import annotations

import calendar
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

from bot.core.calendar.entry import WEEKDAYS

__all__ = ["timezone"]

_YEARS = 10  # looked at, and written out where there is no rule
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class _Change:
    """at: by the clock before it, as DTSTART wants it."""

    at: datetime
    name: str
    summer: bool
    before: timedelta
    after: timedelta


def timezone(zone: ZoneInfo, first_year: int, last_year: int) -> Timezone:
    """The clock of the years first_year to last_year, and, where changes follow a rule, beyond."""
    start_at = datetime(first_year - 1, 1, 1, tzinfo=UTC)
    changes = list(_changes(zone, start_at, datetime(last_year + _YEARS, 1, 1, tzinfo=UTC)))
    found = Timezone()
    found.add("tzid", zone.key)
    kinds: dict[tuple[str, timedelta, timedelta], list[_Change]] = defaultdict(list)
    for change in changes or [_always(zone, start_at)]:
        kinds[change.name, change.before, change.after].append(change)
    for group in kinds.values():
        found.add_component(_observance(group, until_year=last_year + _YEARS))
    return found


def _changes(zone: ZoneInfo, start_at: datetime, end_at: datetime) -> Iterator[_Change]:
    at = start_at
    while at < end_at:
        if _offset(at, zone) != _offset(at + _DAY, zone):
            yield _change(at, zone)
        at += _DAY


def _change(day_at: datetime, zone: ZoneInfo) -> _Change:
    """The change within the day that begins at day_at, to the minute."""
    before = _offset(day_at, zone)
    low, high = 0, 24 * 60
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if _offset(day_at + timedelta(minutes=middle), zone) == before else (low, middle)
    at = day_at + timedelta(minutes=high)
    local = at.astimezone(zone)
    after = _offset(at, zone)
    return _Change((at + before).replace(tzinfo=None), local.tzname() or "", bool(local.dst()), before, after)


def _always(zone: ZoneInfo, at: datetime) -> _Change:
    offset = _offset(at, zone)
    return _Change(at.replace(tzinfo=None), at.astimezone(zone).tzname() or "", False, offset, offset)


def _offset(at: datetime, zone: ZoneInfo) -> timedelta:
    return at.astimezone(zone).utcoffset() or timedelta(0)


def _observance(group: Sequence[_Change], until_year: int) -> TimezoneDaylight | TimezoneStandard:
    first = group[0]
    found = TimezoneDaylight() if first.summer else TimezoneStandard()
    found.add("dtstart", first.at)
    found.add("tzoffsetfrom", first.before)
    found.add("tzoffsetto", first.after)
    found.add("tzname", first.name)
    rule = _rule(group, until_year)
    if rule:
        found.add("rrule", rule)
    else:
        for change in group[1:]:
            found.add("rdate", [change.at])
    return found


def _rule(group: Sequence[_Change], until_year: int) -> dict[str, str | int] | None:
    """The yearly rule that every one of these changes follows, up to the last year; None when there is none."""
    years = [change.at.year for change in group]
    same = {(change.at.month, change.at.weekday(), change.at.time()) for change in group}
    if len(group) < 2 or len(same) > 1 or years != list(range(years[0], until_year)):
        return None
    weeks = {(change.at.day - 1) // 7 + 1 for change in group}
    last = all(change.at.day + 7 > calendar.monthrange(change.at.year, change.at.month)[1] for change in group)
    if not last and len(weeks) > 1:
        return None
    which = -1 if last else weeks.pop()
    first = group[0].at
    return {"freq": "yearly", "bymonth": first.month, "byday": f"{which}{WEEKDAYS[first.weekday()]}"}
