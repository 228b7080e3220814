"""/members: who is in the garden; organisers change roles, hand over, and take people off the list."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.turn import Turn
from bot.chat.wording import members as wording
from bot.core.garden import Role
from bot.i18n import Say
from bot.services import membership
from bot.services.membership import Reply
from bot.storage import members
from bot.storage.models import Member

WORD = "members"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("who is in the garden; roles, handing over")


async def answer(turn: Turn) -> None:
    found = await rights.organiser(turn)
    if found is not None:
        everyone = await members.in_garden(turn.session, found[0].id)
        await turn.whisper(
            wording.listing(turn.say, everyone, 0), wording.listing_buttons(turn.say, found[0].id, everyone, 0)
        )


async def press(turn: Turn, rest: str) -> None:
    """ "garden id:list:start", or "member id:deed"; by an organiser of that garden only."""
    who, _, deed = rest.partition(":")
    number = rights.whole(who)
    if number is None:
        await rights.stale(turn)
    elif deed.startswith("list:"):
        await _page(turn, number, rights.whole(deed.removeprefix("list:")) or 0)
    else:
        member = await turn.session.get(Member, number)
        found = await rights.organiser_of(turn, member.garden_id) if member else None
        if member is None:
            await rights.stale(turn)
        elif found is not None:
            await _do(turn, found[1], member, deed)


async def _page(turn: Turn, garden_id: int, start: int) -> None:
    if await rights.organiser_of(turn, garden_id) is not None:
        everyone = await members.in_garden(turn.session, garden_id)
        await turn.change(
            wording.listing(turn.say, everyone, start), wording.listing_buttons(turn.say, garden_id, everyone, start)
        )


async def _do(turn: Turn, me: Member, member: Member, deed: str) -> None:
    if member.left_at is not None:
        await turn.change(turn.say.gettext("They are off the list."))
    elif deed == "card":
        await _card(turn, me, member, None)
    elif deed == "remove":
        await turn.change(*wording.sure(turn.say, member))
    else:
        given = await _changed(turn, me, member, deed)
        if given is None:
            await rights.stale(turn)
        elif deed == "gone" and given is Reply.DONE:
            await turn.change(turn.say.gettext("They are off the list."))
        else:
            await _card(turn, me, member, wording.reply(turn.say, given))


async def _changed(turn: Turn, me: Member, member: Member, deed: str) -> Reply | None:
    """The deed done; None for what no button of ours says."""
    session = turn.session
    if deed in tuple(Role):
        return await membership.make(session, member, Role(deed))
    if deed in ("adult", "child"):
        return await membership.set_adult(session, member, turn.now, adult=deed == "adult")
    if deed == "hand":
        return await membership.hand_over(session, me, member)
    return await membership.remove(session, member, turn.now) if deed == "gone" else None


async def _card(turn: Turn, me: Member, member: Member, also: str | None) -> None:
    """What they may still do depends on what they have just done to themselves."""
    buttons = wording.card_buttons(turn.say, member, me) if me.role is Role.ORGANISER else []
    await turn.change(wording.card(turn.say, member, also), buttons)
