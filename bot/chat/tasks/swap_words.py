"""Swaps in words. Saying no is as easy as saying yes."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.html import bold, lines, safe
from bot.chat.tasks import duty_words
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.services.tasks.swap import Swap
from bot.services.warnings.views import WarningView
from bot.storage.models import Member

__all__ = ["ask", "ask_buttons", "names", "reply"]

#: Names under a message; whoever is not among them is named in the command.
NAMES_N = 24


def names(warning_id: int, members: Sequence[Member]) -> list[list[Button]]:
    found: list[Button] = [(one.person.name[:20], f"swap:{warning_id}:ask:{one.id}") for one in members[:NAMES_N]]
    return [found[n : n + 2] for n in range(0, len(found), 2)]


def ask(told: Told, view: WarningView, giver: Member) -> str:
    """The private question to whoever is named."""
    say = told.say
    theirs = view.open_duties_of(giver.id)
    due_at = min((duty.due_at for duty in theirs), default=view.due_at)
    return lines([
        bold(
            say.gettext(
                "{name} asks: can you do this for them, by {time}, {day}?",
                name=safe(giver.person.name, 40),
                time=say.clock(due_at),
                day=say.near_day(say.local(due_at).date(), told.now),
            )
        ),
        *duty_words.listing(say, told.crops, theirs, asked=False),
        say.ngettext("About {n} minute.", "About {n} minutes.", sum(duty.minutes for duty in theirs)),
        duty_words.caution(say, view.hazard, theirs),
        say.gettext("If you can't, just say so. That is fine."),
    ])  # fmt: skip


def ask_buttons(say: Say, warning_id: int, giver: Member) -> list[list[Button]]:
    return [
        [
            (say.gettext("I'll do it"), f"swap:{warning_id}:yes:{giver.id}"),
            (say.gettext("I can't"), f"swap:{warning_id}:no:{giver.id}"),
        ]
    ]


def reply(say: Say, given: Swap, name: str) -> str:
    """What became of it. name: the other one, as the platform or they themselves write it."""
    texts = {
        Swap.MOVED: say.gettext("Thank you! You will do it instead of {name}."),
        Swap.ALREADY: say.gettext("I already have your answer, thank you."),
        Swap.NOTHING: say.gettext("This turn is no longer open. Thank you!"),
        Swap.KEPT: say.gettext("{name} will do it after all, so nothing changes. Thank you!"),
        Swap.SELF: say.gettext("That is already your turn."),
        Swap.ON_IT: say.gettext("They do this job too, so one of you would be missing."),
        Swap.ADULTS_ONLY: say.gettext("Only adults take turns. Please choose somebody else."),
        Swap.UNREACHABLE: say.gettext("I can't write to {name}. Please choose somebody else."),
        Swap.TOO_HEAVY: say.gettext("That would be too heavy for them. Please choose somebody else."),
        Swap.KEY_NEEDED: say.gettext("We need somebody with a key there. Please choose somebody else."),
    }
    return say.fill(texts[given], name=safe(name, 40))
