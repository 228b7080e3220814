"""/rehearse: a cold snap played on a copy of the garden, told to one organiser, without anybody being disturbed."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.request import Request
from bot.chat.warnings import rehearsal_runs as telling
from bot.chat.wire.errands import begin
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.warnings import rehearsing
from bot.storage.models import Errand, Member
from bot.storage.states import ErrandKind

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
    if await rehearsing.is_waiting(request.session, member):
        await request.whisper(say.gettext("Your rehearsal is on its way. I will show it here as soon as it is ready."))
        return
    text = say.gettext(
        "I will play a cold night with a copy of your garden and show you here what happens. Nobody else "
        "gets a message. It takes a minute or two."
    )
    await begin(request, ErrandKind.REHEARSAL, text, asked={"answering": "yes"} if answering else {})


async def press(request: Request, rest: str) -> None:
    """ "rehearsal id:page", or what to play next; only whoever asked turns its pages."""
    number, _, what = rest.partition(":")
    id_, page = rights.whole(number), rights.whole(what)
    row = await request.session.get(Errand, id_) if id_ is not None else None
    if row is None or row.kind is not ErrandKind.REHEARSAL or not telling.pages(row):
        await rights.stale(request)
        return
    own = await rights.own(request, row.member_id)
    found = await rights.organiser(request) if own is not None else None
    if found is None:
        return
    if what in ("mute", "talk"):
        await _ask(request, found[1], answering=what == "talk")
    elif page is not None and page < len(telling.pages(row)):
        await request.change(telling.pages(row)[page], telling.buttons(request.say, row, page))
    else:
        await rights.stale(request)
