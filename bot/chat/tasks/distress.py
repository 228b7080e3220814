"""Safely home, or help: what somebody says who was asked, and a cry from anybody. Organisers hear it at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from bot.chat import rights
from bot.chat.language.cries import cries, is_bare, is_home, says_no, sounds_like_a_cry
from bot.chat.request import Request
from bot.chat.tasks import safely_home_words as wording
from bot.chat.tasks.safely_home import buttons, places, tell
from bot.chat.wire.message import Button
from bot.services.tasks import safely_home
from bot.services.tasks.safely_home import Asked, Reached
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member
from bot.storage.people import members
from bot.storage.states import AskState
from bot.storage.warnings import warnings as store

__all__ = ["heard", "press", "unclear"]

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
    unsafe = says_no(request.say, text) or any(one.cried for one in waiting)  # after a cry every word may matter
    return unsafe and await unclear(request)


async def unclear(request: Request) -> bool:
    """What was not understood, of somebody who is waited for, goes to organisers as it is. False for anybody else."""
    who = [one for one in await _speakers(request) if one.waiting] if request.private else []
    for one in who:
        where = await _where(request, one)
        words = partial(wording.not_understood, name=one.member.person.name, words=_words(request), places=where)
        key = f"cry:{one.member.id}:{request.update.update_id}"
        await tell(request.session, one.garden, one.member, key, request.now, words)
        await safely_home.passed_on(request.session, one.member.id, request.now)
    if who:
        await request.reply(wording.passed_on(request.say), buttons(request.say, who[0].member.id))
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
        where, name = await _where(request, one), one.member.person.name
        text = partial(wording.wants_help, name=name, words=words, places=where, garden=one.garden.name)
        told = await tell(request.session, one.garden, one.member, f"cry:{one.member.id}:{once}", request.now, text)
        reached = max(reached, told)
        await safely_home.passed_on(request.session, one.member.id, request.now)
    keys: list[list[Button]] = []
    if who:
        keys = [buttons(request.say, who[0].member.id)[0], *await _one_more(request, who)]
    await _say(request, wording.help_comes(request.say, reached, job=len(keys) > 1), keys)


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
            words = partial(wording.safe_home, name=one.member.person.name)
            await tell(request.session, one.garden, one.member, key, request.now, words)
    await _say(request, request.say.gettext("Good. Thank you, and rest well!"))


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


async def _where(request: Request, one: _Speaker) -> list[str]:
    return await places(request.session, await safely_home.whereabouts(request.session, one.member.id, request.now))


def _words(request: Request) -> str | None:
    """What they wrote, or where a pin of theirs stands; None for what can't be read, such as a voice message."""
    message = request.update.message
    if not request.text and message is not None and message.location is not None:
        return f"{message.location.latitude:.5f}, {message.location.longitude:.5f}"
    return request.text or None
