"""A group that can't be written to, in words: what is wrong, what stops, what goes on, and which switch mends it."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.i18n import Say
from bot.storage.models import Warning
from bot.storage.states import Shut

_NAMES_N = 10


def note(say: Say, garden: str, what: Shut, unreached: Sequence[str], warnings: Sequence[Warning]) -> str:
    """To organisers, at once."""
    if not what.silent:
        return lines([bold(wrong(say, what, garden)), mend(say, what), say.gettext("Until then I write in General.")])
    return lines([
        bold(wrong(say, what, garden)),
        say.gettext("What stops: the calendar, reports and all the rest in the group."),
        say.gettext(
            "What still works: I warn each member whom I can reach in a private chat. I ask people to take "
"turns as before."
        ),
        _missing(say, unreached),
        say.gettext("Warnings now: {warnings}.", warnings=say.and_list(_named(say, warnings))) if warnings else None,
        mend(say, what),
    ])  # fmt: skip


def wrong(say: Say, what: Shut, garden: str) -> str:
    name = safe(garden, 60)
    return {
        Shut.REMOVED: say.gettext("I am no longer in the group of {garden}.", garden=name),
        Shut.GONE: say.gettext("I can't find the group of {garden} any more.", garden=name),
        Shut.MUTED: say.gettext("I am not allowed to write in the group of {garden} any more.", garden=name),
        Shut.CLOSED: say.gettext("The topic in the group of {garden} where I write is closed.", garden=name),
        Shut.TOPIC_CLOSED: say.gettext("My topic in the group of {garden} is closed.", garden=name),
        Shut.TOPIC_GONE: say.gettext("My topic in the group of {garden} is gone.", garden=name),
    }[what]


def mend(say: Say, what: Shut) -> str:
    """What to do about it."""
    return {
        Shut.REMOVED: say.gettext("To get me back: add me to the group again. Then I ask you if I should write there."),
        Shut.GONE: say.gettext("To get me back: add me to your group chat, the same or a new one."),
        Shut.MUTED: say.gettext(
            "To fix it: in the group, open Manage group, then Permissions. There, switch on “Send messages” "
            "for members. Or make me an administrator of the group. Then send me /setup."
        ),
        Shut.CLOSED: say.gettext(
            "To fix it: please open the topic again. Or make me an administrator of the group, with the right "
            "to manage topics. Then send me /setup."
        ),
        Shut.TOPIC_CLOSED: say.gettext("To fix it: please open the topic again. Then I write there again."),
        Shut.TOPIC_GONE: say.gettext("To choose a new topic: write /setup in the topic that I should use."),
    }[what]


def today(say: Say, shut: str, reached_n: int, unreached: Sequence[str], *, mends: bool) -> str | None:
    """To organisers, under the day's first warning that no group has got; None where there is nothing to say or do.

    mends: with what to do about it, which they hear at once on the first day.
    """
    if not shut and not unreached:
        return None
    where = {
        Shut.REMOVED: say.gettext("This is not in the group chat: I am not in the group."),
        Shut.GONE: say.gettext("This is not in the group chat: I can't find the group."),
    }
    not_there = say.gettext("This is not in the group chat: I am not allowed to write there.")
    return lines([
        bold(where.get(Shut(shut), not_there)) if shut else None,
        say.ngettext("I have sent it to {n} member privately.", "I have sent it to {n} members privately.", reached_n),
        _missing(say, unreached),
        mend(say, Shut(shut)) if shut and mends else None,
    ])  # fmt: skip


def _missing(say: Say, unreached: Sequence[str]) -> str | None:
    if not unreached:
        return None
    shown = [safe(one, 40) for one in unreached[:_NAMES_N]]
    if more := len(unreached) - len(shown):
        shown.append(say.ngettext("{n} more", "{n} more", more))
    return say.gettext(
        "I can't write to these people, so please tell them yourself: {people}.", people=say.and_list(shown)
    )


def _named(say: Say, warnings: Sequence[Warning]) -> list[str]:
    return [
        say.gettext("{hazard}, {day}", hazard=names.hazard(say, one.hazard), day=say.day(one.window_on))
        for one in warnings
    ]


def again(say: Say) -> str:
    """To the group, and what shows that it can be written to."""
    return lines([
        bold(say.gettext("I can write here again.")),
        say.gettext("When I could not, I sent warnings to each of you privately. From now on they come here."),
    ])  # fmt: skip


def back(say: Say, garden: str, what: Shut) -> str:
    """To organisers."""
    name = safe(garden, 60)
    if not what.silent:
        return say.gettext("I write in the topic of {garden} again.", garden=name)
    return say.gettext("I write in the group of {garden} again. The current warnings are there now.", garden=name)


def offer(say: Say, garden: str, group: str) -> str:
    """To organisers: the bot was added to their garden's group again, by whomever."""
    return lines([
        bold(say.gettext("I am in the group “{group}” again.", group=safe(group, 60))),
        say.gettext(
            "Do you want me to write there again for {garden}? Then warnings and the calendar come there again.",
            garden=safe(garden, 60),
        ),
    ])  # fmt: skip


def asked_in_group(say: Say, garden: str) -> str:
    return lines([
        bold(say.gettext("Hello again, {garden}!", garden=safe(garden, 60))),
        say.gettext("I write here again when an organiser says yes. Until then I warn each of you in a "
                    "private chat. Organisers, please tap:"),
    ])  # fmt: skip
