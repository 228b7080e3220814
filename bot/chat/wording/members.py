"""Members as organisers see them: roles, who can be reached; no more than they need."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.message import Button
from bot.chat.wording.html import bold, lines, safe
from bot.core.garden import Role
from bot.i18n import Say
from bot.services.membership import Reply, reachable
from bot.storage.models import Member

__all__ = ["PAGE_N", "card", "card_buttons", "listing", "listing_buttons", "reply", "sure"]

#: Names that fit a phone's screen.
PAGE_N = 16


def listing(say: Say, members: Sequence[Member], start: int) -> str:
    shown = members[start : start + PAGE_N]
    return lines([
        bold(say.ngettext("{n} member:", "{n} members:", len(members))),
        *(_line(say, one) for one in shown),
        say.gettext("Tap a name to change something."),
    ])  # fmt: skip


def _line(say: Say, member: Member) -> str:
    about = [_role(say, member)]
    if not member.adult:
        about.append(say.gettext("not adult"))
    if not reachable(member):
        about.append(say.gettext("I can't write to them yet"))
    return say.gettext("• {name}: {about}", name=safe(member.person.name, 40), about=say.and_list(about))


def _role(say: Say, member: Member) -> str:
    return say.gettext("organiser") if member.role is Role.ORGANISER else say.gettext("member")


def listing_buttons(say: Say, garden_id: int, members: Sequence[Member], start: int) -> list[list[Button]]:
    keys: list[Button] = [(one.person.name[:20], f"who:{one.id}:card") for one in members[start : start + PAGE_N]]
    rows = [keys[n : n + 2] for n in range(0, len(keys), 2)]
    more: list[Button] = []
    if start > 0:
        more.append((say.gettext("Back"), f"who:{garden_id}:list:{max(0, start - PAGE_N)}"))
    if len(members) > start + PAGE_N:
        more.append((say.gettext("The rest"), f"who:{garden_id}:list:{start + PAGE_N}"))
    return [*rows, more] if more else rows


def card(say: Say, member: Member, also: str | None = None) -> str:
    """One member. also: what has just been done, said first."""
    return lines([
        also,
        bold(safe(member.person.name, 60)),
        _line(say, member),
        None
        if reachable(member)
        else say.gettext("They have to press Start in a private chat with me, before I can ask them for anything."),
    ])  # fmt: skip


def card_buttons(say: Say, member: Member, me: Member) -> list[list[Button]]:
    """Each says what it sets, so that a second tap changes nothing more."""
    mine = member.id == me.id
    adult = say.gettext("Not an adult") if member.adult else say.gettext("Is an adult")
    first: list[Button] = [
        (say.gettext("Make member"), f"who:{member.id}:member")
        if member.role is Role.ORGANISER
        else (say.gettext("Make organiser"), f"who:{member.id}:organiser"),
        (adult, f"who:{member.id}:{'child' if member.adult else 'adult'}"),
    ]
    second: list[Button] = [(say.gettext("Remove"), f"who:{member.id}:remove")]
    if not mine:
        second.insert(0, (say.gettext("Hand over to them"), f"who:{member.id}:hand"))
    return [first, second, [(say.gettext("All members"), f"who:{member.garden_id}:list:0")]]


def sure(say: Say, member: Member) -> tuple[str, list[list[Button]]]:
    """Asked before somebody is taken off the list."""
    text = say.gettext(
        "Take {name} off the list? What they have taken on goes to others. Take them out of the group chat too, "
        "or else they can tap Join again.",
        name=bold(safe(member.person.name, 60)),
    )
    yes: Button = (say.gettext("Yes, remove"), f"who:{member.id}:gone")
    return text, [[yes, (say.gettext("No"), f"who:{member.id}:card")]]


def reply(say: Say, given: Reply) -> str:
    return {
        Reply.DONE: say.gettext("Done."),
        Reply.ALREADY: say.gettext("It is so already."),
        Reply.LAST_ORGANISER: say.gettext(
            "A garden needs somebody who looks after it. First make somebody else an organiser, then this can be done. "
            "Thank you for all you do!"
        ),
        Reply.UNREACHABLE: say.gettext("An organiser must be somebody I can write to. Ask them to press Start first."),
        Reply.ADULTS_ONLY: say.gettext("Only adults can be organisers."),
    }[given]
