"""A file that a calendar program exported (RFC 5545), as entries; what cannot be taken is said, never dropped unsaid.

Days and hours become the garden's own. What repeats is taken where `entry.checked` can keep it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from icalendar import Calendar, Component, Event, vRecur
from icalendar.error import BrokenCalendarProperty

from bot.core.calendar.entry import MOST_TITLE_N, Entry, EntryKind, RuleError, checked, is_over, rule_parts
from bot.services.calendar.remarks import MOST_EVENTS, Remark, Remarked, plain_title

MOST_BYTES = 1_000_000
_MOST_UID_N, _MOST_RULE_N = 255, 200
#: Years of an event's first and last day; arithmetic fails at the ends of time, and a rule from year 1 takes seconds.
_FIRST_YEAR, _LAST_YEAR = 1900, 2200
_DAY = timedelta(days=1)
#: What an event may say besides that the calendar has no place for. X- fields of single programs are not mentioned.
_UNKEPT = ("DESCRIPTION", "LOCATION", "ATTENDEE", "ORGANIZER", "URL", "ATTACH", "CONTACT", "COMMENT", "RDATE", "EXRULE")


@dataclass(frozen=True, slots=True)
class Incoming:
    """entries: their kinds still OTHER. sequences: by UID. cancelled: UIDs that the file withdraws."""

    entries: tuple[Entry, ...] = ()
    sequences: Mapping[str, int] | None = None
    cancelled: tuple[str, ...] = ()
    remarks: tuple[Remark, ...] = ()


class _LeftOut(Exception):
    def __init__(self, code: Remarked, detail: str = "") -> None:
        super().__init__(code)
        self.remark = Remark(code, detail=detail)


def read_ical(data: bytes, zone: ZoneInfo, today: date) -> Incoming:
    """Everything that the file says and that is not over. zone: the garden's."""
    if len(data) > MOST_BYTES:
        return Incoming(remarks=(Remark(Remarked.NO_CALENDAR, detail=f"more than {MOST_BYTES // 1_000_000} MB"),))
    try:
        calendars: list[Any] = list(Calendar.from_ical(data, multiple=True))
    except (ValueError, KeyError, IndexError, TypeError) as wrong:  # how the library refuses a file
        return Incoming(remarks=(Remark(Remarked.NO_CALENDAR, detail=str(wrong)[:80]),))
    parts = [part for calendar in calendars if isinstance(calendar, Calendar) for part in calendar.subcomponents]
    if not parts:
        return Incoming(remarks=(Remark(Remarked.NO_CALENDAR),))
    events = [part for part in parts if isinstance(part, Event)]
    remarks = list(_around(parts))
    if len(events) > MOST_EVENTS:
        remarks.append(Remark(Remarked.TOO_MANY, detail=str(len(events))))
    return _taken(events[:MOST_EVENTS], zone, today, remarks)


def _taken(events: Iterable[Event], zone: ZoneInfo, today: date, remarks: list[Remark]) -> Incoming:
    entries: dict[str, Entry] = {}
    sequences: dict[str, int] = {}
    cancelled: list[str] = []
    over = 0
    for event in events:
        title = plain_title(str(_one(event, "SUMMARY") or ""))[:MOST_TITLE_N]
        uid = _uid(event)
        if str(event.get("STATUS", "")).upper() == "CANCELLED":
            cancelled.append(uid)
            continue
        try:
            entry, own = _entry(event, uid, zone)
        except _LeftOut as left_out:
            remarks.append(replace(left_out.remark, title=title))
            continue
        except BrokenCalendarProperty:  # a day that cannot be read
            remarks.append(Remark(Remarked.NO_START, title))
            continue
        except OverflowError:  # a day before year 1 or after 9999
            remarks.append(Remark(Remarked.FAR_OFF, title))
            continue
        if is_over(entry, today):
            over += 1
            continue
        remarks += [replace(remark, title=title) for remark in own]
        entries[uid] = entry
        sequences[uid] = _sequence(event)
    if over:
        remarks.append(Remark(Remarked.PAST, detail=str(over)))
    return Incoming(tuple(entries.values()), sequences, tuple(cancelled), tuple(remarks))


