"""The daily work by turns in the chat: the morning's list, its buttons and words, and the open call."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.everyone import tell_everyone
from bot.chat.message import Button, Urgency, post
from bot.chat.telling import tell_organisers, voice
from bot.chat.turn import Turn
from bot.chat.wording import duties, why
from bot.chat.wording import turns as wording
from bot.chat.wording.html import safe
from bot.core import closed
from bot.core.closed import Closed
from bot.crops import loader
from bot.i18n import Say
from bot.services.answers import Reply
from bot.services.outlook import Outlook, look
from bot.services.turns import answers, asking, views
from bot.services.turns.asking import NobodyLeft, NotNeeded, Unheard, Yours
from bot.services.turns.views import TurnView
from bot.storage import members, turns
from bot.storage.models import DayTurn, Garden, Member

__all__ = ["by_words", "mine", "press", "soonest", "tick", "today"]


async def tick(session: AsyncSession, garden: Garden, outlook: Outlook, now: datetime) -> None:
    """One look at the garden's walks, and what it makes the bot say; keys keep each from being queued twice."""
    for event in await asking.look(session, garden, outlook, now):
        if isinstance(event, Yours):
            await _give(session, garden, outlook, event, now)
        elif isinstance(event, NobodyLeft):
            await _call(session, garden, outlook, event, now)
        elif isinstance(event, Unheard):
            since = event.since.isoformat() if event.since is not None else "never"
            await tell_organisers(session, garden, f"turn:unheard:{garden.id}:{since}", wording.unheard, now)
        else:
            await _free(session, garden, event, now)


async def press(turn: Turn, rest: str) -> None:
    """A button under a list, or under an open call."""
    verb, _, number = rest.partition(":")
    turn_id = rights.whole(number)
    row = await turns.by_id(turn.session, turn_id) if turn_id is not None else None
    member = await turn.member_of(row.garden_id) if row is not None else None
    if row is None or member is None:
        await turn.whisper(turn.say.gettext("That is for members of the garden. Send /start to me privately."))
    elif verb in ("done", "no", "yes"):
        await _answer(turn, verb, row, member)
    elif verb == "take":
        await _take(turn, row, member)
    elif verb == "why":
        await _why(turn, row)
    else:
        await rights.stale(turn)


async def soonest(session: AsyncSession, member: Member) -> datetime | None:
    """By when the next of a member's walks is due."""
    open_ = await turns.live_of_member(session, member.id)
    return open_[0][1].due_at if open_ else None


async def by_words(turn: Turn, member: Member, verb: str) -> None:
    """Done, or I can't, said of the soonest walk that is theirs."""
    (_, row), *_ = await turns.live_of_member(turn.session, member.id)
    if turn.garden is None or turn.garden.id != row.garden_id:
        await turn.member_of(row.garden_id)
    await _answer(turn, verb, row, member)


async def mine(turn: Turn, garden: Garden, member: Member) -> bool:
    """Answer with what is this member's by turns today; False when nothing is."""
    rows = [row for _, row in await turns.live_of_member(turn.session, member.id)]
    if not rows:
        return False
    outlook = await look(turn.session, garden, turn.source, turn.now)
    text, keys = _list(turn.say, outlook, await views.views(turn.session, outlook, rows), member.id, turn.now)
    await turn.whisper(text, keys)
    return True


async def today(
    session: AsyncSession, say: Say, outlook: Outlook, now: datetime, reader_id: int | None = None
) -> list[str]:
    """Whose turn it is today, a line a walk."""
    return wording.today(say, await views.of_day(session, outlook, say.local(now).date()), reader_id)


async def _answer(turn: Turn, verb: str, row: DayTurn, member: Member) -> None:
    assert turn.garden is not None
    if verb == "done":
        reply = await answers.done(turn.session, row, member, turn.garden, turn.now)
    elif verb == "yes":
        reply = await answers.agree(turn.session, row, member, turn.now)
    else:
        reply = await answers.pass_on(turn.session, row, member, turn.now)
    outlook = await look(turn.session, turn.garden, turn.source, turn.now)
    text = duties.reply(turn.say, reply)
    if verb == "done" and reply is Reply.THANKS:
        text = wording.thanks(turn.say, await views.view(turn.session, outlook, row))
    if turn.update.callback_query is None or not turn.private:
        await turn.reply(text)
        return
    left = [one for _, one in await turns.live_of_member(turn.session, member.id) if one.on == row.on]
    if not left:
        await turn.change(text)
        return
    shown = await views.views(turn.session, outlook, left)
    listed, keys = _list(turn.say, outlook, shown, member.id, turn.now)
    await turn.change(f"{text}\n\n{listed}", keys)


async def _take(turn: Turn, row: DayTurn, member: Member) -> None:
    """The group sees who does it; whoever offered has the list privately."""
    assert turn.garden is not None
    reply = await answers.take(turn.session, row, member, turn.now)
    if reply is not Reply.THANKS:
        await turn.whisper(duties.reply(turn.say, reply))
        return
    outlook = await look(turn.session, turn.garden, turn.source, turn.now)
    shown = await views.view(turn.session, outlook, row)
    group = voice(turn.garden)
    await turn.change(
        group.gettext(
            "{name} sees to it today, thank you: {what}.",
            name=safe(member.person.name, 40),
            what=wording.part(group, shown),
        )
    )
    text, keys = _list(turn.say, outlook, [shown], member.id, turn.now)
    await turn.whisper(text, keys)


