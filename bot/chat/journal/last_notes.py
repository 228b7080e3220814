"""/journal: the last notes from the plots; any of them that is not so is taken back, both versions kept."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.journal import disputes
from bot.chat.journal import disputes as wording
from bot.chat.request import Request
from bot.i18n import Say
from bot.services.journal import disputing

WORD = "journal"
_SHOWN = 8


def about(say: Say) -> str:
    return say.gettext("the last notes from the plots; say if one is wrong")


async def answer(request: Request) -> None:
    """What is the group's and what is on one's own plots; an organiser sees all. Only ever in private."""
    await _show(request, 0)


async def press(request: Request, first: str) -> None:
    """The notes from number first+1 on."""
    start = rights.whole(first)
    if start is None:
        await rights.stale(request)
    else:
        await _show(request, min(start, _SHOWN))


async def _show(request: Request, start: int) -> None:
    found = await rights.member(request)
    if found is not None:
        entries = await disputing.latest(request.session, found[1], _SHOWN)
        listed = [(entry, await disputes.about_entry(request, request.say, entry)) for entry in entries]
        await request.whisper(*wording.latest(request.say, listed, start))
