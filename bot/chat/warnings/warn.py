"""/warn: an organiser calls a warning by hand; a preview says what would be asked, before anybody is."""

from __future__ import annotations

from datetime import timedelta

from bot.chat import rights
from bot.chat.language.called import Expected, NotSo, Unclear, called, checked
from bot.chat.request import Turn
from bot.chat.warnings import manual_words as wording
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.core.warnings.closed_hours import Closed
from bot.i18n import Say
from bot.services.look import look, with_called
from bot.services.warnings import manual
from bot.services.warnings.expected import Call
from bot.storage.models import Garden

WORD = "warn"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("call a warning by hand")


async def answer(turn: Turn) -> None:
    found = await rights.organiser(turn)
    if found is None:
        return
    garden, _ = found
    words = turn.text.partition(" ")[2].strip()
    if not words:
        await turn.whisper(wording.menu(turn.say), _menu(turn, garden))
        return
    expected = called(words, turn.say, turn.now)
    if isinstance(expected, NotSo):
        await turn.whisper(wording.unclear(turn.say, expected))
    else:
        await turn.whisper(*await _preview(turn, garden, expected))


def _menu(turn: Turn, garden: Garden) -> list[list[Button]]:
    say = turn.say
    labels = (
        (say.gettext("Cold tonight"), "cold", 0),
        (say.gettext("Cold tomorrow"), "cold", 1),
        (say.gettext("Wind today"), "wind", 0),
        (say.gettext("Wind tomorrow"), "wind", 1),
    )
    buttons: list[Button] = []
    for label, kind, days in labels:
        on = say.local(turn.now).date() + timedelta(days=days)
        expected = called(f"{kind} {on.isoformat()}", say, turn.now)
        if not isinstance(expected, NotSo):
            buttons.append((label, f"warn:{garden.id}:see:{wording.code(expected)}"))
    return [buttons[n : n + 2] for n in range(0, len(buttons), 2)]


async def press(turn: Turn, rest: str) -> None:
    """ "garden id:see:call", "garden id:go:call" or "garden id:no"; by an organiser of that garden only."""
    found = await rights.organiser_pressed(turn, rest)
    if found is None:
        return
    garden, _, deed = found
    what, _, carried = deed.partition(":")
    if what == "no":
        await turn.change(turn.say.gettext("All right, nothing is called."))
        return
    read = wording.decode(carried)
    expected = checked(read, turn.now) if read is not None else NotSo(Unclear.WHAT)
    if isinstance(expected, NotSo):
        await turn.change(wording.unclear(turn.say, expected))
    elif what == "go":
        await _call(turn, garden, expected)
    else:
        await turn.change(*await _preview(turn, garden, expected))


async def _preview(turn: Turn, garden: Garden, expected: Expected) -> tuple[str, list[list[Button]]]:
    seen = await look(turn.session, garden, turn.source, turn.now)
    given = Call(expected)
    after = with_called(seen, given.assumed, turn.now)
    key = (given.hazard, given.window_on(garden))
    threat = next((one for one in after.threats if (one.hazard, one.window_on) == key), None)
    text = wording.preview(Told(turn.say, seen.crops, turn.now), expected, seen.garden, threat)
    say = turn.say
    rows = [wording.figures(say, garden.id, expected)]
    if threat is not None or isinstance(expected, Closed):
        yes: Button = (say.gettext("Call it"), f"warn:{garden.id}:go:{wording.code(expected)}")
        rows.append([yes, (say.gettext("No"), f"warn:{garden.id}:no")])
    return text, [row for row in rows if row]


async def _call(turn: Turn, garden: Garden, expected: Expected) -> None:
    say = turn.say
    if await manual.call(turn.session, garden, Call(expected), turn.now):
        await turn.change(
            say.gettext(
                "Called. The group hears of it in a minute, or after the quiet hours if it can wait. To take it back: /calloff."
            )
            if garden.group_id is not None
            else say.gettext(
                "Called. Every member whom I can reach hears of it privately in a minute, or after the quiet hours if it "
                "can wait. To take it back: /calloff."
            )
        )
    else:
        await turn.change(say.gettext("That is called already."))
