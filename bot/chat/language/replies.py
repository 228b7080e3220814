"""What somebody answers who was asked for a turn, in whatever words: yes, no, done, later, or partly.

Told by cues, not by whole messages: "no way, I'm in Spain till Friday" is a no, "ok will be there for nine" a yes. A no
counts before a yes ("I would but my back's gone"), doubt before both.
"""

from __future__ import annotations

from enum import StrEnum
from functools import cache
from itertools import pairwise

from bot.chat.language.phrases import Cues
from bot.chat.language.vocabulary import vocabulary
from bot.crops.find import fold
from bot.i18n import Say, say

__all__ = ["Reply", "closing", "is_of_others", "is_only", "opens", "questions", "reply", "without_small"]

#: Signs that answer by themselves.
_YES, _NO, _DONE = frozenset("👍👌🙏🙋💪🤝🆗"), frozenset("👎🙅❌🚫"), frozenset("✅✔☑")
#: A cue within so many words of the beginning answers even where the rest is a question.
_OPENING_N = 2
_READ_N = 600
#: What a word of negation makes of what follows it within so many words; a plain no stands right before it.
_TURNED = {"yes": "cannot", "will": "cannot", "done": "undone"}
_NOT_N = {"not": 3, "no": 1, "later": 1}
_QUESTION = ("?", "؟", "？")


class Reply(StrEnum):
    """UNSURE: an answer, but not which; PART: some of it is done; HANDS: one more person is wanted for it."""

    YES = "yes"
    NO = "no"
    DONE = "done"
    PART = "part"
    LATER = "later"
    UNSURE = "unsure"
    HANDS = "hands"


def reply(voice: Say, text: str) -> Reply | None:
    """What a message answers to "can you do it?" or "is it done?"; None where it answers neither."""
    words = fold(text[:_READ_N])
    if not words:
        signs = set(text)
        return Reply.DONE if signs & _DONE else Reply.NO if signs & _NO else Reply.YES if signs & _YES else None
    found = _cues(voice.language).within(words)
    if any(mark in text for mark in _QUESTION) and not opens(voice, text):
        return None
    if words.split()[0] in questions(voice.language) and not opens(voice, text):
        return None
    meanings = _turned(_as_last(found, words, voice.language), words)
    if set(meanings) == {"no"} and _is_rather_not(voice.language, text):
        return Reply.UNSURE
    return _weighed(meanings, bool(set(text) & _DONE))


def _is_rather_not(language: str, text: str) -> bool:
    """Whether the no may be a "not" of what follows it without a sign between, where one word is both: "nie widzę problemu"
    (I see no problem).
    """
    denying = {phrase[0] for phrase in vocabulary(language).denying if len(phrase) == 1} & _plain_noes(language)
    said = text.split()
    return any(
        one[-1:].isalnum() and fold(one) in denying and fold(after) not in _small(language) | denying
        for one, after in pairwise(said)
    )


@cache
def _plain_noes(language: str) -> frozenset[str]:
    return frozenset(map(fold, _listed(say(language, "UTC"))["no"].split("|")))


def _as_last(found: list[tuple[str, int, int]], words: str, language: str) -> list[tuple[str, int, int]]:
    """ "I'm in" is a yes as the last words, and none in "I'm in Leeds"."""
    kept = []
    for meaning, start, end in found:
        if meaning != "last":
            kept.append((meaning, start, end))
        elif not set(words[end:].split()) - _small(language) or any(one[1] == end + 1 for one in found):
            kept.append(("yes", start, end))
    return kept


def questions(language: str) -> frozenset[str]:
    """First words of a question, in the language and in English."""
    return _opening(language) | (_opening("en") - _no_english(language))


@cache
def closing(language: str) -> frozenset[str]:
    """Last words of a question, "sow kale when"."""
    return frozenset(
        fold(word)
        for each in dict.fromkeys((language, "en"))
        for word in say(each, "UTC")
        .pgettext("last words of a question to the bot", "when|where|how|why|who|what|or not")
        .split("|")
    )


@cache
def _no_english(language: str) -> frozenset[str]:
    """English words that are others in the language: "do" is "to" in Polish."""
    listed = say(language, "UTC").pgettext("words of your language that look like English question words", "-")
    return frozenset(fold(word) for word in listed.split("|"))


@cache
def _opening(language: str) -> frozenset[str]:
    listed = say(language, "UTC").pgettext(
        "first words of a question to the bot",
        "are|is|isn't|aren't|do|does|can|could|should|shall|shud|will|would|when|whens|when's|why|what|whats|"
        "what's|wot|wots|which|how|hows|how's|who|whos|who's|whose|where|wheres|where's|any|anyone|anybody|anything|may|must|am",
    )
    return frozenset(fold(word) for word in listed.split("|"))


