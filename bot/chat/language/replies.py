"""What somebody answers who was asked for a turn, in whatever words: yes, no, done, later, or partly.

Told by cues, not by whole messages: "no way, I'm in Spain till Friday" is a no, "ok will be there for nine" a yes. A no
counts before a yes ("I would but my back's gone"), doubt before both.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from enum import StrEnum
from functools import cache
from itertools import pairwise

from bot.chat.language.cue_words import cues_of
from bot.chat.language.openings import begins_question, in_both
from bot.chat.language.phrases import Cues, says
from bot.chat.language.tokens import first_of, is_question, same_but_typed, single_words, tokens, without_doubles
from bot.chat.language.vocabulary import vocabulary
from bot.chat.language.word_forms import apart, radical
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
#: Words from a "when" to a done that only says when: "when I've finished work".
_WHEN_N = 4
#: In so few words a slip of the thumb is mended, of so many letters.
_SLIP_WORDS_N, _SLIP_N = 4, 3
#: Measured on the sentences in tests/understanding: beside more words that say nothing of it, one answer in three was another.
_BESIDE_N = 5
_CLAUSE = re.compile(r"(?<=[?？؟])|[.,;:!\n]")
_AS = {"housed": "done", "wait": "later"}
_DONE_CUES = frozenset({"done", "housed"})


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
    if words in _whole_noes(voice.language):
        return Reply.NO
    words = _as_meant(words, voice.language)
    found = _without_whens(_cues(voice.language).within(words), words)
    begun = begins_question(words.split(), voice.language) or waits_to_ask(voice, words)
    if (begun or is_question(text)) and not opens(voice, text):
        return None
    meanings = _turned(_as_last(found, words, voice.language), words)
    if set(meanings) == {"no"} and (_is_rather_not(voice.language, text) or _lacks(voice.language, words)):
        return Reply.UNSURE
    given = _weighed(meanings, bool(set(text) & _DONE))
    if given is Reply.YES and is_question(_first(text)) and not is_only(voice, _first(text)):
        return Reply.UNSURE  # Portuguese "posso fazer às 22?" (I can, or can I, do it at ten)
    listed, said = vocabulary(voice.language), tokens(text)
    elsewhere = first_of(said[:_OPENING_N], listed.elsewhere)  # "my father has covered his"; but "done, at home now"
    other = given is Reply.DONE and (elsewhere or first_of(said, listed.elsewhen))  # "covered it last year"
    return Reply.UNSURE if other else given


def _first(text: str) -> str:
    """Its first clause, with its sign."""
    return _CLAUSE.split(text, maxsplit=1)[0]


def _words(language: str, text: str) -> str:
    """The folded text, words that small ones have grown onto apart, and in the form in which they are listed."""
    words = apart(fold(text[:_READ_N]), language, lambda word: _cues(language).knows(word) or word in small(language))
    listed = _listed(language)
    return " ".join(radical(word, language, listed.__contains__) for word in words.split())


@cache
def _listed(language: str) -> frozenset[str]:
    return small(language).union(*_words_of_cues(language).values())


def _as_meant(words: str, language: str) -> str:
    """A short answer that holds no cue, with slips of the thumb alone put right: "dnoe", "yse"."""
    said = words.split()
    if len(said) > _SLIP_WORDS_N or any(one != "nothing" for one, _, _ in _cues(language).within(words)):
        return words
    return " ".join(_mended(word, language) for word in said)


def _mended(word: str, language: str) -> str:
    by_letters = _words_of_cues(language)
    if len(word) < _SLIP_N or word in small(language) or any(word in listed for listed in by_letters.values()):
        return word
    likely = {one for key in (_sorted(word), _sorted(without_doubles(word))) for one in by_letters.get(key, ())}
    near = [one for one in likely if same_but_typed(one, word, _SLIP_N)]
    return near[0] if len(near) == 1 else word


def _sorted(word: str) -> str:
    return "".join(sorted(word))


@cache
def _words_of_cues(language: str) -> dict[str, frozenset[str]]:
    """The words of the cues, in the language and in English, by their letters, and by these without doubled ones."""
    found: dict[str, set[str]] = defaultdict(set)
    for each in dict.fromkeys((language, "en")):
        for word in fold(" ".join(cues_of(say(each, "UTC")).values()).replace("|", " ")).split():
            for key in (_sorted(word), _sorted(without_doubles(word))):
                found[key].add(word)
    return {key: frozenset(listed) for key, listed in found.items()}


def _without_whens(found: list[tuple[str, int, int]], words: str) -> list[tuple[str, int, int]]:
    """Without a done that only says when, "depends what time I finish", or what others are to do: "can someone leave it
    open".
    """
    kept, since = [], None
    for meaning, start, end in found:
        if meaning in ("when", "favour"):
            since = end
        if meaning == "when":
            continue
        if meaning in _DONE_CUES and since is not None and words.count(" ", since, start) <= _WHEN_N:
            continue
        kept.append((meaning, start, end))
    return kept


def tells_only_of_houses(voice: Say, text: str) -> bool:
    """Whether all that it says is done is that something was opened or shut: "locked up, home again"."""
    words = fold(text[:_READ_N])
    found = {one for one, _, _ in _without_whens(_cues(voice.language).within(words), words)}
    return found & _DONE_CUES == {"housed"}


@cache
def _whole_noes(language: str) -> frozenset[str]:
    return in_both(language, lambda voice: voice.pgettext("messages that say no and nothing else", "n"))


def _is_rather_not(language: str, text: str) -> bool:
    """Whether the no may be a "not" of what follows it without a sign between, where one word is both: "nie widzę problemu"
    (I see no problem).
    """
    denying = single_words(vocabulary(language).denying) & _plain_noes(language)
    said = text.split()
    return any(
        one[-1:].isalnum() and fold(one) in denying and fold(after) not in small(language) | denying
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
        elif not set(words[end:].split()) - small(language) or any(
            one[1] == end + 1 and one[0] in _AGREEING for one in found
        ):
            kept.append(("yes", start, end))
    return kept


def _turned(found: list[tuple[str, int, int]], words: str) -> list[str]:
    """The meanings, each yes and done that a "not" stands before turned round."""
    turned: list[str] = []
    before: tuple[str, int] | None = None  # the negation or the "if", and where it ends
    for meaning, start, end in found:
        meaning = _AS.get(meaning, meaning)
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


def waits_to_ask(voice: Say, words: str) -> bool:
    """Whether folded words ask a question after a word to wait: "hang on, will it rain"."""
    found = _cues(voice.language).within(words)
    end = next((end for meaning, start, end in found if meaning == "wait" and not start), None)
    return end is not None and begins_question(words[end:].split(), voice.language)


def opens(voice: Say, text: str) -> bool:
    """Whether the message begins with an answer, whatever follows."""
    words = _words(voice.language, text)
    found = _cues(voice.language).within(words)
    if waits_to_ask(voice, words):
        return False
    opening_n = len(" ".join(words.split()[:_OPENING_N]))
    if begins_question(words.split(), voice.language):  # "when exactly?"; but "any time"
        opening_n = 1
    said = {"yes", "no", "cannot", "excuse", "done", "housed", "wait", "later", "hands"}
    if is_question(_first(text)):  # "covered already?"
        said -= _DONE_CUES
    return any(meaning in said and start < opening_n for meaning, start, _ in found)


def _weighed(found: list[str], ticked: bool) -> Reply | None:
    has, first = set(found), next((one for one in found if one in ("yes", "no", "cannot")), None)
    done = "done" in has or ticked
    if "hands" in has:
        return Reply.HANDS
    if "undone" in has:
        return Reply.PART if done else Reply.LATER
    if "will" in has and "done" in has and found.index("will") < found.index("done"):
        done = ticked  # "I'll get it covered"
    if "if" in has and "done" in has and found.index("if") < found.index("done"):
        done = ticked  # "yes, as soon as the kids are sorted"
    if "earlier" in has and done and first != "yes":  # "I did it last night"
        done = ticked
        if not has & {"no", "cannot", "excuse"}:
            return Reply.UNSURE
    if done and not ticked and "part" not in has and _is_believed(found):  # "should be done by 7"
        return Reply.UNSURE
    if "favour" in has and not has & {"yes", "will", "no", "cannot", "excuse"} and not done:
        return Reply.UNSURE  # "can someone leave the gate open"
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


def _is_believed(found: list[str]) -> bool:
    """Whether the first done is only believed, "I think it's done", and not "done, but I think …"; or still to come."""
    first = found.index("done") if "done" in found else len(found)
    return "soon" in found or "doubted" in found[:first]


def _is_conditional(found: list[str]) -> bool:
    """ "Yes, if nobody else can"; not "yes, I may be late if the bus is"."""
    return any(one == "if" and before in ("yes", "will", "if") for before, one in pairwise(["yes", *found]))


def is_of_others(voice: Say, text: str, people: frozenset[str]) -> bool:
    """Whether somebody else is named for it, and not with whoever writes: "Leila will do it". people: folded names."""
    said = set(_words(voice.language, text).split())
    return bool(said & (people | {f"{name}s" for name in people})) and not said & first_persons(voice.language)


def names_another(language: str, words: str, people: Sequence[str], end: int) -> bool:
    """Whether what is said from `end` on is said of somebody who is named last before it, and not together with whoever
    writes: "I think Leila is away", not "me and Leila are away". people: folded names that stand in the folded words.
    """
    said, first = words[:end].split(), first_persons(language)
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
def first_persons(language: str) -> frozenset[str]:
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "words by which somebody speaks of themselves",
            "i|ill|i'll|im|i'm|ive|i've|id|me|my|we|well|we'll|us|both|together|myself",
        ),
    )


def is_only(voice: Say, text: str) -> bool:
    """Whether nothing but the answer and small words stands there."""
    return not _beside(voice.language, _words(voice.language, text))


def is_lost_in_words(voice: Say, text: str) -> bool:
    """Whether so much stands beside an answer that does not begin as one that it may mean something else."""
    words = _words(voice.language, text)
    beside = [word for word in _beside(voice.language, words) if not word.isdecimal()]
    return not opens(voice, text) and len(beside) > _BESIDE_N


def _beside(language: str, words: str) -> list[str]:
    """The words beside the cues and small words."""
    rest = list(words)
    for _, start, end in _cues(language).within(words):
        rest[start:end] = " " * (end - start)
    return [word for word in "".join(rest).split() if word not in small(language)]


def refuses(voice: Say, text: str) -> bool:
    """Whether it says of whoever writes that they can't, and not only what they don't do: "my back's gone"."""
    found = _cues(voice.language).within(_words(voice.language, text))
    return any(meaning in ("cannot", "excuse") for meaning, _, _ in found)


def counts_otherwise(voice: Say, text: str) -> bool:
    """ "No 3 rows" puts a number right, and refuses nothing."""
    words = fold(text).split()
    return len(words) > 1 and words[0] in _plain_noes(voice.language) and words[1].isdecimal()


def says_all(voice: Say, text: str) -> bool:
    """Whether it says of all of a job that it is done: "all of it is done", not "all done", which may be one's own part."""
    return says(
        voice,
        fold(text),
        lambda each: each.pgettext(
            "words by which the whole of a job is meant",
            "all of it|all of them|all of that|all of those|the whole|whole|everything|every|the lot|all the|"
            "all beds|all pots|"
            "all are|it is all|its all|it's all|they are all|theyre all|they're all|all six|all five|all four|"
            "all three",
        ),
    )


def without_small(voice: Say, text: str) -> str:
    """What is left of an answer without the small words that go with any."""
    return " ".join(word for word in fold(text).split() if word not in small(voice.language))


@cache
def small(language: str) -> frozenset[str]:
    """Words that go with any answer."""
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "small words beside a yes, a no or a done",
            "please|thanks|thank|you|ta|cheers|sorry|mate|hi|hello|oh|ah|well|then|now|so|and|but|it|that|this|for|"
            "me|i|im|we|"
            "the|a|to|of|at|in|just|really|very|x|xx|xxx|lol|here|there|too|is|its|be|today|tonight|again|right|"
            "good|great|only|one|ones|think|guess|maybe|actually|un|uns|yin|t",
        ),
    )


@cache
def _cues(language: str) -> Cues:
    return Cues.with_english(language, cues_of(say(language, "UTC")), cues_of(say("en", "UTC")))
