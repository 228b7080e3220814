"""What is said about things that are on still, and about reports that answer what was asked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.chat import names
from bot.chat.html import lines, safe
from bot.core.garden.snapshot import Cover
from bot.core.warnings.hazards import TaskKind
from bot.i18n import Say
from bot.services.warnings.worth import Worth
from bot.storage.models import Task

__all__ = ["answers", "noted", "nothing", "stays", "which", "worth"]


def which(say: Say) -> str:
    return say.gettext("What have you seen? Tap what is still as it was.")


def noted(say: Say, places: Sequence[str], until_at: datetime) -> str:
    """A tap counts for one night; it says so, since nobody takes it for longer by mistake."""
    day = say.day(say.local(until_at).date())
    return lines([
        say.gettext(
            "Noted, it is still like that: {places}. I will count on it until {day}.", places=_named(say, places), day=day
        ),
        say.gettext("Will it stay like that for longer? Please tap the button."),
    ])  # fmt: skip


def stays(say: Say, places: Sequence[str]) -> str:
    return say.gettext(
        "Noted: {places} stays like that until somebody tells me it has changed. I will count on it in every forecast.",
        places=_named(say, places),
    )


def nothing(say: Say) -> str:
    return say.gettext("I do not know of anything that could still be on there. Thank you for looking!")


def answers(say: Say, places: Sequence[str]) -> str:
    """A report did what people had been asked for."""
    return say.gettext(
        "That is what I asked for ({places}), so nobody else needs to do it. Thank you!", places=_named(say, places)
    )


def worth(say: Say, place: str, given: Cover, duty: Task, odds: Worth) -> str:
    """Less was done than was asked for: what it is worth, and what is gained by doing the rest."""
    words = {
        "place": safe(place, 40),
        "given": names.cover(say, given),
        "odds": say.in_ten(odds.given),
        "asked_odds": say.in_ten(odds.asked),
    }
    if duty.kind is TaskKind.COVER and duty.cover is not None:
        asked = names.cover(say, duty.cover)
        return say.gettext(
            "{place}: with {given} the chance of damage is {odds}. With {asked}, as I asked, it would be {asked_odds}.",
            asked=asked,
            **words,
        )
    return say.gettext(
        "{place}: with {given} the chance of damage is {odds}. Done as I asked, it would be {asked_odds}.", **words
    )


def _named(say: Say, places: Sequence[str]) -> str:
    return say.and_list(dict.fromkeys(safe(place, 40) for place in places))
