"""/members: who is in the garden; organisers change roles, hand over, and take people off the list."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.html import safe
from bot.chat.people import departures
from bot.chat.people import gate_words as gate_wording
from bot.chat.people import helpers as helpers_chat
from bot.chat.people import helpers_words as helped_wording
from bot.chat.people import members_words as wording
from bot.chat.request import Turn
from bot.chat.warnings.announce import voice
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
    return say.gettext("who is in the garden; roles, handing over, people without the app")


async def answer(turn: Turn) -> None:
    found = await rights.organiser(turn)
    if found is None:
        return
    garden, me = found
    first, _, name = turn.text.partition(" ")[2].strip().partition(" ")
    if first.casefold() == "add" and name.strip():
        await _add(turn, garden, me, clean(name))
        return
    everyone = await members.in_garden(turn.session, garden.id)
    helpers = await proxy.named(turn.session, garden.id)
    await turn.whisper(
        wording.listing(turn.say, everyone, helpers, 0), wording.listing_buttons(turn.say, garden.id, everyone, 0)
    )


async def _add(turn: Turn, garden: Garden, me: Member, name: str) -> None:
    """Somebody without the app; until somebody else is named, they are asked through the organiser who wrote this."""
    if not name:
        await turn.whisper(turn.say.gettext("That is no name that I can read. Please write: /members add Edith"))
        return
    member = await proxy.add(turn.session, garden.id, name, garden.language, turn.now)
    if member is None:
        await turn.whisper(turn.say.gettext("{name} is on the list already.", name=safe(name, 60)))
        return
    if await proxy.name(turn.session, member, me) is proxy.Naming.ASKED:
        await proxy.answer(turn.session, member, me, turn.now, yes=True)
    helpers = await proxy.named(turn.session, garden.id)
    also = turn.say.gettext("On the list. I ask them through you, until you name another helper.")
    await turn.whisper(wording.card(turn.say, member, helpers, also), wording.card_buttons(turn.say, member, me))


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
            await _do(turn, *found, member, deed)


async def _page(turn: Turn, garden_id: int, start: int) -> None:
    if await rights.organiser_of(turn, garden_id) is not None:
        everyone = await members.in_garden(turn.session, garden_id)
        helpers = await proxy.named(turn.session, garden_id)
        await turn.change(
            wording.listing(turn.say, everyone, helpers, start),
            wording.listing_buttons(turn.say, garden_id, everyone, start),
        )


async def _do(turn: Turn, garden: Garden, me: Member, member: Member, deed: str) -> None:
    if member.left_at is not None:
        await turn.change(turn.say.gettext("They are off the list."))
    elif deed == "card":
        await _card(turn, me, member, None)
    elif deed == "remove":
        await turn.change(*wording.sure(turn.say, member))
    elif deed == "helper":
        everyone = await members.in_garden(turn.session, garden.id)
        able = [one for one in everyone if one.adult and membership.reachable(one) and one.id != member.id]
        await turn.change(*helped_wording.choices(turn.say, member, able))
    elif deed.startswith("by"):
        await _help(turn, garden, me, member, rights.whole(deed.removeprefix("by")))
    elif deed in ("code", "coded") and member.person.user_id is None:
        await _code(turn, garden, member, sure=deed == "coded")
    elif deed in ("forget", "forgotten") and member.person.user_id is None:
        await _forget(turn, garden, me, member, sure=deed == "forgotten")
    else:
        await _change(turn, garden, me, member, deed)


async def _change(turn: Turn, garden: Garden, me: Member, member: Member, deed: str) -> None:
    left = await parting.before(turn.session, garden, member, turn.now)
    was = {one.id: one.role for one in (me, member)}
    given = await _changed(turn, me, member, deed)
    if given is None:
        await rights.stale(turn)
    elif deed == "gone" and given is Reply.DONE:
        await departures.tell(turn.session, garden, left, turn.now, by=me)
        await departures.removed(turn.session, garden, member, turn.now)
        await turn.change(turn.say.gettext("They are off the list."))
    else:
        if member.role is not was[member.id] and member.id != me.id:
            await _tell_role(turn, garden, member)
        await _card(turn, me, member, wording.reply(turn.say, given))


async def _tell_role(turn: Turn, garden: Garden, member: Member) -> None:
    """A role that somebody else has changed is told to whoever has it now."""
    if member.person.user_id is not None:
        await post(
            turn.session,
            key=f"role:{member.id}:{turn.update.update_id}",
            chat_id=member.person.user_id,
            text=wording.promoted(voice(garden, member.person.language), garden.name, member.role),
            now=turn.now,
        )


async def _help(turn: Turn, garden: Garden, me: Member, member: Member, helper_id: int | None) -> None:
    """Name the helper, 0 for nobody; an organiser who names themselves has agreed."""
    helper = await members.by_id(turn.session, helper_id) if helper_id else None
    if helper_id is None or (helper_id and (helper is None or helper.garden_id != garden.id)):
        await rights.stale(turn)
        return
    given = await proxy.name(turn.session, member, helper)
    also = helped_wording.naming(turn.say, given, helper)
    if given is proxy.Naming.ASKED and helper is not None and helper.id == me.id:
        await proxy.answer(turn.session, member, me, turn.now, yes=True)
        also = helped_wording.agreed(turn.say, member, yes=True)
    await helpers_chat.ask_helpers(turn.session, garden, turn.now)
    await _card(turn, me, member, also)


async def _code(turn: Turn, garden: Garden, member: Member, *, sure: bool) -> None:
    """A code by which whoever is listed gets their place, to be given in person; for an organiser's it is asked twice."""
    if member.role is Role.ORGANISER and not sure:
        await turn.change(*gate_wording.sure_of_code(turn.say, member))
        return
    made = await codes.issue(turn.session, garden.id, member, turn.now)
    await turn.whisper(gate_wording.code(turn.say, made))


async def _forget(turn: Turn, garden: Garden, me: Member, member: Member, *, sure: bool) -> None:
    """Somebody without the app has asked an organiser to be forgotten."""
    if not sure:
        await turn.change(*wording.sure_forgotten(turn.say, member))
        return
    left = await parting.before(turn.session, garden, member, turn.now)
    done = await personal_data.forget(turn.session, member.person, turn.now)
    if done.alone_in:
        await _card(turn, me, member, wording.reply(turn.say, Reply.LAST_ORGANISER))
        return
    await departures.tell(turn.session, garden, left, turn.now, by=me, named=False)
    await turn.change(turn.say.gettext("Done: they are forgotten."))


async def _changed(turn: Turn, me: Member, member: Member, deed: str) -> Reply | None:
    """The deed done; None for what no button of ours says."""
    session = turn.session
    if deed in tuple(Role):
        return await membership.make(session, member, Role(deed))
    if deed in ("adult", "child"):
        return await membership.set_adult(session, member, turn.now, adult=deed == "adult")
    if deed == "hand":
        return await membership.hand_over(session, me, member)
    return await membership.remove(session, member, turn.now, barred=member.id != me.id) if deed == "gone" else None


async def _card(turn: Turn, me: Member, member: Member, also: str | None) -> None:
    """What they may still do depends on what they have just done to themselves."""
    buttons = wording.card_buttons(turn.say, member, me) if me.role is Role.ORGANISER else []
    helpers = await proxy.named(turn.session, member.garden_id)
    await turn.change(wording.card(turn.say, member, helpers, also), buttons)
