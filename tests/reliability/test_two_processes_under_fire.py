"""Two processes on one PostgreSQL, updates by webhook, each killed at random moments: nothing is lost, nothing doubled.

GATEPOST_PAIR_KILLS=200 and GATEPOST_KILL_SEED=... make it a long run:
`GATEPOST_PAIR_KILLS=200 pytest tests/reliability/test_two_processes_under_fire.py --log-cli-level=INFO`
"""

from __future__ import annotations

import asyncio
import logging
import os
import random
from contextlib import AsyncExitStack

from sqlalchemy import URL

from bot.storage.schema import upgrade
from bot.storage.session import Database
from tests.cli.test_metrics_and_logs import free_port
from tests.support import postgres
from tests.support.bot_api import BotApiServer, Faults
from tests.support.echo_bot import EFFECTS
from tests.support.echo_checks import deed, is_settled, nothing_is_lost_or_doubled
from tests.support.slots import slot
from tests.support.webhook_push import bringing

KILLS = int(os.environ.get("GATEPOST_PAIR_KILLS", "8"))
SEED = int(os.environ.get("GATEPOST_KILL_SEED", "20260427"))
PEOPLE = range(4001, 4009)
LIFE_S, DEEDS_N = 1.5, 8  # between two kills, on the average
ECHO = "tests.support.echo_bot:serve_by_webhook"


async def test_two_that_are_killed_again_and_again_lose_and_double_nothing(
    bot_api: BotApiServer, postgres_server: URL
) -> None:
    chance, ports = random.Random(SEED), [free_port(), free_port()]
    for person in PEOPLE:
        bot_api.api.add_user(person, f"Neighbour {person}")
        bot_api.api.write(person, person, "/start")
    bot_api.faults = Faults(SEED, share=0.1, delay_s=0.7)
    async with postgres.empty_database(postgres_server) as url, AsyncExitStack() as stack:
        database = Database(url)
        await upgrade(database)
        async with database.engine.begin() as connection:
            await connection.run_sync(EFFECTS.metadata.create_all)
        await stack.enter_async_context(bringing(bot_api.api, ports, chance))
        lives = [slot(ECHO, url, bot_api.base_url, str(port)) for port in ports]
        slots = [await stack.enter_async_context(life) for life in lives]
        for n in range(KILLS):
            logging.getLogger(__name__).info("%d of %d kills", n, KILLS)
            for _ in range(DEEDS_N):
                deed(PEOPLE, bot_api.api, chance)
                await asyncio.sleep(chance.uniform(0.0, 2 * LIFE_S / DEEDS_N))
            one = chance.choice(slots)
            await one.kill()
            await one.bear()
        bot_api.faults.share = 0.0
        async with asyncio.timeout(600):
            while not await is_settled(database, bot_api.api):
                await asyncio.sleep(0.2)
        faults = {str(fault): times for fault, times in bot_api.faults.met.items()}
        await nothing_is_lost_or_doubled(database, bot_api.api, PEOPLE, KILLS, faults)
        await database.close()
