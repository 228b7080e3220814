"""What can be wrong with a written line, and what is said of how it was read."""

from __future__ import annotations

from enum import StrEnum

__all__ = ["Mistaken", "Note", "Wrong"]


class Mistaken(StrEnum):
    NO_DATE = "no date"
    NO_TITLE = "no title"
    LONG_TITLE = "long title"  # value: its length
    NO_SUCH_DAY = "no such day"  # value: what was written
    MONTH_FIRST = "month first"  # value: what was written; likely: the day that was meant
    BACKWARDS = "backwards"  # value: first day; likely: last day
    WRONG_WEEKDAY = "wrong weekday"  # value: the day, ISO
    NO_SUCH_TIME = "no such time"  # value: what was written
    TWO_DATES = "two dates"  # value: the second
    PAST = "past"  # value: the last day, ISO
    TOO_MANY = "too many"  # value: how many lines are read
    NEVER = "never"  # it repeats, but on no day
    TO_COME = "to come"  # value: the day, ISO, of something that is said to be done
    NO_LAST = "no last"  # value, likely: the first day, and what may be the last
    TOO_LONG = "too long"  # value: how many days


class Note(StrEnum):
    """How something was read that may be read otherwise."""

    PART = "part"  # early, mid, late: days 1 to 10, 11 to 20, 21 to the end
    NEXT_YEAR = "next year"
    AFTERNOON = "afternoon"
    EACH_DAY = "each day"  # the hours are of each of its days
    NO_END = "no end"  # repeats without an end


class Wrong(Exception):
    """A line cannot be taken."""

    def __init__(self, code: Mistaken, value: str = "", likely: str = "") -> None:
        super().__init__(code)
        self.code, self.value, self.likely = code, value, likely
