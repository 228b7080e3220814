"""Dahlias started in pots in the tunnel are the same plants when they stand in a bed."""

from __future__ import annotations

import pytest

from tests.support.talk import Talk


@pytest.mark.parametrize("text", ["planted out the dahlias in bed 4", "planted 6 dahlias in bed 4"])
async def test_they_move_and_are_not_counted_twice(talk: Talk, text: str) -> None:
    await talk.write("Owen", "planted 6 dahlias in the tunnel on 30 March")
    await talk.write("Owen", "the dahlias are up")
    await talk.write("Owen", text)
    assert (await talk.said("Owen", "where are the dahlias?")).text == "Dahlias: Bed 4 (6)."


async def test_more_in_the_tunnel_are_more(talk: Talk) -> None:
    for text in (
        "planted 6 dahlias in the tunnel on 30 March",
        "the dahlias are up",
        "planted 4 dahlias in the tunnel",
    ):
        await talk.write("Owen", text)
    assert "Bed" not in (await talk.said("Owen", "where are the dahlias?")).text
