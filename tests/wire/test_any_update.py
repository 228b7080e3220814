"""Whatever the platform sends, whole or odd, is dealt with once and stops nothing else: every kind, every field."""

from __future__ import annotations

import os
import random

import pytest
from sqlalchemy import select

from bot.chat.wire.inbox import ASIDE
from bot.storage.models import Inbox
from tests.support.talk import Talk
from tests.wire.any_update import Updates

SEED = int(os.environ.get("GATEPOST_FUZZ_SEED", "7"))
ROUNDS = int(os.environ.get("GATEPOST_FUZZ_ROUNDS", "1"))
FIRST = 5_000_000


async def dealt_with(lane: Talk, oddness: float) -> list[str | None]:
    """Every kind with every optional field alone, then some by chance; what went wrong with each, None for nothing."""
    groups = (lane.group_id, -1001)
    people = (lane.user("Owen"), lane.user("Miriam"), 77)
    made = Updates(random.Random(SEED), people, groups, oddness)
    batch: list[tuple[str, str | None]] = []
    for _ in range(ROUNDS):
        batch += [(kind, field) for kind in made.kinds() for field in made.fields(kind) if kind in HANDLED]
        batch += [(kind, None) for kind in made.kinds() for _ in range(6 if kind in HANDLED else 2)]
    made.chance.shuffle(batch)
    updates = [made.one(kind, FIRST + n, field) for n, (kind, field) in enumerate(batch)]
    await lane.give(*updates)
    async with lane.stage.app.database.begin() as session:
        rows = await session.execute(select(Inbox.done_at, Inbox.error).where(Inbox.update_id >= FIRST))
        found = rows.all()
    assert len(found) >= len(updates)
    assert all(done_at is not None for done_at, _ in found), "nothing is left in line"
    return [error for _, error in found]


HANDLED = ("message", "callback_query", "my_chat_member")


async def test_every_published_kind_and_field_is_read_and_handled(lane: Talk) -> None:
    errors = [error for error in await dealt_with(lane, 0.0) if error is not None]
    assert errors == []
    (answer,) = await lane.write("Tobias", "/help")
    assert "went wrong" not in answer.text


@pytest.mark.parametrize("oddness", [0.05, 0.3])
async def test_odd_values_spoil_their_own_update_at_most(lane: Talk, oddness: float) -> None:
    errors = await dealt_with(lane, oddness)
    assert any(error is None for error in errors) and any((error or "").startswith(ASIDE) for error in errors)
    (answer,) = await lane.write("Tobias", "/help")
    assert "went wrong" not in answer.text
