"""The calendar as a file for ordinary calendars: RFC 5545. Line ends, folding and escaping are the library's.

A calendar that has the file's entries already knows them by UID, and takes the new ones by their higher SEQUENCE.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from uuid import NAMESPACE_URL, UUID, uuid5
from zoneinfo import ZoneInfo

from icalendar import Calendar, Event, vRecur

from bot.core.calendar.entry import Entry, rule_parts
from bot.core.tasks.on_call import Week
from bot.services.calendar.vtimezone import timezone

__all__ = ["Listed", "calendar_ics", "rota_ics"]

_DAY = timedelta(days=1)
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
