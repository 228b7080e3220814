"""/members: who is in the garden; organisers change roles, hand over, and take people off the list."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.garden.everyone import voice
from bot.chat.html import safe
from bot.chat.people import departures
from bot.chat.people import gate_words as gate_wording
from bot.chat.people import helpers as helpers_chat
from bot.chat.people import helpers_words as helped_wording
from bot.chat.people import members_words as wording
from bot.chat.request import Request
from bot.chat.wire.message import post
from bot.core.garden.snapshot import Role
from bot.core.people.names import clean
from bot.i18n import Say
from bot.services.people import codes, membership, parting, personal_data, proxy
from bot.services.people.membership import Reply
from bot.storage.models import Garden, Member
from bot.storage.people import members

WORD = "members"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("who is in the garden; roles, people without the app")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    garden, me = found
    first, _, name = request.text.partition(" ")[2].strip().partition(" ")
    if first.casefold() == "add" and name.strip():
        await _add(request, garden, me, clean(name))
        return
    everyone = await members.in_garden(request.session, garden.id)
    helpers = await proxy.named(request.session, garden.id)
    await request.whisper(*wording.listing(request.say, garden.id, everyone, helpers, 0))


async def _add(request: Request, garden: Garden, me: Member, name: str) -> None:
    """Somebody without the app; until somebody else is named, they are asked through the organiser who wrote this."""
    if not name:
        await request.whisper(
            request.say.gettext("I can't read that as a name. Please write for example: /members add Edith")
        )
        return
    member = await proxy.add(request.session, garden.id, name, garden.language, request.now)
    if member is None:
        await request.whisper(request.say.gettext("{name} is on the list already.", name=safe(name, 60)))
        return
    if await proxy.name(request.session, member, me) is proxy.Naming.ASKED:
        await proxy.answer(request.session, member, me, request.now, yes=True)
    helpers = await proxy.named(request.session, garden.id)
    also = request.say.gettext("They are on the list. I ask them through you, until you choose another helper.")
    await request.whisper(
        wording.card(request.say, member, helpers, also), wording.card_buttons(request.say, member, me)
    )


async def press(request: Request, rest: str) -> None:
    """ "garden id:list:start", or "member id:deed"; by an organiser of that garden only."""
    who, _, deed = rest.partition(":")
    number = rights.whole(who)
    if number is None:
        await rights.stale(request)
    elif deed.startswith("list:"):
        await _page(request, number, rights.whole(deed.removeprefix("list:")) or 0)
    else:
        member = await members.ever(request.session, number)
        found = await rights.organiser_of(request, member.garden_id) if member else None
        if member is None:
            await rights.stale(request)
        elif found is not None:
            await _do(request, *found, member, deed)


async def _page(request: Request, garden_id: int, start: int) -> None:
    if await rights.organiser_of(request, garden_id) is not None:
        everyone = await members.in_garden(request.session, garden_id)
        helpers = await proxy.named(request.session, garden_id)
        await request.change(*wording.listing(request.say, garden_id, everyone, helpers, start))


async def _do(request: Request, garden: Garden, me: Member, member: Member, deed: str) -> None:
    if member.left_at is not None:
        await request.change(request.say.gettext("They are no longer on the list."))
    elif deed == "card":
        await _card(request, me, member, None)
    elif deed == "remove":
        await request.change(*wording.sure(request.say, member))
    elif deed == "helper":
        everyone = await members.in_garden(request.session, garden.id)
        able = [one for one in everyone if one.adult and membership.reachable(one) and one.id != member.id]
        await request.change(*helped_wording.choices(request.say, member, able))
    elif deed.startswith("by"):
        await _help(request, garden, me, member, rights.whole(deed.removeprefix("by")))
    elif deed in ("code", "coded") and member.person.user_id is None:
        await _code(request, garden, member, sure=deed == "coded")
    elif deed in ("forget", "forgotten") and member.person.user_id is None:
        await _forget(request, garden, me, member, sure=deed == "forgotten")
    else:
        await _change(request, garden, me, member, deed)


async def _change(request: Request, garden: Garden, me: Member, member: Member, deed: str) -> None:
    left = await parting.before(request.session, garden, member, request.now)
    was = {one.id: one.role for one in (me, member)}
    given = await _changed(request, me, member, deed)
    if given is None:
        await rights.stale(request)
    elif deed == "gone" and given is Reply.DONE:
        await departures.tell(request.session, garden, left, request.now, by=me)
        await departures.removed(request.session, garden, member, request.now)
        await request.change(request.say.gettext("They are no longer on the list."))
    else:
        if member.role is not was[member.id] and member.id != me.id:
            await _tell_role(request, garden, member)
        await _card(request, me, member, wording.reply(request.say, given))


async def _tell_role(request: Request, garden: Garden, member: Member) -> None:
    """A role that somebody else has changed is told to whoever has it now."""
    if member.person.user_id is not None:
        await post(
            request.session,
            key=f"role:{member.id}:{request.update.update_id}",
            chat_id=member.person.user_id,
            text=wording.promoted(voice(garden, member.person.language), garden.name, member.role),
            now=request.now,
        )


async def _help(request: Request, garden: Garden, me: Member, member: Member, helper_id: int | None) -> None:
    """Name the helper, 0 for nobody; an organiser who names themselves has agreed."""
    helper = await members.by_id(request.session, helper_id) if helper_id else None
    if helper_id is None or (helper_id and (helper is None or helper.garden_id != garden.id)):
        await rights.stale(request)
        return
    given = await proxy.name(request.session, member, helper)
    also = helped_wording.naming(request.say, given, helper)
    if given is proxy.Naming.ASKED and helper is not None and helper.id == me.id:
        await proxy.answer(request.session, member, me, request.now, yes=True)
        also = helped_wording.agreed(request.say, member, yes=True)
    await helpers_chat.ask_helpers(request.session, garden, request.now)
    await _card(request, me, member, also)


async def _code(request: Request, garden: Garden, member: Member, *, sure: bool) -> None:
    """A code by which whoever is listed gets their place, to be given in person; for an organiser's it is asked twice."""
    if member.role is Role.ORGANISER and not sure:
        await request.change(*gate_wording.sure_of_code(request.say, member))
        return
    made = await codes.issue(request.session, garden.id, member, request.now)
    await request.whisper(gate_wording.code(request.say, made))


