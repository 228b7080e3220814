"""Keys that a crop rule may use: a sign of ripeness, a caution, a habit, what to do before frost. Chat words them all.

What must hold within one crop rule once its values are read: limits, order, what belongs together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from itertools import pairwise
from typing import Any

from bot.core.growing.crop import Start
from bot.crops.mistakes import suggestion
from bot.crops.reading import LIMITS, PAIRS, Draft, numbers_in

BEFORE_FROST = frozenset(
    {"cut-and-cure", "cut-flowers", "lift-cure-warm", "lift-potatoes", "lift-roots", "pick-all", "ripen-indoors"}
)

HABITS = frozenset(
    {
        "dahlias-lifted",
        "earlies-eat-soon",
        "lemongrass-in",
        "oca-waits",
        "one-makes-six",
        "potatoes-apart",
        "roots-from-stem",
        "slips-warm",
        "sown-too-early",
        "squash-kinds",
    }
)

READY = frozenset(
    {
        "berries-blue-all-round",
        "berries-give",
        "berry-slips-off",
        "buds-coloured",
        "buds-scales-tight",
        "bulb-fist-size",
        "curd-tight",
        "cut-before-flower",
        "cut-for-feed",
        "figs-hang",
        "flowers-lowest-open",
        "flowers-open",
        "fruit-even-green",
        "fruit-gives",
        "fruit-green-bumpy",
        "fruit-glossy",
        "fruit-hand-long",
        "fruit-parts",
        "full-colour",
        "grapes-sweet",
        "haulm-down",
        "head-firm",
        "husk-splits",
        "heads-before-flowers",
        "leaves-after-frost",
        "leaves-picking-size",
        "leaves-yellow",
        "melon-slips",
        "nuts-drop",
        "pods-filled",
        "pods-finger-long",
        "pods-flat",
        "pods-snap",
        "potato-flowers",
        "roots-size",
        "shoots-before-flowers",
        "silks-brown",
        "skin-thumbnail",
        "spears-hand-high",
        "sprigs-soft",
        "sprouts-firm",
        "stalks-open-leaf",
        "stems-pencil",
        "stems-thick",
        "tops-died-back",
        "tops-fallen",
    }
)

#: Cautions of a crop, each with its sources; "practice" is common practice, no source.
SAFETY: Mapping[str, tuple[str, ...]] = {
    "asparagus-berries": ("ncsu-asparagus",),
    "bean-canes-eyes": ("rhs-eye-guards",),
    "bitter-cucurbit": ("anses-squash2019", "aid-cucurbitacin"),
    "chilli-skin": ("unmc-peppers", "nmpoison-chile"),
    "comfrey-liver": ("fda-comfrey", "abbott1988"),
    "favism": ("anses-favism",),
    "fig-sap": ("redgrave2021", "derraik2007"),
    "green-potato": ("bfr-solanine", "tokyo-plants"),
    "not-food": ("practice",),
    "poison-bulb": ("npic-bulbs2015", "phe-daffodils2015"),
    "raw-bean": ("fsai-legumes2024", "ruokavirasto-beans"),
    "rhubarb-frosted": ("illinois-rhubarb",),
    "rhubarb-leaf": ("ndsu-rhubarb",),
    "skin-sap": ("berkley1986", "bures2020"),
    "stone-kernels": ("efsa-kernels2016", "fsai-kernels2016"),
    "sweet-pea-poison": ("marin-sweetpea",),
    "thorns-eyes": ("practice",),
    "tomato-potato-foliage": ("tokyo-plants", "ncsu-tomato"),  # of the potato; of the tomato, in large quantities
    "tree-ladder": ("osha-orchard", "practice"),  # wind; the rest is practice
}
#: Cautions of no one crop: compost, hoses, heat in a closed house, plants that share a name with a crop.
GENERAL: Mapping[str, tuple[str, ...]] = {
    "compost": ("phs-compost2024", "rhs-compost2010"),
    "hose": ("rhs-compost2010", "nas-hoses"),
    "heat": ("cdc-co", "ncdhhs-co2017", "niceic2025"),
    "namesakes": ("bfr-garlic2023", "anses-crocus2023", "nsw-dpi", "tokyo-plants", "psse-choszczno2023"),
}


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
