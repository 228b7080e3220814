"""How much cold a batch stands on a day: by its stage, and by the season for what winters outside and for fruit.

The degrees stand in the crop rules with their sources. The days on either side of winter and of blossom are common
practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from bot.core.garden.snapshot import HOUSES, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Cold, Crop, DayRange, MonthDay, Start
from bot.core.growing.seasons import closes_on, in_window, next_in_window, on_day

#: Buds swell about four weeks before they open, flower buds show about two weeks before, and loosen in the last days.
_SWELL_DAYS, _BUDS_DAYS, _OPENING_DAYS = 28, 14, 5
_MIDSUMMER = 6  # months after it belong to the winter to come
_FRUITING = (Stage.FLOWERING, Stage.READY)


TRAYS = (Stage.CHITTING, Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING, Stage.HARDENED)
HARDY_MARGIN_C = 2.0
#: Of the compost that it wants in the end, with which a batch in a container is no tray: common practice, no source.
_ROOM_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class Limit:
    """c: degrees C at the plant below which it is damaged. key: of the figure in the crop rule, for its source.

    most_c: at which nearly all of it is lost, where that is published.
    """

    c: float
    key: str
    most_c: float | None = None


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
        if ripening and cold.set_c is not None:
            return _fruit("set_c", cold.set_c, cold)
        return _fruit("flowering_c", by_stage_c, cold)
    if cold.winter_c is not None and not in_pots and has_wintered(planting, crop, on):
        return _of("winter_c", cold.winter_c)
    fruit = _of_fruit(crop, on) if stage is Stage.GROWING else None
    if fruit is not None:
        return fruit
    return _of("hardened_c" if stage in (Stage.HARDENED, Stage.GROWING, *_FRUITING) else "tender_c", by_stage_c)


def has_wintered(planting: Planting, crop: Crop, on: date) -> bool:
    """Whether it is winter, and the batch has stood since before its middle; so is one whose age nobody knows.

    The middle is the new year, and the first of July south of the equator.
    """
    started_on = planting.planted_on or planting.sown_on
    middle = date(on.year, 7, 1) if crop.south else date(on.year + (on.month > _MIDSUMMER), 1, 1)
    return in_window(on, crop.winter) and (started_on is None or started_on < middle)


def _of_fruit(crop: Crop, on: date) -> Limit | None:
    """Of a perennial that is not in flower: its buds before it opens, its set fruit and its soft shoots after that."""
    cold, flowering, shoots = crop.cold, crop.harvest.flowering, crop.cold.shoots
    if cold.set_c is not None and flowering is not None and _has_set(on, flowering, crop.harvest.window[0]):
        return _fruit("set_c", cold.set_c, cold)
    if shoots is not None and cold.shoots_c is not None and in_window(on, shoots):
        return _fruit("shoots_c", cold.shoots_c, cold)
    opens = shoots or flowering
    if opens is None:
        return None
    days = (next_in_window(on, (opens[0], opens[0])) - on).days
    stages = (
        ("opening_c", cold.opening_c, _OPENING_DAYS),
        ("bud_c", cold.bud_c, _BUDS_DAYS),
        ("swell_c", cold.swell_c, _SWELL_DAYS),
    )
    found = ((name, degrees_c) for name, degrees_c, most in stages if degrees_c is not None and days <= most)
    return next((_fruit(name, degrees_c, cold) for name, degrees_c in found), None)


def _has_set(on: date, flowering: DayRange, ripens: MonthDay) -> bool:
    """Whether it is between blossom and harvest; what ripens while it still flowers has no such time."""
    return not in_window(on_day(on.year, ripens), flowering) and in_window(on, (flowering[1], ripens))


#: The order of `Cold.ninety_c`; shoots share the last with set fruit.
_NINETY = ("swell_c", "bud_c", "opening_c", "flowering_c", "set_c")


def _fruit(name: str, degrees_c: float, cold: Cold) -> Limit:
    at = _NINETY.index("set_c" if name == "shoots_c" else name)
    return Limit(degrees_c, f"cold.{name}", cold.ninety_c[at] if cold.ninety_c else None)


def _of(name: str, degrees_c: float) -> Limit:
    return Limit(degrees_c, f"cold.{name}")


def in_pots(planting: Planting, place: Place, crop: Crop) -> bool:
    """Whether the batch stands in pots or trays that can be carried, apart from the containers that it stays in."""
    if planting.stage is Stage.SEEDLING:
        return crop.raising is not None and place.kind is not PlaceKind.BED and not _stays(planting, place, crop)
    return planting.stage in TRAYS


def is_potted_tuber(planting: Planting, place: Place, crop: Crop, on: date) -> bool:
    """Whether it grows from tubers that were started in pots in a house and waits to be planted out; one that nobody
    has planted out when the time for it is over grows on where it is.
    """
    started_on, out = planting.planted_on or planting.sown_on, crop.planting.out
    if crop.sowing.start is not Start.TUBER or crop.sowing.under_cover is None or out is None or started_on is None:
        return False
    waits = planting.stage is Stage.GROWING and place.shelter in HOUSES
    return waits and in_window(started_on, (crop.sowing.under_cover[0], out[1])) and on <= closes_on(started_on, out)


def is_carried(planting: Planting, place: Place, crop: Crop, on: date) -> bool:
    """Whether it stands in pots or trays that somebody can carry elsewhere."""
    return in_pots(planting, place, crop) or is_potted_tuber(planting, place, crop, on)


def _stays(planting: Planting, place: Place, crop: Crop) -> bool:
    """Whether what was sown in a container has room there to grow on; where its size is not known it has."""
    if place.kind is not PlaceKind.CONTAINER:
        return False
    wanted_l = planting.count * (crop.planting.in_pot_l or 0.0)
    return place.volume_l is None or place.volume_l >= _ROOM_SHARE * wanted_l
