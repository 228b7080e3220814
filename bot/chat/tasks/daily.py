"""The work of the day in the chat: the morning's list, its buttons and words, and the open call."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.garden.everyone import tell_everyone, tell_organisers, voice
from bot.chat.html import lines, safe
from bot.chat.request import Request
from bot.chat.screen import show
from bot.chat.tasks import daily_words as wording
from bot.chat.tasks import duty_words
from bot.chat.warnings import why
from bot.chat.wire.message import Button, Urgency, post
from bot.core.finding import TaskKind
from bot.core.warnings import safety
from bot.core.warnings.safety import Closed
from bot.crops import loader
from bot.i18n import Say
from bot.services.look import Look, look
from bot.services.tasks import answers, completion
from bot.services.tasks.answers import Answer, Reply, Walk
from bot.services.tasks.daily import asking_today, walk_views
from bot.services.tasks.daily.asking_today import NobodyLeft, NotNeeded, Unheard, Yours
from bot.services.tasks.daily.walk_views import WalkView
from bot.storage.models import Garden, Member, Task
from bot.storage.people import members
from bot.storage.states import TaskState
from bot.storage.tasks import tasks

#: Of the reasons of one walk.
_REASONS_N = 3


async def tick(session: AsyncSession, garden: Garden, outlook: Look, now: datetime) -> None:
    """One look at the garden's walks, and what it makes the bot say; keys keep each from being queued twice."""
    for event in await asking_today.look(session, garden, outlook, now):
        if isinstance(event, Yours):
            await _give(session, garden, outlook, event, now)
        elif isinstance(event, NobodyLeft):
            await _call(session, garden, outlook, event, now)
        elif isinstance(event, Unheard):
            since = event.since.isoformat() if event.since is not None else "never"
            await tell_organisers(session, garden, f"walk:unheard:{garden.id}:{since}", wording.unheard, now)
        else:
            await _free(session, garden, event, now)


async def press(request: Request, rest: str) -> None:
    """A button under a list, or under an open call."""
    verb, _, number = rest.partition(":")
    task_id = rights.whole(number)
    rows = await tasks.walk(request.session, task_id) if task_id is not None else ()
    member = await request.member_of(rows[0].garden_id) if rows else None
    if member is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
    elif verb in ("done", "no", "yes"):
        await _answer(request, verb, rows, member)
    elif verb == "take":
        await _take(request, rows, member)
    elif verb == "why":
        await _why(request, rows)
    elif verb == "all":
        await _all(request, member)
    else:
        await rights.stale(request)


async def soonest(session: AsyncSession, member: Member) -> datetime | None:
    """By when the next of a member's walks is due."""
    return min((duty.due_at for duty in await _of_member(session, member)), default=None)


async def kinds(session: AsyncSession, member: Member) -> frozenset[TaskKind]:
    """What the walks are that are theirs."""
    return frozenset(duty.kind for duty in await _of_member(session, member))


async def by_words(request: Request, member: Member, verb: str) -> None:
    """Done, or I can't, said of the soonest walk that is theirs."""
    duty, *_ = await _of_member(request.session, member)
    if request.garden is None or request.garden.id != duty.garden_id:
        await request.member_of(duty.garden_id)
    await _answer(request, verb, await tasks.walk(request.session, duty.id), member)


async def mine(request: Request, garden: Garden, member: Member, lead: str | None = None) -> bool:
    """Answer with what of the day's work is this member's; False when nothing is. lead: what is said first."""
    rows = await _of_member(request.session, member)
    if not rows:
        return False
    outlook = await look(request.session, garden, request.source, request.now)
    shown = await walk_views.views(request.session, outlook, walk_views.by_walk(rows))
    text, keys = _list(request.say, outlook, shown, member.id, request.now)
    await request.whisper(lines([lead, text]), keys)
    return True


async def today(
    session: AsyncSession, say: Say, outlook: Look, now: datetime, reader_id: int | None = None
) -> list[str]:
    """Whose turn it is today, a line a walk."""
    return wording.today(say, await walk_views.of_day(session, outlook, say.local(now).date()), reader_id)


async def _of_member(session: AsyncSession, member: Member) -> list[Task]:
    """What of the work of days is theirs and not done yet, the soonest first."""
    return [duty for _, duty in await tasks.open_of_member(session, member.id) if duty.warning_id is None]


