"""/help never fills more than a phone's screen; every command is on one of its pages, the organisers' on theirs."""

from __future__ import annotations

import textwrap

from bot.chat.commands import COMMANDS
from bot.chat.wire.world import Message
from tests.support.talk import Talk

#: Lines of so many letters that a phone shows at once: common practice, no source.
ROWS, LETTERS = 12, 40


def _words(text: str) -> set[str]:
    return {line.split(":")[0].removeprefix("/") for line in text.splitlines() if line.startswith("/")}


def _labels(shown: Message) -> list[str]:
    return [key["text"] for row in shown.keyboard for key in row]


async def test_pages_hold_every_command_and_each_fits_a_screen(talk: Talk) -> None:
    shown = await talk.said("Miriam", "/help")
    pages = [shown.text]
    for button in ("More commands", "Organiser commands", "More commands"):
        while button in _labels(shown):
            (shown,) = await talk.press("Miriam", shown, button)
            pages.append(shown.text)
    (first,) = await talk.press("Miriam", shown, "Main commands")
    assert first.text == pages[0]
    found = [word for text in pages for word in _words(text)]
    assert len(found) == len(set(found)), "said once"
    assert {*found, "start", "help"} == {one.WORD for one in COMMANDS}
    for text in pages:
        assert sum(max(1, len(textwrap.wrap(line, LETTERS))) for line in text.splitlines()) <= ROWS, text
    assert "week" in pages[0] and "/warn" not in pages[0] + pages[1]


async def test_a_member_sees_no_page_for_organisers_even_by_an_old_button(talk: Talk) -> None:
    shown = await talk.said("Owen", "/help")
    assert _labels(shown) == ["More commands"]
    organisers = await talk.said("Miriam", "/help")
    (page,) = await talk.press("Owen", organisers, "Organiser commands")
    assert "/warn" not in page.text
