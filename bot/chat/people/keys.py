"""/keys: who holds which key; organisers hand over, lend, mark lost or spare. Always in private."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.people import keys_words as wording
from bot.chat.request import Request
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
    buttons = wording.listing_buttons(request.say, listed) if member.role is Role.ORGANISER else []
    await request.whisper(wording.listing(request.say, listed), buttons)


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
    await request.whisper(wording.listing(request.say, listed, also), wording.listing_buttons(request.say, listed))


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
        await request.change(*wording.to_whom(request.say, await _shown(request, key), state, everyone))
        return
    holder = next((one for one in everyone if one.id == to and one.adult), None)
    if holder is None:
        await _list(request, key, request.say.gettext("They are no longer on the list."))
        return
    await keys.move(request.session, key, state, holder, by, request.now)
    await _card(request, key)


async def _list(request: Request, key: Key, also: str | None) -> None:
    listed = await keys.of_garden(request.session, key.garden_id)
    await request.change(wording.listing(request.say, listed, also), wording.listing_buttons(request.say, listed))


async def _card(request: Request, key: Key) -> None:
    shown = await _shown(request, key)
    text = wording.card(request.say, shown, await keys.moves(request.session, key))
    await request.change(text, wording.card_buttons(request.say, shown))


async def _shown(request: Request, key: Key) -> Held:
    return next(one for one in await keys.of_garden(request.session, key.garden_id) if one.id == key.id)
