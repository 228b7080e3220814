"""When somebody has been silent for so long that it is kind to ask whether they are still in."""

from __future__ import annotations

from datetime import date, timedelta

#: A stretch of the season without a word or a tap (common practice, no source).
ASK_AFTER = timedelta(days=56)
#: So long after the question, organisers are asked to speak to whoever has not answered it.
TELL_AFTER = timedelta(days=14)
#: The season in which silence counts: winter is quiet for everybody. (month, day), both included.
_FROM, _TO = (3, 1), (10, 31)


def is_silent(heard_on: date, today: date) -> bool:
    """Whether a stretch of this year's season has passed without hearing from somebody last heard from on heard_on."""
    if not _FROM <= (today.month, today.day) <= _TO:
        return False
    return today - max(heard_on, date(today.year, *_FROM)) >= ASK_AFTER
