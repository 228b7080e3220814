"""Nothing is lost and nothing doubled, whenever the process dies and however the network fails.

GATEPOST_KILLS=200 and GATEPOST_KILL_SEED=... make it a long run:
`GATEPOST_KILLS=200 pytest tests/chat_wire/test_killed_at_any_point.py --log-cli-level=INFO`
"""

from __future__ import annotations

import logging
import os
import random
from collections import Counter

from sqlalchemy import func, select, text

from bot.chat.wire.outbox import counts
from bot.chat.wire.platform import MemoryApi
from bot.storage.models import Inbox, Outbox
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.support.bot_api import BotApiServer, Faults
from tests.support.echo_bot import AGAIN, EFFECTS
from tests.support.killing import Ordeal

KILLS = int(os.environ.get("GATEPOST_KILLS", "12"))
SEED = int(os.environ.get("GATEPOST_KILL_SEED", "20260420"))
PEOPLE = range(3001, 3007)


def deed(api: MemoryApi, chance: random.Random) -> None:
    """Somebody writes, or presses the button below a reply they have."""
    person = chance.choice(PEOPLE)
    replies = api.said(person)
    if replies and chance.random() < 0.4:
        api.press(person, chance.choice(replies), "Count")
    else:
        api.write(person, person, "Sowed peas")


async def is_settled(database: Database, api: MemoryApi) -> bool:
    async with database.begin() as session:
        waiting = await session.scalar(select(func.count()).select_from(Inbox).where(Inbox.done_at.is_(None)))
        states = await counts(session)
    return not (api.pending or waiting or states[SendState.PENDING] or states[SendState.SENDING])


async def test_every_update_takes_effect_once_and_every_reply_arrives(
    bot_api: BotApiServer, database: Database, database_url: str
) -> None:
    async with database.engine.begin() as connection:
        await connection.run_sync(EFFECTS.metadata.create_all)
    for person in PEOPLE:
        bot_api.api.add_user(person, f"Neighbour {person}")
        bot_api.api.write(person, person, "/start")
    bot_api.faults = Faults(SEED, share=0.1, delay_s=0.7)
    ordeal = Ordeal(
        bot_api,
        database_url,
        "tests.support.echo_bot:serve",
        deed,
        lambda: is_settled(database, bot_api.api),
        SEED,
    )
    await ordeal.go_through(KILLS if database.is_sqlite else KILLS // 2)

    async with database.begin() as session:
        effects = Counter((await session.scalars(select(EFFECTS.c.update_id))).all())
        came = (await session.scalars(select(Inbox.update_id).order_by(Inbox.update_id))).all()
        rows = (await session.scalars(select(Outbox))).all()
    heard = Counter(message.text for person in PEOPLE for message in bot_api.api.said(person))

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
        ordeal.kills,
        len(came),
        sum(":again" not in row.key for row in rows),
        sum(row.state is SendState.UNCERTAIN for row in rows),
        {str(fault): times for fault, times in bot_api.faults.met.items()},
    )
