"""A list of places written in one message: the preview shows every line of it."""

from __future__ import annotations

import pytest

from tests.support.talk import Talk


@pytest.mark.parametrize("n", [12, 40])
async def test_the_preview_shows_every_line(talk: Talk, n: int) -> None:
    names = [f"Terrace {number} by the long southern wall" for number in range(1, n + 1)]
    shown = await talk.write("Miriam", "/places " + "\n".join(f"bed {name}, 4 x 1.2 m" for name in names))
    text = "\n".join(one.text for one in shown).casefold()
    assert [name for name in names if name.casefold() not in text] == []
    assert "more" not in text


async def test_every_line_that_was_not_understood_is_named(talk: Talk) -> None:
    odd = [f"qwx {word}" for word in ("zig", "zag", "zog", "zug", "zeg")]
    shown = await talk.write("Miriam", "/places bed 20, 4 x 1.2 m\n" + "\n".join(odd))
    text = "\n".join(one.text for one in shown)
    assert [word for word in odd if word not in text] == []