async def _answer(request: Request, verb: str, rows: Sequence[Task], member: Member) -> None:
    assert request.garden is not None
    given = await _given(request, verb, rows, member)
    outlook = await look(request.session, request.garden, request.source, request.now)
    text = duty_words.reply(request.say, given.reply)
    if verb == "done" and given.reply is Reply.THANKS:
        counted = [row for row in rows if row.state is not TaskState.DROPPED]
        text = wording.thanks(request.say, await walk_views.view(request.session, outlook, counted))
    if request.update.callback_query is None or not request.private:
        await request.reply(text)
        return
    left = [duty for duty in await _of_member(request.session, member) if duty.on == rows[0].on]
    if not left:
        await request.change(text)
        return
    shown = await walk_views.views(request.session, outlook, walk_views.by_walk(left))
    listed, keys = _list(request.say, outlook, shown, member.id, request.now)
    await request.change(f"{text}\n\n{listed}", keys)


async def _given(request: Request, verb: str, rows: Sequence[Task], member: Member) -> Answer:
    walk = Walk(tuple(rows))
    if verb == "done":
        return await completion.done(request.session, walk, member, request.now)
    if verb == "no":
        return await answers.pass_on(request.session, walk, member, request.now)
    # One yes is meant for all that they were asked for that day, as long as the walk is still theirs.
    theirs = tuple(duty for duty in await _of_member(request.session, member) if duty.on == rows[0].on)
    still = {duty.id for duty in theirs} & {duty.id for duty in rows}
    return await answers.accept(request.session, Walk(theirs) if still else walk, member, request.now)


async def _take(request: Request, rows: Sequence[Task], member: Member) -> None:
    """The group sees who does it; whoever offered has the list privately."""
    assert request.garden is not None
    given = await answers.accept(request.session, Walk(tuple(rows)), member, request.now)
    if given.reply is not Reply.THANKS:
        await request.whisper(duty_words.reply(request.say, given.reply))
        return
    outlook = await look(request.session, request.garden, request.source, request.now)
    shown = await walk_views.view(request.session, outlook, [row for row in rows if row.id in given.task_ids])
    group = voice(request.garden)
    await request.change(
        group.gettext(
            "{name} will do it today, thank you: {what}.",
            name=safe(member.person.name, 40),
            what=wording.part(group, shown),
        )
    )
    text, keys = _list(request.say, outlook, [shown], member.id, request.now)
    await request.whisper(text, keys)


async def _why(request: Request, rows: Sequence[Task]) -> None:
    assert request.garden is not None
    outlook = await look(request.session, request.garden, request.source, request.now)
    shown = await walk_views.view(request.session, outlook, rows)
    _, sources, _ = loader.load_rules()
    told = dict[tuple[object, ...], str]()
    for line in shown.lines:
        title = wording.chores(request.say, [line])[0]
        told.setdefault((line.kind, line.why), why.chain(request.say, title, line.why, sources))
    text = "\n\n".join([*told.values()][:_REASONS_N])
    await show(request, text, f"walk:why:{rows[0].id}", privately=True)


async def _all(request: Request, member: Member) -> None:
    """The whole of a list that had to be shortened."""
    assert request.garden is not None
    rows = await _of_member(request.session, member)
    if not rows:
        await rights.stale(request)
        return
    outlook = await look(request.session, request.garden, request.source, request.now)
    shown = await walk_views.views(request.session, outlook, walk_views.by_walk(rows))
    text, _ = _text(request.say, outlook, shown, member.id, request.now, whole=True)
    await show(request, text, f"walk:all:{rows[0].id}", privately=True)


async def _give(session: AsyncSession, garden: Garden, outlook: Look, event: Yours, now: datetime) -> None:
    member = await members.by_id(session, event.member_id)
    if member is None or member.person.user_id is None:
        return
    say = voice(garden, member.person.language)
    text, keys = _list(say, outlook, event.walks, member.id, now, event.others)
    await _post(
        session, f"walk:{_ids(event.walks)}:{member.id}", member.person.user_id, text, keys, event.walks, say, now
    )


async def _free(session: AsyncSession, garden: Garden, event: NotNeeded, now: datetime) -> None:
    member = await members.by_id(session, event.member_id)
    if member is None or member.person.user_id is None:
        return
    say, walk = voice(garden, member.person.language), event.walk
    key = f"walk:{walk.id}:{member.id}:not needed"
    await _post(session, key, member.person.user_id, wording.not_needed(say, walk), [], [walk], say, now)


