"""How questions begin and end, in each language: told where no sign says that it is one."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache

from bot.chat.language.phrases import with_english
from bot.crops.find import fold
from bot.i18n import Say, say


@cache
def questions(language: str) -> frozenset[str]:
    """First words of a question, in the language and in English."""
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "first words of a question to the bot",
            "are|is|isn't|aren't|do|does|can|could|should|shall|shud|will|would|when|whens|when's|why|what|whats|"
            "what's|wot|wots|wat|wats|wil|wich|wen|wher|cud|wud|which|how|hows|how's|who|whos|who's|whose|where|wheres|where's|any|anyone|anybody|anything|"
            "may|must|am",
        ),
    )


def begins_question(words: Sequence[str], language: str) -> bool:
    """Whether folded words begin as a question does: "am I on", but not "am away", "will be there"."""
    if len(words) > 1 and words[0] in _of_the_past(language):
        return words[1] in _subjects(language)
    if not words or words[0] not in questions(language):
        return False
    return len(words) < 2 or not (
        words[0] in _auxiliary(language) and (words[1].isdecimal() or words[1] in _no_subject(language))
    )


def is_past(word: str, language: str) -> bool:
    """Whether it asks what was done where a subject follows: "have the peas been picked"."""
    return word in _of_the_past(language)


@cache
def _of_the_past(language: str) -> frozenset[str]:
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "first words that ask what was done, before a subject", "has|have|was|were|hasn't|haven't|wasn't|weren't"
        ),
    )


def in_both(language: str, listed: Callable[[Say], str]) -> frozenset[str]:
    """Words of a list in the language and in English, folded."""
    both = with_english(language, listed(say(language, "UTC")), listed(say("en", "UTC")))
    return frozenset(map(fold, both.split("|")))


@cache
def _subjects(language: str) -> frozenset[str]:
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "words that begin a subject, right after such a first word",
            "the|my|our|your|their|these|those|this|that|all|any|anyone|anybody|someone|somebody|everyone|everybody|"
            "everything|"
            "i|we|you|they|he|she|it|there|bed|beds|pot|pots|tunnel|greenhouse|plot",
        ),
    )


@cache
def _auxiliary(language: str) -> frozenset[str]:
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "first words that ask only before a subject", "will|would|can|could|should|shall|must|may|am|are|do"
        ),
    )


@cache
def _no_subject(language: str) -> frozenset[str]:
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "words that are no subject, right after such a first word",
            "be|do|not|off|away|out|on|in|at|back|get|go|try|have|water|cover|come|make|love|like|need|see|sort|pop|"
            "bring|take|"
            "sorry|afraid|unable|unavailable|going|leaving|working|stuck|ill|poorly|sick|busy|free|coming|heading|"
            "happy|glad|"
            "manage|help|let|know|tell|probably|also|just|definitely|still|say|miss|remember|only|never|stay|put|"
            "feel|open|close|"
            "shut",
        ),
    )


@cache
def closing(language: str) -> frozenset[str]:
    """Last words of a question, "sow kale when"."""
    return in_both(
        language,
        lambda voice: voice.pgettext("last words of a question to the bot", "when|where|how|why|who|what|or not"),
    )


@cache
def passing(language: str) -> frozenset[str]:
    """What asks only as the first words, and stands within much else: "the wedding is the 16th", "skip me pls"."""
    return in_both(
        language,
        lambda voice: voice.pgettext(
            "words that ask only where they begin a sentence",
            "pls|is the|are the|will the|do the|does the|can the|is my|are my|is this|need to|gonna|which|am i|do i|"
            "will i|"
            "will we|can i|can we|was it|is it|or not|show|wondering"
            "|how long|how long for|for how long",
        ),
    )
