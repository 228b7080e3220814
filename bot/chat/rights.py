"""Who may do what: looked up anew at every command and every press, and said kindly when they may not."""

from __future__ import annotations

from bot.chat.request import Turn
from bot.core.garden.snapshot import Role
from bot.storage.models import Garden, Member

__all__ = ["choose", "member", "organiser", "organiser_of", "organiser_pressed", "outsider", "own", "stale", "whole"]


def whole(text: str) -> int | None:
    """The number that a button carries; None for anything else: PostgreSQL's whole numbers have ten digits at most."""
    return int(text) if text.isdecimal() and len(text) < 10 else None


async def choose(turn: Turn) -> None:
    """Ask somebody of several gardens which one they speak of; what they wrote is done as soon as they say."""
    asked = turn.update.update_id
    buttons = [[(garden.name[:40], f"garden:{garden.id}:{asked}")] for garden in turn.choices]
    await turn.reply(turn.say.gettext("You belong to several gardens. Of which one do you speak?"), buttons)


async def outsider(turn: Turn, garden: Garden) -> None:
    """Somebody in the group who has not joined: the button by which they do."""
    join = [] if turn.private else [[(turn.say.gettext("Join"), f"join:{garden.id}")]]
    await turn.reply(turn.say.gettext("You are not on this garden's list yet. Tap Join in its group chat."), join)


async def member(turn: Turn) -> tuple[Garden, Member] | None:
    """The garden and the member who speaks; None, and told so, when there is none."""
    if turn.garden is None and turn.choices:
        await choose(turn)
        return None
    if turn.garden is None or turn.member is None:
        await turn.reply(turn.say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return None
    return turn.garden, turn.member


async def organiser(turn: Turn) -> tuple[Garden, Member] | None:
    """The same, for what only organisers do."""
    found = await member(turn)
    if found is None or found[1].role is Role.ORGANISER:
        return found
    await turn.reply(turn.say.gettext("Only organisers can do that. Ask one of them!"))
    return None


async def organiser_of(turn: Turn, garden_id: int) -> tuple[Garden, Member] | None:
    """Whoever pressed, as an organiser of the garden that the button speaks of."""
    if await turn.member_of(garden_id) is None:
        await turn.whisper(turn.say.gettext("That is for members of the garden. Send /start to me privately."))
        return None
    return await organiser(turn)


async def organiser_pressed(turn: Turn, rest: str) -> tuple[Garden, Member, str] | None:
    """Whoever pressed "garden id:deed", as an organiser of that garden, and the deed."""
    number, _, deed = rest.partition(":")
    garden_id = whole(number)
    found = await organiser_of(turn, garden_id) if garden_id is not None else None
    return None if found is None else (*found, deed)


async def own(turn: Turn, member_id: int) -> tuple[Garden, Member] | None:
    """Whoever pressed, when the button is about themselves."""
    user = turn.update.effective_user
    row = await turn.session.get(Member, member_id)
    if user is None or row is None or row.person.user_id != user.id or row.left_at is not None:
        await turn.whisper(turn.say.gettext("That button is for somebody else."))
        return None
    await turn.member_of(row.garden_id)
    return await member(turn)


async def stale(turn: Turn) -> None:
    """A button of ours that no longer means anything."""
    await turn.reply(turn.say.gettext("That button is from an older message and does nothing any more."))
