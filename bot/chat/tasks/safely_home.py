"""Safely home? The question to whoever is late, its two buttons, and whom organisers' words reach.

Safely home? In words, calm and without blame.

Safely home, or help: what somebody says who was asked, and a cry from anybody. Organisers hear it at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.garden.everyone import ears, keyed, voice
from bot.chat.html import bold, lines, safe
from bot.chat.language.cries import cries, is_bare, is_home, says_no, sounds_like_a_cry
from bot.chat.request import Request
from bot.chat.wire.message import Button, Urgency, post
from bot.i18n import Say
from bot.services.people.membership import reachable
from bot.services.tasks import safely_home
from bot.services.tasks.safely_home import Asked, Late, Reached
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member
from bot.storage.people import members
from bot.storage.states import AskState
from bot.storage.warnings import warnings as store


def question(say: Say, places: Sequence[str], due_at: datetime, *, done: bool) -> str:
    """To whoever had said yes to what was due by then."""
    where = say.and_list(safe(place, 40) for place in places)
    words = {"places": where, "time": say.clock(due_at)}
    if done:
        about = say.gettext("Thank you for {places}. It got later than {time}.", **words)
    else:
        about = say.gettext("You said yes to {places} by {time}. It does not matter if it is not done.", **words)
    silence = say.gettext("If you do not answer, I will ask an organiser to look for you.")
    return lines([bold(say.gettext("Are you safely home?")), about, silence])


def silent(say: Say, name: str, places: Sequence[str], due_at: datetime) -> str:
    """To organisers, about somebody who has not answered."""
    return lines([
        bold(say.gettext("Please find out whether {name} is safely home.", name=safe(name, 40))),
        say.gettext(
            "They said yes to {places} by {time}. They have not answered me since then.",
            places=say.and_list(safe(place, 40) for place in places),
            time=say.clock(due_at),
        ),
        say.gettext("Call them, or go and look. After dark, go with two people."),
    ])  # fmt: skip


def safe_home(say: Say, name: str) -> str:
    """To organisers who had been asked to look."""
    return say.gettext("{name} is safely home. Thank you for your help.", name=safe(name, 40))


def reported(say: Say, name: str) -> str:
    """To organisers who had been asked to look, when somebody reports their work done without a word of home."""
    return say.gettext(
        "{name} has just told me that the job is done. Please still ask if they are home.", name=safe(name, 40)
    )


def wants_help(say: Say, name: str, words: str | None, places: Sequence[str], garden: str) -> str:
    """To organisers, when somebody cries for help."""
    return lines([
        bold(say.gettext("{name} needs help now.", name=safe(name, 40))),
        _written(say, words) if words else None,
        _where(say, places, garden),
        say.gettext("Please call them now. No answer? Go and look with two people, or call the emergency number."),
    ])  # fmt: skip


def not_understood(say: Say, name: str, words: str | None, places: Sequence[str]) -> str:
    """To organisers: an answer to "Are you safely home?" that is neither yes nor a plain cry."""
    return lines([
        bold(say.gettext("{name} has answered, but I can't tell if all is well.", name=safe(name, 40))),
        _written(say, words) if words else say.gettext("It was not a text. Maybe it was a voice message or a picture."),
        _where(say, places, None),
        say.gettext("Please call them now."),
    ])  # fmt: skip


def _written(say: Say, words: str) -> str:
    return say.gettext("They wrote: “{words}”", words=safe(words, 400))


def _where(say: Say, places: Sequence[str], garden: str | None) -> str | None:
    if places:
        return say.gettext("They had a job at {places}.", places=say.and_list(safe(place, 40) for place in places))
    return say.gettext("I do not know where they are. Garden: {garden}.", garden=safe(garden, 60)) if garden else None


def help_comes(say: Say, reached: Reached, *, job: bool) -> str:
    """To whoever cried for help. job: they are on one, so perhaps they only want one more person for it."""
    told = {
        Reached.ORGANISERS: say.gettext("I have just told the organisers and asked them to call you."),
        Reached.GROUP: say.gettext("I can't reach an organiser, so I have just told the group."),
        Reached.NOBODY: say.gettext("I can't reach anybody for you. Please call one of them yourself."),
    }[reached]
    return lines([
        bold(told),
        _emergency(say),
        say.gettext("Tell me where you are. I will pass it on.") if reached else None,
        say.gettext("Do you only need one more person for a job? Then tap that button.") if job else None,
    ])  # fmt: skip


def passed_on(say: Say) -> str:
    """To whoever's answer was not understood."""
    return lines([
        bold(say.gettext("I can't tell if you are safely home, so I have passed your words on to the organisers.")),
        _emergency(say),
        say.gettext("Are you well? One tap is enough."),
    ])  # fmt: skip


