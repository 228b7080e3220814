"""/away: days on which I am not there, so that I am not asked."""

from __future__ import annotations

import re
from datetime import date, timedelta

from bot.chat.turn import Turn
from bot.i18n import Say
from bot.services import absences

WORD = "away"

_SPAN = re.compile(r"(\d{4}-\d{2}-\d{2})(?:\s*(?:-|–|to|do)?\s*(\d{4}-\d{2}-\d{2}))?")
_DAYS = re.compile(r"\b(\d{1,2})\b")


def about(say: Say) -> str:
    return say.gettext("days you are away, so that I don't ask you")


async def answer(turn: Turn) -> None:
    say = turn.say
    if turn.member is None:
        await turn.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    today = say.local(turn.now).date()
    span = _span(turn.text, today)
    if span is None:
        await turn.reply(
            say.gettext(
                "From when to when? Write for example: /away {first} {last}, or /away 7 for the next seven days.",
                first=(today + timedelta(days=3)).isoformat(),
                last=(today + timedelta(days=10)).isoformat(),
            )
        )
        return
    first_on, last_on = span
    freed = await absences.add(turn.session, turn.member, first_on, last_on, turn.now)
    parts = [
        say.gettext(
            "Noted: you are away from {first} to {last}. I won't ask you then.",
            first=say.day(first_on),
            last=say.day(last_on),
        )
    ]
    if freed:
        parts.append(say.ngettext("I give {n} turn of yours on.", "I give {n} turns of yours on.", freed))
    await turn.reply("\n".join(parts))


def _span(text: str, today: date) -> tuple[date, date] | None:
    """First and last day from "2026-05-08 2026-05-15", or from a number of days; None when neither is there."""
    found = _SPAN.search(text)
    try:
        if found:
            first_on = date.fromisoformat(found[1])
            last_on = date.fromisoformat(found[2]) if found[2] else first_on
            return (first_on, last_on) if today <= last_on and first_on <= last_on else None
    except ValueError:
        return None
    days = _DAYS.search(text)
    return (today, today + timedelta(days=int(days[1]) - 1)) if days and int(days[1]) > 0 else None
