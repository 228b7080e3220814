"""How much cold a batch stands on a day: by its stage, and by the season for what winters outside and for fruit.

The degrees stand in the crop rules with their sources. The days on either side of winter and of blossom are common
practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bot.core.crop import Crop, DayRange
from bot.core.garden import Planting, Stage
from bot.core.seasons import in_window, next_in_window

__all__ = ["Limit", "has_wintered", "limit"]

#: The cold half of the year, in which what has grown since autumn is hardened by the weather itself.
_WINTER: DayRange = ((10, 15), (3, 20))
#: Flower buds show about two weeks before they open, and loosen in the last days.
_BUDS_DAYS, _OPENING_DAYS = 14, 5
_FRUITING = (Stage.FLOWERING, Stage.READY)


@dataclass(frozen=True, slots=True)
class Limit:
    """c: degrees C at the plant below which it is damaged. key: of the figure in the crop rule, for its source."""

    c: float
    key: str


def limit(planting: Planting, crop: Crop, on: date, *, in_pots: bool) -> Limit | None:
    """What a batch stands in the night that begins on that day; None when nothing shows above the soil.

    in_pots: raised in pots or trays, which no winter has hardened.
    """
    cold, stage = crop.cold, planting.stage
    by_stage_c = cold.damage_c(stage)
    if by_stage_c is None:
        return None
    if cold.ready_c is not None and stage is Stage.READY:
        return _of("ready_c", cold.ready_c)
    if cold.flowering_c is not None and stage in _FRUITING:
        ripening = stage is Stage.READY and cold.set_c is not None and cold.set_c > cold.flowering_c
        return _of("set_c", cold.set_c) if ripening and cold.set_c is not None else _of("flowering_c", by_stage_c)
    if cold.winter_c is not None and not in_pots and has_wintered(planting, on):
        return _of("winter_c", cold.winter_c)
    fruit = _of_fruit(crop, on) if stage is Stage.GROWING else None
    if fruit is not None:
        return fruit
    return _of("hardened_c" if stage in (Stage.HARDENED, Stage.GROWING, *_FRUITING) else "tender_c", by_stage_c)


def has_wintered(planting: Planting, on: date) -> bool:
    """Whether it is winter, and the batch has stood since before the new year; so is one whose age nobody knows."""
    started_on = planting.planted_on or planting.sown_on
    new_year = date(on.year + (on.month > _WINTER[1][0]), 1, 1)
    return in_window(on, _WINTER) and (started_on is None or started_on < new_year)


def _of_fruit(crop: Crop, on: date) -> Limit | None:
    """Of a perennial that is not in flower: its buds before the blossom, its set fruit after it."""
    cold, flowering = crop.cold, crop.harvest.flowering
    if flowering is None:
        return None
    opens, fades = flowering
    days = (next_in_window(on, (opens, opens)) - on).days
    if cold.opening_c is not None and days <= _OPENING_DAYS:
        return _of("opening_c", cold.opening_c)
    if cold.bud_c is not None and days <= _BUDS_DAYS:
        return _of("bud_c", cold.bud_c)
    ripens = crop.harvest.window[0]
    if cold.set_c is not None and fades < ripens and in_window(on, (fades, ripens)):
        return _of("set_c", cold.set_c)
    return None


def _of(name: str, degrees_c: float) -> Limit:
    return Limit(degrees_c, f"cold.{name}")
