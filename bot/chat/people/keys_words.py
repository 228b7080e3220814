"""Keys in words. Codes of locks are never asked for and never stored."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat.html import bold, lines, safe
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.services.people.keys import Held, Move
from bot.storage.models import Member
from bot.storage.states import KeyState

__all__ = ["card", "card_buttons", "listing", "listing_buttons", "to_whom"]


def listing(say: Say, keys: Sequence[Held], also: str | None = None) -> str:
    if not keys:
        return say.gettext("I do not know of any keys yet. An organiser can write /keys new and what the key opens.")
    return lines([also, bold(say.gettext("Keys:")), *(f"• {_line(say, key)}" for key in keys)])


def _line(say: Say, key: Held) -> str:
    name = _name(say, key)
    if key.state is KeyState.LOST:
        return say.gettext("{key}: lost.", key=name)
    if key.holder is None:
        return say.gettext("{key}: spare.", key=name)
    if key.has_left:
        return say.gettext("{key}: with {name}, who has left. Please get it back.", key=name, name=safe(key.holder, 40))
    if key.state is KeyState.LENT:
        return say.gettext("{key}: lent to {name}.", key=name, name=safe(key.holder, 40))
    return say.gettext("{key}: {name} has it.", key=name, name=safe(key.holder, 40))


def _name(say: Say, key: Held) -> str:
    return say.gettext("Key {name}", name=safe(key.name, 40))


def listing_buttons(say: Say, keys: Sequence[Held]) -> list[list[Button]]:
    """For organisers."""
    found: list[Button] = [(say.gettext("Key {name}", name=key.name)[:20], f"key:{key.id}:card") for key in keys]
    return [found[n : n + 3] for n in range(0, len(found), 3)]


def card(say: Say, key: Held, moves: Sequence[Move]) -> str:
    """One key, and what became of it lately."""
    return lines([
        bold(_line(say, key)),
        say.gettext("Before:") if moves else None,
        *(
            say.gettext("• {day}: {state}", day=say.day(say.local(one.moved_at).date()), state=_state(say, one))
            for one in moves
        ),
    ])  # fmt: skip


def _state(say: Say, move: Move) -> str:
    name = safe(move.holder or "–", 40)
    text = {
        KeyState.HELD: say.gettext("handed to {name}"),
        KeyState.LENT: say.gettext("lent to {name}"),
        KeyState.LOST: say.gettext("lost"),
        KeyState.SPARE: say.gettext("spare"),
    }[move.state]
    return say.fill(text, name=name)


def card_buttons(say: Say, key: Held) -> list[list[Button]]:
    return [
        [(say.gettext("Hand over the key"), f"key:{key.id}:held"), (say.gettext("Lend the key"), f"key:{key.id}:lent")],
        [
            (say.gettext("The key is lost"), f"key:{key.id}:lost"),
            (say.gettext("It is a spare key"), f"key:{key.id}:spare"),
        ],
        [(say.gettext("Show all keys"), f"key:{key.id}:list")],
    ]


def to_whom(say: Say, key: Held, state: KeyState, members: Sequence[Member]) -> tuple[str, list[list[Button]]]:
    """Ask to whom it goes: adults only."""
    ask = {
        KeyState.HELD: say.gettext("{key}: who gets it?"),
        KeyState.LENT: say.gettext("{key}: who borrows it?"),
    }[state]
    ask = say.fill(ask, key=_name(say, key))
    names: list[Button] = [(one.person.name[:20], f"key:{key.id}:{state}:{one.id}") for one in members if one.adult][
        :90
    ]  # the platform takes a hundred buttons under a message
    rows = [names[n : n + 2] for n in range(0, len(names), 2)]
    return bold(ask), [*rows, [(say.gettext("Show all keys"), f"key:{key.id}:list")]]
