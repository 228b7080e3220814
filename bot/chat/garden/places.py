"""/places: plots, places and thermometers; written after it, what there is: /places 12 pots in the yard, 30 litres."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.garden import places_dialogue
from bot.chat.garden import places_words as wording
from bot.chat.request import Request
from bot.core.garden.snapshot import Role
from bot.i18n import Say

WORD = "places"
FOR = Role.ORGANISER
_READ_N = 4096  # a whole message


def about(say: Say) -> str:
    return say.gettext("plots, beds, pots, tunnels and thermometers: add, rename, remove")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    garden, member = found
    command, *_ = request.text.split(maxsplit=1)
    said = request.text[len(command) :].strip()[:_READ_N]
    if not said:
        await places_dialogue.show(request, garden)
    elif not await places_dialogue.propose(request, garden, member.person, said):
        await request.whisper(wording.how(request.say))
