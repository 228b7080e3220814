"""Keys that a crop rule may use: a sign of ripeness, a caution, a habit, what to do before frost. Chat words them all."""

from __future__ import annotations

__all__ = ["BEFORE_FROST", "HABITS", "READY", "SAFETY"]

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

SAFETY = frozenset(
    {
        "asparagus-berries",
        "bean-canes-eyes",
        "chilli-skin",
        "courgette-bitter",
        "green-potato",
        "parsnip-sap",
        "raw-bean",
        "rhubarb-frosted",
        "rhubarb-leaf",
        "thorns-eyes",
        "tomato-potato-foliage",
    }
)
