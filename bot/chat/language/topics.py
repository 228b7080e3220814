"""What somebody wants who reports nothing: a question, a wish, a word in passing. Pure text, in each language.

A topic is told by concepts, each a list of phrases of the catalogue; the first topic of `TOPICS` whose concepts are all
there, and none that it excludes, is meant. What the topic is about (crops, places, people) is read by the readers of notes.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache

from rapidfuzz import fuzz, process
from rapidfuzz.distance import OSA

from bot.chat.language import day, spans, things
from bot.chat.language.coming_back import says_back
from bot.chat.language.concepts import concepts
from bot.chat.language.known import Known, spelt
from bot.chat.language.line_tokens import Wrong
from bot.chat.language.openings import begins_question, closing, is_past, passing, questions
from bot.chat.language.phrases import Cues
from bot.chat.language.replies import names_another
from bot.chat.language.tokens import is_question, tokens, with_numbers
from bot.chat.language.topic_names import Topic, examples
from bot.chat.language.vocabulary import vocabulary
from bot.chat.language.word_forms import radical
from bot.core.finding import TaskKind
from bot.core.garden.snapshot import HOUSES
from bot.crops.find import alike, fold
from bot.i18n import Say, say

__all__ = [
    "ASKED",
    "BESIDE",
    "Things",
    "Topic",
    "Wanted",
    "holds",
    "is_open_yet",
    "nearest",
    "things_in",
    "wanted",
]


@dataclass(frozen=True, slots=True)
class Wanted:
    """crops: keys that each name can be. places: ids. people: folded first names of members. words: as mended."""

    topic: Topic
    crops: tuple[tuple[str, ...], ...] = ()
    places: tuple[int, ...] = ()
    people: tuple[str, ...] = ()
    words: str = ""


#: What a topic needs, and what it excludes. "crop", "place", "person": one is named; "places": or several; "asks": it is
#: a question; "begins": it begins or ends as one, and does not only ask in passing, "skip me on Saturday pls"; "span": days
#: are named, or so many from today; "short", "brief": few words; "here": it begins with being back; "past": it asks what has
#: been done; "others": it is said of somebody else who is named.
_Rule = tuple[Topic, frozenset[str], frozenset[str]]


def _rule(topic: Topic, needs: str, excludes: str = "") -> _Rule:
    return topic, frozenset(needs.split()), frozenset(excludes.split())


TOPICS: tuple[_Rule, ...] = (
    _rule(Topic.NEWS, "news"),
    _rule(Topic.COMING, "comers"),
    _rule(Topic.UNDO, "undo"),
    _rule(Topic.CORRECT, "correct"),
    _rule(Topic.REMIND, "remind", "tell"),
    _rule(Topic.KEY_GIVEN, "key given person", "asks"),
    _rule(Topic.KEY_GIVEN, "key misplaced", "asks"),
    _rule(Topic.KEYS, "key asks"),
    _rule(Topic.KEYS, "locked asks"),
    _rule(Topic.LANGUAGE, "language"),
    _rule(Topic.PICTURE, "picture"),
    _rule(Topic.HOSE, "hose"),
    _rule(Topic.LAST_FROST, "frost usual asks"),
    _rule(Topic.FROST, "on_day asks"),
    _rule(Topic.UNCOVER, "uncover asks"),
    _rule(Topic.FROST, "past_cold"),
    _rule(Topic.LOST, "lost asks"),
    _rule(Topic.WHERE, "stock crop"),
    _rule(Topic.PICKED, "picked asks much"),
    _rule(Topic.SWAP, "swap person"),
    _rule(Topic.SWAP, "swap turn"),
    _rule(Topic.SWAP, "person mine turn", "asks"),
    _rule(Topic.SWAP, "person mine turn can"),
    _rule(Topic.LIFTING, "lifting"),
    _rule(Topic.WISHES, "wishes"),
    _rule(Topic.HANDS, "spread", "begins"),
    _rule(Topic.HANDS, "hands", "tell"),
    _rule(Topic.WISHES, "cannot often", "asks"),
    _rule(Topic.WISHES, "away often", "asks"),
    _rule(Topic.WISHES, "return often days", "asks"),
    _rule(Topic.WHO_AWAY, "who away asks", "mine person"),
    _rule(Topic.AWAY, "unasked span", "others"),
    _rule(Topic.AWAY, "away days", "begins here others over helps"),
    _rule(Topic.BACK, "back", "asks"),
    _rule(Topic.AWAY, "unasked", "begins others"),
    _rule(Topic.AWAY, "away", "begins others over helps"),
    _rule(Topic.AWAY, "return days", "begins crop place others over helps"),
    _rule(Topic.AWAY, "cannot days", "begins crop place others over"),
    _rule(Topic.AWAY, "away begins mine", "others over who person key"),
    _rule(Topic.CROP, "rhythm water crop"),
    _rule(Topic.WATER, "rhythm water"),
    _rule(Topic.MY_TURN, "mine turn asks", "person"),
    _rule(Topic.WHO, "turn asks"),
    _rule(Topic.HOLDER, "whose plot"),
    _rule(Topic.WATERED, "who watered place"),
    _rule(Topic.WATERED, "past watered place"),
    _rule(Topic.WATERED, "who did places", "safe jobs"),
    _rule(Topic.DOING, "who jobs places asks", "water whose"),
    _rule(Topic.DOING, "who safe places asks", "water whose"),
    _rule(Topic.WHO, "who jobs"),
    _rule(Topic.DIARY, "diary asks"),
    _rule(Topic.WIND, "safe going asks"),
    _rule(Topic.COVERED, "covered asks", "crop"),
    _rule(Topic.SAFE, "safe asks crop"),
    _rule(Topic.DEPTH, "depth crop"),
    _rule(Topic.SPACING, "spacing crop"),
    _rule(Topic.FIT, "fit crop asks"),
    _rule(Topic.NEIGHBOURS, "neighbours crop asks"),
    _rule(Topic.KEEP, "keep crop asks"),
    _rule(Topic.FEED, "feed crop asks"),
    _rule(Topic.PROBLEM, "problem crop"),
    _rule(Topic.READY, "ready crop asks"),
    _rule(Topic.SOW, "sow crop asks"),
    _rule(Topic.SOW_NOW, "sow asks", "crop place"),
    _rule(Topic.EMPTY, "empty asks", "place crop week"),
    _rule(Topic.RAIN, "rain asks"),
    _rule(Topic.WATER, "water asks crop"),
    _rule(Topic.WATER, "water asks place"),
    _rule(Topic.WHERE, "where crop"),
    _rule(Topic.SAFE, "safe asks places", "where"),
    _rule(Topic.WHAT_IN, "inside place asks"),
    _rule(Topic.HOLDER, "whose place"),
    _rule(Topic.WIND, "wind asks"),
    _rule(Topic.FROST, "frost asks"),
    _rule(Topic.WEATHER, "weather"),
    _rule(Topic.FROST, "safe asks", "where"),
    _rule(Topic.FROST, "frost brief"),
    _rule(Topic.RAIN, "rain brief"),
    _rule(Topic.WIND, "wind brief"),
    _rule(Topic.CROP, "crop asks"),
    _rule(Topic.WHAT_IN, "place asks"),
    _rule(Topic.OUT, "out"),
    _rule(Topic.WEEK, "week"),
    _rule(Topic.WATER, "water asks"),
    _rule(Topic.BROKEN, "broken thing", "asks"),
    _rule(Topic.HELP, "help"),
    _rule(Topic.STOP, "stop short"),
    _rule(Topic.SORRY, "sorry"),
    _rule(Topic.THANKS, "thanks"),
    _rule(Topic.HELLO, "hello brief"),
)
#: What is not meant where it is a part of what is.
_PARTS = (
    ("correct", "supposed"), ("wishes", "away"), ("asks", "cannot"), ("asks", "back"), ("sow", "week"),
    ("return", "present"), ("away", "present"), ("away", "back"), ("away", "stowed"), ("away", "week"),
    ("return", "stowed"), ("hello", "of_day"), ("diary", "week"),
)  # fmt: skip
_STATED = {
    Topic.DEPTH, Topic.SPACING, Topic.WHERE, Topic.WEEK, Topic.OUT, Topic.HOSE, Topic.HOLDER, Topic.WHO, Topic.WEATHER,
    Topic.HELP, Topic.NEWS, Topic.COMING,
}  # fmt: skip
#: Topics that are questions, which change nothing.
ASKED = frozenset({topic for topic, needs, _ in TOPICS if "asks" in needs} | _STATED) - {Topic.SWAP}
#: What may be told beside an answer to an ask.
BESIDE = frozenset({Topic.BROKEN, Topic.LIFTING})
_SHORT_N, _BRIEF_N = 7, 3
#: Signs within which "I'm back" says that somebody is here; later on it says when they will be.
_OPENING_N = 8
#: Words within which a word that asks makes a question of what follows.
_BEGINS_N = 1
_WE_ARE = re.compile(r"\bwe['’]re\b|^\s*were (?:away|off|out|on)\b", re.IGNORECASE)
_ANY_ON = date(2026, 1, 1)  # which day it is does not matter for whether days are named
#: Nobody asks in more signs.
_READ_N = 300
#: Longer messages are read as they stand.
_MENDED_N = 40
#: Measured on the sentences in tests/understanding: below it, words that mean something else are taken for slips.
_NEAR = 0.8
_LEAST_N, _SHORT_WORD_N = 5, 6


@dataclass(frozen=True, slots=True)
class Things:
    """What a message names, with all that may be meant. crops: keys; place_ids: ids; houses: those that pots may be in."""

    crops: frozenset[str] = frozenset()
    place_ids: frozenset[int] = frozenset()
    houses: frozenset[int] = frozenset()

    def __bool__(self) -> bool:
        return bool(self.crops or self.place_ids)

    def fit(self, crops: Iterable[str], place_ids: Iterable[int | None]) -> bool:
        """Whether what is at these places, or one of these crops, is among what is named."""
        return not (self.crops.isdisjoint(crops) and self.place_ids.isdisjoint(place_ids))

    def without(self, other: Things) -> Things:
        return Things(self.crops - other.crops, self.place_ids - other.place_ids, self.houses - other.houses)

    def says_whither(self, kind: TaskKind) -> bool:
        """Whether it names only the house that pots were carried into: "they're all in the greenhouse"."""
        return kind is TaskKind.BRING_IN and bool(self.houses) and self.houses == self.place_ids and not self.crops


def things_in(text: str, voice: Say, known: Known) -> Things:
    """What an answer is about, where it says so."""
    crops, _, places, _ = _named(text[:_READ_N], voice, known)
    houses = frozenset(place.id for place in known.places if place.kind in HOUSES)
    return Things(frozenset(key for keys in crops for key in keys), frozenset(places), houses & frozenset(places))


def is_open_yet(voice: Say, words: str) -> bool:
    """Whether what folded words say of days may come otherwise: "might be away"."""
    return "maybe" in _cues(voice.language).meanings(words)


def holds(concept: str, voice: Say, words: str) -> bool:
    """Whether folded words hold one of its phrases."""
    return concept in _cues(voice.language).meanings(words)


def wanted(text: str, voice: Say, known: Known) -> Wanted | None:
    """What a message asks for or says, None for what nothing here is about."""
    text = text[:_READ_N]
    words = mended(fold(text), voice, known)
    crops, places, several, people = _named(words if words != fold(text) else text, voice, known)
    there = _there(text, words, voice.language)
    there |= _days_in(text, voice)
    if "days" in there and "helps" not in there and says_back(text, voice, _ANY_ON):
        there = (there - {"here", "back"}) | {"return"}  # "I'm back on Friday"
    there |= {
        name for name, some in (("crop", crops), ("place", places), ("places", several), ("person", people)) if some
    }
    ways = [start for name, start, _ in _cues(voice.language).within(words) if name in ("away", "return", "cannot")]
    if people and ways and names_another(voice.language, words, people, min(ways)):
        there.add("others")
    if _WE_ARE.search(text):
        there.discard("over")  # "we're away" is folded to "were away"
    topic = next((topic for topic, needs, without in TOPICS if needs <= there and not without & there), None)
    return None if topic is None else Wanted(topic, crops, places or several, people, words)


def _days_in(text: str, voice: Say) -> set[str]:
    try:
        found = spans.coming(day.spelt(text, voice), voice, _ANY_ON)
    except Wrong:
        return {"days", "span"}
    if found is None:
        return set()
    return {"days", "span"} if found.named else {"span"}


def _there(text: str, words: str, language: str) -> set[str]:
    """The concepts that a message holds, in its language and in English."""
    there = _cues(language).meanings(words)
    # What is a part of something longer is not meant: "not free on", "can't do the 8th".
    longest = {name for name, _, _ in _cues(language).within(words)}
    there -= {part for part, whole in _PARTS if whole in longest} - longest
    if is_question(text):
        there.add("asks")
    begins = begins_question(words.split(), language) or words.rpartition(" ")[2] in closing(language)
    if begins:
        there.add("asks")
    begun = [(start, words[start:end]) for name, start, end in _cues(language).within(words) if name == "asks"]
    opened = [start for start, said in begun if said not in passing(language) or words.count(" ", 0, start) < _BEGINS_N]
    if begins or is_question(text) or opened or ("asks" in there and not begun):  # within something longer
        there.add("begins")
    opening = words.split()[:3]
    heads = opening[: 2 if opening and opening[0] in questions(language) else 1]
    if any(is_past(word, language) and begins_question(opening[n:], language) for n, word in enumerate(heads)):
        there |= {"past", "asks"}  # "has bed 3 been watered", "when was bed 3 watered"
    if any(meaning == "back" for meaning, start, _ in _cues(language).within(words) if start < _OPENING_N):
        there.add("here")
    if len(words.split()) <= _SHORT_N:
        there.add("short")
    if len(words.split()) <= _BRIEF_N:
        there.add("brief")
    return there


def _named(
    text: str, voice: Say, known: Known
) -> tuple[tuple[tuple[str, ...], ...], tuple[int, ...], tuple[int, ...], tuple[str, ...]]:
    """Crops; places that are named one by one, and all that may be meant ("the pots"); people."""
    words = vocabulary(voice.language)
    said = with_numbers(tokens(text), words.numbers, words.minus, words.tens, words.times)
    places = things.named(said, {place.id: place.name for place in known.places}, words, "place", known)
    hits = [*things.crops(said, known), *things.declined_crops(said, known)]
    places += things.places(said, known, words)
    if not places:
        places = [hit for hit in things.guessed_places(said, known, words) if hit.sure]
    people = tuple(
        dict.fromkeys(
            known.called.get(name, name)
            for token in said
            if token.value is None
            for name in known.people
            if token.word == name or token.word == f"{name}s" or (voice.language != "en" and alike(token.word, name))
        )
    )
    return (
        tuple(hit.crops for hit in hits if hit.crops),
        tuple(dict.fromkeys(id_ for hit in places for id_ in hit.ids if len(hit.ids) == 1)),
        tuple(dict.fromkeys(id_ for hit in places for id_ in hit.ids)),
        people,
    )


def mended(words: str, voice: Say, known: Known) -> str:
    """Folded words with slips of the thumb put right, by the words of the phrases, the crops and the people."""
    said = words.split()
    if len(said) > _MENDED_N:
        return words
    return " ".join(_mended(word, voice.language, known) for word in said)


def _mended(word: str, language: str, known: Known) -> str:
    right, stems, letters = _right(language)
    word = radical(word, language, lambda one: one in right or one in spelt(known).get(one[:1], ()))
    first = word[:1]
    names = spelt(known).get(first, ())
    if len(word) < _LEAST_N or word in right or word in names or word in known.people or word.startswith(stems):
        return word
    for listed in ((*names, *(one for one in known.people if one[0] == first)), letters.get(first, ())):
        near = process.extractOne(word, listed, scorer=OSA.normalized_similarity, score_cutoff=_NEAR)
        if near is None or len(near[0]) < _LEAST_N:
            continue
        # Of short words one letter for another may make another word: "dzieci" is no "dzięki".
        if len(word) > _SHORT_WORD_N or len(word) != len(near[0]) or sorted(word) == sorted(near[0]):
            return near[0]
    return word


@cache
def _right(language: str) -> tuple[frozenset[str], tuple[str, ...], dict[str, list[str]]]:
    """The words of the phrases, in the language and in English; their beginnings; and by their first letter."""
    right = _spelt(language) | _spelt("en")
    letters: dict[str, list[str]] = defaultdict(list)
    for word in sorted(filter(None, right)):
        letters[word[0]].append(word)
    return right, tuple(_stems(right)), letters


@cache
def _stems(right: frozenset[str]) -> tuple[str, ...]:
    return tuple(one.removesuffix("*") for one in right if one.endswith("*"))


@cache
def _spelt(language: str) -> frozenset[str]:
    listed = [*concepts(language).values(), "|".join(questions(language))]
    found = set[str]()
    for word in " ".join(listed).replace("|", " ").split():
        found.add(fold(word) + ("*" if word.endswith("*") and len(word) > 1 else ""))
    return frozenset(found)


def nearest(text: str, voice: Say, least: float = 45.0) -> list[Topic]:
    """The two topics whose examples a message is most like, the likest first; fewer where none is like it."""
    words = fold(text[:_READ_N])
    likely: dict[Topic, float] = {}
    for topic, example in _examples(voice):
        score = fuzz.token_set_ratio(words, example) * 0.5 + fuzz.WRatio(words, example) * 0.5
        likely[topic] = max(likely.get(topic, 0.0), score)
    best = sorted(likely, key=lambda topic: -likely[topic])[:2]
    return [topic for topic in best if likely[topic] >= least]


def _examples(voice: Say) -> Iterable[tuple[Topic, str]]:
    for each in dict.fromkeys((voice.language, "en")):
        yield from _folded_examples(each)


@cache
def _folded_examples(language: str) -> tuple[tuple[Topic, str], ...]:
    return tuple(
        (topic, fold(one)) for topic, listed in examples(say(language, "UTC")).items() for one in listed.split("|")
    )


@cache
def _cues(language: str) -> Cues:
    """In the language and in English."""
    return Cues.with_english(language, concepts(language), concepts("en"))
