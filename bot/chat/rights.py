"""Who may do what: looked up anew at every command and every press, and said kindly when they may not."""

from __future__ import annotations

from typing import Any

from bot.chat.request import Request
from bot.core.garden.snapshot import Role
from bot.storage.models import Garden, Member
from bot.storage.people import members
from bot.storage.wire import said

#: The platform numbers updates with up to ten digits; those of a stage have more.
_DIGITS_N = 20


def whole(text: str) -> int | None:
    """The number that a button carries; None for anything else: PostgreSQL's whole numbers have ten digits at most."""
    return int(text) if text.isdecimal() and len(text) < 10 else None


async def earlier(request: Request, update_id: str) -> dict[str, Any] | None:
    """What whoever pressed wrote in the update whose number their button carries; taken once, so that a second press does
    nothing twice.
    """
    user = request.update.effective_user
    number = int(update_id) if update_id.isdecimal() and len(update_id) < _DIGITS_N else None
    return await said.take(request.session, number, user.id) if user and number is not None else None


async def choose(request: Request) -> None:
    """Ask somebody of several gardens which one they speak of; what they wrote is done as soon as they say."""
    asked = request.update.update_id
    buttons = [[(garden.name[:40], f"garden:{garden.id}:{asked}")] for garden in request.choices]
    await request.reply(request.say.gettext("You are in more than one garden. Which one do you mean?"), buttons)


async def outsider(request: Request, garden: Garden) -> None:
    """Somebody in the group who has not joined: the button by which they do."""
    join = [] if request.private else [[(request.say.gettext("Join"), f"join:{garden.id}")]]
    await request.reply(request.say.gettext("You are not on this garden's list yet. Tap Join in its group chat."), join)


async def member(request: Request) -> tuple[Garden, Member] | None:
    """The garden and the member who speaks; None, and told so, when there is none."""
    if request.garden is None and request.choices:
        await choose(request)
        return None
    if request.garden is None or request.member is None:
        await request.reply(request.say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return None
    return request.garden, request.member


async def organiser(request: Request) -> tuple[Garden, Member] | None:
    """The same, for what only organisers do."""
    found = await member(request)
    if found is None or found[1].role is Role.ORGANISER:
        return found
    await request.reply(request.say.gettext("Please ask one of the organisers to do that."))
    return None


async def organiser_of(request: Request, garden_id: int) -> tuple[Garden, Member] | None:
    """Whoever pressed, as an organiser of the garden that the button speaks of."""
    if await request.member_of(garden_id) is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return None
    return await organiser(request)


async def organiser_pressed(request: Request, rest: str) -> tuple[Garden, Member, str] | None:
    """Whoever pressed "garden id:deed", as an organiser of that garden, and the deed."""
    number, _, deed = rest.partition(":")
    garden_id = whole(number)
    found = await organiser_of(request, garden_id) if garden_id is not None else None
    return None if found is None else (*found, deed)


async def own(request: Request, member_id: int) -> tuple[Garden, Member] | None:
    """Whoever pressed, when the button is about themselves."""
    user = request.update.effective_user
    row = await members.by_id(request.session, member_id)
    if user is None or row is None or row.person.user_id != user.id or row.left_at is not None:
        await request.whisper(request.say.gettext("That button is for somebody else."))
        return None
    await request.member_of(row.garden_id)
    return await member(request)


async def stale(request: Request) -> None:
    """A button of ours that no longer means anything."""
    await request.reply(request.say.gettext("That button is from an old message and no longer works."))
