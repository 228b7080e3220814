"""Members without the app: their named helper's buttons, and the question whether somebody would be a helper."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import replace
from datetime import datetime
from functools import partial

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.garden.everyone import tell_organisers, voice
from bot.chat.html import lines, safe
from bot.chat.language.other_letters import in_other_letters
from bot.chat.people import helpers_words as wording
from bot.chat.request import Request
from bot.chat.tasks import duty_words, reported_done_words
from bot.chat.warnings.announce import refresh_standing
from bot.chat.warnings.told import Told
from bot.chat.wire.message import post
from bot.crops.find import fold
from bot.services.look import look
from bot.services.people import proxy
from bot.services.tasks import answers, completion
from bot.services.tasks.answers import Answer, Reply
from bot.services.tasks.completion import Share
from bot.services.warnings.views import view
from bot.storage.models import Garden, Member, Warning
from bot.storage.people import members
from bot.storage.warnings import warnings as store

_DEEDS: dict[str, Callable[[AsyncSession, Warning, Member, datetime], Awaitable[Answer]]] = {
    "yes": answers.accept,
    "no": answers.pass_on,
    "done": completion.done,
    "done-whole": partial(completion.done, share=Share.WHOLE),
    "done-part": partial(completion.done, share=Share.PART),
}


async def ask_helpers(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Whoever has been named as a helper is asked, once, whether they would."""
    for member, helper in await proxy.unasked(session, garden.id, now):
        if helper.person.user_id is None:
            continue
        text, buttons = wording.question(voice(garden, helper.person.language), garden.name, member)
        await post(
            session,
            key=f"helps:{member.id}:{helper.id}:{now.isoformat()}",
            chat_id=helper.person.user_id,
            text=text,
            now=now,
            buttons=buttons,
        )


async def consent(request: Request, rest: str) -> None:
    """ "member id:yes" or "member id:no", from whoever is named as their helper."""
    number, _, said = rest.partition(":")
    member_id = rights.whole(number)
    member = await members.by_id(request.session, member_id) if member_id is not None else None
    helper = await request.member_of(member.garden_id) if member is not None else None
    taken = (
        member is not None
        and helper is not None
        and said in ("yes", "no")
        and await proxy.answer(request.session, member, helper, request.now, yes=said == "yes")
    )
    if member is None or helper is None or request.garden is None or not taken:
        await rights.stale(request)
        return
    await request.change(wording.agreed(request.say, member, yes=said == "yes"))
    if said == "no":
        await _without(request, request.garden, member)


async def _without(request: Request, garden: Garden, member: Member) -> None:
    """Organisers hear that somebody has no helper; who said no is not named."""
    await tell_organisers(
        request.session,
        garden,
        f"nohelper:{request.update.update_id}",
        lambda say: say.gettext(
            "{name} has no app and needs a helper, so that I can ask them. Send /members, tap their name, "
            "then “Choose a helper”.",
            name=safe(member.person.name, 40),
        ),
        request.now,
    )


async def press(request: Request, rest: str) -> None:
    """ "warning id:member id:told|yes|no|done", from that member's helper only."""
    number, _, more = rest.partition(":")
    who, _, deed = more.partition(":")
    warning_id, member_id = rights.whole(number), rights.whole(who)
    warning = await store.by_id(request.session, warning_id) if warning_id is not None else None
    member = await members.by_id(request.session, member_id) if member_id is not None else None
    helper = await request.member_of(warning.garden_id) if warning is not None else None
    if (
        warning is None
        or member is None
        or helper is None
        or request.garden is None
        or member.garden_id != request.garden.id
    ):
        await rights.stale(request)
    elif not await proxy.is_helper(request.session, helper, member):
        await request.whisper(request.say.gettext("That button is for somebody else."))
    elif deed == "told":
        await _told(request, warning, member)
    elif deed in _DEEDS:
        await _answered(request, request.garden, warning, member, deed)
    else:
        await rights.stale(request)


async def named_in(request: Request, helper: Member) -> Member | None:
    """The one person in the message whose helper this member is."""
    helped = await proxy.helped_by(request.session, helper)
    names = {word for one in helped for word in fold(one.person.name).split()}
    words = {*fold(request.text).split(), *in_other_letters(request.text, names, request.say.language).values()}
    found = [
        one
        for one in helped
        if words & set(fold(one.person.name).split()) and await proxy.is_helper(request.session, helper, one)
    ]
    return found[0] if len(found) == 1 else None


async def by_words(request: Request, member: Member, deed: str) -> bool:
    """What a helper writes of them counts for the soonest thing that they were asked for; False where nothing is open."""
    open_ = await store.open_of_member(request.session, member.id)
    warning = await store.by_id(request.session, open_[0][1].cause_id) if open_ else None
    if warning is None or request.garden is None:
        return False
    await _answered(request, request.garden, warning, member, deed)
    return True


async def _told(request: Request, warning: Warning, member: Member) -> None:
    if await proxy.told(request.session, warning, member, request.now):
        await request.reply(
            wording.told(request.say, member.person.name),
            wording.answers(request.say, warning.id, member.id, told=True),
        )
    else:
        await request.reply(request.say.gettext("{name} has nothing left to do there. Thank you!", name=_name(member)))


async def _answered(request: Request, garden: Garden, warning: Warning, member: Member, deed: str) -> None:
    given = await _DEEDS[deed](request.session, warning, member, request.now)
    outlook = await look(request.session, garden, request.source, request.now)
    shown = await view(request.session, warning, outlook)
    text = duty_words.reply(request.say, given.reply)
    if given.shared:
        told, whose = Told(request.say, outlook.crops, request.now), f"helped:{warning.id}:{member.id}:done-"
        await request.reply(*reported_done_words.taken(told, shown, replace(given, report_ids=None), whose))
    elif given.reply in (Reply.THANKS, Reply.ALREADY) and shown.open_duties_of(member.id):
        more, buttons = wording.taken(Told(request.say, outlook.crops, request.now), shown, member)
        await request.reply(lines([text, more]), buttons)
    elif given.reply in (Reply.NOT_NEEDED, Reply.TOO_LATE) and deed == "yes":
        await request.reply(lines([text, request.say.gettext("Please tell {name}.", name=_name(member))]))
    else:
        await request.reply(text)
    if given.task_ids:
        await refresh_standing(request.session, garden, outlook, warning, request.now)


async def turns(request: Request, helper: Member) -> bool:
    """Show the turns of everyone whom this member helps; False when there are none."""
    found = False
    for member in await proxy.helped_by(request.session, helper):
        open_ = await store.open_of_member(request.session, member.id)
        if request.garden is None or not open_ or not await proxy.is_helper(request.session, helper, member):
            continue
        outlook = await look(request.session, request.garden, request.source, request.now)
        for warning_id in dict.fromkeys(duty.cause_id for _, duty in open_):
            warning = await store.by_id(request.session, warning_id)
            if warning is not None:
                shown = await view(request.session, warning, outlook)
                await request.whisper(*wording.theirs(Told(request.say, outlook.crops, request.now), shown, member))
                found = True
    return found


def _name(member: Member) -> str:
    return safe(member.person.name, 40)