def _around(parts: Iterable[Component]) -> Iterable[Remark]:
    """What is in the file besides events and zones, and in events besides what is kept: each kind once."""
    names = Counter(part.name for part in parts if part.name not in ("VEVENT", "VTIMEZONE"))
    yield from (Remark(Remarked.COMPONENT, detail=str(name)) for name in names)
    events = [part for part in parts if isinstance(part, Event)]
    alarms = any(inner.name == "VALARM" for event in events for inner in event.subcomponents)
    fields = [name for name in _UNKEPT if any(name in event for event in events)]
    yield from (Remark(Remarked.UNKEPT, detail=name) for name in [*fields, *(["VALARM"] if alarms else [])])


def _entry(event: Event, uid: str, zone: ZoneInfo) -> tuple[Entry, list[Remark]]:
    """Raises _LeftOut."""
    title = plain_title(str(_one(event, "SUMMARY") or ""))
    if not title:
        raise _LeftOut(Remarked.NO_TITLE)
    if "RECURRENCE-ID" in event:
        raise _LeftOut(Remarked.CHANGED_TIME, str(_moment(event, "RECURRENCE-ID") or ""))
    start = _moment(event, "DTSTART")
    if start is None:
        raise _LeftOut(Remarked.NO_START)
    _want_in_reach(start)
    remarks = [Remark(Remarked.LONG_TITLE)] if len(title) > MOST_TITLE_N else []
    rule = _rule(event, start, zone)
    remarks += _zone_remarks(event, start, zone, repeats=bool(rule))
    first_on, starts = _local(start, zone)
    last_on, ends = _end(event, start, zone)
    _want_in_reach(last_on)
    if (last_on, ends or time.max) < (first_on, starts or time()):
        raise _LeftOut(Remarked.BACKWARDS)
    if rule and first_on != _day(start):
        raise _LeftOut(Remarked.RULE, str(getattr(start, "tzinfo", "")))  # its weekdays are another day's here
    given = Entry(title[:MOST_TITLE_N], EntryKind.OTHER, first_on, last_on, starts, ends, rule, uid=uid)
    try:
        entry = checked(given)
    except RuleError as wrong:
        raise _LeftOut(Remarked.RULE, wrong.part) from wrong
    if entry.first_on != first_on:
        remarks.append(Remark(Remarked.STEPPED, detail=entry.first_on.isoformat()))
    return replace(entry, skips=_skips(event, zone)), remarks


def _one(event: Event, name: str) -> Any:
    """The property; the first where a broken file has it twice."""
    found = event.get(name)
    return found[0] if isinstance(found, list) and found else found


def _moment(event: Event, name: str) -> date | datetime | None:
    try:
        found = getattr(_one(event, name), "dt", None)
    except ValueError:  # the library keeps a broken value, and raises when it is asked for
        return None
    return found if isinstance(found, date) else None


def _want_in_reach(at: date | datetime) -> None:
    if not _FIRST_YEAR <= at.year <= _LAST_YEAR:
        raise _LeftOut(Remarked.FAR_OFF)


def _length(event: Event) -> timedelta | None:
    try:
        found = getattr(_one(event, "DURATION"), "dt", None)
    except ValueError as broken:  # as in _moment; the library says so of numbers without end, too
        raise _LeftOut(Remarked.FAR_OFF) from broken
    return found if isinstance(found, timedelta) else None


def _end(event: Event, start: date | datetime, zone: ZoneInfo) -> tuple[date, time | None]:
    """The last day and clock time; DTEND of whole days is exclusive, and without one it is a single day (3.6.1)."""
    end = _moment(event, "DTEND")
    length = _length(event) if end is None else None
    if length is not None:
        exact = start.astimezone(UTC) if isinstance(start, datetime) and start.tzinfo else start
        end = exact + length
    if end is None or end == start:
        return _local(start, zone)[0], None
    if isinstance(start, datetime) and isinstance(end, datetime):
        return _local(end, zone)
    return _day(end) - _DAY, None


