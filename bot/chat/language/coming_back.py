"""The day on which somebody says that they are back, some words after that: "back from holiday on the 10th"."""

from __future__ import annotations

from datetime import date

from bot.chat.language import spans
from bot.chat.language.date_words import plain, words
from bot.chat.language.day_spans import Days
from bot.chat.language.line_tokens import Wrong
from bot.chat.language.phrases import stands_in, voices
from bot.crops.find import fold
from bot.i18n import Say

_WORDS_N = 5
_PAUSES = (",", ".", "!", ";", "?")


def back_on(text: str, say: Say, today: date) -> Days | None:
    """That day, where no pause and nothing to do stands before it: "I'm back, can do Friday"."""
    days, before = _one_to_come(text, say, today)
    said = " ".join(fold(before).split()[-_WORDS_N:])
    return days if said and any(_comes(said, voice) for voice in voices(say)) else None


def until_on(text: str, say: Say, today: date) -> Days | None:
    """The day until which something lasts that is told before it: "can't garden till my cast comes off on the 29th"."""
    days, before = _one_to_come(text, say, today)
    said = plain(before).split()[-_WORDS_N - 1 :]
    return None if words(say).until_begins.isdisjoint(said) else days


def _one_to_come(text: str, say: Say, today: date) -> tuple[Days | None, str]:
    """The one day to come that is named, and what stands before it; None where there is another, or a pause before it."""
    try:
        days = spans.coming(text, say, today)
    except Wrong:
        return None, ""
    if days is None or not days.named or days.first_on != days.last_on or days.first_on <= today:
        return None, ""
    before = text[: days.start].rstrip()
    return (None, "") if any(pause in before for pause in _PAUSES) else (days, before)


def says_back(text: str, say: Say, today: date) -> bool:
    """Whether it says from which day on somebody is back, right before that day or some words before."""
    try:
        days = spans.coming(text, say, today)
    except Wrong:
        return False
    if days is not None and days.named and days.first_on == today:
        told = plain(text[days.start : days.end])
        if any(told.startswith(f"{one} ") for one in words(say).back):
            return True
    return back_on(text, say, today) is not None


def _comes(said: str, voice: Say) -> bool:
    back = voice.pgettext(
        "words of coming back, some words before the day",
        "im back|i'm back|i am back|coming back|be back|"
        "back home|back from|home from|get back|getting back|fly back|flying back|return|returning|back early",
    )
    plans = voice.pgettext(
        "words between coming back and a day by which it is another's",
        "can|could|do|free|help|for|and|so|now|til|till|until",
    )
    return stands_in(said, back) and not stands_in(said, plans)
