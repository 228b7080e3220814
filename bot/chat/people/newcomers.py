"""Who has come? Questions to the organisers about newcomers, and what becomes of their answers."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession
from telegram import User

from bot.chat import rights
from bot.chat.garden.everyone import tell_organisers, voice
from bot.chat.html import safe
from bot.chat.people import gate_words as wording
from bot.chat.request import Request
from bot.chat.wire.message import post
from bot.core.garden.snapshot import Role
from bot.core.people.names import clean
from bot.i18n import Say, best_language
from bot.services.people import joining
from bot.services.people.joining import Newcomer, merge
from bot.storage.models import Garden, Knock, Member
from bot.storage.people import members


def newcomer(say: Say, user: User) -> Newcomer:
    """An account at the gate. A name that cannot be seen gives way to the last name, the user name, or a neutral one."""
    tried = (user.first_name, user.last_name, user.username)
    name = next((found for one in tried if (found := clean(one or ""))), say.gettext("New member"))
    shown = clean(f"{user.first_name} {user.last_name or ''}") or name
    return Newcomer(user.id, name, shown, user.username, best_language(user.language_code))


async def ask(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Each organiser about each who has come and is not answered, once; about oneself only where there is nobody else."""
    on_list = await joining.listed(session, garden.id)
    able = [one for one in await members.organisers(session, garden.id) if one.person.user_id is not None]
    for knock, member in await joining.knocks(session, garden.id):
        likely = joining.alike(knock.shown, on_list)
        if not likely and member.removed_at is None:
            continue
        await _ask_about(session, garden, knock, member, likely, now, but=member.id if len(able) > 1 else None)


async def _ask_about(
    session: AsyncSession,
    garden: Garden,
    knock: Knock,
    member: Member,
    likely: list[Member],
    now: datetime,
    *,
    but: int | None,
) -> None:
    def asked(say: Say) -> wording.Asked:
        return wording.knocked(say, garden.name, knock, member, likely)

    key = f"knock:{member.id}:{knock.asked_at.isoformat()}"
    await tell_organisers(
        session, garden, key, lambda say: asked(say)[0], now, but=but, buttons=lambda say: asked(say)[1]
    )


async def wait(request: Request, garden: Garden, member: Member) -> None:
    """Somebody who was removed hears that an organiser has to let them in: privately, where they can be written to."""
    await ask(request.session, garden, request.now)
    able = [one for one in await members.organisers(request.session, garden.id) if one.person.user_id is not None]
    say, person = voice(garden, member.person.language), member.person
    text = wording.wait_outside(say, person.name, asked=bool(able))
    reachable = person.private_ok_at is not None and person.blocked_at is None
    await (request.whisper if reachable else request.reply)(text)


async def press(request: Request, rest: str) -> None:
    """ "member id:in|no|later", or "member id:id of the place on the list[:sure]"; by an organiser of that garden."""
    number, _, deed = rest.partition(":")
    member_id = rights.whole(number)
    member = await members.ever(request.session, member_id) if member_id is not None else None
    if member is None:
        await request.change(request.say.gettext("That question is closed. /members shows the list."))
        return
    found = await rights.organiser_of(request, member.garden_id)
    if found is None:
        return
    garden, _ = found
    knock = await joining.open_knock(request.session, member)
    if knock is None:
        await request.change(request.say.gettext("That question is closed. /members shows the list."))
    elif deed == "later":
        likely = joining.alike(knock.shown, await joining.listed(request.session, garden.id))
        await request.change(*wording.knocked(request.say, garden.name, knock, member, likely))
    elif deed == "no":
        await _no(request, garden, member)
    elif member.removed_at is not None:
        await (_in(request, garden, member) if deed == "in" else rights.stale(request))
    else:
        await _place(request, garden, knock, member, deed)


async def _no(request: Request, garden: Garden, member: Member) -> None:
    await joining.settle(request.session, member, request.now)
    say, name = voice(garden, member.person.language), safe(member.person.name, 40)
    if member.removed_at is not None:
        await request.change(request.say.gettext("All right, {name} stays off the list.", name=name))
        await _tell(request, member, wording.refused(say, garden.name))
    else:
        await request.change(request.say.gettext("All right, {name} is somebody new.", name=name))
        await _tell(request, member, wording.somebody_new(say, garden.name))


async def _in(request: Request, garden: Garden, member: Member) -> None:
    await joining.settle(request.session, member, request.now)
    await joining.let_in(request.session, member)
    await request.change(request.say.gettext("Done: {name} is on the list again.", name=safe(member.person.name, 40)))
    await _tell(request, member, wording.back_again(voice(garden, member.person.language), garden.name))


async def _place(request: Request, garden: Garden, knock: Knock, member: Member, deed: str) -> None:
    """An organiser's place is given only after it was said what goes with it."""
    number, _, sure = deed.partition(":")
    on_list = await joining.listed(request.session, garden.id)
    place = next((one for one in on_list if one.id == rights.whole(number)), None)
    if place is None:
        await request.change(
            request.say.gettext("Somebody else has that name on the list now. /members shows the list.")
        )
    elif member.left_at is not None:
        await request.change(request.say.gettext("They have left the garden since then."))
    elif place.role is Role.ORGANISER and sure != "sure":
        await request.change(*wording.sure_of_place(request.say, garden.name, knock, member, place))
    else:
        name = place.person.name
        await joining.settle(request.session, member, request.now)
        await merge(request.session, member, place)
        await request.change(
            request.say.gettext("Done: {name} on the list has this account now.", name=safe(name, 40)),
        )
        say = voice(garden, member.person.language)
        await _tell(request, member, wording.agreed(say, garden.name, name, member.role))


async def _tell(request: Request, member: Member, text: str) -> None:
    """The newcomer hears it privately, if they have pressed Start."""
    person = member.person
    if person.user_id is not None and person.private_ok_at is not None:
        key = f"knocked:{member.id}:{request.update.update_id}"
        await post(request.session, key=key, chat_id=person.user_id, text=text, now=request.now)
