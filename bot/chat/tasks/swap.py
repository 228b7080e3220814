"""/swap NAME: ask somebody to take my turn; it moves when they agree.

Swaps in words. Saying no is as easy as saying yes.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.chat import rights
from bot.chat.garden.everyone import voice
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.tasks import ask_words, duty_words
from bot.chat.warnings.announce import refresh_standing
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.chat.wire.message import Button, Urgency, post
from bot.i18n import Say
from bot.services.look import look
from bot.services.tasks import swap
from bot.services.tasks.swap import Swap
from bot.services.warnings.views import WarningView, view
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member, Warning
from bot.storage.people import members
from bot.storage.warnings import warnings as store
from bot.storage.wire import said

#: Names under a message; whoever is not among them is named in the command.
NAMES_N = 24


def names(warning_id: int, members: Sequence[Member]) -> list[list[Button]]:
    found: list[Button] = [(one.person.name[:20], f"swap:{warning_id}:ask:{one.id}") for one in members[:NAMES_N]]
    return [found[n : n + 2] for n in range(0, len(found), 2)]


def ask(told: Told, view: WarningView, giver: Member) -> str:
    """The private question to whoever is named."""
    say = told.say
    theirs = view.open_duties_of(giver.id)
    due_at = min((duty.due_at for duty in theirs), default=view.due_at)
    return lines([
        bold(
            say.gettext(
                "{name} asks: can you do this for them, by {time}, {day}?",
                name=safe(giver.person.name, 40),
                time=say.clock(due_at),
                day=say.near_day(say.local(due_at).date(), told.now),
            )
        ),
        *duty_words.listing(say, told.crops, theirs, asked=False),
        say.ngettext("About {n} minute.", "About {n} minutes.", sum(duty.minutes for duty in theirs)),
        duty_words.caution(say, view.hazard, theirs),
        say.gettext("If you can't, just say so. That is fine."),
    ])  # fmt: skip


def ask_buttons(say: Say, warning_id: int, giver: Member) -> list[list[Button]]:
    return [
        [
            (say.gettext("I'll do it"), f"swap:{warning_id}:yes:{giver.id}"),
            (say.gettext("I can't"), f"swap:{warning_id}:no:{giver.id}"),
        ]
    ]


def reply(say: Say, given: Swap, name: str) -> str:
    """What became of it. name: the other one, as the platform or they themselves write it."""
    texts = {
        Swap.MOVED: say.gettext("Thank you! You will do it instead of {name}."),
        Swap.ALREADY: say.gettext("I already have your answer, thank you."),
        Swap.NOTHING: say.gettext("This turn is no longer open. Thank you!"),
        Swap.KEPT: say.gettext("{name} will do it after all, so nothing changes. Thank you!"),
        Swap.SELF: say.gettext("That is already your turn."),
        Swap.ON_IT: say.gettext("They do this job too, so one of you would be missing."),
        Swap.ADULTS_ONLY: say.gettext("Only adults take turns. Please choose somebody else."),
        Swap.UNREACHABLE: say.gettext("I can't write to {name}. Please choose somebody else."),
        Swap.TOO_HEAVY: say.gettext("That would be too heavy for them. Please choose somebody else."),
        Swap.KEY_NEEDED: say.gettext("We need somebody with a key there. Please choose somebody else."),
    }
    return say.fill(texts[given], name=safe(name, 40))


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
        await request.whisper(reply(request.say, Swap.NOTHING, ""))
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
    buttons: list[list[Button]] = names(warning.id, able)
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
        await request.whisper(reply(request.say, against or Swap.UNREACHABLE, taker.person.name))
        return
    outlook = await look(request.session, garden, request.source, request.now)
    shown, theirs = await view(request.session, warning, outlook), voice(garden, taker.person.language)
    row = await post(
        request.session,
        key=_key(warning, giver, taker),
        chat_id=taker.person.user_id,
        text=ask(Told(theirs, outlook.crops, request.now), shown, giver),
        now=request.now,
        buttons=ask_buttons(theirs, warning.id, giver),
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
        await request.whisper(reply(request.say, Swap.NOTHING, giver.person.name))
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
    text = reply(request.say, given, giver.person.name)
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