def _local(at: date | datetime, zone: ZoneInfo) -> tuple[date, time | None]:
    """Day and clock time here; a time without a zone is by the clock of wherever one is (section 3.3.5)."""
    if not isinstance(at, datetime):
        return at, None
    here = at.astimezone(zone) if at.tzinfo else at
    return here.date(), here.time().replace(second=0, microsecond=0, tzinfo=None)


def _day(at: date | datetime) -> date:
    return at.date() if isinstance(at, datetime) else at


def _rule(event: Event, start: date | datetime, zone: ZoneInfo) -> str:
    """The RRULE value with UNTIL as the local day of the last time that it lets through."""
    found = event.get("RRULE")
    if found is None:
        return ""
    if not isinstance(found, vRecur):
        raise _LeftOut(Remarked.RULE, str(found)[:60])
    text: str = vRecur.to_ical(found).decode()  # type: ignore[no-untyped-call]
    try:
        parts = rule_parts(text)
    except RuleError as wrong:
        raise _LeftOut(Remarked.RULE, wrong.part) from wrong
    until = next(iter(found.get("UNTIL", [])), None)
    if isinstance(until, datetime):
        here = until.astimezone(zone) if until.tzinfo else until
        clock = _local(start, zone)[1] or time()
        parts["UNTIL"] = (here.date() - (_DAY if here.time().replace(tzinfo=None) < clock else 0 * _DAY)).strftime(
            "%Y%m%d"
        )
    rule = ";".join(f"{name}={value}" for name, value in parts.items())
    if len(rule) > _MOST_RULE_N:
        raise _LeftOut(Remarked.RULE, rule[:60])
    return rule


def _zone_remarks(event: Event, start: date | datetime, zone: ZoneInfo, *, repeats: bool) -> list[Remark]:
    """Said where the clock of a repeated event, or of a zone that nobody knows, is taken to be the garden's."""
    if not isinstance(start, datetime):
        return []
    named = str(getattr(_one(event, "DTSTART"), "params", {}).get("TZID", ""))
    unknown = start.tzinfo is None and bool(named)
    strange = start.tzinfo is not None and not _same_clock(start, zone) and repeats
    return [Remark(Remarked.OTHER_ZONE, detail=named or "UTC")] if unknown or strange else []


def _same_clock(start: datetime, zone: ZoneInfo) -> bool:
    """Whether both clocks agree through the year that begins then."""
    naive = start.replace(tzinfo=None)
    days = (naive + timedelta(days=14 * n) for n in range(27))
    return all(day.replace(tzinfo=start.tzinfo).utcoffset() == day.replace(tzinfo=zone).utcoffset() for day in days)


def _skips(event: Event, zone: ZoneInfo) -> tuple[date, ...]:
    """Raises _LeftOut where they cannot be read: people would come on a day that is left out."""
    found = event.get("EXDATE", [])
    lists = found if isinstance(found, list) else [found]
    try:
        dates = [each.dt for one in lists for each in getattr(one, "dts", ())]
    except BrokenCalendarProperty as broken:
        raise _LeftOut(Remarked.RULE, "EXDATE") from broken
    days = {_local(each, zone)[0] for each in dates if _FIRST_YEAR <= each.year <= _LAST_YEAR}
    return tuple(sorted(days))


def _uid(event: Event) -> str:
    """The file's own, so that the same event is known again; one made from what it says where it has none."""
    uid = str(_one(event, "UID") or "").strip()
    if uid and len(uid) <= _MOST_UID_N:
        return uid
    return str(uuid5(NAMESPACE_URL, uid or f"{event.get('SUMMARY')} {event.get('DTSTART')}"))


def _sequence(event: Event) -> int:
    found = _one(event, "SEQUENCE")
    return found if isinstance(found, int) and 0 <= found < 2**31 else 0
