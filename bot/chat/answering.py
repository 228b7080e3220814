"""Yes, no and done, by button or by words: stored, thanked for, and shown to the group."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from bot.chat import daily, distress, finishing, keyboards
from bot.chat.everyone import tell_everyone
from bot.chat.message import Urgency
from bot.chat.telling import refresh_standing
from bot.chat.turn import Turn
from bot.chat.wording import duties
from bot.chat.wording.told import Told
from bot.services import answers, completing
from bot.services.answers import Answer, Reply
from bot.services.outlook import look
from bot.services.views import view
from bot.storage import warnings as store
from bot.storage.models import Member, Warning

__all__ = ["accept", "done", "hands", "left", "need", "no", "pass_on", "yes"]


async def accept(turn: Turn, warning: Warning, member: Member) -> None:
    await _answered(turn, warning, member, await answers.accept(turn.session, warning, member, turn.now))


async def pass_on(turn: Turn, warning: Warning, member: Member) -> None:
    await _answered(turn, warning, member, await answers.pass_on(turn.session, warning, member, turn.now))


async def hands(turn: Turn, warning: Warning, member: Member) -> None:
    """One more person: the next person is asked by name at the next look, and the group hears of it at once."""
    given = await answers.hands(turn.session, warning, member, turn.now)
    await _answered(turn, warning, member, given)
    garden = turn.garden
    if garden is None or not given.task_ids:
        return
    outlook = await look(turn.session, garden, turn.source, turn.now)
    shown = await view(turn.session, warning, outlook)
    await tell_everyone(
        turn.session,
        garden,
        f"hands:{warning.id}:{member.id}:{'-'.join(map(str, given.task_ids))[:80]}",
        lambda say: duties.hands(Told(say, outlook.crops, turn.now), shown, member.person.name, given.task_ids),
        turn.now,
        buttons=lambda say: [[(say.gettext("I'll do it"), f"yes:{warning.id}")]],
        urgency=Urgency.WARNING,
        expires_at=max(warning.due_at, turn.now),
        repeatable=True,
    )


async def left(turn: Turn, warning: Warning, member: Member) -> None:
    """Not done, to "Was it done?": nobody but them hears of it."""
    given = await completing.left(turn.session, warning, member)
    await turn.change(duties.reply(turn.say, given.reply))


async def yes(turn: Turn) -> None:
    await _by_words(turn, accept, "yes")


async def no(turn: Turn) -> None:
    await _by_words(turn, pass_on, "no")


async def done(turn: Turn) -> None:
    await _by_words(turn, finishing.mine, "done")


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


async def _answered(turn: Turn, warning: Warning, member: Member, given: Answer) -> None:
    """Tell the person privately how it was taken, and the group by its standing message."""
    assert turn.garden is not None
    outlook = await look(turn.session, turn.garden, turn.source, turn.now)
    text = duties.reply(turn.say, given.reply)
    shown = await view(turn.session, warning, outlook)
    if given.reply in (Reply.THANKS, Reply.ALREADY) and shown.open_duties_of(member.id):
        text += "\n" + duties.yours(turn.say, outlook.crops, shown, member.id, turn.now)
        await turn.whisper(text, keyboards.taken(turn.say, warning.id))
    else:
        await turn.whisper(text)
    if given.task_ids:
        await refresh_standing(turn.session, turn.garden, outlook, warning, turn.now)
