"""/swap NAME: ask somebody to take my turn; it moves when they agree."""

from __future__ import annotations

from datetime import datetime

from bot.chat import rights
from bot.chat.html import lines, safe
from bot.chat.request import Turn
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


async def answer(turn: Turn) -> None:
    """About the soonest thing that the member was asked for."""
    found = await rights.member(turn)
    if found is None:
        return
    garden, member = found
    open_ = await store.open_of_member(turn.session, member.id)
    warning = await store.by_id(turn.session, open_[0][1].cause_id) if open_ else None
    if warning is None:
        await turn.whisper(turn.say.gettext("You have nothing open that could be swapped."))
        return
    name = turn.text.partition(" ")[2].strip()
    named = [one for one in await members.in_garden(turn.session, garden.id) if _is_called(one, name)]
    if len(named) == 1:
        await _ask(turn, garden, warning, member, named[0])
    else:
        await _who(turn, garden, warning, member, name if not named else "")


async def press(turn: Turn, rest: str) -> None:
    """ "warning id:who", "warning id:ask:taker", or the taker's "warning id:yes:giver" and "warning id:no:giver"."""
    number, _, deed = rest.partition(":")
    what, _, whom = deed.partition(":")
    warning_id, member_id = rights.whole(number), rights.whole(whom)
    warning = await store.by_id(turn.session, warning_id) if warning_id is not None else None
    me = await turn.member_of(warning.garden_id) if warning else None
    if warning is None or me is None or turn.garden is None:
        await turn.whisper(turn.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    other = await members.by_id(turn.session, member_id) if member_id is not None else None
    if what == "who":
        await _who(turn, turn.garden, warning, me, "")
    elif other is None or other.garden_id != warning.garden_id:
        await turn.whisper(wording.reply(turn.say, Swap.NOTHING, ""))
    elif what == "ask":
        await _ask(turn, turn.garden, warning, me, other)
    elif what in ("yes", "no"):
        await _answered(turn, turn.garden, warning, other, me, yes=what == "yes")


def _is_called(member: Member, name: str) -> bool:
    wanted = name.removeprefix("@").casefold()
    return bool(wanted) and wanted in (member.person.name.casefold(), (member.person.username or "").casefold())


def _key(warning: Warning, giver: Member, taker: Member) -> str:
    """One question a round of a warning; it is also the proof that the giver asked."""
    return f"swap:{warning.id}:{warning.detected_at.isoformat()}:{giver.id}:{taker.id}"


async def _who(turn: Turn, garden: Garden, warning: Warning, giver: Member, unknown: str) -> None:
    """Names of everyone who could take it over. unknown: the name that nobody has."""
    say, snapshot = turn.say, await gardens.snapshot(turn.session, garden)
    everyone = await members.in_garden(turn.session, garden.id)
    able = [
        one for one in everyone if await swap.hindrance(turn.session, snapshot, warning, giver, one, turn.now) is None
    ]
    buttons: list[list[Button]] = wording.names(warning.id, able)
    first = say.gettext("I know nobody here called {name}.", name=safe(unknown, 40)) if unknown else None
    if able:
        await turn.whisper(lines([first, say.gettext("Whom shall I ask? Tap a name.")]), buttons)
    else:
        await turn.whisper(
            lines([first, say.gettext("There is nobody who could take it over. If you can't, just say so.")])
        )


async def _ask(turn: Turn, garden: Garden, warning: Warning, giver: Member, taker: Member) -> None:
    """The private question, once; rights and weight are looked up before it goes out."""
    snapshot = await gardens.snapshot(turn.session, garden)
    against = await swap.hindrance(turn.session, snapshot, warning, giver, taker, turn.now)
    if against is not None or taker.person.user_id is None:
        await turn.whisper(wording.reply(turn.say, against or Swap.UNREACHABLE, taker.person.name))
        return
    outlook = await look(turn.session, garden, turn.source, turn.now)
    shown, theirs = await view(turn.session, warning, outlook), voice(garden, taker.person.language)
    row = await post(
        turn.session,
        key=_key(warning, giver, taker),
        chat_id=taker.person.user_id,
        text=wording.ask(Told(theirs, outlook.crops, turn.now), shown, giver),
        now=turn.now,
        buttons=wording.ask_buttons(theirs, warning.id, giver),
        urgency=Urgency.REPLY,
        expires_at=max((duty.due_at for duty in shown.open_duties_of(giver.id)), default=warning.ends_at),
    )
    name = safe(taker.person.name, 40)
    await turn.whisper(
        turn.say.gettext("I ask {name}. Until they say yes, it stays yours.", name=name)
        if row is not None
        else turn.say.gettext("I have asked {name} already.", name=name)
    )


async def _answered(turn: Turn, garden: Garden, warning: Warning, giver: Member, taker: Member, *, yes: bool) -> None:
    asked = await said.by_key(turn.session, _key(warning, giver, taker))
    if asked is None:
        await turn.whisper(wording.reply(turn.say, Swap.NOTHING, giver.person.name))
    elif yes:
        await _agreed(turn, garden, warning, giver, taker, asked.queued_at)
    else:
        text = voice(garden, giver.person.language).gettext(
            "{name} can't take it over, so it stays yours. If you can't either, just say so.",
            name=safe(taker.person.name, 40),
        )
        await _tell(turn, giver, f"swapno:{asked.id}", text)
        await turn.change(turn.say.gettext("All right. Thank you for answering!"))


async def _agreed(
    turn: Turn, garden: Garden, warning: Warning, giver: Member, taker: Member, asked_at: datetime
) -> None:
    snapshot = await gardens.snapshot(turn.session, garden)
    given = await swap.agree(turn.session, snapshot, warning, giver, taker, asked_at, turn.now)
    text = wording.reply(turn.say, given, giver.person.name)
    if given is not Swap.MOVED:
        await turn.whisper(text)
        return
    outlook = await look(turn.session, garden, turn.source, turn.now)
    shown = await view(turn.session, warning, outlook)
    told = Told(turn.say, outlook.crops, turn.now)
    rows = keyboards.taken(turn.say, [warning.id], whole=ask_words.is_whole(told, [shown], taker.id))
    await turn.change(lines([text, ask_words.yours(told, [shown], taker.id)]), rows)
    theirs = voice(garden, giver.person.language)
    thanks = theirs.gettext("{name} does it instead of you. Thank you for asking.", name=safe(taker.person.name, 40))
    await _tell(turn, giver, f"swapyes:{warning.id}:{giver.id}:{taker.id}:{turn.now.isoformat()}", thanks)
    await refresh_standing(turn.session, garden, outlook, warning, turn.now)


async def _tell(turn: Turn, member: Member, key: str, text: str) -> None:
    if member.person.user_id is not None:
        await post(turn.session, key=key, chat_id=member.person.user_id, text=text, now=turn.now, urgency=Urgency.REPLY)
