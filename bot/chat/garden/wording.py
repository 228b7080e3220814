"""/wording: texts that this garden says in its own words; organisers correct them, and send them on as a file."""

from __future__ import annotations

from base64 import b64encode

from bot.chat import rights
from bot.chat.html import bold, lines, safe
from bot.chat.people.language import unchecked
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import LANGUAGES, Say
from bot.services.garden import wordings
from bot.storage.models import Garden
from bot.wordings import Fault

WORD = "wording"
FOR = Role.ORGANISER
_SHOWN_N = 10


def about(say: Say) -> str:
    return say.gettext("better words for what I say here; sent on as a file")


async def answer(request: Request) -> None:
    """ "said = better", or the better text alone as an answer to a message of one line; alone: what there is."""
    found = await rights.organiser(request)
    if found is None:
        return
    garden, _ = found
    said, _, better = request.text.partition(" ")[2].strip().partition("=")
    if not said.strip():
        await request.reply(_listed(request.say, garden), _buttons(request.say, garden))
        return
    if not better.strip():
        await request.reply(_how(request.say))
        return
    await request.reply(_corrected(request.say, garden, said.strip(), better.strip()))


def _corrected(say: Say, garden: Garden, said: str, better: str) -> str:
    found = wordings.find(garden, say.language, said)
    if found is None:
        return say.gettext(
            "I have no text “{words}” in {language}. Copy a whole line or button of mine, exactly as it is.",
            words=safe(said, 200),
            language=LANGUAGES[say.language],
        )
    words, wrong = wordings.rewritten(found, better)
    if wrong:
        return lines(
            [bold(say.gettext("I can't take that yet:")), *(f"• {_fault(say, one)}" for one in dict.fromkeys(wrong))]
        )
    if not wordings.keep(garden, say.language, found, words):
        return say.gettext("This garden has no room for more texts of its own. Undo one first: /wording")
    return lines([
        say.gettext("Thank you. In this garden I say from now on: {words}", words=bold(safe(words, 500))),
        say.gettext("If it is a caution: please read it again. No part of its meaning may be missing."),
        say.gettext("Send it on, so that others have it too: /wording"),
    ])  # fmt: skip


def _fault(say: Say, fault: Fault) -> str:
    return {
        Fault.PLACEHOLDERS: say.gettext("Keep every name and number of the old text in the new one."),
        Fault.FORMAT: say.gettext("Please leave out curly brackets: they mean something else here."),
        Fault.TAGS: say.gettext(
            "No angle brackets, no ampersand, and no address or @name that is not in the old text."
        ),
        Fault.LABEL: say.gettext("A button has room for 20 letters."),
        Fault.LENGTH: say.gettext("It is too long for a phone. Please say it shorter."),
        Fault.TURNING: say.gettext("There is a hidden sign in it that turns the writing around. Please type it again."),
    }.get(fault, say.gettext("It must have the same parts as the old text."))


def _how(say: Say) -> str:
    return say.gettext("Write the line as I said it, then =, then the better one: /wording Thanks! = Many thanks!")


def _listed(say: Say, garden: Garden) -> str:
    listed = wordings.kept(garden, say.language)
    return lines([
        bold(say.gettext("What I say here in your own words ({language}):", language=LANGUAGES[say.language])),
        *(f"{n}. {safe(words, 200)}" for n, (_, words) in enumerate(listed[:_SHOWN_N], 1)),
        say.gettext("Nothing yet.") if not listed else None,
        _how(say),
        unchecked(say, [say.language]) if say.language != "en" else None,
    ])  # fmt: skip


def _buttons(say: Say, garden: Garden) -> list[list[Button]]:
    listed = wordings.kept(garden, say.language)[:_SHOWN_N]
    back: list[Button] = [
        (say.gettext("Undo text {n}", n=n), f"wording:{garden.id}:{say.language}-{n}")
        for n in range(1, len(listed) + 1)
    ]
    rows = [back[n : n + 3] for n in range(0, len(back), 3)]
    return [*rows, [(say.gettext("Send as a file"), f"wording:{garden.id}:{say.language}-file")]] if listed else []


async def press(request: Request, rest: str) -> None:
    """ "garden id:language-file", or "garden id:language-number" of one to put back; organisers only."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, _, what = found
    language, _, deed = what.partition("-")
    number = rights.whole(deed)
    data = wordings.to_po(garden, language) if language in LANGUAGES and deed == "file" else None
    if data is not None:
        caption = request.say.gettext(
            "Send this to the people who look after my texts. docs/translating.md says where. It has no "
            "names in it. Somebody checks it before others get it."
        )
        await request.hand_over(b64encode(data).decode("ascii"), f"gatepost-{language}.po", caption)
    elif number is not None and language in LANGUAGES and wordings.put_back(garden, language, number - 1) is not None:
        await request.change(_listed(request.say, garden), _buttons(request.say, garden))
    else:
        await rights.stale(request)
