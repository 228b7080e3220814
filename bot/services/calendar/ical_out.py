"""The calendar as a file for ordinary calendars: RFC 5545. Line ends, folding and escaping are the library's.

A calendar that has the file's entries already knows them by UID, and takes the new ones by their higher SEQUENCE.

A zone's clock changes as a VTIMEZONE (RFC 5545 section 3.6.5): yearly rules where the changes follow one.

Lists of single changes, which some programs do not read, are left to zones without a rule.
"""

from __future__ import annotations

import calendar
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event, Timezone, TimezoneDaylight, TimezoneStandard, vRecur

from bot.core.calendar.entry import WEEKDAYS, Entry, rule_parts
from bot.core.tasks.on_call import Week

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
    rule = _yearly_rule(group, until_year)
    if rule:
        found.add("rrule", rule)
    else:
        for change in group[1:]:
            found.add("rdate", [change.at])
    return found


def _yearly_rule(group: Sequence[_Change], until_year: int) -> dict[str, str | int] | None:
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


_PRODID = "-//Gatepost//Seasonal calendar//EN"
_EPOCH = datetime(2020, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Listed:
    """One entry of the file. changed_at: aware UTC. withdrawn: cancelled, so that it goes from calendars that have it."""

    entry: Entry
    sequence: int
    changed_at: datetime
    withdrawn: bool = False


def calendar_ics(name: str, listed: Sequence[Listed], zone: ZoneInfo) -> bytes | None:
    """The file; None with no entries, since a calendar must hold at least one component (section 3.6)."""
    if not listed:
        return None
    calendar = _calendar(name)
    timed = [one.entry for one in listed if one.entry.starts is not None]
    if timed and zone.key != "UTC":
        years = (min(entry.first_on for entry in timed).year, max(entry.last_on for entry in timed).year)
        calendar.add_component(timezone(zone, *years))
    for one in listed:
        calendar.add_component(_event(one, zone))
    return bytes(calendar.to_ical())


def rota_ics(name: str, uid: str, weeks: Iterable[tuple[Week, str]], changed_at: datetime) -> bytes | None:
    """Who is on call, a week an event, as whole days. uid: of the garden's calendar.

    weeks: each with the words for it. A week keeps its UID whoever has it; the later file replaces the earlier.
    """
    calendar = _calendar(name)
    for week, words in weeks:
        event = Event()
        event.add("uid", str(uuid5(_namespace(uid), f"on call {week.starts_on.isoformat()}")))
        event.add("dtstamp", changed_at.astimezone(UTC))
        event.add("sequence", max(0, (changed_at - _EPOCH) // timedelta(minutes=1)))
        event.add("summary", words)
        event.add("dtstart", week.starts_on)
        event.add("dtend", week.starts_on + timedelta(days=7))
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical()) if calendar.events else None


def _namespace(uid: str) -> UUID:
    return uuid5(NAMESPACE_URL, f"urn:gatepost:{uid}")


def _calendar(name: str) -> Calendar:
    calendar = Calendar()
    calendar.add("prodid", _PRODID)
    calendar.add("version", "2.0")
    calendar.add("name", name)  # RFC 7986; the next is what many calendars read instead
    calendar.add("x-wr-calname", name)
    return calendar


def _event(one: Listed, zone: ZoneInfo) -> Event:
    entry, event = one.entry, Event()
    event.add("uid", entry.uid)
    event.add("dtstamp", one.changed_at.astimezone(UTC))
    event.add("last-modified", one.changed_at.astimezone(UTC))
    event.add("sequence", one.sequence)
    event.add("summary", entry.title)
    event.add("status", "CANCELLED" if one.withdrawn else "CONFIRMED")
    if entry.starts is None:
        event.add("dtstart", entry.first_on)
        event.add("dtend", entry.last_on + _DAY)  # exclusive, section 3.6.1
        event.add("transp", "TRANSPARENT")
    else:
        event.add("dtstart", datetime.combine(entry.first_on, entry.starts, zone))
        if entry.ends is not None:
            event.add("dtend", datetime.combine(entry.last_on, entry.ends, zone))
    if entry.rrule:
        event.add("rrule", vRecur.from_ical(_rule(entry, zone)))
    if entry.skips:
        _skip(event, entry, zone)
    return event


def _rule(entry: Entry, zone: ZoneInfo) -> str:
    """The rule with UNTIL of the type that DTSTART has: a day, or a moment in UTC (section 3.3.10)."""
    parts = rule_parts(entry.rrule)
    if entry.starts is not None and "UNTIL" in parts:
        until = datetime.combine(datetime.strptime(parts["UNTIL"], "%Y%m%d").date(), entry.starts, zone)  # noqa: DTZ007
        parts["UNTIL"] = until.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    return ";".join(f"{name}={value}" for name, value in parts.items())


def _skip(event: Event, entry: Entry, zone: ZoneInfo) -> None:
    if entry.starts is not None:
        event.add("exdate", [datetime.combine(day, entry.starts, zone) for day in entry.skips])
    else:
        event.add("exdate", list(entry.skips), parameters={"VALUE": "DATE"})