def _emergency(say: Say) -> str:
    return say.gettext("If you are hurt or in danger, call 112 or your local emergency number first.")


async def see_home(session: AsyncSession, garden: Garden, now: datetime) -> None:
    """Ask whoever is late, and tell organisers who has not answered; whatever the hour, since it is about people."""
    for late in await safely_home.ask_now(session, garden.id, now):
        await _ask(session, garden, late, now)
    for late in await safely_home.silent_now(session, garden.id, now):
        member = await members.by_id(session, late.member_id)
        if member is not None:
            where = await places(session, late.place_ids)
            words = partial(silent, name=member.person.name, places=where, due_at=late.due_at)
            key = f"silent:{late.task_ids[0]}:{member.id}:{now:%Y%m%d%H}"
            await tell(session, garden, member, key, now, words)


async def places(session: AsyncSession, place_ids: Sequence[int]) -> list[str]:
    rows = [await gardens.place(session, place_id) for place_id in place_ids]
    return [row.name for row in rows if row is not None]


async def tell(
    session: AsyncSession, garden: Garden, about: Member, key: str, now: datetime, words: Callable[[Say], str]
) -> Reached:
    """Every other organiser, once under the key; the group where there is none to be reached."""
    organisers = [one for one in await members.organisers(session, garden.id) if one.id != about.id and reachable(one)]
    chats = [(one.person.user_id, voice(garden, one.person.language)) for one in organisers if one.person.user_id]
    reached = Reached.ORGANISERS if chats else Reached.NOBODY
    if not chats:
        chats = [(one.chat_id, one.say) for one in await ears(session, garden) if one.member_id != about.id]
        reached = Reached.GROUP if chats else Reached.NOBODY
    for chat_id, say in chats:
        await post(
            session,
            key=f"home:{key}:{chat_id}"
            if reached is not Reached.GROUP
            else keyed(f"home:{key}:{chat_id}", garden, say),
            chat_id=chat_id,
            thread_id=garden.thread_id if chat_id == garden.chat_id else None,
            text=words(say),
            now=now,
            urgency=Urgency.WARNING,
            expires_at=now + safely_home.REACH,
            again=say.gettext("(Sent once more: I am not sure that you got this.)"),
        )
    return reached


async def _ask(session: AsyncSession, garden: Garden, late: Late, now: datetime) -> None:
    member = await members.by_id(session, late.member_id)
    if member is None or member.person.user_id is None:
        return
    say = voice(garden, member.person.language)
    await post(
        session,
        key=f"home:{late.task_ids[0]}:{member.id}",
        chat_id=member.person.user_id,
        text=question(say, await places(session, late.place_ids), late.due_at, done=late.done),
        now=now,
        buttons=buttons(say, member.id),
        urgency=Urgency.WARNING,
        expires_at=now + safely_home.REACH,
        again=say.gettext("(Sent once more: I am not sure that you got this.)"),
    )


def buttons(say: Say, member_id: int) -> list[list[Button]]:
    return [
        [(say.gettext("I'm safely home"), f"home:{member_id}:yes")],
        [(say.gettext("I need help"), f"home:{member_id}:help")],
    ]


#: The longest text in which a cry is looked for.
_READ_N = 1000


@dataclass(frozen=True, slots=True)
class _Speaker:
    """One membership of whoever writes. asked: lately, whether they are safely home. cried: for help lately, and they
    have not said since that all is well. waiting: they have cried, or have not answered yet.
    """

    garden: Garden
    member: Member
    asked: bool
    cried: bool
    waiting: bool


async def heard(request: Request) -> bool:
    """Whether a message was a cry for help, or the answer to "Are you safely home?"."""
    text = request.text[:_READ_N]
    plain, perhaps = cries(request.say, text), sounds_like_a_cry(request.say, text)
    well = is_home(request.say, text, asked=request.private)  # in the group a bare yes may be meant for anybody
    if not (perhaps or well or request.private):
        return False
    who = await _speakers(request)
    waiting = [one for one in who if one.waiting]
    concerned = waiting or [one for one in who if one.asked and sounds_like_a_cry(request.say, text, whole=True)]
    among_people = not request.addressed and is_bare(
        request.say, text
    )  # "I need help" is said to those who read it there
    if (plain and not among_people) or (perhaps and concerned):
        here = [one for one in who if request.garden is not None and one.garden.id == request.garden.id]
        await _cry(request, concerned or here or who, f"{request.update.update_id}", text)
        return True
    if well and waiting:
        await _home(request, waiting)
        return True
    if request.private and is_home(request.say, text, asked=False) and await _home_unasked(request, who):
        await request.reply(request.say.gettext("Good. Thank you, and rest well!"))
        return True
    unsafe = says_no(request.say, text) or any(one.cried for one in waiting)  # after a cry every word may matter
    return unsafe and await unclear(request)


