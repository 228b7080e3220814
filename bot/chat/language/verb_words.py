"""The verbs by which people say what they did, by what each means."""

from __future__ import annotations

from collections.abc import Callable

from bot.chat.language.tokens import Phrase
from bot.services.journal.note import Action

__all__ = ["verbs_of"]

Phrases = tuple[Phrase, ...]


def verbs_of(words: Callable[[str, str], Phrases]) -> dict[Action, Phrases]:
    """words: the phrases of a context of the catalogue, with the English ones."""
    return {
        Action.SOWED: words(
            "verbs of sowing", "sowed|sown|sow|sowing|seeded|sowed seeds|got * sown|scattered|broadcast"
        ),
        Action.POTTED_ON: words(
            "verbs of potting on",
            "potted on|pot on|potting on|potted * on|potted up|potting up|potted * up|repotted|pricked out|pricking out|"
            "pricked * out|into bigger pots",
        ),
        Action.HARDENING: words(
            "verbs of starting to harden off",
            "started hardening off|started hardening|started to harden off|hardening off|hardening|harden off|"
            "began hardening off|begun hardening off|started hardening * off|hardening * off",
        ),
        Action.HARDENED: words("verbs of having hardened off", "hardened off|hardened|finished hardening off"),
        Action.PLANTED_OUT: words(
            "verbs of planting out",
            "planted out|plant out|planting out|planted * out|put out|put * out|set out|transplanted|transplanting|"
            "planted|planting|planted up|got * planted|dibbed in|bedded out",
        ),
        Action.COVERED: words(
            "verbs of covering",
            "covered|covering|covered up|fleeced|netted|put fleece|put the fleece|put a fleece|put double fleece|fleece on|fleece over|"
            "fleece is on|fleece is back on|fleece back on|fleece is over|nets on|net on|net over|netting over|cloches on|"
            "cloches over|cloche over|cloched|wrapped|wrapped up|under fleece|threw fleece|chucked fleece|tucked up|tucked in|"
            "put cloches|put the cloches|put a cloche|put a net|put the net|put netting",
        ),
        Action.UNCOVERED: words(
            "verbs of uncovering",
            "uncovered|uncovering|took the fleece off|took fleece off|took * off|fleece off|removed the fleece|"
            "removed fleece|removed the cloches|removed the net|took off|fleece is off|whipped * off|lifted the fleece|"
            "pulled the fleece off|fleece came off|unfleeced|unwrapped|nets off|net off",
        ),
        Action.BROUGHT_IN: words(
            "verbs of carrying pots into a house",
            "brought in|brought * in|brought inside|brought * inside|brought * into|carried in|carried * in|carried inside|"
            "carried * inside|carried * into|took * in|took * inside|took * into|moved * inside|moved * into|"
            "got * inside|lugged * in|lugged * inside|put * inside|put * in for the night|fetched * in|fetched in|"
            "shifted * inside|bunged * inside",
        ),
        Action.PUT_BACK: words(
            "verbs of putting pots back outside",
            "put * back out|put back out|put * back outside|put back outside|carried * out|carried * outside|"
            "brought * out|moved * outside|took * back out|took * out|back outside|are outside|back out",
        ),
        Action.WATERED: words(
            "verbs of watering",
            "watered|watering|gave water|gave * water|soaked|irrigated|gave * a drink|given a drink|given * a drink|gave * a soak|"
            "gave * a good soak|had a drink|hosed|did the watering|done the watering|watering done|given water|wet down|watered in",
        ),
        Action.FED: words(
            "verbs of feeding",
            "fed|feeding|fertilised|fertilized|gave * feed|gave * manure|gave * compost|given * feed|liquid feed|tomato feed|had a feed|manured",
        ),
        Action.SUPPORTED: words(
            "verbs of tying and supporting",
            "tied in|tied up|tied|tying in|tying up|tying|staked|staking|caned|supported|put canes|put up canes|"
            "put the canes|put up supports|put stakes|canes up|put sticks|pea sticks|strung up|put strings|trellised",
        ),
        Action.EARTHED_UP: words(
            "verbs of earthing up", "earthed up|earthing up|earthed * up|earthed|hilled up|hilled|mounded up"
        ),
        Action.HARVESTED: words(
            "verbs of harvesting",
            "harvested|harvesting|picked|picking|lifted|lifting|dug|dug up|digging up|cut|cutting|pulled|gathered|"
            "gathering|collected|cropped|snipped|brought home|took home",
        ),
        Action.LOST: words(
            "verbs of losing plants",
            "lost|losing|died|have died|has died|dead|dying|are dead|killed off|perished|rotted|rotted off|damped off|has had it|"
            "have had it|had it|got eaten|been eaten|was eaten|were eaten|all eaten|got nibbled|trampled|squashed|snuffed it|conked out|given up the ghost|kicked the bucket|gone to mush|keeled over|"
            "didn't make it|didnt make it|not made it|binned|goners",
        ),
        Action.CLEARED: words(
            "verbs of clearing a bed",
            "cleared|clearing|cleared out|pulled up|pulled out|pulled * up|pulled * out|composted|ripped out|grubbed up",
        ),
        Action.MEASURED: words("verbs of measuring plants", "measured|measuring"),
        Action.MOVED: words(
            "verbs of moving plants", "moved|moving|shifted|relocated|transferred|swapped * to|taken * to|carried * to"
        ),
        Action.OPENED: words(
            "verbs of opening a house",
            "opened|opened up|opened * up|aired|vented|propped open|doors open|vents open|door open|is open|let some air in",
        ),
        Action.SHUT: words(
            "verbs of shutting a house",
            "shut|shut up|closed|closed up|closed * up|locked up|doors shut|door shut|doors closed|zipped up|is shut|is closed",
        ),
        Action.WEEDED: words(
            "verbs of weeding", "weeded|weeding|hoed|hoeing|pulled weeds|cleared the weeds|hand weeded"
        ),
        Action.THINNED: words("verbs of thinning", "thinned|thinning|thinned out|singled"),
        Action.MULCHED: words(
            "verbs of mulching",
            "mulched|mulching|strawed|put straw|put compost|top dressed|composted round|straw under",
        ),
        Action.PRUNED: words(
            "verbs of pinching out and pruning",
            "pinched out|pinching out|pinched * out|pruned|pruning|side shooted|sideshooted|took * side shoots|"
            "took the sideshoots|took * sideshoots|removed * side shoots|deadheaded|nipped out|took the tips|trimmed",
        ),
    }
