"""Keys that a crop rule may use: a sign of ripeness, a caution, a habit, what to do before frost. Chat words them all."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["BEFORE_FROST", "GENERAL", "HABITS", "READY", "SAFETY"]

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