def _turned(found: list[tuple[str, int, int]], words: str) -> list[str]:
    """The meanings, each yes and done that a "not" stands before turned round."""
    turned: list[str] = []
    before: tuple[str, int] | None = None  # the negation, and where it ends
    for meaning, start, end in found:
        near = before is not None and words.count(" ", before[1], start) <= _NOT_N[before[0]]
        if before is not None and near and meaning in _TURNED and (before[0] != "later" or meaning == "done"):
            turned = turned[:-1] if before[0] != "not" else turned
            turned.append(_TURNED[meaning])
        elif meaning != "not":
            turned.append(meaning)
        before = (meaning, end) if meaning in _NOT_N else None
    return turned


def opens(voice: Say, text: str) -> bool:
    """Whether the message begins with an answer, whatever follows."""
    words = fold(text)
    opening_n = len(" ".join(words.split()[:_OPENING_N]))
    said = {"yes", "no", "cannot", "excuse", "done", "later", "hands"}
    return any(meaning in said and start < opening_n for meaning, start, _ in _cues(voice.language).within(words))


def _weighed(found: list[str], ticked: bool) -> Reply | None:
    has, first = set(found), next((one for one in found if one in ("yes", "no", "cannot")), None)
    done = "done" in has or ticked
    if "hands" in has:
        return Reply.HANDS
    if "undone" in has:
        return Reply.PART if done else Reply.LATER
    if "will" in has and "done" in has and found.index("will") < found.index("done"):
        done = ticked  # "I'll get it covered"
    if has & {"no", "cannot"}:
        if first == "yes":
            return Reply.UNSURE
        return Reply.PART if done else Reply.NO
    if "excuse" in has and not done:
        return (
            (Reply.YES if first == "yes" and found[0] == "yes" else Reply.UNSURE) if has & {"yes", "will"} else Reply.NO
        )
    if "part" in has:
        return Reply.PART if done or not has & {"yes", "will"} else Reply.UNSURE
    if done:
        return Reply.DONE
    if "later" in has and ("yes" not in has or found.index("later") < found.index("yes")):
        return Reply.LATER
    if has & {"yes", "will"}:
        return Reply.UNSURE if _is_conditional(found) else Reply.YES
    return None


def _is_conditional(found: list[str]) -> bool:
    """ "Yes, if nobody else can"; not "yes, I may be late if the bus is"."""
    return any(one == "if" and before in ("yes", "will", "if") for before, one in pairwise(["yes", *found]))


def is_of_others(voice: Say, text: str, people: frozenset[str]) -> bool:
    """Whether somebody else is named for it, and not with whoever writes: "Leila will do it". people: folded names."""
    said = set(fold(text).split())
    first = {
        word
        for each in dict.fromkeys((voice.language, "en"))
        for word in say(each, "UTC")
        .pgettext(
            "words by which somebody speaks of themselves",
            "i|ill|i'll|im|i'm|ive|i've|id|me|my|we|well|we'll|us|both|together|myself",
        )
        .split("|")
    }
    return bool(said & people) and not said & {fold(word) for word in first}


def is_only(voice: Say, text: str) -> bool:
    """Whether nothing but the answer and small words stands there."""
    words = fold(text)
    rest = list(words)
    for _, start, end in _cues(voice.language).within(words):
        rest[start:end] = " " * (end - start)
    return not set("".join(rest).split()) - _small(voice.language)


def without_small(voice: Say, text: str) -> str:
    """What is left of an answer without the small words that go with any."""
    return " ".join(word for word in fold(text).split() if word not in _small(voice.language))


@cache
def _small(language: str) -> frozenset[str]:
    """Words that go with any answer."""
    heard = frozenset[str]()
    for each in dict.fromkeys((language, "en")):
        listed = say(each, "UTC").pgettext(
            "small words beside a yes, a no or a done",
            "please|thanks|thank|you|ta|cheers|sorry|mate|hi|hello|oh|ah|well|then|now|so|and|but|it|that|this|for|me|i|im|we|"
            "the|a|to|of|at|in|just|really|very|x|xx|xxx|lol|here|there|too|is|its|be|today|tonight|again|right|good|great|only|one|ones|think|guess|maybe|actually",
        )
        heard |= {fold(word) for word in listed.split("|")}
    return heard


