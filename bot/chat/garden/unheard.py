"""/setup heard: what was not understood lately, without names, and whether sure reports in the group are taken."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.crops.find import fold
from bot.i18n import Say
from bot.storage.models import Garden
from bot.storage.people import members
from bot.storage.wire import said

#: As long as what people write is kept at all (services.people.retention).
KEPT_FOR = timedelta(days=7)
_SHOWN_N, _SIGNS_N = 10, 60


async def note(request: Request) -> None:
    """That this message was not understood: its own row says so, and goes with it by the clock or when somebody is forgotten."""
    if request.garden is not None and request.member is not None:
        await said.note_unheard(request.session, request.update.update_id, request.garden.id)


async def show(request: Request) -> None:
    found = await rights.organiser(request)
    if found is not None:
        await request.reply(await _text(request, found[0]), _buttons(request.say, found[0]))


async def press(request: Request, rest: str) -> None:
    """ "garden id:1" or "garden id:0": take sure reports in the group, or not."""
    number, _, wanted = rest.partition(":")
    garden_id = rights.whole(number)
    if garden_id is None or wanted not in ("0", "1") or await request.member_of(garden_id) is None:
        await rights.stale(request)
        return
    found = await rights.organiser(request)
    if found is None:
        return
    found[0].hears_reports = wanted == "1"
    await request.change(await _text(request, found[0]), _buttons(request.say, found[0]))


async def _text(request: Request, garden: Garden) -> str:
    say = request.say
    payloads = await said.unheard(request.session, garden.id, request.now - KEPT_FOR)
    names = {
        word for one in await members.in_garden(request.session, garden.id) for word in fold(one.person.name).split()
    }
    texts = [_nameless(str((each.get("message") or {}).get("text") or ""), names) for each in payloads]
    shown = [f"“{safe(text, _SIGNS_N)}”" for text in texts if text][:_SHOWN_N]
    counted = say.ngettext(
        "{n} message was not understood in the last 7 days.",
        "{n} messages were not understood in the last 7 days.",
        len(payloads),
    )
    on = say.gettext("In the group: I save a plain report that names one of our places or crops. I show it with Undo.")
    off = say.gettext("In the group: I save only what is said to me.")
    return lines([bold(counted), *shown, on if garden.hears_reports else off])


def _buttons(say: Say, garden: Garden) -> list[list[Button]]:
    if garden.hears_reports:
        return [[(say.gettext("Don't save reports"), f"heard:{garden.id}:0")]]
    return [[(say.gettext("Save reports"), f"heard:{garden.id}:1")]]


def _nameless(text: str, names: Iterable[str]) -> str:
    """Without the members' names."""
    known = set(names)
    return " ".join("…" if set(fold(word).split()) & known else word for word in text.split())
