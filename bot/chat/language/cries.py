"""Whether somebody says that they are safely home, or cries for help. In doubt it is a cry.

Whether somebody speaks of a flame, a heater or an engine in a closed house: that is answered whatever else is said.
"""

from __future__ import annotations

import re
from functools import lru_cache

from bot.chat.language.phrases import pattern, says, stands_in, voices
from bot.chat.language.tokens import is_question
from bot.crops.find import fold
from bot.i18n import Say

#: Signs that mean yes by themselves, in any language.
_THUMBS = frozenset("👍👌✅🏠🏡🙂😀😊")
#: After "help!" anything more is a cry: "help! I fell".
_CALL = r"(?:{words})\s*!+\s*\w"


def is_home(say: Say, text: str, *, asked: bool) -> bool:
    """Whether the whole message says so. asked: they answer the question, so that a plain yes is enough."""
    words = fold(text)
    if not words:
        return asked and bool(_THUMBS & set(text))
    return any(_only(words, _yes(one, asked=asked), _with_it(one)) for one in voices(say))


def says_no(say: Say, text: str) -> bool:
    """A no to "Are you safely home?", which elsewhere means something else."""
    return any(_only(fold(text), _no(one), _with_it(one)) for one in voices(say))


def cries(say: Say, text: str) -> bool:
    """Whether it is plainly a cry for help, though nothing was asked."""
    words = fold(text)
    return any(
        _only(words, _alone(one), _with_it(one)) or stands_in(words, _within(one)) or _calls(one, text)
        for one in voices(say)
    )


def is_bare(say: Say, text: str) -> bool:
    """Whether it asks for help and says nothing else, as people also do among themselves."""
    return any(_only(fold(text), _asking(one), _with_it(one)) for one in voices(say))


def sounds_like_a_cry(say: Say, text: str, *, whole: bool = False) -> bool:
    """Whether any of it sounds like a cry, of somebody who was asked whether they are safely home.

    whole: all of it must, since they have said that they are, and speak of the garden again.
    """
    words = fold(text)
    if whole:
        return any(_only(words, _sounds(one), _with_it(one)) for one in voices(say))
    return cries(say, text) or says(say, words, _sounds)


def _only(words: str, phrases: str, more: str) -> bool:
    """Whether it is one of the phrases and nothing else but small words that go with it."""
    return _whole(phrases, more).fullmatch(words) is not None


@lru_cache(256)
def _whole(phrases: str, more: str) -> re.Pattern[str]:
    small, known = pattern(more), pattern(phrases)
    return re.compile(rf"(?:(?:{small}) )*(?:{known})(?: (?:{small}|{known}))*")


def _calls(say: Say, text: str) -> bool:
    words = say.pgettext("words that call for help before an exclamation mark", "help|help me")
    return re.match(_CALL.format(words=words), text.strip(), re.IGNORECASE) is not None


def _yes(say: Say, *, asked: bool) -> str:
    named = say.pgettext(
        "words that say safely home",
        "home|i'm home|im home|i am home|we're home|we are home|home safe|safely home|safe home|home safely|home now|"
        "got home|i'm safe|im safe|i am safe|we are safe|safe|safe and sound|back home|i'm safely home|i am safely home|"
        "at home|i'm back home|home and dry|i'm fine|im fine|i am fine|all fine|i'm ok|im ok|i am ok|i'm okay|"
        "i am okay|all good|all well|all is well",
    )
    plain = say.pgettext(
        "words that say yes to: are you safely home?", "yes|yes i am|yes we are|yep|yeah|yup|ok|okay|fine|sure|y"
    )
    return f"{named}|{plain}" if asked else named


def _with_it(say: Say) -> str:
    return say.pgettext(
        "small words beside a yes, a no or a cry",
        "thanks|thank you|thank you for asking|now|all|everybody|everyone|please|sorry|hi|hello|oh|quick|quickly|and|but",
    )


