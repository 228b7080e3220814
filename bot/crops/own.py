"""Crops of a garden's own: a plant without a rule, what people have said of it, and the rule that comes of that.

Until somebody says more it is taken to be killed by frost, and to be no food. One TOML file holds them all, to be shared.

A garden's own changes to a crop rule, under the same checks as the rule itself.
"""

from __future__ import annotations

import calendar
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from bot.core.growing.crop import Care, Cold, Crop, DayRange, Hardiness, Harvest, Kind, Life, PlantingOut, Sowing, Start
from bot.crops.find import fold, singular
from bot.crops.keys import check
from bot.crops.mistakes import CropRulesError
from bot.crops.reading import FIELDS, GARDEN, PAIRS, Draft, WrongValueError, build, flat, reader

FILE = "crops.toml"
PREFIX = "own-"
NAME_N = 40
_MOST_N = 200
_KEYS = ("name", "like", "eaten", "frost", "out", "harvest", "apart_cm")
_APART_CM = (2, 500)
_PLAIN_YEAR = 2001
_LONG_DAYS = (400, 1500)  # nobody has said when it is ready: not within a season
_ANY_DAYS = (30, 365)  # its months of harvest decide
_ALL_YEAR: DayRange = ((1, 1), (12, 31))


class OwnCropError(ValueError):
    """The file is none of this kind. The text says which crop and key, the value, and what is expected."""


class Frost(StrEnum):
    """What frost does to it."""

    KILLS = "kills"
    MARKS = "marks"  # a light frost only marks it
    STANDS = "stands"  # it stands the winter


#: (while young, outdoors, in winter), degrees C: as the shared rules have tender, half-hardy and hardy crops; practice.
_COLD: Mapping[Frost, tuple[float, float, float | None, float, Hardiness]] = {
    Frost.KILLS: (0.0, 0.0, None, 10.0, Hardiness.TENDER),
    Frost.MARKS: (0.0, -2.0, None, 4.4, Hardiness.HALF_HARDY),
    Frost.STANDS: (-2.0, -5.0, -10.0, 4.4, Hardiness.HARDY),
}


@dataclass(frozen=True, slots=True)
class OwnCrop:
    """name: as people write it. like: key of the crop whose rule it takes. The rest overrides that, None for not said.

    out: the month in which it goes outdoors; harvest: first and last month of harvest; apart_cm: both ways.
    """

    name: str
    like: str = ""
    eaten: bool | None = None
    frost: Frost | None = None
    out: int | None = None
    harvest: tuple[int, int] | None = None
    apart_cm: int | None = None

    @property
    def is_known(self) -> bool:
        """Whether somebody has said what frost does to it."""
        return bool(self.like) or self.frost is not None


def named(written: str) -> str:
    """A plant's name as it is kept: letters, digits, spaces, hyphens and apostrophes, bounded; empty when none is left."""
    plain = re.sub(r"[^\w\s'’-]|_", " ", written)
    return " ".join(plain.split())[:NAME_N].strip()


def key_for(name: str) -> str:
    """The key of an own crop of that name, or of that key; singular and plural are one."""
    words = singular(fold(name).split())
    words = words[1:] if words[:1] == (PREFIX.rstrip("-"),) and len(words) > 1 else words
    return PREFIX + "-".join(words)[:NAME_N]


def built(key: str, own: OwnCrop, crops: Mapping[str, Crop]) -> Crop:
    """Its rule: that of the like crop, else one that takes it to be tender and no food; then what was said."""
    like = crops.get(own.like)
    crop = replace(like, varieties=(), aliases=()) if like is not None else _unknown()
    crop = replace(crop, key=key, name=own.name, sources=dict.fromkeys((*crop.sources, *_SAID), GARDEN))
    if own.eaten is not None:
        crop = replace(crop, kind=Kind.VEGETABLE if own.eaten else Kind.FLOWER)
        if like is not None and own.eaten:
            crop = replace(crop, kind=like.kind)
    if own.frost is not None:
        young_c, out_c, winter_c, chilling_c, hardiness = _COLD[own.frost]
        cold = Cold(young_c, out_c, chilling_c, crop.cold.weeks_lost, winter_c=winter_c)
        crop = replace(crop, cold=cold, hardiness=hardiness)
    if own.out is not None:
        crop = replace(crop, planting=replace(crop.planting, out=_months(own.out, own.out)))
    if own.harvest is not None:
        days = _ANY_DAYS if like is None else crop.harvest.days
        crop = replace(crop, harvest=replace(crop.harvest, window=_months(*own.harvest), days=days))
    if own.apart_cm is not None:
        crop = replace(crop, planting=replace(crop.planting, in_row_cm=own.apart_cm, rows_cm=own.apart_cm))
    return crop


