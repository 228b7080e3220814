"""Yes, no and done, by button or by words: stored, thanked for, and shown to the group."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence

from bot.chat.garden.everyone import tell_everyone
from bot.chat.html import lines
from bot.chat.request import Turn
from bot.chat.tasks import ask_words, daily, distress, duty_words, reported_done
from bot.chat.warnings.announce import refresh_standing
from bot.chat.warnings.told import Told
from bot.chat.wire import keyboards
from bot.chat.wire.message import Urgency
from bot.services.look import look
from bot.services.tasks import answers, completion
from bot.services.tasks.answers import Answer, Reply
from bot.services.warnings.views import view
from bot.storage.models import Member, Warning
from bot.storage.warnings import warnings as store
from bot.storage.wire import said

__all__ = ["accept", "done", "hands", "left", "need", "no", "pass_on", "yes"]


async def accept(turn: Turn, warnings: Sequence[Warning], member: Member) -> None:
    """Yes to what the message asks for; under one to everybody, to the first thing that lacks somebody."""
    shown = await _shown(turn)
    given = [await answers.accept(turn.session, one, member, turn.now, shown) for one in warnings]
    await _answered(turn, warnings, member, given)


async def pass_on(turn: Turn, warnings: Sequence[Warning], member: Member) -> None:
    given = [await answers.pass_on(turn.session, one, member, turn.now) for one in warnings]
    await _answered(turn, warnings, member, given)


async def _shown(turn: Turn) -> frozenset[int] | None:
    """What the message under which somebody pressed asked them for by name; None for any other message."""
    query = turn.update.callback_query
    message = query.message if query is not None else None
    row = await said.at(turn.session, message.chat.id, message.message_id) if message is not None else None
    about = row.payload.get("about") if row is not None else None
    return frozenset(about) if about else None


async def hands(turn: Turn, warning: Warning, member: Member) -> None:
    """One more person: the next person is asked by name at the next look, and the group hears of it at once."""
    given = await answers.hands(turn.session, warning, member, turn.now)
    await _answered(turn, [warning], member, [given])
    garden = turn.garden
    if garden is None or not given.task_ids:
        return
    outlook = await look(turn.session, garden, turn.source, turn.now)
    shown = await view(turn.session, warning, outlook)
    await tell_everyone(
        turn.session,
        garden,
        f"hands:{warning.id}:{member.id}:{'-'.join(map(str, given.task_ids))[:80]}",
        lambda say: duty_words.hands(Told(say, outlook.crops, turn.now), shown, member.person.name, given.task_ids),
        turn.now,
        buttons=lambda say: [[(say.gettext("I'll do it"), f"yes:{warning.id}")]],
        urgency=Urgency.WARNING,
        expires_at=max(warning.due_at, turn.now),
        repeatable=True,
    )


async def left(turn: Turn, warning: Warning, member: Member) -> None:
    """Not done, to "Was it done?": nobody but them hears of it."""
    given = await completion.left(turn.session, warning, member)
    await turn.change(duty_words.reply(turn.say, given.reply))


async def yes(turn: Turn) -> None:
    await _by_words(turn, lambda turn, warning, member: accept(turn, [warning], member), "yes")


async def no(turn: Turn) -> None:
    await _by_words(turn, lambda turn, warning, member: pass_on(turn, [warning], member), "no")


async def done(turn: Turn) -> None:
    await _by_words(turn, reported_done.mine, "done")


async def need(turn: Turn) -> None:
    await _by_words(turn, hands)


async def _by_words(
    turn: Turn, deed: Callable[[Turn, Warning, Member], Awaitable[None]], verb: str | None = None
) -> None:
    """The words are about the soonest thing that this member was asked for, or that is theirs by turns.

    verb: what they mean to a walk by turns; None where they mean nothing to it.
    """
    member = turn.member
    open_ = await store.open_of_member(turn.session, member.id) if member else ()
    warning = await store.by_id(turn.session, open_[0][1].cause_id) if open_ else None
    walk_at = await daily.soonest(turn.session, member) if member and verb else None
    if member is not None and verb is not None and walk_at is not None and (not open_ or walk_at < open_[0][1].due_at):
        await daily.by_words(turn, member, verb)
        return
    if member is None or warning is None:
        if await distress.unclear(turn):  # of somebody who is waited for, no word is lost
            return
        await turn.reply(turn.say.gettext("You have nothing open that I asked you for. Thank you all the same!"))
        return
    await deed(turn, warning, member)


async def _answered(turn: Turn, warnings: Sequence[Warning], member: Member, given: Sequence[Answer]) -> None:
    """Tell the person privately how it was taken, and the group by its standing message."""
    assert turn.garden is not None
    outlook = await look(turn.session, turn.garden, turn.source, turn.now)
    shown = [await view(turn.session, one, outlook) for one in warnings]
    text = lines(dict.fromkeys(duty_words.reply(turn.say, one.reply) for one in _plain(given)))
    taken = [
        one
        for one, answer in zip(shown, given, strict=True)
        if answer.reply in (Reply.THANKS, Reply.ALREADY) and one.open_duties_of(member.id)
    ]
    if taken:
        told = Told(turn.say, outlook.crops, turn.now)
        whole = ask_words.is_whole(told, taken, member.id)
        rows = keyboards.taken(turn.say, [one.id for one in taken], whole=whole)
        await _say(turn, lines([text, ask_words.yours(told, taken, member.id)]), rows)
    else:
        await turn.whisper(text)
    for warning, answer in zip(warnings, given, strict=True):
        if answer.task_ids:
            await refresh_standing(turn.session, turn.garden, outlook, warning, turn.now)


def _plain(given: Sequence[Answer]) -> Sequence[Answer]:
    """Where something of a message is taken, it is no matter that the rest of it was before."""
    changed = [one for one in given if one.task_ids]
    return changed or given


async def _say(turn: Turn, text: str, rows: keyboards.Rows) -> None:
    """In the place of what was asked privately, so that no old button stays there; else as a new message."""
    if turn.private and turn.update.callback_query is not None:
        await turn.change(text, rows)
    else:
        await turn.whisper(text, rows)
