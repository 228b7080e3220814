"""/rehearse: a cold snap played on a copy of the garden, told to one organiser, without anybody being disturbed."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.request import Turn
from bot.chat.warnings import rehearsal_runs as telling
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.warnings import rehearsing
from bot.storage.models import Member, Rehearsal

WORD = "rehearse"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("play a cold night without anybody being disturbed")


async def answer(turn: Turn) -> None:
    found = await rights.organiser(turn)
    if found is None:
        return
    if not turn.private:
        await turn.reply(turn.say.gettext("Send /rehearse to me privately: a rehearsal is for your eyes only."))
        return
    await _ask(turn, found[1], answering=True)


async def _ask(turn: Turn, member: Member, *, answering: bool) -> None:
    say = turn.say
    if await rehearsing.ask(turn.session, member, turn.now, answering=answering):
        text = say.gettext(
            "I play a cold night on a copy of your garden and tell you here what happens. Nobody else hears of it. "
            "It takes me a minute or two."
        )
    else:
        text = say.gettext("I am at a rehearsal for you already. I tell you here as soon as it has been played.")
    await turn.whisper(text)


async def press(turn: Turn, rest: str) -> None:
    """ "rehearsal id:page", or what to play next; only whoever asked turns its pages."""
    number, _, what = rest.partition(":")
    id_, page = rights.whole(number), rights.whole(what)
    row = await turn.session.get(Rehearsal, id_) if id_ is not None else None
    if row is None or row.played is None:
        await rights.stale(turn)
        return
    own = await rights.own(turn, row.member_id)
    found = await rights.organiser(turn) if own is not None else None
    if found is None:
        return
    if what in ("mute", "talk"):
        await _ask(turn, found[1], answering=what == "talk")
    elif page is not None and page < len(row.played["pages"]):
        await turn.change(row.played["pages"][page], telling.buttons(turn.say, row, page))
    else:
        await rights.stale(turn)
