"""The pests and diseases that a watch job in season prevents: what to look for, what helps, and hygiene.

Common practice, no source. Of what is sprayed nothing is said: the label and the law hold.
"""

from __future__ import annotations

from collections.abc import Callable

from bot.core.growing.crop import Watch
from bot.i18n import Say


def name(say: Say, what: Watch) -> str:
    return {
        Watch.SLUGS: say.pgettext("pest", "slugs"),
        Watch.PIGEONS: say.pgettext("pest", "pigeons"),
        Watch.CARROT_FLY: say.pgettext("pest", "carrot fly"),
        Watch.CABBAGE_WHITE: say.pgettext("pest", "cabbage white caterpillars"),
        Watch.CABBAGE_ROOT_FLY: say.pgettext("pest", "cabbage root fly"),
        Watch.FLEA_BEETLE: say.pgettext("pest", "flea beetles"),
        Watch.APHIDS: say.pgettext("pest", "aphids"),
        Watch.BLIGHT: say.pgettext("pest", "blight"),
        Watch.WHITE_ROT: say.pgettext("pest", "onion white rot"),
        Watch.CLUB_ROOT: say.pgettext("pest", "club root"),
        Watch.LEEK_MOTH: say.pgettext("pest", "leek moth"),
        Watch.MICE: say.pgettext("pest", "mice"),
        Watch.BIRDS: say.pgettext("pest", "birds"),
        Watch.MILDEW: say.pgettext("pest", "mildew"),
        Watch.ASPARAGUS_BEETLE: say.pgettext("pest", "asparagus beetle"),
        Watch.SAWFLY: say.pgettext("pest", "gooseberry sawfly"),
        Watch.RUST: say.pgettext("pest", "rust"),
        Watch.VINE_WEEVIL: say.pgettext("pest", "vine weevil"),
    }[what]


def care(say: Say, what: Watch) -> str:
    """What to look for and what to do, in a line or two."""
    return _ABOVE_GROUND[what](say) if what in _ABOVE_GROUND else _DISEASES[what](say)


_ABOVE_GROUND: dict[Watch, Callable[[Say], str]] = {
    Watch.SLUGS: lambda say: say.gettext(
        "Look at night or after rain and pick them off. Clear away what they hide under."
    ),
    Watch.PIGEONS: lambda say: say.gettext("Put a net over them. The net must not touch the leaves."),
    Watch.CARROT_FLY: lambda say: say.gettext(
        "Cover them with fine mesh and bury its edges. Thin them on an evening without wind. Take away the plants "
        "that you pull out."
    ),
    Watch.CABBAGE_WHITE: lambda say: say.gettext(
        "Look under the leaves. Rub off yellow eggs and pick off caterpillars. A fine net keeps the butterflies out."
    ),
    Watch.CABBAGE_ROOT_FLY: lambda say: say.gettext(
        "Put a collar round each stem, or fine mesh over all. If a plant wilts, dig it up and look for maggots."
    ),
    Watch.FLEA_BEETLE: lambda say: say.gettext(
        "Small round holes in the leaves: cover with fine mesh. Water when it is dry."
    ),
    Watch.APHIDS: lambda say: say.gettext("Look at the tips and under the leaves. Rub or wash them off."),
    Watch.LEEK_MOTH: lambda say: say.gettext(
        "White lines in the leaves: squash the caterpillars. Fine mesh keeps the moths out."
    ),
    Watch.MICE: lambda say: say.gettext("Lay wire mesh over the row. Do not leave seeds lying on the ground."),
    Watch.BIRDS: lambda say: say.gettext("Put a tight net over them. Check every day that no animal is caught in it."),
    Watch.ASPARAGUS_BEETLE: lambda say: say.gettext("Pick off beetles and grubs. Clear away the old stems in autumn."),
    Watch.SAWFLY: lambda say: say.gettext("Look in the middle of the bush, low down. Pick off the green caterpillars."),
    Watch.VINE_WEEVIL: lambda say: say.gettext(
        "Bites at the edges of the leaves: pick the beetles off at night with a torch. In pots look for white "
        "grubs at the roots."
    ),
}
_DISEASES: dict[Watch, Callable[[Say], str]] = {
    Watch.BLIGHT: lambda say: say.gettext(
        "Brown patches that grow: take these leaves off at once. Put them in the bin, not in the compost."
    ),
    Watch.WHITE_ROT: lambda say: say.gettext(
        "Yellow leaves, white fluff at the base: dig the plant up with the soil round it. Put it in the bin, not "
        "in the compost. Clean boots and tools. The disease stays in the soil for many years. Grow no onions, "
        "garlic or leeks there again."
    ),
    Watch.CLUB_ROOT: lambda say: say.gettext(
        "The plant wilts on warm days and has thick roots: dig it up. Put it in the bin, not in the compost. Clean "
        "boots and tools. The disease stays in the soil for many years. Add lime to acid soil, and grow your own "
        "young plants."
    ),
    Watch.MILDEW: lambda say: say.gettext(
        "White powder on the leaves: take these leaves off and give the plant air. Water the soil, not the leaves."
    ),
    Watch.RUST: lambda say: say.gettext(
        "Orange spots: take off the worst leaves and put them in the bin. Next time leave more space between plants."
    ),
}
