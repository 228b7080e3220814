"""Safely home, or help: what somebody says who was asked, and a cry from anybody. Organisers hear it at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from bot.chat import rights
from bot.chat.language.cries import cries, is_bare, is_home, says_no, sounds_like_a_cry
from bot.chat.request import Turn
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
from bot.storage.wire import said

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


async def heard(turn: Turn) -> bool:
    """Whether a message was a cry for help, or the answer to "Are you safely home?"."""
    text = turn.text[:_READ_N]
    plain, perhaps = cries(turn.say, text), sounds_like_a_cry(turn.say, text)
    well = is_home(turn.say, text, asked=turn.private)  # in the group a bare yes may be meant for anybody
    if not (perhaps or well or turn.private):
        return False
    who = await _speakers(turn)
    waiting = [one for one in who if one.waiting]
    concerned = waiting or [one for one in who if one.asked and sounds_like_a_cry(turn.say, text, whole=True)]
    among_people = not turn.addressed and is_bare(turn.say, text)  # "I need help" is said to those who read it there
    if (plain and not among_people) or (perhaps and concerned):
        here = [one for one in who if turn.garden is not None and one.garden.id == turn.garden.id]
        await _cry(turn, concerned or here or who, f"{turn.update.update_id}", text)
        return True
    if well and waiting:
        await _home(turn, waiting)
        return True
    unsafe = says_no(turn.say, text) or any(one.cried for one in waiting)  # after a cry every word may matter
    return unsafe and await unclear(turn)


async def unclear(turn: Turn) -> bool:
    """What was not understood, of somebody who is waited for, goes to organisers as it is. False for anybody else."""
    who = [one for one in await _speakers(turn) if one.waiting] if turn.private else []
    for one in who:
        where = await _where(turn, one)
        words = partial(wording.not_understood, name=one.member.person.name, words=_words(turn), places=where)
        key = f"cry:{one.member.id}:{turn.update.update_id}"
        await tell(turn.session, one.garden, one.member, key, turn.now, words)
        await safely_home.passed_on(turn.session, one.member.id, turn.now)
    if who:
        await turn.reply(wording.passed_on(turn.say), buttons(turn.say, who[0].member.id))
    return bool(who)


async def press(turn: Turn, rest: str) -> None:
    """ "member id:yes or help", from that member only, however old the button. Pressed twice, organisers hear it once."""
    number, _, what = rest.partition(":")
    member_id = rights.whole(number)
    if member_id is None or what not in ("yes", "help"):
        await rights.stale(turn)
        return
    if await rights.own(turn, member_id) is None:
        return
    who = [one for one in await _speakers(turn) if one.member.id == member_id]
    if what == "help":
        await _cry(turn, who, f"{turn.now:%Y%m%d%H}", None)
    elif any(one.asked or one.waiting for one in who):
        await _home(turn, who)
    else:
        await rights.stale(turn)


async def _cry(turn: Turn, who: Sequence[_Speaker], once: str, words: str | None) -> None:
    """Tell organisers now, and the person that they were told. once: what tells this cry from another."""
    reached = Reached.NOBODY
    for one in who:
        where, name = await _where(turn, one), one.member.person.name
        text = partial(wording.wants_help, name=name, words=words, places=where, garden=one.garden.name)
        told = await tell(turn.session, one.garden, one.member, f"cry:{one.member.id}:{once}", turn.now, text)
        reached = max(reached, told)
        await safely_home.passed_on(turn.session, one.member.id, turn.now)
    keys: list[list[Button]] = []
    if who:
        keys = [buttons(turn.say, who[0].member.id)[0], *await _one_more(turn, who)]
    await _say(turn, wording.help_comes(turn.say, reached, job=len(keys) > 1), keys)


async def _one_more(turn: Turn, who: Sequence[_Speaker]) -> list[list[Button]]:
    """For whoever is on a job and was not asked where they are: perhaps they only want one more person for it."""
    for one in who:
        open_ = [] if one.waiting else await store.open_of_member(turn.session, one.member.id)
        accepted = [duty for ask, duty in open_ if ask.state is AskState.ACCEPTED]
        if accepted:
            return [[(turn.say.gettext("One more person"), f"hands:{accepted[0].warning_id}")]]
    return []


async def _home(turn: Turn, who: Sequence[_Speaker]) -> None:
    for one in who:
        told = await safely_home.home(turn.session, one.member.id, turn.now)
        if told or one.cried:
            key = f"safe:{one.member.id}:{turn.update.update_id}"
            words = partial(wording.safe_home, name=one.member.person.name)
            await tell(turn.session, one.garden, one.member, key, turn.now, words)
    await _say(turn, turn.say.gettext("Good. Thank you, and rest well!"))


async def _say(turn: Turn, text: str, keys: Sequence[Sequence[Button]] = ()) -> None:
    """Where they wrote; privately to whoever pressed."""
    await (turn.whisper(text, keys) if turn.update.callback_query is not None else turn.reply(text, keys))


async def _speakers(turn: Turn) -> list[_Speaker]:
    """Every membership of whoever writes: organisers of each garden that waits for them are to hear."""
    user = turn.update.effective_user
    found = []
    for member in await members.of_user(turn.session, user.id) if user is not None else ():
        garden = await gardens.by_id(turn.session, member.garden_id)
        asked = await safely_home.asked(turn.session, member.id, turn.now)
        cried = await _cried(turn, member)
        if garden is not None:
            found.append(_Speaker(garden, member, asked is not Asked.NOT, cried, cried or asked is Asked.OPEN))
    return found


async def _cried(turn: Turn, member: Member) -> bool:
    """Whether they cried for help lately, and have not said since that all is well."""
    since_at = turn.now - safely_home.REACH
    cry = await said.newest(turn.session, f"home:cry:{member.id}:", since_at)
    well = await said.newest(turn.session, f"home:safe:{member.id}:", since_at)
    return cry is not None and (well is None or well.id < cry.id)


async def _where(turn: Turn, one: _Speaker) -> list[str]:
    return await places(turn.session, await safely_home.whereabouts(turn.session, one.member.id, turn.now))


def _words(turn: Turn) -> str | None:
    """What they wrote, or where a pin of theirs stands; None for what can't be read, such as a voice message."""
    message = turn.update.message
    if not turn.text and message is not None and message.location is not None:
        return f"{message.location.latitude:.5f}, {message.location.longitude:.5f}"
    return turn.text or None
