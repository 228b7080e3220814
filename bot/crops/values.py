"""Turns one TOML value into what a field of the crop rule holds, by the type of that field."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from enum import StrEnum
from math import isfinite
from types import UnionType
from typing import get_args, get_origin

from bot.core.growing.crop import DayRange, MonthDay
from bot.crops.mistakes import suggestion

__all__ = ["Read", "WrongValueError", "day", "is_figure", "numbers_in", "reader", "without_none"]

Read = Callable[[object], object]


class WrongValueError(ValueError):
    """The text says what is expected instead."""


def without_none(hint: object) -> object:
    """The type X of an optional field "X | None"."""
    if isinstance(hint, UnionType):
        return next(part for part in get_args(hint) if part is not type(None))
    return hint


def is_figure(hint: object) -> bool:
    """Whether a field of this type needs a source: numbers and days do; words, choices and yes or no do not."""
    args = [arg for arg in get_args(hint) if arg is not Ellipsis]
    return hint in (int, float) or (bool(args) and all(is_figure(arg) for arg in args))


def reader(hint: object) -> Read:
    """The function that reads a value of this type, or raises WrongValueError."""
    if hint == DayRange:
        return _days
    if get_origin(hint) is tuple:
        return _tuple_reader(get_args(hint))
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return lambda value: _choice(hint, value)
    return _PLAIN[hint]


def numbers_in(value: object) -> list[float]:
    """Every number of a read figure, however deep; days of the year are no numbers here."""
    if isinstance(value, tuple):
        return [number for part in value for number in numbers_in(part)]
    return [value] if isinstance(value, (int, float)) and not isinstance(value, bool) else []


def _tuple_reader(args: tuple[object, ...]) -> Read:
    if args[-1] is Ellipsis:
        return lambda value: tuple(map(reader(args[0]), _list(value)))
    one, count = reader(args[0]), len(args)

    def read(value: object) -> object:
        parts = tuple(map(one, _list(value)))
        if len(parts) != count:
            raise WrongValueError(f"{count} values")
        return parts

    return read


def _list(value: object) -> list[object]:
    if not isinstance(value, list):
        raise WrongValueError("a list in square brackets")
    return value


def _number(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not isfinite(value):
        raise WrongValueError("a number")
    return float(value)


def _whole(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise WrongValueError("a whole number")
    return value


def _word(value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise WrongValueError("a text in quotes")
    return value


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise WrongValueError("true or false")
    return value


def _choice(kind: type[StrEnum], value: object) -> StrEnum:
    try:
        return kind(_word(value))
    except ValueError as error:
        raise WrongValueError(suggestion(str(value), [member.value for member in kind])) from error


def _days(value: object) -> DayRange:
    days = [day(part) for part in _list(value)]
    if len(days) != 2:
        raise WrongValueError('two days, as ["MM-DD", "MM-DD"]')
    return days[0], days[1]


def day(value: object) -> MonthDay:
    """One day of the year, "MM-DD"."""
    try:
        on = date.fromisoformat(f"2001-{_word(value)}")  # no leap year: a window never ends on 29 February
    except ValueError as error:
        raise WrongValueError('days of the year, as "MM-DD"') from error
    return on.month, on.day


_PLAIN: dict[object, Read] = {float: _number, int: _whole, str: _word, bool: _flag}
