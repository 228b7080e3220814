"""Amounts and days of the journal in words."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date

from bot.i18n import Say
from bot.services.journal.note import Unit

_LEAP_YEAR = 2024


def plants(say: Say, count: int) -> str:
    return say.ngettext("{n} plant", "{n} plants", count)


def amount(say: Say, value: float, unit: Unit) -> str:
    """3 kg, 12, 2 bunches: in the unit in which it was said."""
    number = say.number(value, 2)
    if unit in _COUNTED:
        return _COUNTED[unit](say, math.ceil(value), number)
    return _MEASURED[unit](say, number) if unit in _MEASURED else number


_COUNTED: dict[Unit, Callable[[Say, int, str], str]] = {
    Unit.BUNCH: lambda say, n, number: say.ngettext("{number} bunch", "{number} bunches", n, number=number),
    Unit.PUNNET: lambda say, n, number: say.ngettext("{number} punnet", "{number} punnets", n, number=number),
    Unit.BAG: lambda say, n, number: say.ngettext("{number} bag", "{number} bags", n, number=number),
    Unit.BUCKET: lambda say, n, number: say.ngettext("{number} bucket", "{number} buckets", n, number=number),
    Unit.LITRE: lambda say, n, number: say.ngettext("{number}\u00a0litre", "{number}\u00a0litres", n, number=number),
}
_MEASURED: dict[Unit, Callable[[Say, str], str]] = {
    Unit.KG: lambda say, number: say.gettext("{number}\u00a0kg", number=number),
    Unit.G: lambda say, number: say.gettext("{number}\u00a0g", number=number),
    Unit.LB: lambda say, number: say.gettext("{number}\u00a0lb", number=number),
    Unit.OZ: lambda say, number: say.gettext("{number}\u00a0oz", number=number),
    Unit.CM: lambda say, number: say.gettext("{number}\u00a0cm", number=number),
}


def month_day(say: Say, value: str) -> str:
    """A day of any year, "MM-DD", as people say it: "20 May"."""
    month, day = (int(part) for part in value.split("-"))
    return say.month_day(date(_LEAP_YEAR, month, day))
