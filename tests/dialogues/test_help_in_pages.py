"""/help never fills more than a phone's screen; every command is on one of its pages, the organisers' on theirs."""

from __future__ import annotations

from bot.chat.commands import COMMANDS
from tests.dialogues.talk import Talk

#: Lines of about 54 letters that a phone shows at once, more or less: common practice, no source.
SCREEN_N = 32


def _words(text: str) -> set[str]:
    return {line.split(":")[0].removeprefix("/") for line in text.splitlines() if line.startswith("/")}


async def test_pages_hold_every_command_and_each_fits_a_screen(talk: Talk) -> None:
    first = await talk.said("Miriam", "/help")
    pages = [first.text]
    for button in ("More commands", "Organiser commands"):
        (page,) = await talk.press("Miriam", first, button)
        pages.append(page.text)
        (first,) = await talk.press("Miriam", page, "Main commands")
    found = [word for text in pages for word in _words(text)]
    assert len(found) == len(set(found)), "said once"
    assert {*found, "start", "help"} == {one.WORD for one in COMMANDS}
    for text in pages:
        assert sum(-(-len(line) // 54) for line in text.splitlines()) <= SCREEN_N, text
    assert "week" in pages[0] and "/warn" not in pages[0] + pages[1]


async def test_a_member_sees_no_page_for_organisers_even_by_an_old_button(talk: Talk) -> None:
    shown = await talk.said("Owen", "/help")
    assert [key["text"] for row in shown.keyboard for key in row] == ["More commands"]
    organisers = await talk.said("Miriam", "/help")
    (page,) = await talk.press("Owen", organisers, "Organiser commands")
    assert "/warn" not in page.text
