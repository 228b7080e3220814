"""The pests and diseases that a watch job in season prevents."""

from __future__ import annotations

from bot.core.crop import Watch
from bot.i18n import Say

__all__ = ["name"]


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
