"""Done: under the group's message it asks what, under one's own it takes one's own; what was taken is said, with Undo.

What is told of as picked or tied while a warning asks for it: the job is done where all was picked, and else it is asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from bot.chat import rights
from bot.chat.html import bold, lines
from bot.chat.language.topics import Things
from bot.chat.request import Request
from bot.chat.tasks import duty_words, safely_home
from bot.chat.tasks import reported_done_words as wording
from bot.chat.tasks import safely_home as home_words
from bot.chat.warnings.announce import refresh_standing
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.chat.wire.message import Button
from bot.core.finding import TaskKind
from bot.services.journal.note import Action, Note
from bot.services.journal.outcome import Outcome, Recorded
from bot.services.look import Look, look
from bot.services.people.membership import reachable
from bot.services.tasks import completion
from bot.services.tasks import safely_home as services
from bot.services.tasks.answers import Answer, Reply
from bot.services.tasks.completion import Share
from bot.services.warnings.views import TaskView, WarningView, view
from bot.storage.models import Garden, Member, Warning
from bot.storage.warnings import warnings as store

#: More warnings than one message is ever about are forged.
_TOGETHER_N = 6
_SHARES = {"whole": Share.WHOLE, "part": Share.PART}


async def _finish(request: Request, warning: Warning, member: Member) -> None:
    """The button Done. Taken at once is only what nobody else waits for, or what stands in a message to them alone."""
    may = await completion.reportable(request.session, warning, member, request.now)
    if request.private and not may.mine and await completion.all_seen_to(request.session, warning, member):
        await request.reply(duty_words.reply(request.say, Reply.ALREADY))
        return
    if may.every and member.adult and not (may.mine and (request.private or set(may.mine) == set(may.every))):
        outlook, shown = await _seen(request, warning)
        name = None if request.private or reachable(member) else member.person.name
        await _say(request, member, *wording.question(Told(request.say, outlook.crops, request.now), shown, may, name))
        return
    await mine(request, warning, member)


async def mine(request: Request, warning: Warning, member: Member, share: Share = Share.UNSAID) -> None:
    """What is theirs is done."""
    given = await completion.done(request.session, warning, member, request.now, share=share)
    await _taken(request, warning, member, given, f"done:{warning.id}:mine-")


async def these(request: Request, warning: Warning, member: Member, task_ids: Sequence[int]) -> None:
    """What they have told of is the whole of these."""
    given = await completion.done(request.session, warning, member, request.now, task_ids, Share.WHOLE)
    await _taken(request, warning, member, given, f"done:{warning.id}:mine-")


async def by_words(
    request: Request, warning: Warning, member: Member, about: Things, share: Share = Share.UNSAID
) -> None:
    """What is theirs is done; where the words name things, what is theirs of these. If that is nothing, it is asked."""
    if not about:
        await mine(request, warning, member, share)
        return
    outlook, shown = await _seen(request, warning)
    may = await completion.reportable(request.session, warning, member, request.now)
    own = [one for one in shown.duties if one.id in may.mine]
    named = [one.id for one in own if _fits(about, one)]
    named = named or [one.id for one in own if about.says_whither(one.kind)]
    if named:
        given = await completion.done(request.session, warning, member, request.now, named, share)
        one = f"t{named[0]}" if len(named) == 1 else "mine"
        await _taken(request, warning, member, given, f"done:{warning.id}:{one}-")
    elif may.mine:
        await _say(request, member, *wording.question(Told(request.say, outlook.crops, request.now), shown, may, None))
    else:
        await mine(request, warning, member, share)


def _fits(about: Things, duty: TaskView) -> bool:
    return about.fit(duty.crops, (place.id for place in (duty.site, duty.target) if place is not None))


async def press(request: Request, rest: str) -> None:
    """ "warning id" under a message of ours, or several, "1-2", under one that is about several; then ":mine", ":all",
    ":which", ":t" and a duty, or ":undo" and reports.
    """
    number, _, deed = rest.partition(":")
    for warning_id in keyboards.numbers(number)[: 1 if deed else _TOGETHER_N] or [0]:
        await _press(request, await store.by_id(request.session, warning_id), deed)


async def _press(request: Request, warning: Warning | None, deed: str) -> None:
    member = await request.member_of(warning.garden_id) if warning is not None else None
    if warning is None or member is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    what, _, said = deed.partition("-")
    if not deed:
        await _finish(request, warning, member)
    elif what == "mine" and (not said or said in _SHARES):
        await mine(request, warning, member, _SHARES.get(said, Share.UNSAID))
    elif deed == "all":
        await _all(request, warning, member)
    elif deed == "which":
        await _list(request, warning, member, None)
    elif what.startswith("t") and (task_id := rights.whole(what[1:])) is not None and (not said or said in _SHARES):
        await _tick(request, warning, member, task_id, _SHARES.get(said, Share.UNSAID))
    elif what.startswith("undo"):
        await _undo(request, warning, member, rights.whole(what.removeprefix("undo")), rights.whole(said))
    else:
        await rights.stale(request)


async def _all(request: Request, warning: Warning, member: Member) -> None:
    """Everything, said plainly: nobody is named for what was not theirs."""
    may = await completion.reportable(request.session, warning, member, request.now)
    given = await completion.done(request.session, warning, member, request.now, may.every, Share.WHOLE)
    await _taken(request, warning, member, given, f"done:{warning.id}:mine-")


async def _tick(request: Request, warning: Warning, member: Member, task_id: int, share: Share) -> None:
    given = await completion.done(request.session, warning, member, request.now, (task_id,), share)
    if given.task_ids:
        await _list(request, warning, member, given)
        await _refresh(request, warning)
    else:
        await _taken(request, warning, member, given, f"done:{warning.id}:t{task_id}-")


async def _undo(request: Request, warning: Warning, member: Member, first: int | None, last: int | None) -> None:
    if first is None or last is None:
        await rights.stale(request)
        return
    given = await completion.take_back(request.session, warning, member, (first, last), request.now)
    outlook, shown = await _seen(request, warning)
    await _say(request, member, wording.taken_back(Told(request.say, outlook.crops, request.now), shown, given))
    if given.task_ids:
        await _refresh(request, warning)


async def _list(request: Request, warning: Warning, member: Member, given: Answer | None) -> None:
    """The list to tick, in the place of the message whose button was pressed."""
    if not member.adult:
        await request.whisper(duty_words.reply(request.say, Reply.ADULTS_ONLY))
        return
    may = await completion.reportable(request.session, warning, member, request.now)
    outlook, shown = await _seen(request, warning)
    if not may.every and given is None:
        await _say(request, member, duty_words.reply(request.say, Reply.ALREADY))
        return
    await request.change(*wording.ticks(Told(request.say, outlook.crops, request.now), shown, may, given))


async def _alive(request: Request, member: Member, given: Answer) -> None:
    """A Done after "Are you safely home?" is a sign of life; organisers who had been told of a silence hear of it."""
    signs = given.reply in (Reply.THANKS, Reply.PART, Reply.WHOLE)
    if signs and await services.home(request.session, member.id, request.now):
        key, words = (
            f"done:{member.id}:{request.update.update_id}",
            partial(home_words.reported, name=member.person.name),
        )
        await safely_home.tell(request.session, _garden(request), member, key, request.now, words)


async def _taken(request: Request, warning: Warning, member: Member, given: Answer, whose: str) -> None:
    if given.reply is Reply.ADULTS_ONLY:  # nobody is refused before everybody
        await request.whisper(duty_words.reply(request.say, given.reply))
        return
    await _alive(request, member, given)
    outlook, shown = await _seen(request, warning)
    await _say(request, member, *wording.taken(Told(request.say, outlook.crops, request.now), shown, given, whose))
    if given.task_ids:
        await _refresh(request, warning)


async def _seen(request: Request, warning: Warning) -> tuple[Look, WarningView]:
    outlook = await look(request.session, _garden(request), request.source, request.now)
    return outlook, await view(request.session, warning, outlook)


async def _refresh(request: Request, warning: Warning) -> None:
    outlook = await look(request.session, _garden(request), request.source, request.now)
    await refresh_standing(request.session, _garden(request), outlook, warning, request.now)


def _garden(request: Request) -> Garden:
    assert request.garden is not None  # a member speaks
    return request.garden


async def _say(request: Request, member: Member, text: str, buttons: Sequence[Sequence[Button]] = ()) -> None:
    """Privately; in place, where they can't be written to."""
    if request.private or not reachable(member):
        await request.reply(text, buttons)
    else:
        await request.whisper(text, buttons)


