"""The platform's end of a webhook, with the proxy in front of the bot: brings each update until somebody has taken it.

Bot API 10.0, "setWebhook": a POST of the update as JSON, the secret in a header; whatever is not answered with 2xx is
brought again. The updates of one chat are brought one after the other (tdlib/telegram-bot-api, queues by chat; from
memory).
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import random
from collections import defaultdict
from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from urllib.parse import urlsplit

import httpx

from bot.chat.wire.inbox import chat_of
from bot.chat.wire.platform import MemoryApi
from bot.chat.wire.webhook import HEADER
from bot.chat.wire.world import Json

__all__ = ["bringing"]

_AGAIN_S, _ANSWER_S = 0.05, 3.0
logging.getLogger("httpx").setLevel(logging.WARNING)


@asynccontextmanager
async def bringing(api: MemoryApi, ports: Sequence[int], chance: random.Random) -> AsyncIterator[None]:
    """Bring updates to a random one of the ports, while the block runs; taken ones leave `api.pending`."""
    lines: dict[int, asyncio.Queue[Json]] = defaultdict(asyncio.Queue)
    tasks, seen = set[asyncio.Task[None]](), set[int]()
    async with httpx.AsyncClient(timeout=_ANSWER_S) as http:

        async def bring(line: asyncio.Queue[Json]) -> None:
            while True:
                update = await line.get()
                while not await _is_taken(http, api, chance.choice(ports), update):
                    await asyncio.sleep(_AGAIN_S)
                api.pending = [one for one in api.pending if one["update_id"] != update["update_id"]]

        async def look() -> None:
            while True:
                for update in api.pending if api.webhook else ():
                    if update["update_id"] not in seen:
                        seen.add(update["update_id"])
                        chat = chat_of(update)
                        if chat not in lines:
                            tasks.add(asyncio.create_task(bring(lines[chat])))
                        lines[chat].put_nowait(update)
                await asyncio.sleep(0.01)

        tasks.add(asyncio.create_task(look()))
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
            await asyncio.gather(*tasks, return_exceptions=True)


async def _is_taken(http: httpx.AsyncClient, api: MemoryApi, port: int, update: Json) -> bool:
    with contextlib.suppress(httpx.HTTPError):
        address = f"http://127.0.0.1:{port}{urlsplit(api.webhook).path}"
        answer = await http.post(address, json=update, headers={HEADER: api.webhook_secret})
        return answer.is_success
    return False
