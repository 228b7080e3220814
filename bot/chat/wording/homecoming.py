"""Safely home? In words, calm and without blame."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.chat.wording.html import bold, lines, safe
from bot.i18n import Say

__all__ = ["help_comes", "question", "safe_home", "silent", "wants_help"]


def question(say: Say, places: Sequence[str], due_at: datetime, *, done: bool) -> str:
    """To whoever had said yes to what was due by then."""
    where = say.and_list(safe(place, 40) for place in places)
    words = {"places": where, "time": say.clock(due_at)}
    if done:
        about = say.gettext("Thank you for {places}, later than {time} as it became.", **words)
    else:
        about = say.gettext("You had said yes to {places}, by {time}. Not done is no matter now.", **words)
    silence = say.gettext("If I hear nothing I ask an organiser to look for you.")
    return lines([bold(say.gettext("Are you safely home?")), about, silence])


def silent(say: Say, name: str, places: Sequence[str], due_at: datetime) -> str:
    """To organisers, about somebody who has not answered."""
    return lines([
        bold(say.gettext("Please find out whether {name} is safely home.", name=safe(name, 40))),
        say.gettext(
            "They had said yes to {places}, by {time}, and have not answered me since.",
            places=say.and_list(safe(place, 40) for place in places),
            time=say.clock(due_at),
        ),
        say.gettext("Ring them, or go and look, two of you after dark."),
    ])  # fmt: skip


def safe_home(say: Say, name: str) -> str:
    """To organisers who had been asked to look."""
    return say.gettext("{name} is safely home. Thank you for looking out.", name=safe(name, 40))


def wants_help(say: Say, name: str) -> str:
    """To organisers, when somebody on a late duty asks for help."""
    return lines([
        bold(say.gettext("{name} asks for help just now.", name=safe(name, 40))),
        say.gettext("They were on a late turn for the garden. Please ring them at once."),
    ])  # fmt: skip


def help_comes(say: Say) -> str:
    """To whoever asked for help."""
    return lines([
        bold(say.gettext("I have asked an organiser to ring you at once.")),
        say.gettext("If you are hurt or in danger, ring the emergency number first."),
    ])  # fmt: skip
