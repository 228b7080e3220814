"""Safely home? In words, calm and without blame."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.chat.html import bold, lines, safe
from bot.i18n import Say
from bot.services.tasks.safely_home import Reached

__all__ = ["help_comes", "not_understood", "passed_on", "question", "reported", "safe_home", "silent", "wants_help"]


def question(say: Say, places: Sequence[str], due_at: datetime, *, done: bool) -> str:
    """To whoever had said yes to what was due by then."""
    where = say.and_list(safe(place, 40) for place in places)
    words = {"places": where, "time": say.clock(due_at)}
    if done:
        about = say.gettext("Thank you for {places}. It got later than {time}.", **words)
    else:
        about = say.gettext("You said yes to {places} by {time}. It does not matter if it is not done.", **words)
    silence = say.gettext("If you do not answer, I will ask an organiser to look for you.")
    return lines([bold(say.gettext("Are you safely home?")), about, silence])


def silent(say: Say, name: str, places: Sequence[str], due_at: datetime) -> str:
    """To organisers, about somebody who has not answered."""
    return lines([
        bold(say.gettext("Please find out whether {name} is safely home.", name=safe(name, 40))),
        say.gettext(
            "They said yes to {places} by {time}. They have not answered me since then.",
            places=say.and_list(safe(place, 40) for place in places),
            time=say.clock(due_at),
        ),
        say.gettext("Call them, or go and look. After dark, go with two people."),
    ])  # fmt: skip


def safe_home(say: Say, name: str) -> str:
    """To organisers who had been asked to look."""
    return say.gettext("{name} is safely home. Thank you for your help.", name=safe(name, 40))


def reported(say: Say, name: str) -> str:
    """To organisers who had been asked to look, when somebody reports their work done without a word of home."""
    return say.gettext(
        "{name} has just told me that the job is done. Please still ask if they are home.", name=safe(name, 40)
    )


def wants_help(say: Say, name: str, words: str | None, places: Sequence[str], garden: str) -> str:
    """To organisers, when somebody cries for help."""
    return lines([
        bold(say.gettext("{name} needs help now.", name=safe(name, 40))),
        _written(say, words) if words else None,
        _where(say, places, garden),
        say.gettext("Please call them now. No answer? Go and look with two people, or call the emergency number."),
    ])  # fmt: skip


def not_understood(say: Say, name: str, words: str | None, places: Sequence[str]) -> str:
    """To organisers: an answer to "Are you safely home?" that is neither yes nor a plain cry."""
    return lines([
        bold(say.gettext("{name} has answered, but I can't tell if all is well.", name=safe(name, 40))),
        _written(say, words) if words else say.gettext("It was not a text. Maybe it was a voice message or a picture."),
        _where(say, places, None),
        say.gettext("Please call them now."),
    ])  # fmt: skip


def _written(say: Say, words: str) -> str:
    return say.gettext("They wrote: “{words}”", words=safe(words, 400))


def _where(say: Say, places: Sequence[str], garden: str | None) -> str | None:
    if places:
        return say.gettext("They had a job at {places}.", places=say.and_list(safe(place, 40) for place in places))
    return say.gettext("I do not know where they are. Garden: {garden}.", garden=safe(garden, 60)) if garden else None


def help_comes(say: Say, reached: Reached, *, job: bool) -> str:
    """To whoever cried for help. job: they are on one, so perhaps they only want one more person for it."""
    told = {
        Reached.ORGANISERS: say.gettext("I have just told the organisers and asked them to call you."),
        Reached.GROUP: say.gettext("I can't reach an organiser, so I have just told the group."),
        Reached.NOBODY: say.gettext("I can't reach anybody for you. Please call one of them yourself."),
    }[reached]
    return lines([
        bold(told),
        _emergency(say),
        say.gettext("Tell me where you are. I will pass it on.") if reached else None,
        say.gettext("Do you only need one more person for a job? Then tap that button.") if job else None,
    ])  # fmt: skip


def passed_on(say: Say) -> str:
    """To whoever's answer was not understood."""
    return lines([
        bold(say.gettext("I can't tell if you are safely home, so I have passed your words on to the organisers.")),
        _emergency(say),
        say.gettext("Are you well? One tap is enough."),
    ])  # fmt: skip


def _emergency(say: Say) -> str:
    return say.gettext("If you are hurt or in danger, call 112 or your local emergency number first.")
