"""/swap NAME: ask somebody to take my turn; it moves when they agree."""

from __future__ import annotations

from datetime import datetime

from bot.chat import rights
from bot.chat.html import lines, safe
from bot.chat.request import Request
from bot.chat.tasks import ask_words
from bot.chat.tasks import swap_words as wording
from bot.chat.warnings.announce import refresh_standing, voice
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.chat.wire.message import Button, Urgency, post
from bot.i18n import Say
from bot.services.look import look
from bot.services.tasks import swap
from bot.services.tasks.swap import Swap
from bot.services.warnings.views import view
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member, Warning
from bot.storage.people import members
from bot.storage.warnings import warnings as store
from bot.storage.wire import said

WORD = "swap"


def about(say: Say) -> str:
    return say.gettext("ask somebody by name to take your turn")


async def answer(request: Request) -> None:
    """About the soonest thing that the member was asked for."""
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    open_ = await store.open_of_member(request.session, member.id)
    warning = await store.by_id(request.session, open_[0][1].cause_id) if open_ else None
    if warning is None:
        await request.whisper(request.say.gettext("You have no turn that somebody else could take."))
        return
    name = request.text.partition(" ")[2].strip()
    named = [one for one in await members.in_garden(request.session, garden.id) if _is_called(one, name)]
    if len(named) == 1:
        await _ask(request, garden, warning, member, named[0])
    else:
        await _who(request, garden, warning, member, name if not named else "")


async def press(request: Request, rest: str) -> None:
    """ "warning id:who", "warning id:ask:taker", or the taker's "warning id:yes:giver" and "warning id:no:giver"."""
    number, _, deed = rest.partition(":")
    what, _, whom = deed.partition(":")
    warning_id, member_id = rights.whole(number), rights.whole(whom)
    warning = await store.by_id(request.session, warning_id) if warning_id is not None else None
    me = await request.member_of(warning.garden_id) if warning else None
    if warning is None or me is None or request.garden is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    other = await members.by_id(request.session, member_id) if member_id is not None else None
    if what == "who":
        await _who(request, request.garden, warning, me, "")
    elif other is None or other.garden_id != warning.garden_id:
        await request.whisper(wording.reply(request.say, Swap.NOTHING, ""))
    elif what == "ask":
        await _ask(request, request.garden, warning, me, other)
    elif what in ("yes", "no"):
        await _answered(request, request.garden, warning, other, me, yes=what == "yes")


def _is_called(member: Member, name: str) -> bool:
    wanted = name.removeprefix("@").casefold()
    return bool(wanted) and wanted in (member.person.name.casefold(), (member.person.username or "").casefold())


def _key(warning: Warning, giver: Member, taker: Member) -> str:
    """One question a round of a warning; it is also the proof that the giver asked."""
    return f"swap:{warning.id}:{warning.detected_at.isoformat()}:{giver.id}:{taker.id}"


async def _who(request: Request, garden: Garden, warning: Warning, giver: Member, unknown: str) -> None:
    """Names of everyone who could take it over. unknown: the name that nobody has."""
    say, snapshot = request.say, await gardens.snapshot(request.session, garden)
    everyone = await members.in_garden(request.session, garden.id)
    able = [
        one
        for one in everyone
        if await swap.hindrance(request.session, snapshot, warning, giver, one, request.now) is None
    ]
    buttons: list[list[Button]] = wording.names(warning.id, able)
    first = say.gettext("I do not know anybody here called {name}.", name=safe(unknown, 40)) if unknown else None
    if able:
        await request.whisper(lines([first, say.gettext("Who should I ask? Tap a name.")]), buttons)
    else:
        await request.whisper(
            lines([first, say.gettext("There is nobody who could take this turn. If you can't do it, just say so.")])
        )


async def _ask(request: Request, garden: Garden, warning: Warning, giver: Member, taker: Member) -> None:
    """The private question, once; rights and weight are looked up before it goes out."""
    snapshot = await gardens.snapshot(request.session, garden)
    against = await swap.hindrance(request.session, snapshot, warning, giver, taker, request.now)
    if against is not None or taker.person.user_id is None:
        await request.whisper(wording.reply(request.say, against or Swap.UNREACHABLE, taker.person.name))
        return
    outlook = await look(request.session, garden, request.source, request.now)
    shown, theirs = await view(request.session, warning, outlook), voice(garden, taker.person.language)
    row = await post(
        request.session,
        key=_key(warning, giver, taker),
        chat_id=taker.person.user_id,
        text=wording.ask(Told(theirs, outlook.crops, request.now), shown, giver),
        now=request.now,
        buttons=wording.ask_buttons(theirs, warning.id, giver),
        urgency=Urgency.REPLY,
        expires_at=max((duty.due_at for duty in shown.open_duties_of(giver.id)), default=warning.ends_at),
    )
    name = safe(taker.person.name, 40)
    await request.whisper(
        request.say.gettext("I will ask {name}. It stays your turn until they say yes.", name=name)
        if row is not None
        else request.say.gettext("I have asked {name} already.", name=name)
    )


async def _answered(
    request: Request, garden: Garden, warning: Warning, giver: Member, taker: Member, *, yes: bool
) -> None:
    asked = await said.by_key(request.session, _key(warning, giver, taker))
    if asked is None:
        await request.whisper(wording.reply(request.say, Swap.NOTHING, giver.person.name))
    elif yes:
        await _agreed(request, garden, warning, giver, taker, asked.queued_at)
    else:
        text = voice(garden, giver.person.language).gettext(
            "{name} can't take it, so it stays your turn. If you can't do it, just say so.",
            name=safe(taker.person.name, 40),
        )
        await _tell(request, giver, f"swapno:{asked.id}", text)
        await request.change(request.say.gettext("All right. Thank you for answering!"))


async def _agreed(
    request: Request, garden: Garden, warning: Warning, giver: Member, taker: Member, asked_at: datetime
) -> None:
    snapshot = await gardens.snapshot(request.session, garden)
    given = await swap.agree(request.session, snapshot, warning, giver, taker, asked_at, request.now)
    text = wording.reply(request.say, given, giver.person.name)
    if given is not Swap.MOVED:
        await request.whisper(text)
        return
    outlook = await look(request.session, garden, request.source, request.now)
    shown = await view(request.session, warning, outlook)
    told = Told(request.say, outlook.crops, request.now)
    rows = keyboards.taken(request.say, [warning.id], whole=ask_words.is_whole(told, [shown], taker.id, [text]))
    await request.change(ask_words.yours(told, [shown], taker.id, above=[text]), rows)
    theirs = voice(garden, giver.person.language)
    thanks = theirs.gettext("{name} will do it instead of you. Thank you for asking.", name=safe(taker.person.name, 40))
    await _tell(request, giver, f"swapyes:{warning.id}:{giver.id}:{taker.id}:{request.now.isoformat()}", thanks)
    await refresh_standing(request.session, garden, outlook, warning, request.now)


async def _tell(request: Request, member: Member, key: str, text: str) -> None:
    if member.person.user_id is not None:
        await post(
            request.session, key=key, chat_id=member.person.user_id, text=text, now=request.now, urgency=Urgency.REPLY
        )
