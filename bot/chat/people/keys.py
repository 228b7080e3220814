"""/keys: who holds which key; organisers hand over, lend, mark lost or spare. Always in private.

Keys in words. Codes of locks are never asked for and never stored.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.people import keys
from bot.services.people.keys import Held, Move
from bot.storage.models import Key, Member
from bot.storage.people import members
from bot.storage.states import KeyState


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


WORD = "keys"
_NEW = "new"
NAME_N = 40


def about(say: Say) -> str:
    return say.gettext("who has which key")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    _, _, asked = request.text.partition(" ")
    word, _, name = asked.strip().partition(" ")
    if word.casefold() == _NEW:
        await _add(request, name.strip()[:NAME_N])
        return
    listed = await keys.of_garden(request.session, garden.id)
    buttons = listing_buttons(request.say, listed) if member.role is Role.ORGANISER else []
    await request.whisper(listing(request.say, listed), buttons)


async def _add(request: Request, name: str) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    if not name:
        await request.whisper(request.say.gettext("What does it open? Write for example: /keys new Tunnel"))
        return
    key = await keys.add(request.session, found[0].id, name, found[1], request.now)
    listed = await keys.of_garden(request.session, found[0].id)
    also = None if key else request.say.gettext("There is already a key with that name.")
    await request.whisper(listing(request.say, listed, also), listing_buttons(request.say, listed))


async def press(request: Request, rest: str) -> None:
    """ "key id:what" or "key id:state:member id"; by an organiser of that garden only."""
    number, _, deed = rest.partition(":")
    key_id = rights.whole(number)
    key = await keys.by_id(request.session, key_id) if key_id is not None else None
    if key is None:
        await rights.stale(request)
        return
    found = await rights.organiser_of(request, key.garden_id)
    if found is not None:
        await _do(request, key, deed, found[1])


async def _do(request: Request, key: Key, deed: str, by: Member) -> None:
    what, _, to = deed.partition(":")
    if what == "list":
        await _list(request, key, None)
    elif what == "card":
        await _card(request, key)
    elif what in (KeyState.LOST, KeyState.SPARE):
        await keys.move(request.session, key, KeyState(what), None, by, request.now)
        await _card(request, key)
    elif what in (KeyState.HELD, KeyState.LENT):
        await _give(request, key, KeyState(what), rights.whole(to), by)
    else:
        await rights.stale(request)


async def _give(request: Request, key: Key, state: KeyState, to: int | None, by: Member) -> None:
    """Ask to whom, then give it to them: an adult member of this garden, as it is now."""
    everyone = await members.in_garden(request.session, key.garden_id)
    if to is None:
        await request.change(*to_whom(request.say, await _shown(request, key), state, everyone))
        return
    holder = next((one for one in everyone if one.id == to and one.adult), None)
    if holder is None:
        await _list(request, key, request.say.gettext("They are no longer on the list."))
        return
    await keys.move(request.session, key, state, holder, by, request.now)
    await _card(request, key)


async def _list(request: Request, key: Key, also: str | None) -> None:
    listed = await keys.of_garden(request.session, key.garden_id)
    await request.change(listing(request.say, listed, also), listing_buttons(request.say, listed))


async def _card(request: Request, key: Key) -> None:
    shown = await _shown(request, key)
    text = card(request.say, shown, await keys.moves(request.session, key))
    await request.change(text, card_buttons(request.say, shown))


async def _shown(request: Request, key: Key) -> Held:
    return next(one for one in await keys.of_garden(request.session, key.garden_id) if one.id == key.id)
