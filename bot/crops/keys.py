"""Keys that a crop rule may use: a sign of ripeness, a caution, a habit, what to do before frost. Chat words them all."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["BEFORE_FROST", "GENERAL", "HABITS", "READY", "SAFETY"]

BEFORE_FROST = frozenset({"cut-and-cure", "lift-potatoes", "lift-roots", "pick-all", "ripen-indoors"})

HABITS = frozenset({"earlies-eat-soon", "one-makes-six", "potatoes-apart"})

READY = frozenset(
    {
        "berries-blue-all-round",
        "berries-give",
        "berry-slips-off",
        "buds-scales-tight",
        "bulb-fist-size",
        "curd-tight",
        "fruit-even-green",
        "fruit-glossy",
        "fruit-hand-long",
        "full-colour",
        "haulm-down",
        "head-firm",
        "heads-before-flowers",
        "leaves-after-frost",
        "leaves-picking-size",
        "leaves-yellow",
        "melon-slips",
        "pods-filled",
        "pods-flat",
        "pods-snap",
        "potato-flowers",
        "roots-size",
        "shoots-before-flowers",
        "silks-brown",
        "skin-thumbnail",
        "spears-hand-high",
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
    "asparagus-berries": ("practice",),
    "bean-canes-eyes": ("practice",),
    "bitter-cucurbit": ("anses-squash2019", "aid-cucurbitacin"),
    "chilli-skin": ("practice",),
    "favism": ("anses-favism",),
    "green-potato": ("bfr-solanine", "tokyo-plants"),
    "raw-bean": ("fsai-legumes2024", "ruokavirasto-beans"),
    "rhubarb-frosted": ("illinois-rhubarb",),
    "rhubarb-leaf": ("ndsu-rhubarb",),
    "skin-sap": ("berkley1986", "bures2020"),
    "thorns-eyes": ("practice",),
    "tomato-potato-foliage": ("tokyo-plants", "practice"),  # of the potato; the tomato's from memory
}
#: Cautions of no one crop: compost, hoses, heat in a closed house, plants that share a name with a crop.
GENERAL: Mapping[str, tuple[str, ...]] = {
    "compost": ("phs-compost2024", "rhs-compost2010"),
    "hose": ("rhs-compost2010", "nas-hoses"),
    "heat": ("cdc-co", "ncdhhs-co2017", "niceic2025"),
    "namesakes": ("bfr-garlic2023", "anses-crocus2023", "nsw-dpi", "tokyo-plants", "psse-choszczno2023"),
}