@cache
def _cues(language: str) -> Cues:
    own = _listed(say(language, "UTC"))
    english = _listed(say("en", "UTC"))
    return Cues.of({**own, **{name: f"{own[name]}|{english[name]}" for name in own}} if language != "en" else own)


def _listed(voice: Say) -> dict[str, str]:
    """Phrases by what they mean; longer ones win, so that "no problem" is no "no"."""
    return {
        "nothing": voice.pgettext(
            "words that look like an answer and are none",
            "it will|it'll|itll|that will|that'll|thatll|they will|they'll|theyll|she will|he will|there will|will it|will there|will be fine|"
            "no doubt|no matter|no wonder|no rush|no hurry|no offence|yes and no|no news|no sign|no one|no more",
        ),
        "cannot": voice.pgettext(
            "cues that somebody can't",
            "not up to it|nowhere near|not till|not until|won't manage|wont manage|have to say no|decline|"
            "sit this one out|give it a miss|can't|cannot|can not|can t|won't|wont|not able|unable|not me|no chance|"
            "no way|no can do|not today|not tonight|not tonite|not this time|not this week|not this evening|not in|"
            "not available|not possible|not going to make|not gonna make|don't think i can|dont think i can|"
            "don't think so|doubt i|doubt it|i'd rather not|rather not|would but|would love to but|would if i could|"
            "love to but|like to but|wish i could|afraid not|ask someone|ask somebody|ask another|someone else|"
            "somebody else|anyone else|find someone|find somebody|try someone|get someone|to pass|pass|i'll pass|"
            "ill pass|count me out|leave me out|opt out|drop out|pull out|back out|bail|no longer|after all|no go|"
            "carnt|cnt|wrong day|no good for me|no use|impossible|someone will|somebody will|hopefully someone|"
            "hope someone|maybe someone",
        ),
        "excuse": voice.pgettext(
            "cues of what keeps somebody away",
            "exhausted|knackered|shattered|miles away|not around|not at home|not well|not feeling|not free|poorly|"
            "i'm ill|im ill|am ill|feeling ill|been ill|sick|in hospital|at work|i'm working|im working|"
            "working tonight|work late|working late|late shift|night shift|stuck|i'm away|im away|away tonight|"
            "away till|away until|on holiday|on hols|in bed|out of town|out of action|back's gone|backs gone|"
            "back is gone|bad back|my back is|my back hurts|my back has|my knee|my knees|too tired|too busy|too far|"
            "too late|busy|double booked|other plans|other commitments|something's come up|somethings come up|"
            "something came up|cropped up|change of plan|hurt my|broken down|injured|out tonight|i'm out|im out|"
            "out this evening|out all day|out for the day|tied up|on nights|on lates|on shift|on call at work|covid|"
            "appointment|appt|hospital|doctors|dentist|dentists|no car|wedding|funeral|birthday|childcare|the kids|"
            "babysitting|flat tyre|puncture|stranded|train|no lift|hungover|migraine|missed the bus|unfortunately|"
            "no time|haven't got time|havent got time|don't have time|dont have time|will be away|ill be away|be away|be out|be asleep|"
            "be at work|still at work|be working"
"|in leeds|in london|in manchester|in birmingham|in spain|in france|down south|up north|on a train|on the motorway|at my mums|at my mum's|at a gig|at the pub|been drinking|no transport|got guests|got visitors|visitors|kids tonight|got the kids|the baby|shift|work till|at work till|theatre|match|rehearsal|choir|parents evening|in a meeting|flu|sprained|poorly kids|no babysitter"
"|at my sons|at my son's|at my daughters|at my daughter's|far for me|playing up|im not there|i'm not there",
        ),
        "no": voice.pgettext("cues that say no", "wrong|incorrect|that's wrong|thats wrong|no|noo|nooo|nope|nah|nay|no thanks|no thank you|no sorry|sorry no|negative|not really"),
        "yes": voice.pgettext(
            "cues that say yes",
            "cool|fab|brill|deal|indeed|shall do|i shall|easy|glad to help|happy to help|roger that|affirmative|any time|anytime|correct|that's right|thats right|exactly|spot on|that's it exactly|true|do it|yes|yess|yesss|y|yh|ya|go for it|sounds like a plan|sounds fine|spose so|suppose so|i guess so|will try|i'll try|ill try|try my best|do my best|yea|yeah|yeh|yep|yup|ye|aye|ok|okay|okey|oki|okey dokey|k|kk|sure|sure thing|of course|course|"
            "certainly|absolutely|definitely|defo|deffo|gladly|happy to|glad to|no problem|no problems|no prob|no probs|no bother|"
            "no worries|not a problem|no trouble|leave it with me|leave it to me|put me down|count me in|why not|"
            "go on then|go on|go ahead|got it|got this|will do|can do|can do it|on it|on to it|i'm on it|fine|fine by me|that's fine|"
            "consider it|consider it done|i can|we can|i could|i do|i am|all right|alright|righto|right o|rightio|roger|yes please|you bet|"
            "my pleasure|with pleasure|suits me|works for me|sounds good|i'm free|im free|will be there|be there|happy with that|"
            "haven't forgotten|havent forgotten|don't worry|dont worry|no need to ask|see to it|take it|i'll take|count on me|"
            "sorted for tonight|i'm your man|volunteer"
"|me please|leave it w me|i'll sort it|ill sort it|will sort|i got this|ok boss|on way|be right there|yes mate|yes m8|yh sure|aye ok|you got it|np|consider done|bring it on|happy 2|ok 👍|mine|i'll have it|ill have it|ok then"
"|i dont mind|i don't mind|up there anyway|down there anyway",
        ),
        "last": voice.pgettext("cues that say yes as the last words", "i'm in|im in|i am in|we're in|were in"),
        "will": voice.pgettext(
            "cues that somebody will",
            "i'll|ill|i will|we'll|we will|will|gonna|going to|i'm going|im going|going at|going down|going over|on my way|"
            "on the way|heading there|heading down|heading over|heading up|popping|pop by|pop in|pop down|pop over|about to|"
            "swing by|nip over|nip down",
        ),
        "done": voice.pgettext(
            "cues that it is done",
            "nailed it|in the bag|over and done|sorted out|they're in|theyre in|on now|in now|its on|it's on|done|all done|dun|it's done|its done|did it|did that|did them|did those|did this|done it|done that|done them|"
            "done and dusted|finished|finish|sorted|all sorted|completed|complete|job done|job's done|covered|is covered|covered up|"
            "tucked up|tucked in|all tucked|fleece on|fleece is on|fleece is back on|fleeced|pegged down|weighed down|wrapped up|"
            "watered|had a drink|given a drink|a soak|a good soak|opened|opened up|is open|shut|closed|closed up|locked up|brought in|carried in|"
            "taken in|moved in|got them in|got it in|all in|are in|safely in|inside now|already did|already done|beat me to it|"
            "taken care of|seen to|has been done|been done|that's that|thats that|thats it|that's it|ticked off|mission accomplished|"
            "put to bed|snug|all good now|all set",
        ),
        "part": voice.pgettext(
            "cues that only some of it is done, or can be",
            "couldn't|couldnt|could not|half|only|nearly|almost|not all|not quite|not finished|some of|most of|most|part of|partly|one left|two left|left to do|"
            "to go|still to do|still need|except|apart from|all but|ran out|run out|the rest|not three|not both|halfway|half way|"
            "one of|two of|three of",
        ),
        "later": voice.pgettext(
            "cues that somebody does not know yet",
            "ill be in|i'll be in|will be in|ill be at|i'll be at|will be at|will see|we'll see|ill see|i'll see|ill ask|i'll ask|will ask|"
            "ill check|i'll check|ill think|i'll think|ill let you|i'll let you|ill get back|i'll get back|will get back|"
            "later|not now|not yet|ask me again|ask again|ask me later|try me later|in an hour|in a bit|in a while|maybe|perhaps|"
            "might|possibly|probably|not sure|unsure|dunno|don't know|dont know|do not know|no idea|will know|let you know|lyk|"
            "see how|depends|we'll see|well see|have to see|have to check|need to check|will check|let me check|get back to you|"
            "give me|hang on|hold on|remind me|undecided|thinking about it|50 50",
        ),
        "hands": voice.pgettext(
            "cues that ask for one more person on a job",
            "one more person|another person|one more pair of hands|another pair of hands|i need a hand|need a hand|more hands|"
            "need someone else with me|need somebody else with me|need help with this|need more people",
        ),
        "not": voice.pgettext(
            "cues that turn what follows round",
            "not|don't|dont|doesn't|doesnt|didn't|didnt|isn't|isnt|haven't|havent|hasn't|hasnt|never|unlikely|doubt|hardly|nobody|"
            "without|ain't|aint|wasn't|wasnt|weren't|werent|nor|neither",
        ),
        "if": voice.pgettext("cues of a condition", "if|unless|provided|as long as|so long as|only if|in case"),
    }  # fmt: skip
