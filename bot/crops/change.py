"""A garden's own changes to a crop rule, under the same checks as the rule itself."""

from __future__ import annotations

from collections.abc import Mapping

from bot.core.growing.crop import Crop, DayRange
from bot.crops.checks import check
from bot.crops.fields import FIELDS, PAIRS, build, flat
from bot.crops.mistakes import CropRulesError
from bot.crops.reading import GARDEN, Draft
from bot.crops.values import WrongValueError, reader

__all__ = ["Change", "changeable_keys", "overridden"]

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