async def _call(session: AsyncSession, garden: Garden, outlook: Look, event: NobodyLeft, now: datetime) -> None:
    """Everyone is asked openly, and organisers hear of it."""
    walk, at = event.walk, event.at.isoformat()
    rough = _rough(outlook, [walk], now)
    await tell_everyone(
        session,
        garden,
        f"walk:{walk.id}:call:{at}",
        lambda say: wording.open_call(say, outlook.garden, walk, rough),
        now,
        buttons=lambda say: [
            [(say.gettext("I'll do it"), f"walk:take:{walk.id}"), (say.gettext("Why"), f"walk:why:{walk.id}")]
        ],
        expires_at=max(now + timedelta(hours=1), walk.due_at),
        repeatable=True,
    )
    for organiser in await members.organisers(session, garden.id):
        if organiser.person.user_id is not None:
            theirs = voice(garden, organiser.person.language)
            key = f"walk:{walk.id}:call:{organiser.id}:{at}"
            told = wording.to_organisers(theirs, walk, rough)
            await _post(session, key, organiser.person.user_id, told, [], [walk], theirs, now)


async def _post(
    session: AsyncSession,
    key: str,
    chat_id: int,
    text: str,
    keys: Sequence[Sequence[Button]],
    given: Sequence[WalkView],
    say: Say,
    now: datetime,
) -> None:
    await post(
        session,
        key=key,
        chat_id=chat_id,
        text=text,
        now=now,
        buttons=keys,
        urgency=Urgency.NOTICE,
        expires_at=max(now + timedelta(hours=1), *(turn.due_at for turn in given)),
        again=say.gettext("(Sent once more: I am not sure that you got this.)"),
    )


def _list(
    say: Say,
    outlook: Look,
    given: Sequence[WalkView],
    member_id: int,
    now: datetime,
    others: Sequence[str] = (),
) -> tuple[str, list[list[Button]]]:
    """The list of some walks and its buttons: a row a walk, named where there are several."""
    text, is_whole = _text(say, outlook, given, member_id, now, others)
    rest: list[list[Button]] = [] if is_whole else [[(say.gettext("Show all"), f"walk:all:{given[0].id}")]]
    if len(given) == 1:
        (turn,) = given
        return text, [
            [(say.gettext("Done"), f"walk:done:{turn.id}"), (say.gettext("I can't"), f"walk:no:{turn.id}")],
            [*_yes(say, given), (say.gettext("Why"), f"walk:why:{turn.id}")],
            *rest,
        ]
    keys: list[list[Button]] = []
    for turn in given:
        what = wording.part(say, turn)
        done, cannot = say.gettext("Done: {what}", what=what), say.gettext("I can't: {what}", what=what)
        keys.append([(done, f"walk:done:{turn.id}"), (cannot, f"walk:no:{turn.id}")])
    return text, [*keys, *([yes] if (yes := _yes(say, given)) else []), *rest]


def _text(
    say: Say,
    outlook: Look,
    given: Sequence[WalkView],
    member_id: int,
    now: datetime,
    others: Sequence[str] = (),
    *,
    whole: bool = False,
) -> tuple[str, bool]:
    """(text, whether it is all of it)."""
    rough, is_today = _rough(outlook, given, now), _on(given) == say.local(now).date()
    return wording.yours(say, outlook.garden, given, member_id, others, rough=rough, today=is_today, whole=whole)


def _yes(say: Say, given: Sequence[WalkView]) -> list[Button]:
    """One yes for all of it, while one is waited for."""
    waiting = [turn for turn in given if turn.answer_by is not None]
    return [(say.gettext("I'll do it"), f"walk:yes:{waiting[0].id}")] if waiting else []


def _rough(outlook: Look, given: Sequence[WalkView], now: datetime) -> list[Closed]:
    """When nobody should be out before these are due, soonest first."""
    if outlook.forecast is None:
        return []
    due_at = max(turn.due_at for turn in given)
    known = safety.outdoors(outlook.garden, outlook.forecast)
    return [one for one in known if one.end_at > now and one.start_at < due_at]


def _on(given: Sequence[WalkView]) -> date:
    return min(turn.on for turn in given)


def _ids(given: Sequence[WalkView]) -> str:
    return "-".join(str(turn.id) for turn in given)