def _no(say: Say) -> str:
    return say.pgettext(
        "words that say no to: are you safely home?",
        "no|nope|not yet|not home|i'm not|im not|i am not|no i'm not|i can't|i cannot|not home yet|on my way|still here|"
        "still out|not me",
    )


def _asking(say: Say) -> str:
    return say.pgettext(
        "whole messages that ask for help, of people among themselves",
        "help me|please help|please help me|i need help|i need some help|we need help|need help|help needed",
    )


def _alone(say: Say) -> str:
    return say.pgettext(
        "whole messages that cry for help",
        "help me|please help|please help me|i need help|i need some help|we need help|need help|help needed|help help|"
        "i fell|i'm stuck|i am stuck|i'm lost|i am lost|i'm hurt|im hurt|i am hurt|i'm injured|accident|emergency|ambulance",
    )


def _within(say: Say) -> str:
    return say.pgettext(
        "phrases that cry for help within any message",
        "sos|i fell down|i fell off|i fell over|i have fallen|i've fallen|ive fallen|i had a fall|i hurt my|i've hurt|"
        "i have hurt|i am hurt|i'm hurt|i am injured|i'm injured|i broke my|i've broken my|i can't move|i cannot move|cant move|"
        "i can't get up|i cannot get up|cant get up|i can't breathe|i am bleeding|i'm bleeding|i am trapped|i'm trapped|"
        "i'm locked in|i am in danger|i'm in danger|call an ambulance|need an ambulance|send an ambulance|"
        "somebody is hurt|someone is hurt|somebody fell|someone fell|had an accident|i need help now|i need help quickly|"
        "i feel faint",
    )


def _sounds(say: Say) -> str:
    return say.pgettext(
        "words that sound like a cry after: are you safely home?",
        "help|hurt|injured|fell|fall|fallen|stuck|lost|ambulance|doctor|hospital|police|fire|can't move|cannot move|"
        "can't get up|get up|bleeding|blood|trapped|locked in|emergency|danger|accident|pain|broken|broke|sprained|twisted|"
        "ankle|dizzy|faint|chest|breathe|attacked|followed|scared|cold and wet|a hand",
    )


def fire(text: str, say: Say, *, to_us: bool) -> bool:
    """Whether the text is about fire in a tunnel or the like. to_us: spoken to the bot, not among neighbours; then a
    question about a heater, or a word about the cold, is enough.
    """
    words = fold(text)
    if not says(say, words, _burning):
        return False
    if says(say, words, _houses):
        return True
    return to_us and (is_question(text) or says(say, words, _cold))


def _burning(voice: Say) -> str:
    return voice.pgettext(
        "words for what burns or heats",
        "heater|heaters|heating|paraffin|kerosene|propane|butane|calor|gas bottle|gas bottles|gas stove|gas burner|gas lamp|"
        "gas fire|camping stove|camp stove|stove|stoves|log burner|wood burner|burner|charcoal|coal|coals|barbecue|barbecues|"
        "barbeque|bbq|bbqs|brazier|fire pit|firepit|bonfire|candle|candles|tea light|tea lights|tealight|tealights|lantern|"
        "lanterns|oil lamp|oil lamps|generator|generators|petrol engine|blow torch|blowtorch|grill",
    )


def _houses(voice: Say) -> str:
    return voice.pgettext(
        "words for closed houses of a garden",
        "tunnel|tunnels|polytunnel|polytunnels|greenhouse|greenhouses|glasshouse|glasshouses|conservatory|cold frame|"
        "cold frames|frame|frames|shed|sheds|summerhouse|cabin|garage|inside|indoors|under glass|under cover|dome",
    )


def _cold(voice: Say) -> str:
    return voice.pgettext(
        "words about cold and warmth",
        "cold|frost|freeze|freezing|frosty|warm|warmer|heat|tonight|overnight|minus",
    )
