"""Done: under the group's message it asks what, under one's own it takes one's own; what was taken is said, with Undo."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from bot.chat import rights
from bot.chat.request import Turn
from bot.chat.tasks import duty_words, safely_home
from bot.chat.tasks import reported_done_words as wording
from bot.chat.tasks import safely_home_words as home_words
from bot.chat.warnings.announce import refresh_standing
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.chat.wire.message import Button
from bot.services.look import Outlook, look
from bot.services.people.membership import reachable
from bot.services.tasks import completion
from bot.services.tasks import safely_home as services
from bot.services.tasks.answers import Answer, Reply
from bot.services.tasks.completion import Share
from bot.services.warnings.views import WarningView, view
from bot.storage.models import Garden, Member, Warning
from bot.storage.warnings import warnings as store

__all__ = ["mine", "press"]

#: More warnings than one message is ever about are forged.
_TOGETHER_N = 6
_SHARES = {"whole": Share.WHOLE, "part": Share.PART}


async def _finish(turn: Turn, warning: Warning, member: Member) -> None:
    """The button Done. Taken at once is only what nobody else waits for, or what stands in a message to them alone."""
    may = await completion.reportable(turn.session, warning, member, turn.now)
    if turn.private and not may.mine and await completion.all_seen_to(turn.session, warning, member):
        await turn.reply(duty_words.reply(turn.say, Reply.ALREADY))
        return
    if may.every and member.adult and not (may.mine and (turn.private or set(may.mine) == set(may.every))):
        outlook, shown = await _seen(turn, warning)
        name = None if turn.private or reachable(member) else member.person.name
        await _say(turn, member, *wording.question(Told(turn.say, outlook.crops, turn.now), shown, may, name))
        return
    await mine(turn, warning, member)


async def mine(turn: Turn, warning: Warning, member: Member, share: Share = Share.UNSAID) -> None:
    """What is theirs is done."""
    given = await completion.done(turn.session, warning, member, turn.now, share=share)
    await _taken(turn, warning, member, given, f"done:{warning.id}:mine-")


async def press(turn: Turn, rest: str) -> None:
    """ "warning id" under a message of ours, or several, "1-2", under one that is about several; then ":mine", ":all",
    ":which", ":t" and a duty, or ":undo" and reports.
    """
    number, _, deed = rest.partition(":")
    for warning_id in keyboards.numbers(number)[: 1 if deed else _TOGETHER_N] or [0]:
        await _press(turn, await store.by_id(turn.session, warning_id), deed)


async def _press(turn: Turn, warning: Warning | None, deed: str) -> None:
    member = await turn.member_of(warning.garden_id) if warning is not None else None
    if warning is None or member is None:
        await turn.whisper(turn.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    what, _, said = deed.partition("-")
    if not deed:
        await _finish(turn, warning, member)
    elif what == "mine" and (not said or said in _SHARES):
        await mine(turn, warning, member, _SHARES.get(said, Share.UNSAID))
    elif deed == "all":
        await _all(turn, warning, member)
    elif deed == "which":
        await _list(turn, warning, member, None)
    elif what.startswith("t") and (task_id := rights.whole(what[1:])) is not None and (not said or said in _SHARES):
        await _tick(turn, warning, member, task_id, _SHARES.get(said, Share.UNSAID))
    elif what.startswith("undo"):
        await _undo(turn, warning, member, rights.whole(what.removeprefix("undo")), rights.whole(said))
    else:
        await rights.stale(turn)


async def _all(turn: Turn, warning: Warning, member: Member) -> None:
    """Everything, said plainly: nobody is named for what was not theirs."""
    may = await completion.reportable(turn.session, warning, member, turn.now)
    given = await completion.done(turn.session, warning, member, turn.now, may.every, Share.WHOLE)
    await _taken(turn, warning, member, given, f"done:{warning.id}:mine-")


async def _tick(turn: Turn, warning: Warning, member: Member, task_id: int, share: Share) -> None:
    given = await completion.done(turn.session, warning, member, turn.now, (task_id,), share)
    if given.task_ids:
        await _list(turn, warning, member, given)
        await _refresh(turn, warning)
    else:
        await _taken(turn, warning, member, given, f"done:{warning.id}:t{task_id}-")


async def _undo(turn: Turn, warning: Warning, member: Member, first: int | None, last: int | None) -> None:
    if first is None or last is None:
        await rights.stale(turn)
        return
    given = await completion.take_back(turn.session, warning, member, (first, last), turn.now)
    outlook, shown = await _seen(turn, warning)
    await _say(turn, member, wording.taken_back(Told(turn.say, outlook.crops, turn.now), shown, given))
    if given.task_ids:
        await _refresh(turn, warning)


async def _list(turn: Turn, warning: Warning, member: Member, given: Answer | None) -> None:
    """The list to tick, in the place of the message whose button was pressed."""
    if not member.adult:
        await turn.whisper(duty_words.reply(turn.say, Reply.ADULTS_ONLY))
        return
    may = await completion.reportable(turn.session, warning, member, turn.now)
    outlook, shown = await _seen(turn, warning)
    if not may.every and given is None:
        await _say(turn, member, duty_words.reply(turn.say, Reply.ALREADY))
        return
    await turn.change(*wording.ticks(Told(turn.say, outlook.crops, turn.now), shown, may, given))


async def _alive(turn: Turn, member: Member, given: Answer) -> None:
    """A Done after "Are you safely home?" is a sign of life; organisers who had been told of a silence hear of it."""
    signs = given.reply in (Reply.THANKS, Reply.PART, Reply.WHOLE)
    if signs and await services.home(turn.session, member.id, turn.now):
        key, words = f"done:{member.id}:{turn.update.update_id}", partial(home_words.reported, name=member.person.name)
        await safely_home.tell(turn.session, _garden(turn), member, key, turn.now, words)


async def _taken(turn: Turn, warning: Warning, member: Member, given: Answer, whose: str) -> None:
    if given.reply is Reply.ADULTS_ONLY:  # nobody is refused before everybody
        await turn.whisper(duty_words.reply(turn.say, given.reply))
        return
    await _alive(turn, member, given)
    outlook, shown = await _seen(turn, warning)
    await _say(turn, member, *wording.taken(Told(turn.say, outlook.crops, turn.now), shown, given, whose))
    if given.task_ids:
        await _refresh(turn, warning)


async def _seen(turn: Turn, warning: Warning) -> tuple[Outlook, WarningView]:
    outlook = await look(turn.session, _garden(turn), turn.source, turn.now)
    return outlook, await view(turn.session, warning, outlook)


async def _refresh(turn: Turn, warning: Warning) -> None:
    outlook = await look(turn.session, _garden(turn), turn.source, turn.now)
    await refresh_standing(turn.session, _garden(turn), outlook, warning, turn.now)


def _garden(turn: Turn) -> Garden:
    assert turn.garden is not None  # a member speaks
    return turn.garden


async def _say(turn: Turn, member: Member, text: str, buttons: Sequence[Sequence[Button]] = ()) -> None:
    """Privately; in place, where they can't be written to."""
    if turn.private or not reachable(member):
        await turn.reply(text, buttons)
    else:
        await turn.whisper(text, buttons)