#: What people are asked of, as keys of a rule: all of it is the garden's own word.
_SAID = ("cold.tender_c", "cold.hardened_c", "planting.out", "harvest.window", "planting.in_row_cm")


def _unknown() -> Crop:
    young_c, out_c, winter_c, chilling_c, hardiness = _COLD[Frost.KILLS]
    return Crop(
        key="",
        name="",
        aliases=(),
        kind=Kind.FLOWER,
        family="",
        hardiness=hardiness,
        life=Life.ANNUAL,
        rotation_years=0,
        cold=Cold(young_c, out_c, chilling_c, 8, winter_c=winter_c),
        sowing=Sowing(Start.PLANT, None, None, None, 10.0, 2.0),
        planting=PlantingOut(None, 30, 30),
        care=Care((0.6, 1.0, 0.8), 0.4, 0.4),
        harvest=Harvest(_LONG_DAYS, _ALL_YEAR, "", False, 9),
    )


def _months(first: int, last: int) -> DayRange:
    return (first, 1), (last, calendar.monthrange(_PLAIN_YEAR, last)[1])


def to_row(own: OwnCrop) -> dict[str, Any]:
    """What was said, as plain JSON or TOML values; what was not is left out."""
    row: dict[str, Any] = {"name": own.name}
    for key in _KEYS[1:]:
        value = getattr(own, key)
        if value not in (None, ""):
            row[key] = list(value) if isinstance(value, tuple) else str(value) if isinstance(value, Frost) else value
    return row


def from_row(row: Mapping[str, Any], label: str = "") -> OwnCrop:
    """The OwnCrop of such values, whoever wrote them. Raises OwnCropError."""
    for key in row:
        if key not in _KEYS:
            raise OwnCropError(f"{label}: {str(key)[:40]} is not known here; leave it out")
    name = row.get("name")
    if not isinstance(name, str) or not named(name) or not key_for(named(name)).removeprefix(PREFIX):
        raise OwnCropError(f"{label}: name is {str(name)[:40]}; expected a name of at most {NAME_N} letters")
    like = row.get("like", "")
    if not isinstance(like, str):
        raise OwnCropError(f"{label}: like is {str(like)[:40]}; expected the key of a crop, such as tomato")
    eaten = row.get("eaten")
    if eaten is not None and not isinstance(eaten, bool):
        raise OwnCropError(f"{label}: eaten is {str(eaten)[:40]}; expected true or false")
    frost = row.get("frost")
    if frost is not None and frost not in set(Frost):
        raise OwnCropError(f"{label}: frost is {str(frost)[:40]}; expected kills, marks or stands")
    out, harvest = row.get("out"), row.get("harvest")
    if out is not None and not _is_month(out):
        raise OwnCropError(f"{label}: out is {str(out)[:40]}; expected a month from 1 to 12")
    if harvest is not None and not (
        isinstance(harvest, Sequence) and len(harvest) == 2 and all(map(_is_month, harvest))
    ):
        raise OwnCropError(f"{label}: harvest is {str(harvest)[:40]}; expected two months, such as [7, 10]")
    apart = row.get("apart_cm")
    if apart is not None and (type(apart) is not int or not _APART_CM[0] <= apart <= _APART_CM[1]):
        raise OwnCropError(f"{label}: apart_cm is {str(apart)[:40]}; expected {_APART_CM[0]} to {_APART_CM[1]}")
    return OwnCrop(
        named(name),
        like,
        eaten,
        Frost(frost) if frost else None,
        out,
        (harvest[0], harvest[1]) if harvest else None,
        apart,
    )


def _is_month(value: object) -> bool:
    return type(value) is int and 1 <= value <= 12


