"""/keys: who holds which key; organisers hand over, lend, mark lost or spare. Always in private."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.people import keys_words as wording
from bot.chat.request import Turn
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.people import keys
from bot.services.people.keys import Held
from bot.storage.models import Key, Member
from bot.storage.people import members
from bot.storage.states import KeyState

WORD = "keys"
_NEW = "new"
NAME_N = 40


def about(say: Say) -> str:
    return say.gettext("who holds which key")


async def answer(turn: Turn) -> None:
    found = await rights.member(turn)
    if found is None:
        return
    garden, member = found
    _, _, asked = turn.text.partition(" ")
    word, _, name = asked.strip().partition(" ")
    if word.casefold() == _NEW:
        await _add(turn, name.strip()[:NAME_N])
        return
    listed = await keys.of_garden(turn.session, garden.id)
    buttons = wording.listing_buttons(turn.say, listed) if member.role is Role.ORGANISER else []
    await turn.whisper(wording.listing(turn.say, listed), buttons)


async def _add(turn: Turn, name: str) -> None:
    found = await rights.organiser(turn)
    if found is None:
        return
    if not name:
        await turn.whisper(turn.say.gettext("What does it open? Write for example: /keys new Tunnel"))
        return
    key = await keys.add(turn.session, found[0].id, name, found[1], turn.now)
    listed = await keys.of_garden(turn.session, found[0].id)
    also = None if key else turn.say.gettext("There is a key of that name already.")
    await turn.whisper(wording.listing(turn.say, listed, also), wording.listing_buttons(turn.say, listed))


async def press(turn: Turn, rest: str) -> None:
    """ "key id:what" or "key id:state:member id"; by an organiser of that garden only."""
    number, _, deed = rest.partition(":")
    key_id = rights.whole(number)
    key = await keys.by_id(turn.session, key_id) if key_id is not None else None
    if key is None:
        await rights.stale(turn)
        return
    found = await rights.organiser_of(turn, key.garden_id)
    if found is not None:
        await _do(turn, key, deed, found[1])


async def _do(turn: Turn, key: Key, deed: str, by: Member) -> None:
    what, _, to = deed.partition(":")
    if what == "list":
        await _list(turn, key, None)
    elif what == "card":
        await _card(turn, key)
    elif what in (KeyState.LOST, KeyState.SPARE):
        await keys.move(turn.session, key, KeyState(what), None, by, turn.now)
        await _card(turn, key)
    elif what in (KeyState.HELD, KeyState.LENT):
        await _give(turn, key, KeyState(what), rights.whole(to), by)
    else:
        await rights.stale(turn)


async def _give(turn: Turn, key: Key, state: KeyState, to: int | None, by: Member) -> None:
    """Ask to whom, then give it to them: an adult member of this garden, as it is now."""
    everyone = await members.in_garden(turn.session, key.garden_id)
    if to is None:
        await turn.change(*wording.to_whom(turn.say, await _shown(turn, key), state, everyone))
        return
    holder = next((one for one in everyone if one.id == to and one.adult), None)
    if holder is None:
        await _list(turn, key, turn.say.gettext("They are off the list."))
        return
    await keys.move(turn.session, key, state, holder, by, turn.now)
    await _card(turn, key)


async def _list(turn: Turn, key: Key, also: str | None) -> None:
    listed = await keys.of_garden(turn.session, key.garden_id)
    await turn.change(wording.listing(turn.say, listed, also), wording.listing_buttons(turn.say, listed))


async def _card(turn: Turn, key: Key) -> None:
    shown = await _shown(turn, key)
    text = wording.card(turn.say, shown, await keys.moves(turn.session, key))
    await turn.change(text, wording.card_buttons(turn.say, shown))


async def _shown(turn: Turn, key: Key) -> Held:
    return next(one for one in await keys.of_garden(turn.session, key.garden_id) if one.id == key.id)