async def _why(turn: Turn, row: DayTurn) -> None:
    assert turn.garden is not None
    outlook = await look(turn.session, turn.garden, turn.source, turn.now)
    shown = await views.view(turn.session, outlook, row)
    _, sources, _ = loader.load_rules()
    told = dict[tuple[object, ...], str]()
    for line in shown.lines:
        title = wording.chores(turn.say, [line])[0]
        told.setdefault((line.kind, line.reasons), why.chain(turn.say, title, line.reasons, sources))
    for text in list(told.values())[:3]:
        await turn.whisper(text)


async def _give(session: AsyncSession, garden: Garden, outlook: Outlook, event: Yours, now: datetime) -> None:
    member = await members.by_id(session, event.member_id)
    if member is None or member.person.user_id is None:
        return
    say = voice(garden, member.person.language)
    text, keys = _list(say, outlook, event.turns, member.id, now, event.others)
    await _post(
        session, f"turn:{_ids(event.turns)}:{member.id}", member.person.user_id, text, keys, event.turns, say, now
    )


async def _free(session: AsyncSession, garden: Garden, event: NotNeeded, now: datetime) -> None:
    member = await members.by_id(session, event.member_id)
    if member is None or member.person.user_id is None:
        return
    say, turn = voice(garden, member.person.language), event.turn
    key = f"turn:{turn.id}:{member.id}:not needed"
    await _post(session, key, member.person.user_id, wording.not_needed(say, turn), [], [turn], say, now)


async def _call(session: AsyncSession, garden: Garden, outlook: Outlook, event: NobodyLeft, now: datetime) -> None:
    """Everyone is asked openly, and organisers hear of it."""
    turn, at = event.turn, event.at.isoformat()
    await tell_everyone(
        session,
        garden,
        f"turn:{turn.id}:call:{at}",
        lambda say: wording.open_call(say, outlook.garden, turn),
        now,
        buttons=lambda say: [
            [(say.gettext("I'll do it"), f"turn:take:{turn.id}"), (say.gettext("Why"), f"turn:why:{turn.id}")]
        ],
        expires_at=max(now + timedelta(hours=1), turn.due_at),
        repeatable=True,
    )
    for organiser in await members.organisers(session, garden.id):
        if organiser.person.user_id is not None:
            theirs = voice(garden, organiser.person.language)
            key = f"turn:{turn.id}:call:{organiser.id}:{at}"
            told = wording.to_organisers(theirs, turn)
            await _post(session, key, organiser.person.user_id, told, [], [turn], theirs, now)


async def _post(
    session: AsyncSession,
    key: str,
    chat_id: int,
    text: str,
    keys: Sequence[Sequence[Button]],
    given: Sequence[TurnView],
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
    outlook: Outlook,
    given: Sequence[TurnView],
    member_id: int,
    now: datetime,
    others: Sequence[str] = (),
) -> tuple[str, list[list[Button]]]:
    """The list of some walks and its buttons: a row a walk, named where there are several."""
    is_today = _on(given) == say.local(now).date()
    text = wording.yours(
        say, outlook.garden, given, member_id, others, rough=_rough(outlook, given, now), today=is_today
    )
    if len(given) == 1:
        (turn,) = given
        return text, [
            [(say.gettext("Done"), f"turn:done:{turn.id}"), (say.gettext("I can't"), f"turn:no:{turn.id}")],
            [*_yes(say, given), (say.gettext("Why"), f"turn:why:{turn.id}")],
        ]
    keys: list[list[Button]] = []
    for turn in given:
        what = wording.part(say, turn)
        done, cannot = say.gettext("Done: {what}", what=what), say.gettext("I can't: {what}", what=what)
        keys.append([(done, f"turn:done:{turn.id}"), (cannot, f"turn:no:{turn.id}")])
    return text, [*keys, yes] if (yes := _yes(say, given)) else keys


def _yes(say: Say, given: Sequence[TurnView]) -> list[Button]:
    """One yes for all of it, while one is waited for."""
    waiting = [turn for turn in given if turn.answer_by is not None]
    return [(say.gettext("I'll do it"), f"turn:yes:{waiting[0].id}")] if waiting else []


def _rough(outlook: Outlook, given: Sequence[TurnView], now: datetime) -> list[Closed]:
    """When nobody should be out before these are due, soonest first."""
    if outlook.forecast is None:
        return []
    due_at = max(turn.due_at for turn in given)
    known = closed.outdoors(outlook.garden, outlook.forecast)
    return [one for one in known if one.end_at > now and one.start_at < due_at]


def _on(given: Sequence[TurnView]) -> date:
    return min(turn.on for turn in given)


def _ids(given: Sequence[TurnView]) -> str:
    return "-".join(str(turn.id) for turn in given)