async def _forget(request: Request, garden: Garden, me: Member, member: Member, *, sure: bool) -> None:
    """Somebody without the app has asked an organiser to be forgotten."""
    if not sure:
        await request.change(*wording.sure_forgotten(request.say, member))
        return
    left = await parting.before(request.session, garden, member, request.now)
    done = await personal_data.forget(request.session, member.person, request.now)
    if done.alone_in:
        await _card(request, me, member, wording.reply(request.say, Reply.LAST_ORGANISER))
        return
    await departures.tell(request.session, garden, left, request.now, by=me, named=False)
    await request.change(request.say.gettext("Done: I have forgotten them."))


async def _changed(request: Request, me: Member, member: Member, deed: str) -> Reply | None:
    """The deed done; None for what no button of ours says."""
    session = request.session
    if deed in tuple(Role):
        return await membership.make(session, member, Role(deed))
    if deed in ("adult", "child"):
        return await membership.set_adult(session, member, request.now, adult=deed == "adult")
    if deed == "hand":
        return await membership.hand_over(session, me, member)
    return await membership.remove(session, member, request.now, barred=member.id != me.id) if deed == "gone" else None


async def _card(request: Request, me: Member, member: Member, also: str | None) -> None:
    """What they may still do depends on what they have just done to themselves."""
    buttons = wording.card_buttons(request.say, member, me) if me.role is Role.ORGANISER else []
    helpers = await proxy.named(request.session, member.garden_id)
    await request.change(wording.card(request.say, member, helpers, also), buttons)
