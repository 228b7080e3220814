"""Days as they were read: those that a text names, and where they stand in it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from enum import Enum


class Part(Enum):
    """Of a day."""

    MORNING = 0
    AFTERNOON = 1
    EVENING = 2
    NIGHT = 3


@dataclass(frozen=True, slots=True)
class Days:
    """Days, both included, and the letters of the text where they stand. part: of the day, where one is named.

    sure: False for a past day that was long ago, or is not exactly said ("last week"). named: False where only a part of
    the day is said, or so many days from today. next_year: no year was written, and this year it is over. open_end: they
    begin then ("from Friday"), and nothing says how long they last.
    """

    first_on: date
    last_on: date
    start: int
    end: int
    part: Part | None = None
    sure: bool = True
    named: bool = True
    next_year: bool = False
    open_end: bool = False


Free = Callable[[int, int], bool]


@dataclass(frozen=True, slots=True)
class Read:
    """end: the place after it; the rest as in Days."""

    first_on: date
    last_on: date
    end: int
    sure: bool = True
    named: bool = True
    next_year: bool = False
    open_end: bool = False
