"""Nothing is lost and nothing doubled, whenever the process dies and however the network fails.

GATEPOST_KILLS=200 and GATEPOST_KILL_SEED=... make it a long run:
`GATEPOST_KILLS=200 pytest tests/wire/test_killed_at_any_point.py --log-cli-level=INFO`
"""

from __future__ import annotations

import os
from functools import partial

from bot.storage.session import Database
from tests.support.bot_api import BotApiServer, Faults
from tests.support.echo_bot import EFFECTS
from tests.support.echo_checks import deed, is_settled, nothing_is_lost_or_doubled
from tests.support.killing import Ordeal

KILLS = int(os.environ.get("GATEPOST_KILLS", "12"))
SEED = int(os.environ.get("GATEPOST_KILL_SEED", "20260420"))
PEOPLE = range(3001, 3007)


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
        partial(deed, PEOPLE),
        lambda: is_settled(database, bot_api.api),
        SEED,
    )
    await ordeal.go_through(KILLS if database.is_sqlite else KILLS // 2)

    faults = {str(fault): times for fault, times in bot_api.faults.met.items()}
    await nothing_is_lost_or_doubled(database, bot_api.api, PEOPLE, ordeal.kills, faults)