async def of_notes(request: Request, outcomes: Sequence[Outcome]) -> None:
    """After notes: what of the jobs before a frost or a gale they have done, or may have."""
    told = list(_told(outcomes))
    if not told or request.garden is None or request.member is None or not request.member.adult:
        return
    outlook = await look(request.session, request.garden, request.source, request.now)
    for warning in await store.active(request.session, request.garden.id, request.now):
        shown = await view(request.session, warning, outlook)
        open_ = [one for one in shown.open_duties if _is_of(one, told, request)]
        whole = [one for one in open_ if _is_whole(one, told)]
        if whole:
            ids = tuple(one.id for one in whole)
            await these(request, warning, request.member, ids)
        if left := [one for one in open_ if one not in whole and one.kind is TaskKind.PICK]:
            text, keys = _question(Told(request.say, outlook.crops, request.now), shown, left)
            await request.reply(text, keys)


#: What was picked or tied: the note, the place and the crop.
_Work = tuple[Note, int, str]
#: How notes call what warnings ask for, where the ledger of places does not tell.
_DEEDS = {TaskKind.PICK: Action.HARVESTED, TaskKind.TIE: Action.SUPPORTED}


def _told(outcomes: Sequence[Outcome]) -> Iterator[_Work]:
    """All but that of which somebody says that it is a part."""
    for one in outcomes:
        if not isinstance(one, Recorded) or one.note.action not in _DEEDS.values() or (one.note.share or 1.0) < 1.0:
            continue
        for change in one.changes:
            if change.planting is not None:
                yield one.note, change.planting.place_id, change.planting.crop


def _is_of(duty: TaskView, told: Sequence[_Work], request: Request) -> bool:
    since_on = request.say.local(duty.starts_at).date()
    return any(
        note.action is _DEEDS.get(duty.kind)
        and note.done_on >= since_on
        and place_id == duty.place.id
        and crop in duty.crops
        for note, place_id, crop in told
    )


def _is_whole(duty: TaskView, told: Sequence[_Work]) -> bool:
    """Whether all of it is tied, or the words say that all of it is picked."""
    whole = [(place_id, crop) for note, place_id, crop in told if note.share or duty.kind is TaskKind.TIE]
    return set(duty.crops) <= {crop for place_id, crop in whole if place_id == duty.place.id}


def _question(told: Told, shown: WarningView, left: Sequence[TaskView]) -> tuple[str, list[list[Button]]]:
    say = told.say
    text = lines(
        [
            bold(say.gettext("Is all of it picked? Then tap Done. We need it before the cold night:")),
            *duty_words.listing(say, told.crops, left, asked=False),
        ]
    )
    if len(left) == 1:
        return text, [[(say.gettext("Done"), f"done:{shown.id}:t{left[0].id}-whole")]]
    return text, [[(duty_words.label(say, one), f"done:{shown.id}:t{one.id}-whole")] for one in left]
