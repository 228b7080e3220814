"""/rehearse: a cold snap played on a copy of the garden, told to one organiser, without anybody being disturbed."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.request import Request
from bot.chat.warnings import rehearsal_runs as telling
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.warnings import rehearsing
from bot.storage.models import Member, Rehearsal

WORD = "rehearse"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("practise a cold night; nobody else gets a message")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    if not request.private:
        await request.reply(
            request.say.gettext("Please send /rehearse to me privately. Only you will see the rehearsal.")
        )
        return
    await _ask(request, found[1], answering=True)


async def _ask(request: Request, member: Member, *, answering: bool) -> None:
    say = request.say
    if await rehearsing.ask(request.session, member, request.now, answering=answering):
        text = say.gettext(
            "I will play a cold night with a copy of your garden and show you here what happens. Nobody else "
            "gets a message. It takes a minute or two."
        )
    else:
        text = say.gettext("I am already working on a rehearsal for you. I will show it here as soon as it is ready.")
    await request.whisper(text)


async def press(request: Request, rest: str) -> None:
    """ "rehearsal id:page", or what to play next; only whoever asked turns its pages."""
    number, _, what = rest.partition(":")
    id_, page = rights.whole(number), rights.whole(what)
    row = await request.session.get(Rehearsal, id_) if id_ is not None else None
    if row is None or row.played is None:
        await rights.stale(request)
        return
    own = await rights.own(request, row.member_id)
    found = await rights.organiser(request) if own is not None else None
    if found is None:
        return
    if what in ("mute", "talk"):
        await _ask(request, found[1], answering=what == "talk")
    elif page is not None and page < len(row.played["pages"]):
        await request.change(row.played["pages"][page], telling.buttons(request.say, row, page))
    else:
        await rights.stale(request)
