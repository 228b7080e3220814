"""What is stored about a person, in plain words."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.html import bold, lines, safe
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import LANGUAGES, Say
from bot.services.people.personal_data import AboutPerson
from bot.services.people.retention import INBOX_FOR, OUTBOX_FOR
from bot.storage.models import Member, Person

__all__ = ["buttons", "stored", "sure"]


def stored(say: Say, person: Person, known: Sequence[AboutPerson]) -> str:
    """Everything, by garden; then the messages, and where to read more."""
    return lines([
        bold(say.gettext("What I keep about you:")),
        say.gettext(
            "Your name here ({name}), your number in this chat app so that I can write to you, and that we speak "
            "{language}.",
            name=safe(person.name, 60),
            language=LANGUAGES[say.language],
        ),
        *(line for one in known for line in _garden(say, one)),
        say.gettext(
            "What you write to me is kept for {inbox} days, what I send you for {outbox} days.",
            inbox=say.number(INBOX_FOR.days),
            outbox=say.number(OUTBOX_FOR.days),
        ),
        say.gettext("Nobody but the organisers and whoever runs me can look at it, and nothing is passed on."),
        say.gettext("You can have all of it as a file, or be forgotten."),
    ])  # fmt: skip


def _garden(say: Say, known: AboutPerson) -> list[str | None]:
    role = say.gettext("organiser") if known.member.role is Role.ORGANISER else say.gettext("member")
    name = bold(safe(known.garden, 60))
    first = (
        say.gettext("{garden}: you have left it; the record of what was done stays.", garden=name)
        if known.has_left
        else say.gettext("{garden}: {role}, {adult}.", garden=name, role=role, adult=_adult(say, known))
    )
    return [
        first,
        say.gettext("• Plots: {plots}.", plots=say.and_list(safe(plot, 40) for plot in known.plots))
        if known.plots
        else None,
        say.gettext("• What you are glad to do: see /wishes.") if not known.has_left else None,
        say.gettext("• That you were last here on {day}.", day=say.day(say.local(known.member.heard_at).date()))
        if known.member.heard_at is not None
        else None,
        say.gettext(
            "• That you help {names}, who has no app.", names=say.and_list(safe(one, 40) for one in known.helps)
        )
        if known.helps
        else None,
        say.ngettext("• {n} key that you hold.", "• {n} keys that you hold.", known.keys_n) if known.keys_n else None,
        say.ngettext("• {n} absence.", "• {n} absences.", known.aways_n) if known.aways_n else None,
        say.ngettext(
            "• {n} turn that you were asked for, for fairness.",
            "• {n} turns that you were asked for, for fairness.",
            known.turns_n,
        ),
        say.ngettext("• {n} note of yours in the journal.", "• {n} notes of yours in the journal.", known.entries_n),
        say.ngettext("• {n} thermometer reading.", "• {n} thermometer readings.", known.readings_n)
        if known.readings_n
        else None,
    ]


def _adult(say: Say, known: AboutPerson) -> str:
    return say.gettext("adult") if known.member.adult else say.gettext("not adult")


def buttons(say: Say, person: Person, known: Sequence[AboutPerson]) -> list[list[Button]]:
    leave = [[leave_button(say, one.member, one.garden)] for one in known if not one.has_left]
    return [
        [(say.gettext("As a file"), f"mine:{person.id}:file"), (say.gettext("Forget me"), f"mine:{person.id}:forget")],
        *leave,
    ]


def leave_button(say: Say, member: Member, garden: str) -> Button:
    return say.gettext("Leave {garden}", garden=garden)[:40], f"still:{member.id}:leave"


def sure(say: Say, person: Person) -> tuple[str, list[list[Button]]]:
    """Asked before anything is forgotten."""
    text = say.gettext(
        "Forget you? Your name, your wishes and our messages go, you leave every garden, and your open turns go to "
        "others. What was sown, picked and done stays in the journal, without your name. This can't be taken back."
    )
    yes: Button = (say.gettext("Yes, forget me"), f"mine:{person.id}:yes")
    return text, [[yes, (say.gettext("No"), f"mine:{person.id}:no")]]
