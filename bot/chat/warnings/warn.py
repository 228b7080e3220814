"""/warn: an organiser calls a warning by hand; a preview says what would be asked, before anybody is."""

from __future__ import annotations

from datetime import timedelta

from bot.chat import rights
from bot.chat.language.called import Expected, NotSo, Unclear, called, checked
from bot.chat.request import Request
from bot.chat.warnings import manual_words as wording
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.core.warnings.safety import Closed
from bot.i18n import Say
from bot.services.look import look, with_called
from bot.services.warnings import manual
from bot.services.warnings.expected import Call
from bot.storage.models import Garden

WORD = "warn"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("send a warning by hand")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    garden, _ = found
    words = request.text.partition(" ")[2].strip()
    if not words:
        await request.whisper(wording.menu(request.say), _menu(request, garden))
        return
    expected = called(words, request.say, request.now)
    if isinstance(expected, NotSo):
        await request.whisper(wording.unclear(request.say, expected))
    else:
        await request.whisper(*await _preview(request, garden, expected))


def _menu(request: Request, garden: Garden) -> list[list[Button]]:
    say = request.say
    labels = (
        (say.gettext("Cold tonight"), "cold", 0),
        (say.gettext("Cold tomorrow"), "cold", 1),
        (say.gettext("Wind today"), "wind", 0),
        (say.gettext("Wind tomorrow"), "wind", 1),
    )
    buttons: list[Button] = []
    for label, kind, days in labels:
        on = say.local(request.now).date() + timedelta(days=days)
        expected = called(f"{kind} {on.isoformat()}", say, request.now)
        if not isinstance(expected, NotSo):
            buttons.append((label, f"warn:{garden.id}:see:{wording.code(expected)}"))
    return [buttons[n : n + 2] for n in range(0, len(buttons), 2)]


async def press(request: Request, rest: str) -> None:
    """ "garden id:see:call", "garden id:go:call" or "garden id:no"; by an organiser of that garden only."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, _, deed = found
    what, _, carried = deed.partition(":")
    if what == "no":
        await request.change(request.say.gettext("All right, I will not send a warning."))
        return
    read = wording.decode(carried)
    expected = checked(read, request.now) if read is not None else NotSo(Unclear.WHAT)
    if isinstance(expected, NotSo):
        await request.change(wording.unclear(request.say, expected))
    elif what == "go":
        await _call(request, garden, expected)
    else:
        await request.change(*await _preview(request, garden, expected))


async def _preview(request: Request, garden: Garden, expected: Expected) -> tuple[str, list[list[Button]]]:
    seen = await look(request.session, garden, request.source, request.now)
    given = Call(expected)
    after = with_called(seen, given.assumed, request.now)
    key = (given.hazard, given.window_on(garden))
    threat = next((one for one in after.threats if (one.hazard, one.window_on) == key), None)
    text = wording.preview(Told(request.say, seen.crops, request.now), expected, seen.garden, threat)
    say = request.say
    rows = [wording.figures(say, garden.id, expected)]
    if threat is not None or isinstance(expected, Closed):
        yes: Button = (say.gettext("Send the warning"), f"warn:{garden.id}:go:{wording.code(expected)}")
        rows.append([yes, (say.gettext("No"), f"warn:{garden.id}:no")])
    return text, [row for row in rows if row]


async def _call(request: Request, garden: Garden, expected: Expected) -> None:
    say = request.say
    if await manual.call(request.session, garden, Call(expected), request.now):
        await request.change(
            say.gettext(
                "The warning is on its way. The group gets it in a minute, or after the quiet hours if it can "
                "wait. To cancel it: /calloff."
            )
            if garden.group_id is not None
            else say.gettext(
                "The warning is on its way. I send it to each member I can reach, in a minute. If it can wait, "
                "I send it after the quiet hours. To cancel it: /calloff."
            )
        )
    else:
        await request.change(say.gettext("That warning is already out."))
