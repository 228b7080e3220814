"""The days of an absence as a member tells them: one span, or two that are of one absence."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

from bot.chat.language import phrases, spans
from bot.chat.language.coming_back import back_on, until_on
from bot.chat.language.date_words import plain
from bot.chat.language.date_words import words as date_words
from bot.chat.language.day import spelt
from bot.chat.language.day_spans import Days
from bot.chat.language.line_tokens import Mistaken, Wrong
from bot.chat.language.openings import begins_question
from bot.chat.language.phrases import pattern, stands_in, voices
from bot.chat.language.replies import Reply, is_of_others, reply
from bot.chat.language.tokens import first_of, is_question, single_words, tokens
from bot.chat.language.vocabulary import vocabulary
from bot.crops.find import fold
from bot.i18n import Say

_DAY = timedelta(days=1)
_SATURDAY = 5
#: A long weekend begins on one of these days, and lasts at most so long.
_WEEKEND_FROM, _LONG = (4, 5), timedelta(days=3)
LONGEST_N = 366
#: Days without a year that were lately, or lie further ahead than this, are rather over than of next year.
_AHEAD = timedelta(days=180)
#: Nobody tells of an absence that began so long ago.
_BEGUN = timedelta(days=60)
#: In more words more is told than an absence.
_GUESSED_N = 14
_HOUR = re.compile(
    r"(?<![\d/.-])\d{1,2}(?:[:.]\d{2})?\s?[ap]\.?m\b|(?<![\d/.-])\d{1,2}:\d{2}(?!\d)"
    r"|(?<=\w )[ap]\.?m\b|(?<=\bat )\d{1,2}(?![\d/.:-]|st|nd|rd|th)",
    re.IGNORECASE,
)


def read_days(words: str, say: Say, today: date) -> tuple[date, date] | None:
    """First and last day, all of the words read but what is said to be all right, "not tomorrow, but Thursday is fine"; a
    number alone counts days from today. Raises Wrong.
    """
    if (free := _before_free(words, say)) is not None and (found := _read(free, say, today)) is not None:
        return found
    try:
        return _read(words, say, today)
    except Wrong as wrong:
        if wrong.code is not Mistaken.TWO_DATES or (part := _beside_but(words, say)) is None:
            raise
    return _read(part, say, today)


def _before_free(words: str, say: Say) -> str | None:
    """What stands before a "but" after which they are free, "can't do this evening but free tomorrow"."""
    before, after = _parted(words, say)
    return before if before and _is_free(fold(after), say) else None


def _beside_but(words: str, say: Say) -> str | None:
    """What stands before a "but" after which they can come, or after one before which they can: "can do Monday but not
    Tuesday".
    """
    before, after = _parted(words, say)
    if not after:
        return None
    if _can_come(after, say):
        return before
    denied = not single_words(vocabulary(say.language).denying).isdisjoint(fold(after).split()[:1])
    return after if denied and _can_come(before, say) else None


def _parted(words: str, say: Say) -> tuple[str, str]:
    """What stands before the first "but", and after it; empty where there is none."""
    turning, said = single_words(vocabulary(say.language).turning), words.split()
    at = next((n for n, word in enumerate(said) if n and fold(word) in turning), None)
    return ("", "") if at is None else (" ".join(said[:at]), " ".join(said[at + 1 :]))


def guessed(text: str, say: Say, today: date, people: frozenset[str] = frozenset()) -> tuple[date, date] | None:
    """The days of what may be an absence, though no word says so: "down in Cork till next Tuesday". Of several days, and
    not of a week or a weekend as a whole, in which people also plan and wish.
    """
    words = fold(text)
    if is_question(text) or begins_question(words.split(), say.language) or len(words.split()) > _GUESSED_N:
        return None
    if is_of_others(say, text, people):
        return None
    for voice in voices(say):
        others = voice.pgettext(
            "first words of what is said of somebody or something else than oneself",
            "the|there|theres|they|theyre|theyll|she|shes|he|hes|it|its|itll|this|that|thats|these|those|everybody|everyone|"
            "somebody|someone|nobody|all|so|such|what|have a|see you|enjoy|happy|good|lovely|great|only",
        )
        there = voice.pgettext(
            "words of somebody who can come, or is there",
            "free|available|here|around|about|can|could|able|help|helping|come|coming|there|join|volunteer|count me in|"
            "in the garden|at the garden|at the plot|at the allotment|on site|might|maybe|perhaps|plan|planning|hope|hoping|"
            "wish|forecast|weather|rain|sun|sunny|frost|cold|wind|warm|ban|delivery|sale|open|event|party|meeting|market|deal",
        )
        if re.match(rf"(?:{pattern(others)})(?= |$)", words) or stands_in(words, there):
            return None
    try:
        days = spans.coming(spelt(text, say), say, today)
        named = days is not None and (days.named or _is_next(text[days.start : days.end], say))
        if days is None or not named or plain(text[days.start : days.end]) in date_words(say).stretches:
            return None
        found = read_days(text, say, today)
    except Wrong:
        return None
    return found if found is not None and found[0] < found[1] else None


def _is_next(text: str, say: Say) -> bool:
    """Whether they are told as the next ones, "for the next 3 weeks"."""
    return not date_words(say).coming.isdisjoint(plain(text).split())


def _can_come(text: str, say: Say) -> bool:
    words = fold(text)
    return reply(say, words) is Reply.YES or words.startswith(tuple(date_words(say).back)) or _is_free(words, say)


def _is_free(words: str, say: Say) -> bool:
    return any(
        re.match(rf"(?:{pattern(listed)})(?= |$)", words)
        for listed in (
            voice.pgettext(
                "that somebody is there, as the first words after a but",
                "here|there|in|around|about|free|available|fine|ok|okay|can do|can come|i can|im here|i'm here|im free|"
                "i'm free|im around|i'm around|im about|i'm about|im in|i'm in|will be here|will be there|will be around",
            )
            for voice in voices(say)
        )
    )


def _read(words: str, say: Say, today: date) -> tuple[date, date] | None:
    if words.isdecimal():
        count = int(words) if len(words) < 4 else LONGEST_N + 1
        if count > LONGEST_N:
            raise Wrong(Mistaken.TOO_LONG, words[:12])
        return (today, today + (count - 1) * _DAY) if count else None
    words = _HOUR.sub(lambda found: " " * len(found[0]), spelt(words, say))
    days = spans.coming(words, say, today)
    if days is None or _names_a_feast(words, say) or _is_excepted(words[: days.start], say):
        return None
    if days.first_on == today < days.last_on and _is_there(words[: days.start], say):
        return None
    home = back_on(words, say, today)
    if home is not None and home.start == days.start and not re.search(r"\d", spans.without(words, home)):
        return today, home.first_on - _DAY
    lasts = until_on(words, say, today)
    if lasts is not None and not re.search(r"\d", spans.without(words, lasts)):
        return today, lasts.first_on
    if _is_vague(words[: days.start], say):
        raise Wrong(Mistaken.NO_DATE)
    rest = spans.without(words, days)
    if days.open_end and (last_on := _until(rest, say, today)) is not None and last_on > days.first_on:
        return max(days.first_on, today), last_on
    again = joint = None
    for since_on in (days.first_on, today) if days.first_on == days.last_on else (today,):
        again = spans.coming(rest, say, since_on)  # "leaving Thursday, returning Monday": the Monday after it
        joint = _joint(days, again, _between(words[days.end : again.start], say)) if again is not None else None
        if joint is not None:
            break
    left = spans.without(rest, again) if joint is not None and again is not None else rest
    number = re.search(r"\d[\d./-]*", left)
    if number or (again is not None and again.named and joint is None):
        raise Wrong(Mistaken.TWO_DATES, number[0] if number else rest[again.start : again.end] if again else "")
    if joint is not None:
        days = joint
    if days.open_end:
        raise Wrong(Mistaken.NO_LAST, say.day(days.first_on), say.day(days.first_on + 3 * _DAY))
    if days.next_year and days.first_on - today > _AHEAD:
        raise Wrong(Mistaken.PAST, _a_year_before(days.last_on).isoformat())
    if days.last_on < today:
        raise Wrong(Mistaken.PAST, days.last_on.isoformat())
    if today - days.first_on > _BEGUN:  # "6/1-6/10", from the sixth of January?
        raise Wrong(Mistaken.PAST, days.first_on.isoformat())
    first_on = max(days.first_on, today)
    if (days.last_on - first_on).days >= LONGEST_N:
        raise Wrong(Mistaken.TOO_LONG, str((days.last_on - first_on).days + 1))
    return first_on, days.last_on


def _names_a_feast(words: str, say: Say) -> bool:
    """Whether it names days that are others in each country and year, and none by its number or weekday."""
    if re.search(r"\d", words):
        return False
    said, weekdays = fold(words), date_words(say).weekdays
    for voice in voices(say):
        feasts = voice.pgettext(
            "days that are others in each country and year",
            "bank holiday|bank hol|bank hols|half term|easter|christmas|xmas|new year|long weekend|school holidays",
        )
        feast = phrases.found(said, feasts)
        if feast is not None and (_has_weekday(feast[0], words, weekdays) or weekdays.keys().isdisjoint(said.split())):
            return True  # "bank holiday Monday"
    return False


def _is_there(before: str, say: Say) -> bool:
    """Whether the days are those on which they are there, "here till Friday, then away for a week"."""
    said = fold(before).split()
    there = {
        fold(word)
        for voice in voices(say)
        for word in voice.pgettext(
            "right before a day until which somebody is there", "here|free|available|around"
        ).split("|")
    }
    blocked = single_words(vocabulary(say.language).blocked)
    return said[-1:] != [] and said[-1] in there and not blocked & {re.sub("[^\\w']", "", one) for one in said}


def _has_weekday(feast: str, words: str, weekdays: Mapping[str, int]) -> bool:
    """Whether a weekday stands right after it, without a sign between."""
    after = plain(words).partition(feast)[2]
    return after.startswith(" ") and bool(after.split()[:1]) and after.split()[0] in weekdays


def _is_vague(before: str, say: Say) -> bool:
    """Whether only some of the days are meant that follow: "away a few days next week"."""
    said = fold(before)
    return any(
        re.search(rf"(?:^| )(?:{pattern(listed)})(?: (?:of|in|over|during|this))*$", said)
        for voice in voices(say)
        if (
            listed := voice.pgettext(
                "right before days of which only some are meant",
                "a few days|few days|some days|part|parts|one day|a day|a day or two|one or two days|a couple of days|bits|"
                "half|sometime|some time|at some point|some point|a bit|on and off|off and on|some|the odd day",
            )
        )
        != "-"
    )


def _is_excepted(before: str, say: Say) -> bool:
    """Whether what follows is left out, "away except for Wednesday"."""
    said = tokens(before)
    at = first_of(said, vocabulary(say.language).excepted)
    return bool(at) and at[-1] + 1 == len(said)


def _between(text: str, say: Say) -> str | None:
    """The small words between two spans; None where others stand there."""
    own = date_words(say)
    found = re.findall(r"[^\W_]+|[^\w\s]", plain(text))
    fill = own.fill | own.lasting | own.of
    if not all(word in fill | own.beside | own.to for word in found):
        return None
    return " ".join(word for word in found if word not in fill)


def _joint(days: Days, again: Days, between: str | None) -> Days | None:
    """Two spans of one absence: "leaving Thursday, returning Monday", "a week off from the 25th", "the wedding is on 30 May,
    so not free 28 to 31"; None where they are two absences, or the second is only a part of a day. between: as above.
    """
    if between is not None and days.named and again.named:
        if again.first_on == days.last_on + _DAY and not again.open_end:  # "Friday and the weekend"
            return replace(days, last_on=again.last_on, open_end=False)
        weekend = days.first_on.weekday() == _SATURDAY and days.last_on - days.first_on == _DAY
        long = again.first_on.weekday() in _WEEKEND_FROM and _DAY <= again.last_on - again.first_on <= _LONG
        if not between and weekend and long:
            return again  # "the weekend 16/17", "bank holiday weekend 23rd to 25th"
    if days.named and again.open_end and days.first_on < again.first_on <= days.last_on:  # "this week from Thursday"
        return replace(days, first_on=again.first_on)
    lasts = not again.open_end and not again.named and again.last_on > again.first_on
    if lasts and (days.open_end or (days.named and days.first_on == days.last_on)):  # "hospital on 2 June, 6 weeks off"
        return replace(days, last_on=days.first_on + (again.last_on - again.first_on), open_end=False)
    if not days.named and again.named and again.first_on != again.last_on:
        if again.last_on - again.first_on > days.last_on - days.first_on + _DAY:
            raise Wrong(Mistaken.NO_DATE)  # "2 days next week"
        return again  # "the whole week, 25-29 May"
    if not days.named and again.named:  # so many days, and their first
        return replace(
            days, first_on=again.first_on, last_on=again.first_on + (days.last_on - days.first_on), named=True
        )
    if not again.named:
        return None
    if days.first_on == days.last_on and again.first_on == days.first_on < again.last_on:  # until then, or back then
        return replace(days, last_on=again.last_on, open_end=False)
    if days.first_on == days.last_on and again.first_on <= days.first_on <= again.last_on:
        return again
    if again.first_on == again.last_on and days.first_on <= again.first_on <= days.last_on:
        return days
    if again.first_on < days.first_on and again.last_on >= days.last_on:  # "this weekend, back Monday night"
        return replace(days, last_on=again.last_on)
    return None


def _until(text: str, say: Say, today: date) -> date | None:
    """The last day where the text names nothing but how long it lasts: "from Saturday I am ill until the 14th"."""
    until = spans.coming(text, say, today)
    if until is None or not until.named or until.first_on != today:
        return None
    rest = spans.without(text, until)
    more = spans.coming(rest, say, today)
    return None if re.search(r"\d", rest) or (more is not None and more.named) else until.last_on


def _a_year_before(on: date) -> date:
    return on.replace(year=on.year - 1, day=min(on.day, 28) if on.month == 2 else on.day)
