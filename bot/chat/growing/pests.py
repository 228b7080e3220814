"""The pests and diseases that a watch job in season prevents: what to look for, what helps, and hygiene.

Common practice, no source. Of what is sprayed nothing is said: the label and the law hold.
"""

from __future__ import annotations

from collections.abc import Callable

from bot.core.growing.crop import Watch
from bot.i18n import Say

__all__ = ["care", "name"]


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
        "Look after dark or after rain and pick them off; clear away what they hide under."
    ),
    Watch.PIGEONS: lambda say: say.gettext("Net them, with the net held clear of the leaves."),
    Watch.CARROT_FLY: lambda say: say.gettext(
        "Keep them under fine mesh with its edges buried. Thin on a still evening and take the thinnings away."
    ),
    Watch.CABBAGE_WHITE: lambda say: say.gettext(
        "Turn the leaves: rub off yellow eggs, pick off caterpillars. Fine netting keeps the butterflies out."
    ),
    Watch.CABBAGE_ROOT_FLY: lambda say: say.gettext(
        "Put a collar round each stem, or fine mesh over all. When one wilts, lift it and look for maggots."
    ),
    Watch.FLEA_BEETLE: lambda say: say.gettext("Small round holes in the leaves: fine mesh, and water in dry spells."),
    Watch.APHIDS: lambda say: say.gettext("Look at the tips and under the leaves; rub or wash them off."),
    Watch.LEEK_MOTH: lambda say: say.gettext(
        "White streaks in the leaves: squash the caterpillars; fine mesh keeps it out."
    ),
    Watch.MICE: lambda say: say.gettext("Lay wire mesh over the row, and leave no seed lying about."),
    Watch.BIRDS: lambda say: say.gettext("Net them tightly, and look every day that nothing is caught in the net."),
    Watch.ASPARAGUS_BEETLE: lambda say: say.gettext("Pick off beetles and grubs; clear the old stems away in autumn."),
    Watch.SAWFLY: lambda say: say.gettext("Look low in the middle of the bush and pick off the green caterpillars."),
    Watch.VINE_WEEVIL: lambda say: say.gettext(
        "Notched leaves: pick the beetles off by torchlight. In pots look for white grubs at the roots."
    ),
}
_DISEASES: dict[Watch, Callable[[Say], str]] = {
    Watch.BLIGHT: lambda say: say.gettext(
        "Brown patches that spread: take them off at once and bin them, don't compost."
    ),
    Watch.WHITE_ROT: lambda say: say.gettext(
        "Yellow leaves, white fluff at the base: lift with the soil round it and bin it, don't compost. Clean boots and "
        "tools. It lives in the soil for many years: no onions, garlic or leeks there again."
    ),
    Watch.CLUB_ROOT: lambda say: say.gettext(
        "Wilting on warm days, swollen roots: lift and bin them, don't compost. Clean boots and tools. It lives in the "
        "soil for many years: lime acid soil, and raise your own plants."
    ),
    Watch.MILDEW: lambda say: say.gettext(
        "A pale bloom on the leaves: take them off, give air, water the soil not the leaves."
    ),
    Watch.RUST: lambda say: say.gettext(
        "Orange spots: take off the worst leaves and bin them; next time plant wider apart."
    ),
}
