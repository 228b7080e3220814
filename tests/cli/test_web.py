"""What is sent to the bot over HTTP: updates by the chat platform, readings by sensors; and all that others may send.

Bot API 10.0, "setWebhook" and "getWebhookInfo"; RFC 9110 for statuses; RFC 6750 for the key's header.
"""

from __future__ import annotations

import asyncio
import json
import socket
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
from sqlalchemy import func, select
from telegram import Bot
from telegram.request import HTTPXRequest

from bot.app import App, build
from bot.chat.wire import webhook
from bot.chat.wire.pace import Pace
from bot.chat.wire.updates import ALLOWED_UPDATES
from bot.cli import web
from bot.config import Settings, SettingsError, read
from bot.services.weather import sent_readings
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden, Inbox, Reading, SentReading, Thermometer
from bot.storage.schema import upgrade
from bot.storage.session import Database
from tests.cli.test_metrics_and_logs import free_port
from tests.support.bot_api import TOKEN, BotApiServer

#: Sunset 18:24, sunrise 5:36 UTC on this night there, to a few minutes (from memory; the test leaves an hour).
EVENING_AT, MORNING_AT = datetime(2026, 3, 24, 17, 0, tzinfo=UTC), datetime(2026, 3, 25, 7, 0, tzinfo=UTC)
URL = "https://garden.example/updates"
UPDATE = {"update_id": 7, "message": {"message_id": 1, "date": 1, "chat": {"id": 501, "type": "private"}, "text": "hi"}}
DATABASE = {"GATEPOST_DATABASE_URL": "sqlite+aiosqlite:////srv/x.sqlite3"}


class Door:
    """The bot's web part on loopback, and somebody who knocks."""

    def __init__(self, app: App, http: httpx.AsyncClient) -> None:
        self.app, self.http, self.at = app, http, MORNING_AT

    async def bring(self, content: bytes, **headers: str) -> int:
        return (await self.http.post("/updates", content=content, headers=headers)).status_code

    async def send(self, key: str, lines: str) -> httpx.Response:
        return await self.http.post("/readings", content=lines, headers={"Authorization": f"Bearer {key}"})

    async def count(self, what: Any) -> int:
        async with self.app.database.begin() as session:
            return int(await session.scalar(select(func.count()).select_from(what)) or 0)


@pytest.fixture
async def door(tmp_path: Path) -> AsyncIterator[Door]:
    database = Database(f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}", patience_s=0.2)
    await upgrade(database)
    port = free_port()
    settings = Settings(TOKEN, "", "", "open-meteo", "", "INFO", web=("127.0.0.1", port), webhook=URL)
    app = build(database, Bot(TOKEN), now=lambda: one.at, source=Source("open-meteo"), pace=Pace())
    async with httpx.AsyncClient(base_url=f"http://127.0.0.1:{port}") as http:
        one = Door(app, http)
        async with web.taking(app, settings):
            yield one
    await database.close()


@pytest.fixture
async def key(door: Door) -> str:
    """Of a garden with one thermometer; another garden stands beside it."""
    async with door.app.database.begin() as session:
        for name in ("Teasel Lane", "Mill Field"):
            session.add(Garden(name=name, latitude=52.0, longitude=-1.0, altitude_m=95.0, zone="Europe/London"))
        await session.flush()
        session.add(Thermometer(garden_id=1, name="Shed", height_m=1.5, shaded=True))
        session.add(Thermometer(garden_id=2, name="Mill", height_m=1.5, shaded=True))
        garden = await session.get_one(Garden, 1)
        return await sent_readings.new_key(session, garden, door.at)


SHOWN = {webhook.HEADER: webhook.secret_of(TOKEN)}


async def test_an_update_is_stored_when_it_is_said_to_have_arrived_and_once(door: Door) -> None:
    for _ in range(2):
        assert await door.bring(json.dumps(UPDATE).encode(), **SHOWN) == 200
        assert await door.count(Inbox) == 1
    assert door.app.wake_inbox.is_set()


