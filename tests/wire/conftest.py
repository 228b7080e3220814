"""The cast of these tests, and a bot whose calls go over real HTTP."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest
from telegram import Bot
from telegram.request import HTTPXRequest

from bot.storage.session import Database
from tests.support.bot_api import TOKEN, BotApiServer
from tests.support.cast import CALLUM, FARAH, GROUP, INES
from tests.support.ends import Clock, Ends


@pytest.fixture
async def bot(bot_api: BotApiServer) -> AsyncIterator[Bot]:
    """Farah and Callum pressed Start, Ines did not; all are in the group, and the bot is an admin there."""
    api = bot_api.api
    for user, name in ((FARAH, "Farah"), (CALLUM, "Callum"), (INES, "Ines")):
        api.add_user(user, name)
    api.add_group(GROUP, "Teasel Lane")
    for user in (FARAH, CALLUM, INES, api.bot.id):
        api.join(user, GROUP)
    api.promote(api.bot.id, GROUP)
    for user in (FARAH, CALLUM):
        api.write(user, user, "/start")
    api.pending.clear()
    requests = [HTTPXRequest(read_timeout=0.5, connect_timeout=1.0) for _ in range(2)]
    async with Bot(TOKEN, base_url=bot_api.base_url, request=requests[0], get_updates_request=requests[1]) as opened:
        yield opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def ends(bot: Bot, database: Database, clock: Clock) -> Ends:
    return Ends(bot, database, clock, [])
