"""What must be true of the smallest bot (`echo_bot`) after it was killed again and again."""

from __future__ import annotations

import logging
import random
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from sqlalchemy import func, select, text

from bot.chat.wire.outbox import counts
from bot.chat.wire.platform import MemoryApi
from bot.storage.models import Inbox, Outbox
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.support.echo_bot import AGAIN, EFFECTS

__all__ = ["deed", "is_settled", "nothing_is_lost_or_doubled"]


def deed(people: Sequence[int], api: MemoryApi, chance: random.Random) -> None:
    """One of them writes, or presses the button below a reply they have."""
    person = chance.choice(people)
    replies = api.said(person)
    if replies and chance.random() < 0.4:
        api.press(person, chance.choice(replies), "Count")
    else:
        api.write(person, person, "Sowed peas")


async def is_settled(database: Database, api: MemoryApi) -> bool:
    """Whether nothing is left to do."""
    async with database.begin() as session:
        waiting = await session.scalar(select(func.count()).select_from(Inbox).where(Inbox.done_at.is_(None)))
        states = await counts(session)
    return not (api.pending or waiting or states[SendState.PENDING] or states[SendState.SENDING])


async def nothing_is_lost_or_doubled(
    database: Database, api: MemoryApi, people: Iterable[int], kills: int, faults: Mapping[str, int]
) -> None:
    """Each update took effect once; each reply arrived, a second time only marked and only where it was uncertain."""
    async with database.begin() as session:
        effects = Counter((await session.scalars(select(EFFECTS.c.update_id))).all())
        came = (await session.scalars(select(Inbox.update_id).order_by(Inbox.update_id))).all()
        rows = (await session.scalars(select(Outbox))).all()
    heard = Counter(message.text for person in people for message in api.said(person))

    assert effects == Counter(came)
    assert came == list(range(came[0], came[0] + len(came)))  # the platform numbers what it sends without gaps
    for row in rows:
        if ":again" in row.key:
            continue
        plain, marked = heard[row.key], heard[f"{AGAIN}\n{row.key}"]
        assert plain + marked >= 1, f"{row.key} never arrived"
        assert plain <= 1, f"{row.key} came twice without being marked"
        assert not marked or row.state is SendState.UNCERTAIN, f"{row.key} was repeated without need"
    if database.is_sqlite:
        async with database.begin() as session:
            assert await session.scalar(text("PRAGMA integrity_check")) == "ok"
    logging.getLogger(__name__).info(
        "%d kills, %d updates, %d replies, %d of them uncertain, faults: %s",
        kills,
        len(came),
        sum(":again" not in row.key for row in rows),
        sum(row.state is SendState.UNCERTAIN for row in rows),
        dict(faults),
    )