async def test_one_that_cannot_be_stored_now_is_brought_again(door: Door, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(web, "_ANSWER_S", 0.3)
    door.app.database.patience_s = 60.0
    async with door.app.database.begin():  # somebody holds the only writer's place
        assert await door.bring(json.dumps(UPDATE).encode(), **SHOWN) == 503
    assert await door.bring(json.dumps(UPDATE).encode(), **SHOWN) == 200
    assert await door.count(Inbox) == 1


@pytest.mark.parametrize(
    "shown", [None, "", "wrong", "é", webhook.secret_of(TOKEN)[:-1], webhook.secret_of(TOKEN) + "0"]
)
async def test_whoever_has_not_the_secret_is_refused(door: Door, shown: str | None) -> None:
    headers = [] if shown is None else [(webhook.HEADER.encode(), shown.encode())]
    answer = await door.http.post("/updates", content=json.dumps(UPDATE), headers=headers)
    assert answer.status_code == 403 and await door.count(Inbox) == 0


async def test_other_paths_methods_and_bodies_are_refused_and_say_nothing_of_what_is_there(door: Door) -> None:
    assert (await door.http.post("/other", headers=SHOWN)).status_code == 404
    assert "updates" not in (await door.http.get("/")).text
    for method in ("GET", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS"):
        answer = await door.http.request(method, "/updates", headers=SHOWN)
        assert answer.status_code == 405 and answer.headers["allow"] == "POST"
    for body in (b"", b"{", b"\xff", b"[" * 100_000, b"9" * 5_000 + b"x"):
        assert await door.bring(body, **SHOWN) == 400
    assert await door.count(Inbox) == 0
    assert await door.bring(b'{"update_id": "none"}', **SHOWN) == 200, "it would be brought again and again"


async def test_a_body_too_long_is_not_read(door: Door) -> None:
    with pytest.raises(httpx.HTTPError):
        long = await door.http.post("/updates", content=b" " * (web.MOST_BYTES + 1), headers=SHOWN)
        assert long.status_code in (400, 413)
        long.raise_for_status()

    async def endless() -> AsyncIterator[bytes]:
        for _ in range(web.MOST_BYTES // 50_000 + 2):
            yield b" " * 50_000

    with pytest.raises(httpx.HTTPError):
        (await door.http.post("/updates", content=endless(), headers=SHOWN)).raise_for_status()
    assert await door.bring(json.dumps(UPDATE).encode(), **SHOWN) == 200


async def test_nonsense_and_silence_on_a_connection_end_nothing(door: Door) -> None:
    port = door.http.base_url.port
    assert port is not None
    for nonsense in (b"\r\n\r\n", b"POST /updates\r\n\r\n", b"x" * 50_000, b"\xff\x00 \r\n\r\n"):
        with socket.create_connection(("127.0.0.1", port)) as raw:
            raw.sendall(nonsense)
    with socket.create_connection(("127.0.0.1", port)):
        assert await door.bring(json.dumps(UPDATE).encode(), **SHOWN) == 200


def test_the_secret_is_one_that_the_platform_takes_and_that_shows_no_token() -> None:
    """setWebhook: 1 to 256 characters of A-Z, a-z, 0-9, _ and -."""
    secret = webhook.secret_of(TOKEN)
    assert 1 <= len(secret) <= 256 and secret.isascii() and secret.isalnum()
    assert secret != webhook.secret_of(TOKEN + "x") and TOKEN.split(":")[1] not in secret


async def test_the_platform_is_told_where_and_with_what_and_again_when_somebody_changed_it(
    bot_api: BotApiServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(webhook, "LOOK_S", 0.05)
    bot = Bot(TOKEN, base_url=bot_api.base_url, request=HTTPXRequest())
    await bot.initialize()
    await bot.set_webhook(URL, allowed_updates=list(ALLOWED_UPDATES))  # by hand, without the secret
    stop, back_in = asyncio.Event(), list[float]()
    holding = asyncio.create_task(webhook.hold(bot, URL, stop, back_in.append))
    while not bot_api.api.webhook_secret:
        await asyncio.sleep(0.01)
    await bot.set_webhook("https://elsewhere.example/")
    while bot_api.api.webhook != URL:
        await asyncio.sleep(0.01)
    stop.set()
    await asyncio.wait_for(holding, 5)
    await bot.shutdown()
    (_by_hand, first, *_) = [one for one in bot_api.made(["setWebhook"]) if one["url"] == URL]
    assert first["secret_token"] == webhook.secret_of(TOKEN) == bot_api.api.webhook_secret
    assert set(first["allowed_updates"]) == set(ALLOWED_UPDATES)
    assert bot_api.api.webhook == URL, "it stays for the next process"
    assert back_in


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("http://garden.example/updates", "https://"),
        ("https://garden.example:5000/updates", "5000"),
        ("https://garden.example", "path"),
        ("https://garden.example/readings", "path"),
        ("https://garden.example/a?b=c", "path"),
    ],
)
def test_an_address_that_the_platform_could_not_call_is_named(value: str, words: str) -> None:
    with pytest.raises(SettingsError, match="GATEPOST_WEBHOOK") as told:
        read(DATABASE | {"GATEPOST_WEBHOOK": value, "GATEPOST_WEB": "127.0.0.1:8080"})
    assert words in str(told.value)


def test_a_webhook_needs_a_place_to_listen() -> None:
    with pytest.raises(SettingsError, match="GATEPOST_WEB is not"):
        read(DATABASE | {"GATEPOST_WEBHOOK": URL})
    assert read(DATABASE | {"GATEPOST_WEBHOOK": "off"}).webhook == ""


def night(value_c: float = 2.0, *, since_at: datetime = EVENING_AT, until_at: datetime = MORNING_AT) -> list[str]:
    """A line each half hour; the coldest at five."""
    n = int((until_at - since_at) / timedelta(minutes=30))
    moments = [since_at + k * timedelta(minutes=30) for k in range(n + 1)]
    return [f"{at.isoformat()},{value_c + abs((at.hour - 5 + 12) % 24 - 12) / 2}" for at in moments]


async def test_a_night_sent_reading_by_reading_becomes_one_reading_once_it_is_over(door: Door, key: str) -> None:
    for line in night():
        door.at = datetime.fromisoformat(line.split(",")[0])
        answer = await door.send(key, f"time,reading\n{line}\n")
        assert answer.status_code == 200 and answer.json()["kept"] == 1
        assert await door.count(Reading) == (1 if door.at.hour in (6, 7) else 0), door.at
    async with door.app.database.begin() as session:
        reading = (await session.scalars(select(Reading))).one()
    assert (reading.value_c, reading.night_on) == (2.0, EVENING_AT.date()) and reading.member_id is None
    again = await door.send(key, "time,reading\n" + "\n".join(night()))
    assert again.json()["kept"] == 0 and await door.count(Reading) == 1


async def test_a_minimum_counts_when_it_is_sent_after_the_night(door: Door, key: str) -> None:
    for hour, wanted in ((2, 0), (7, 1)):
        door.at = MORNING_AT.replace(hour=hour)
        await door.send(key, f"time,minimum\n{door.at.isoformat()},-1.5\n")
        assert await door.count(Reading) == wanted
    await door.send(key, f"time,minimum\n{door.at.isoformat()},-9\n")
    assert await door.count(Reading) == 1


async def test_a_key_opens_its_own_garden_only_and_is_kept_as_a_digest(door: Door, key: str) -> None:
    line = night()[0]
    answer = await door.send(key, f"time,thermometer,reading\n{line.replace(',', ',Mill,')}\n")
    assert answer.json() == {"kept": 0, "nights": 0, "unknown": ["Mill"], "problems": []}
    assert await door.count(SentReading) == 0
    for wrong in ("x", key[:-1], key + "x", "a" * 5_000):
        refused = await door.send(wrong, f"time,reading\n{line}\n")
        assert refused.status_code == 401 and "Teasel" not in refused.text
    stored = await asyncio.to_thread(Path(str(door.app.database.url.database)).read_bytes)
    assert key.encode() not in stored
    async with door.app.database.begin() as session:
        garden = await session.get_one(Garden, 1)
        newer = await sent_readings.new_key(session, garden, door.at)
    assert (await door.send(key, f"time,reading\n{line}\n")).status_code == 401, "the one before is void"
    async with door.app.database.begin() as session:
        assert await sent_readings.drop_key(session, await session.get_one(Garden, 1))
    assert (await door.send(newer, f"time,reading\n{line}\n")).status_code == 401, "and off is off"


async def test_no_key_no_lines_and_too_many_are_refused(door: Door, key: str) -> None:
    assert (await door.http.post("/readings", content="time,reading\n")).status_code == 401
    assert (await door.http.get("/readings")).status_code == 405
    for body in ("", "hello", "a,b\n1,2\n", "\0\0"):
        assert (await door.send(key, body)).status_code == 400
    assert (await door.send(key, "time,reading\n" + "2026-03-24T17:00,1\n" * 4_000)).status_code == 413
    assert (await door.send(key, "time,reading\n" + "x,y\n" * 4_000)).status_code == 413
    odd = await door.send(key, "time,reading\nyesterday,3\n2026-03-24T17:00,warm\n2026-03-24T17:30,400\n")
    assert odd.json()["kept"] == 0 and len(odd.json()["problems"]) == 3
    statuses = [(await door.send(key, "hello")).status_code for _ in range(web.MOST_A_MINUTE)]
    assert statuses[-1] == 429
    door.at += timedelta(minutes=2)
    assert (await door.send(key, "hello")).status_code == 400


async def test_what_sensors_send_makes_no_garden_due(door: Door, key: str) -> None:
    async with door.app.database.begin() as session:
        before = (await session.execute(select(Garden.id, Garden.revision))).all()
    assert (await door.send(key, f"time,reading\n{night()[0]}\n")).json()["kept"] == 1
    async with door.app.database.begin() as session:
        assert (await session.execute(select(Garden.id, Garden.revision))).all() == before
