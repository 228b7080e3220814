"""Hours as people write them, in signs that need no language: "10-12", "2pm-4pm", "10:30", "18.00–20.00"."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import time, timedelta

from bot.core.calendar.entry import Entry

_PARTS = re.compile(r"(\d{1,2})(?:[:.h](\d{2}))?\s?(?:([ap])\.?m\b\.?)?", re.IGNORECASE)
_AFTERNOON_H = 6  # "2-4" in a garden is an afternoon, up to this hour: common practice, no source


class ClockError(ValueError):
    """No such time. The text is what was written."""


@dataclass(frozen=True, slots=True)
class Hours:
    """starts, ends: local clock times; ends is None when only one was written. guessed: taken as the afternoon."""

    starts: time
    ends: time | None
    guessed: bool


def hours(text: str) -> Hours:
    """Raises ClockError. Without am or pm, a start of 1 to 6 is afternoon, and so is an end that would come first."""
    found = [match.groups() for match in _PARTS.finditer(text)]
    if not 1 <= len(found) <= 2:
        raise ClockError(text)
    (first_h, first_min, first_half), *rest = found
    if not rest:
        bare = first_half is None and first_min is None and _is_afternoon(first_h)
        return Hours(_clock(text, first_h, first_min, "p" if bare else first_half), None, bare)
    last_h, last_min, last_half = rest[0]
    if first_half is None and last_half is not None:
        first_half = _half_before(int(first_h), int(last_h), last_half)
    guessed = first_half is None and last_half is None and _is_afternoon(first_h) and int(last_h) <= 12
    if guessed:
        first_half, last_half = "p", "a" if int(last_h) == 12 else "p"
    starts, ends = _clock(text, first_h, first_min, first_half), _clock(text, last_h, last_min, last_half)
    if last_half is None and ends < starts and _is_afternoon(last_h) and starts < time(ends.hour + 12, ends.minute):
        ends, guessed = time(ends.hour + 12, ends.minute), True
    if starts == ends:
        raise ClockError(text)
    return Hours(starts, ends, guessed)


def timed(entry: Entry, found: Hours) -> Entry:
    """A whole-day entry at those hours: on each of its days where it has several, over midnight where they run so."""
    days_n = (entry.last_on - entry.first_on).days + 1
    rule = entry.rrule or (f"FREQ=DAILY;COUNT={days_n}" if days_n > 1 else "")
    over_night = found.ends is not None and found.ends < found.starts
    last_on = entry.first_on + timedelta(days=over_night)
    return replace(entry, last_on=last_on, starts=found.starts, ends=found.ends, rrule=rule)


def _is_afternoon(hour: str) -> bool:
    return not hour.startswith("0") and int(hour) <= _AFTERNOON_H


def _half_before(first_h: int, last_h: int, last_half: str) -> str | None:
    """Of "2-4pm" the pm is meant for both; of "11-1pm" for the last only."""
    if first_h > 12:
        return None
    same = first_h % 12 < last_h % 12
    return last_half if same else "a" if last_half.lower() == "p" else "p"


def _clock(text: str, hour: str, minute: str | None, half: str | None) -> time:
    h, m = int(hour), int(minute or 0)
    if half is not None and not 1 <= h <= 12:
        raise ClockError(text)
    if half is not None:
        h = h % 12 + (12 if half.lower() == "p" else 0)
    if h == 24 and m == 0:
        h = 0
    if h > 23 or m > 59:
        raise ClockError(text)
    return time(h, m)
