"""What must hold within one crop rule once its values are read: limits, order, what belongs together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from bot.core.growing.crop import Start
from bot.crops.fields import LIMITS, PAIRS
from bot.crops.keys import BEFORE_FROST, HABITS, READY, SAFETY
from bot.crops.mistakes import suggestion
from bot.crops.reading import Draft
from bot.crops.values import numbers_in

__all__ = ["check"]

# The first is not above the second.
_ASCENDING = (
    ("cold.hardened_c", "cold.tender_c"),
    ("cold.tender_c", "cold.chilling_c"),
    ("cold.flowering_c", "cold.chilling_c"),
    ("cold.winter_c", "cold.hardened_c"),
    ("cold.ready_c", "cold.tender_c"),
    ("cold.swell_c", "cold.bud_c"),
    ("cold.bud_c", "cold.opening_c"),
    ("cold.opening_c", "cold.flowering_c"),
    ("raising.pot_on_height_cm", "raising.leggy_height_cm"),
)
# The first needs the second.
_TOGETHER = (
    ("bolting.chill_c", "bolting.chill_days"),
    ("bolting.chill_days", "bolting.chill_c"),
    ("bolting.juvenile_weeks", "bolting.chill_c"),
    ("planting.clump", "planting.clump_cm"),
    ("planting.clump_cm", "planting.clump"),
    ("care.feed_from", "care.feed_weeks"),
    ("cold.opening_c", "cold.bud_c"),
    ("cold.swell_c", "cold.bud_c"),
    ("cold.bud_c", "harvest.flowering"),
    ("cold.shoots", "cold.shoots_c"),
    ("cold.shoots_c", "cold.shoots"),
    ("cold.ninety_c", "cold.flowering_c"),
    ("cold.set_c", "harvest.flowering"),
    ("harvest.base_c", "harvest.degree_days"),
    ("harvest.degree_days", "harvest.base_c"),
    ("harvest.autumn_days", "sowing.autumn"),
    ("sowing.autumn", "harvest.autumn_days"),
    ("raising.ready_weeks", "planting.out"),
    ("sowing.under_cover", "planting.out"),
)
_WINDOWS = ("sowing.indoors", "sowing.under_cover", "sowing.outdoors", "planting.out")


def check(draft: Draft) -> None:
    """Add to the draft every mistake in what was read; what is missing has been noted by the reading."""
    _limits(draft)
    _order(draft)
    _together(draft)
    _keys(draft)


def _limits(draft: Draft) -> None:
    for key, (low, high) in LIMITS.items():
        numbers = numbers_in(draft.values.get(key))
        if numbers and (min(numbers) < low or max(numbers) > high):
            draft.wrong(key, _shown(draft.values[key]), f"{low:g} to {high:g}")


def _order(draft: Draft) -> None:
    values: Mapping[str, Any] = draft.values
    for low, high in _ASCENDING:
        if low in values and high in values and values[low] > values[high]:
            draft.wrong(low, f"{values[low]:g}", f"at most {high}, which is {values[high]:g}")
    for key in sorted(PAIRS & values.keys()):
        if values[key][0] > values[key][1]:
            draft.wrong(key, _shown(values[key]), "the lower first")
    emergence = values.get("sowing.emergence", ())
    if any(a[0] >= b[0] or a[1] < b[1] for a, b in pairwise(emergence)):
        draft.wrong("sowing.emergence", _shown(emergence), "degrees ascending, with days that do not rise")


def _together(draft: Draft) -> None:
    for key, needs in _TOGETHER:
        if key in draft.values and needs not in draft.values:
            draft.wrong(needs, None, f"a value, since {key} is there")
    if not any(window in draft.values for window in _WINDOWS):
        draft.wrong("planting.out", None, "a window for sowing or planting out")
    if draft.values.get("sowing.start") is Start.SEED and "sowing.indoors" in draft.values:
        for needs in ("planting.out", "raising.ready_weeks"):
            if needs not in draft.values:
                draft.wrong(needs, None, "a value, since it is sown indoors")


def _keys(draft: Draft) -> None:
    values: Mapping[str, Any] = draft.values
    for word in sorted(set(values.get("safety", ())) - SAFETY.keys()):
        draft.wrong("safety", word, suggestion(word, SAFETY))
    for word in sorted(set(values.get("habits", ())) - HABITS):
        draft.wrong("habits", word, suggestion(word, HABITS))
    if "harvest.ready" in values and values["harvest.ready"] not in READY:
        draft.wrong("harvest.ready", values["harvest.ready"], suggestion(values["harvest.ready"], READY))
    before_frost = values.get("harvest.before_frost")
    if before_frost is not None and before_frost not in BEFORE_FROST:
        draft.wrong("harvest.before_frost", before_frost, suggestion(before_frost, BEFORE_FROST))
    for what, times in Counter(watch.what for watch in values.get("watch", ())).items():
        if times > 1:
            draft.wrong("watch.what", f"{what.value}, {times} times", "one [[watch]] a pest")


def _shown(value: object) -> object:
    """Values as they are written in the file."""
    if isinstance(value, tuple):
        return [_shown(part) for part in value]
    return f"{value:g}" if isinstance(value, float) else value