def to_toml(crops: Mapping[str, OwnCrop]) -> str:
    """The file, a table a crop. Names hold no sign that TOML would have to escape but the quotation marks around them."""
    parts = ["# Crops of a garden's own. Send this file to another garden's Gatepost, and they are there too.\n"]
    for key, own in sorted(crops.items()):
        lines = [f"[{key.removeprefix(PREFIX)}]" if key.isascii() else f'["{key.removeprefix(PREFIX)}"]']
        lines += [f"{name} = {_toml(value)}" for name, value in to_row(own).items()]
        parts.append("\n".join(lines) + "\n")
    return "\n".join(parts)


def _toml(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return str(value) if isinstance(value, int | list) else f'"{value}"'


def from_toml(data: bytes) -> dict[str, OwnCrop]:
    """The crops of such a file by key. Raises OwnCropError."""
    try:
        whole = tomllib.loads(data.decode("utf-8-sig"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as wrong:
        raise OwnCropError(f"it is no TOML file in UTF-8: {str(wrong)[:100]}") from wrong
    if len(whole) > _MOST_N:
        raise OwnCropError(f"it holds {len(whole)} crops; at most {_MOST_N} are taken")
    found = {}
    for label, row in whole.items():
        if not isinstance(row, dict):
            raise OwnCropError(f"{label[:40]}: expected a table, such as [{label[:20]}]")
        own = from_row(row, label[:40])
        found[key_for(own.name)] = own
    return found


Change = float | int | str | bool  # a number, a day "MM-DD", yes or no

_ENDS = {"from": 0, "to": 1}
_PARTS = {"least": 0, "most": 1}


def changeable_keys(crop: Crop) -> tuple[str, ...]:
    """The dotted keys that a garden may change on this crop, sorted.

    Single numbers and yes or no by their key, also those that the rule leaves out of a table that it has; windows that
    the rule has by ".from" and ".to"; pairs by ".least" and ".most". Words and longer lists stay as they are.
    """
    return tuple(sorted(_targets(crop)))


def overridden(crop: Crop, changes: Mapping[str, Change]) -> Crop:
    """The crop with these changes, the source of each changed figure being "garden".

    The source stands at the figure's key as in `Crop.sources`: a change of "planting.out.from" marks "planting.out".
    Raises CropRulesError with every change that cannot be, and every check that the changed rule fails.
    """
    draft = Draft(crop.key, flat(crop), dict(crop.sources))
    targets = _targets(crop)
    for key, value in changes.items():
        if key not in targets:
            draft.unknown(key, targets)
            continue
        _change(draft, key, value, *targets[key])
    check(draft)
    if draft.mistakes:
        raise CropRulesError(draft.mistakes)
    return build(crop.key, draft.values, draft.sources)


def _targets(crop: Crop) -> dict[str, tuple[str, int | None]]:
    """What may be written, to the figure's key and the place within it (None: all of it)."""
    values = flat(crop)
    tables = {key.rpartition(".")[0] for key in values}
    targets: dict[str, tuple[str, int | None]] = {}
    for key, one in FIELDS.items():
        if one.hint in (int, float, bool) and key.rpartition(".")[0] in tables:
            targets[key] = key, None
        elif key in values and one.hint == DayRange:
            targets |= {f"{key}.{end}": (key, index) for end, index in _ENDS.items()}
        elif key in values and key in PAIRS:
            targets |= {f"{key}.{part}": (key, index) for part, index in _PARTS.items()}
    return targets


def _change(draft: Draft, written: str, value: Change, key: str, index: int | None) -> None:
    hint = FIELDS[key].hint
    if isinstance(value, float) and value.is_integer():
        value = int(value)  # 3.0 will do where a whole number is wanted
    try:
        if index is None:
            draft.values[key] = reader(hint)(value)
        else:
            whole = list(draft.values[key])  # type: ignore[call-overload]
            whole[index] = _part(hint, value)
            draft.values[key] = tuple(whole)
    except WrongValueError as error:
        draft.wrong(written, value, str(error))
        return
    draft.sources[key] = GARDEN


def _part(hint: object, value: Change) -> object:
    """One end of a window or of a pair, read as the whole would be."""
    whole = reader(hint)([value, value])
    assert isinstance(whole, tuple)
    return whole[0]