async def unclear(request: Request) -> bool:
    """What was not understood, of somebody who is waited for, goes to organisers as it is. False for anybody else."""
    who = [one for one in await _speakers(request) if one.waiting] if request.private else []
    for one in who:
        where = await _whereabouts(request, one)
        words = partial(not_understood, name=one.member.person.name, words=_words(request), places=where)
        key = f"cry:{one.member.id}:{request.update.update_id}"
        await tell(request.session, one.garden, one.member, key, request.now, words)
        await safely_home.passed_on(request.session, one.member.id, request.now)
    if who:
        await request.reply(passed_on(request.say), buttons(request.say, who[0].member.id))
    return bool(who)


async def press(request: Request, rest: str) -> None:
    """ "member id:yes or help", from that member only, however old the button. Pressed twice, organisers hear it once."""
    number, _, what = rest.partition(":")
    member_id = rights.whole(number)
    if member_id is None or what not in ("yes", "help"):
        await rights.stale(request)
        return
    if await rights.own(request, member_id) is None:
        return
    who = [one for one in await _speakers(request) if one.member.id == member_id]
    if what == "help":
        await _cry(request, who, f"{request.now:%Y%m%d%H}", None)
    elif any(one.asked or one.waiting for one in who):
        await _home(request, who)
    else:
        await rights.stale(request)


async def _cry(request: Request, who: Sequence[_Speaker], once: str, words: str | None) -> None:
    """Tell organisers now, and the person that they were told. once: what tells this cry from another."""
    reached = Reached.NOBODY
    for one in who:
        where, name = await _whereabouts(request, one), one.member.person.name
        text = partial(wants_help, name=name, words=words, places=where, garden=one.garden.name)
        told = await tell(request.session, one.garden, one.member, f"cry:{one.member.id}:{once}", request.now, text)
        reached = max(reached, told)
        await safely_home.passed_on(request.session, one.member.id, request.now)
    keys: list[list[Button]] = []
    if who:
        keys = [buttons(request.say, who[0].member.id)[0], *await _one_more(request, who)]
    await _say(request, help_comes(request.say, reached, job=len(keys) > 1), keys)


async def _one_more(request: Request, who: Sequence[_Speaker]) -> list[list[Button]]:
    """For whoever is on a job and was not asked where they are: perhaps they only want one more person for it."""
    for one in who:
        open_ = [] if one.waiting else await store.open_of_member(request.session, one.member.id)
        accepted = [duty for ask, duty in open_ if ask.state is AskState.ACCEPTED]
        if accepted:
            return [[(request.say.gettext("One more person"), f"hands:{accepted[0].warning_id}")]]
    return []


async def _home(request: Request, who: Sequence[_Speaker]) -> None:
    for one in who:
        told = await safely_home.home(request.session, one.member.id, request.now)
        if told or one.cried:
            key = f"safe:{one.member.id}:{request.update.update_id}"
            words = partial(safe_home, name=one.member.person.name)
            await tell(request.session, one.garden, one.member, key, request.now, words)
    await _say(request, request.say.gettext("Good. Thank you, and rest well!"))


async def _home_unasked(request: Request, who: Sequence[_Speaker]) -> bool:
    """Whether they come from something that they had said yes to."""
    session, now = request.session, request.now
    return any([await safely_home.home_unasked(session, one.member.id, now) for one in who])


async def _say(request: Request, text: str, keys: Sequence[Sequence[Button]] = ()) -> None:
    """Where they wrote; privately to whoever pressed."""
    await (request.whisper(text, keys) if request.update.callback_query is not None else request.reply(text, keys))


async def _speakers(request: Request) -> list[_Speaker]:
    """Every membership of whoever writes: organisers of each garden that waits for them are to hear."""
    user = request.update.effective_user
    found = []
    for member in await members.of_user(request.session, user.id) if user is not None else ():
        garden = await gardens.by_id(request.session, member.garden_id)
        asked = await safely_home.asked(request.session, member.id, request.now)
        cried = member.id in await safely_home.crying(request.session, request.now)
        if garden is not None:
            found.append(_Speaker(garden, member, asked is not Asked.NOT, cried, cried or asked is Asked.OPEN))
    return found


async def _whereabouts(request: Request, one: _Speaker) -> list[str]:
    return await places(request.session, await safely_home.whereabouts(request.session, one.member.id, request.now))


def _words(request: Request) -> str | None:
    """What they wrote, or where a pin of theirs stands; None for what can't be read, such as a voice message."""
    message = request.update.message
    if not request.text and message is not None and message.location is not None:
        return f"{message.location.latitude:.5f}, {message.location.longitude:.5f}"
    return request.text or None
