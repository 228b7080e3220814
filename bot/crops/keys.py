"""The keys that a crop rule may use for a sign of ripeness, a caution and a habit; chat words every one of them."""

from __future__ import annotations

__all__ = ["HABITS", "READY", "SAFETY"]

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
