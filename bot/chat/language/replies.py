"""What somebody answers who was asked for a turn, in whatever words: yes, no, done, later, or partly.

Told by cues, not by whole messages: "no way, I'm in Spain till Friday" is a no, "ok will be there for nine" a yes. A no
counts before a yes ("I would but my back's gone"), doubt before both.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from enum import StrEnum
from functools import cache
from itertools import pairwise

from bot.chat.language.cue_words import cues_of
from bot.chat.language.matching import apart
from bot.chat.language.phrases import Cues, stands_in, voices
from bot.chat.language.tokens import first_of, is_question, tokens
from bot.chat.language.vocabulary import vocabulary
from bot.crops.find import alike, fold
from bot.i18n import Say, say

#: Signs that answer by themselves.
_YES, _NO, _DONE = frozenset("👍👌🙏🙋💪🤝🆗"), frozenset("👎🙅❌🚫"), frozenset("✅✔☑")
#: A cue within so many words of the beginning answers even where the rest is a question.
_OPENING_N = 2
_READ_N = 600
#: What a word of negation makes of what follows it within so many words; a plain no stands right before it.
_TURNED = {"yes": "cannot", "will": "cannot", "done": "undone"}
_BEFORE_N = {"not": 3, "no": 1, "later": 1, "if": 2}
#: What is only supposed right after an "if".
_SUPPOSED = frozenset({"done", "cannot", "not", "if"})
#: What may follow "I'm in" where that is a yes: "I am busy" is none.
_AGREEING = frozenset({"yes", "will", "last", "if"})


class Reply(StrEnum):
    """UNSURE: an answer, but not which; PART: some of it is done; HANDS: one more person is wanted for it; IF: only under
    a condition.
    """

    YES = "yes"
    NO = "no"
    DONE = "done"
    PART = "part"
    LATER = "later"
    UNSURE = "unsure"
    HANDS = "hands"
    IF = "if"


def reply(voice: Say, text: str) -> Reply | None:
    """What a message answers to "can you do it?" or "is it done?"; None where it answers neither."""
    words = _words(voice.language, text)
    if not words:
        signs = set(text)
        return Reply.DONE if signs & _DONE else Reply.NO if signs & _NO else Reply.YES if signs & _YES else None
    found = _cues(voice.language).within(words)
    if is_question(text) and not opens(voice, text):
        return None
    if begins_question(words.split(), voice.language) and not opens(voice, text):
        return None
    meanings = _turned(_as_last(found, words, voice.language), words)
    if set(meanings) == {"no"} and (_is_rather_not(voice.language, text) or _lacks(voice.language, words)):
        return Reply.UNSURE
    given = _weighed(meanings, bool(set(text) & _DONE))
    of_old = given is Reply.DONE and first_of(tokens(text), vocabulary(voice.language).elsewhen)
    return Reply.UNSURE if of_old else given  # "covered it last year"


def _words(language: str, text: str) -> str:
    """The folded text, words that small ones have grown onto apart."""
    return apart(fold(text[:_READ_N]), language, lambda word: _cues(language).knows(word) or word in _small(language))


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


def _lacks(language: str, words: str) -> bool:
    """ "No fleece left" is no no."""
    covers = {phrase[0] for phrases in vocabulary(language).covers.values() for phrase in phrases}
    return any(one in _plain_noes(language) and after in covers for one, after in pairwise(words.split()))


@cache
def _plain_noes(language: str) -> frozenset[str]:
    return frozenset(map(fold, cues_of(say(language, "UTC"))["no"].split("|")))


def _as_last(found: list[tuple[str, int, int]], words: str, language: str) -> list[tuple[str, int, int]]:
    """ "I'm in" is a yes as the last words, and none in "I'm in Leeds"."""
    kept = []
    for meaning, start, end in found:
        if meaning != "last":
            kept.append((meaning, start, end))
        elif not set(words[end:].split()) - _small(language) or any(
            one[1] == end + 1 and one[0] in _AGREEING for one in found
        ):
            kept.append(("yes", start, end))
    return kept


@cache
def questions(language: str) -> frozenset[str]:
    """First words of a question, in the language and in English."""
    return _opening(language) | (_opening("en") - _no_english(language))


def begins_question(words: Sequence[str], language: str) -> bool:
    """Whether folded words begin as a question does: "am I on", but not "am away", "will be there"."""
    if len(words) > 1 and words[0] in _of_the_past(language):
        return words[1] in _subjects(language)
    if not words or words[0] not in questions(language):
        return False
    return len(words) < 2 or not (
        words[1].isdecimal() or (words[0] in _auxiliary(language) and words[1] in _no_subject(language))
    )


def is_past(word: str, language: str) -> bool:
    """Whether it asks what was done where a subject follows: "have the peas been picked"."""
    return word in _of_the_past(language)


@cache
def _of_the_past(language: str) -> frozenset[str]:
    return _in_both(
        language,
        lambda voice: voice.pgettext(
            "first words that ask what was done, before a subject", "has|have|was|were|hasn't|haven't|wasn't|weren't"
        ),
    )


def _in_both(language: str, listed: Callable[[Say], str]) -> frozenset[str]:
    """Words of a list in the language and in English, folded."""
    return frozenset(
        fold(word) for each in dict.fromkeys((language, "en")) for word in listed(say(each, "UTC")).split("|")
    )


@cache
def _subjects(language: str) -> frozenset[str]:
    return _in_both(
        language,
        lambda voice: voice.pgettext(
            "words that begin a subject, right after such a first word",
            "the|my|our|your|their|these|those|this|that|all|any|anyone|anybody|someone|somebody|everyone|everybody|everything|"
            "i|we|you|they|he|she|it|there|bed|beds|pot|pots|tunnel|greenhouse|plot",
        ),
    )


@cache
def _auxiliary(language: str) -> frozenset[str]:
    return _in_both(
        language,
        lambda voice: voice.pgettext(
            "first words that ask only before a subject", "will|would|can|could|should|shall|must|may|am|are|do"
        ),
    )


@cache
def _no_subject(language: str) -> frozenset[str]:
    return _in_both(
        language,
        lambda voice: voice.pgettext(
            "words that are no subject, right after such a first word",
            "be|do|not|off|away|out|on|in|at|back|get|go|try|have|water|cover|come|make|love|like|need|see|sort|pop|bring|take|"
            "sorry|afraid|unable|unavailable|going|leaving|working|stuck|ill|poorly|sick|busy|free|coming|heading|happy|glad|"
            "manage|help|let|know|tell|probably|also|just|definitely|still|say|miss|remember|only|never|stay|put|feel|open|close|"
            "shut",
        ),
    )


@cache
def closing(language: str) -> frozenset[str]:
    """Last words of a question, "sow kale when"."""
    return _in_both(
        language,
        lambda voice: voice.pgettext("last words of a question to the bot", "when|where|how|why|who|what|or not"),
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
    before: tuple[str, int] | None = None  # the negation or the "if", and where it ends
    for meaning, start, end in found:
        near = before is not None and words.count(" ", before[1], start) <= _BEFORE_N[before[0]]
        if before is not None and near and before[0] == "if" and meaning in _SUPPOSED:
            continue  # "if I finish early", "if nobody else can", "if it doesn't rain"
        if (
            before is not None
            and near
            and meaning in _TURNED
            and before[0] != "if"
            and (before[0] != "later" or meaning == "done")
        ):
            turned = turned[:-1] if before[0] != "not" else turned
            turned.append(_TURNED[meaning])
        elif meaning != "not":
            turned.append(meaning)
        before = (meaning, end) if meaning in _BEFORE_N else None
    return turned


def opens(voice: Say, text: str) -> bool:
    """Whether the message begins with an answer, whatever follows."""
    words = _words(voice.language, text)
    opening_n = len(" ".join(words.split()[:_OPENING_N]))
    if begins_question(words.split(), voice.language):  # "when exactly?"; but "any time"
        opening_n = 1
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
    if has >= {"excuse", "later"} and not done:
        return Reply.LATER  # "at work till 6, will check then"
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
        return Reply.IF if _is_conditional(found) else Reply.YES
    return Reply.IF if found == ["if"] else None


def _is_conditional(found: list[str]) -> bool:
    """ "Yes, if nobody else can"; not "yes, I may be late if the bus is"."""
    return any(one == "if" and before in ("yes", "will", "if") for before, one in pairwise(["yes", *found]))


def is_of_others(voice: Say, text: str, people: frozenset[str]) -> bool:
    """Whether somebody else is named for it, and not with whoever writes: "Leila will do it". people: folded names."""
    said = set(_words(voice.language, text).split())
    return bool(said & people) and not said & _first_persons(voice.language)


def names_another(language: str, words: str, people: Sequence[str], end: int) -> bool:
    """Whether what is said from `end` on is said of somebody who is named last before it, and not together with whoever
    writes: "I think Leila is away", not "me and Leila are away". people: folded names that stand in the folded words.
    """
    said, first = words[:end].split(), _first_persons(language)
    named = [
        n for n, word in enumerate(said) if any(word in (name, f"{name}s") or alike(word, name) for name in people)
    ]
    own = [n for n, word in enumerate(said) if word in first]
    if not named or (own and own[-1] > named[-1]):
        return False
    words_ = vocabulary(language)
    joining = {phrase[0] for phrase in (*words_.linking, *words_.side, *words_.whence)}
    return not (named[-1] - 2 in own and said[named[-1] - 1] in joining)


@cache
def _first_persons(language: str) -> frozenset[str]:
    return _in_both(
        language,
        lambda voice: voice.pgettext(
            "words by which somebody speaks of themselves",
            "i|ill|i'll|im|i'm|ive|i've|id|me|my|we|well|we'll|us|both|together|myself",
        ),
    )


def is_only(voice: Say, text: str) -> bool:
    """Whether nothing but the answer and small words stands there."""
    words = _words(voice.language, text)
    rest = list(words)
    for _, start, end in _cues(voice.language).within(words):
        rest[start:end] = " " * (end - start)
    return not set("".join(rest).split()) - _small(voice.language)


def counts_otherwise(voice: Say, text: str) -> bool:
    """ "No 3 rows" puts a number right, and refuses nothing."""
    words = fold(text).split()
    return len(words) > 1 and words[0] in _plain_noes(voice.language) and words[1].isdecimal()


def says_all(voice: Say, text: str) -> bool:
    """Whether it says of all of a job that it is done: "all of it is done", not "all done", which may be one's own part."""
    return any(
        stands_in(
            fold(text),
            each.pgettext(
                "words by which the whole of a job is meant",
                "all of it|all of them|all of that|all of those|the whole|whole|everything|every|the lot|all the|all beds|all pots|"
                "all are|it is all|its all|it's all|they are all|theyre all|they're all|all six|all five|all four|all three",
            ),
        )
        for each in voices(voice)
    )


def without_small(voice: Say, text: str) -> str:
    """What is left of an answer without the small words that go with any."""
    return " ".join(word for word in fold(text).split() if word not in _small(voice.language))


@cache
def _small(language: str) -> frozenset[str]:
    """Words that go with any answer."""
    return _in_both(
        language,
        lambda voice: voice.pgettext(
            "small words beside a yes, a no or a done",
            "please|thanks|thank|you|ta|cheers|sorry|mate|hi|hello|oh|ah|well|then|now|so|and|but|it|that|this|for|me|i|im|we|"
            "the|a|to|of|at|in|just|really|very|x|xx|xxx|lol|here|there|too|is|its|be|today|tonight|again|right|good|great|only|one|ones|think|guess|maybe|actually",
        ),
    )


@cache
def _cues(language: str) -> Cues:
    own = cues_of(say(language, "UTC"))
    english = cues_of(say("en", "UTC"))
    return Cues.of({**own, **{name: f"{own[name]}|{english[name]}" for name in own}} if language != "en" else own)
