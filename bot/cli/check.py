"""`gatepost check`: what is wrong with settings, database, migrations, languages, forecast and token, and what to do."""

from __future__ import annotations

import argparse
import os
import stat
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from pathlib import Path
from urllib.parse import urlsplit

import httpx
from telegram import Bot, WebhookInfo
from telegram.error import InvalidToken, TelegramError

from bot.chat.garden import setup_words as wording
from bot.chat.wire import inbox, outbox
from bot.chat.wire.redact import quieten
from bot.cli.web import LATE
from bot.config import Settings, SettingsError, project_folder, read, settings_path
from bot.forecasts import request
from bot.forecasts.reader import Point
from bot.i18n import LANGUAGES, say
from bot.services.garden import backups, setup
from bot.storage import moments, schema
from bot.storage.garden import gardens
from bot.storage.models import Garden
from bot.storage.session import Database
from bot.storage.trouble import trouble, what_to_do

_PATIENCE_S = 5.0  # whoever looks wants to know now
_LATELY = timedelta(hours=1)


class Mark(StrEnum):
    """How a line begins."""

    OK = "ok    "
    LACKS = "lacks "  # nothing is wrong, but something is still to come
    TO_DO = "to do "  # the bot can't run before
    WRONG = "WRONG "


Line = tuple[Mark, str]
_BAD = (Mark.TO_DO, Mark.WRONG)


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--offline", action="store_true", help="do not ask the weather service or the chat platform")
    parser.add_argument("--alive", action="store_true", help="only say if the bot is working, for a health check")


async def run(args: argparse.Namespace) -> int:
    """0 when the bot can run, 1 when something needs doing first; a line for each."""
    quieten()
    try:
        settings = read()
    except SettingsError as error:
        for line in str(error).splitlines():
            print(f"{Mark.WRONG} settings: {line}")
        return 1
    problems = 0
    lines = _alive(settings) if getattr(args, "alive", False) else _lines(settings, offline=args.offline)
    async for mark, line in lines:
        problems += mark in _BAD
        print(f"{mark} {line}")
    return 1 if problems else 0


async def _lines(settings: Settings, *, offline: bool) -> AsyncIterator[Line]:
    yield _settings()
    found: list[Garden] = []
    async for line in _database(settings, found):
        yield line
    for language in LANGUAGES:
        if language != "en" and not (project_folder("locales") / language / "LC_MESSAGES" / "gatepost.po").is_file():
            yield Mark.WRONG, f"language {language}: its catalogue is missing; install again"
    if not settings.contact and not settings.forecast.startswith("file:"):
        if settings.forecast == "met-norway":
            yield Mark.WRONG, "GATEPOST_CONTACT is not set; MET Norway refuses requests without a mail address or page"
        else:
            yield (
                Mark.LACKS,
                f"GATEPOST_CONTACT is not set; {settings.forecast} works without it, but MET Norway cannot replace it",
            )
    well, copies = backups.state(settings.database_url, settings.backups, datetime.now(UTC))
    yield Mark.OK if well else Mark.WRONG, copies
    if not offline:
        yield await _forecast(settings, found)
    if not settings.token:
        yield Mark.TO_DO, "GATEPOST_TOKEN: none yet; gatepost init asks for it (docs/deploy.md: how to get one)"
    elif not offline:
        async for line in _platform(settings, found):
            yield line


async def _alive(settings: Settings) -> AsyncIterator[Line]:
    """The running bot writes down every five minutes that it lives, unless it doubts its clock."""
    database = Database(settings.database_url, patience_s=_PATIENCE_S)
    last = None
    try:
        is_there = not database.is_sqlite or _is_made(database)
        if is_there and await schema.state(database) is schema.State.CURRENT:
            async with database.begin() as session:
                last = await moments.last(session)
    finally:
        await database.close()
    if last is None:
        yield Mark.WRONG, "the bot has not worked on this database yet; start it: gatepost run"
    elif datetime.now(UTC) - last > LATE:
        yield Mark.WRONG, f"the bot last worked at {last:%Y-%m-%d %H:%M} UTC; look at its log"
    else:
        yield Mark.OK, f"the bot worked at {last:%H:%M} UTC"


def _settings() -> Line:
    path = settings_path()
    if path is None or not path.is_file():
        return Mark.OK, "settings: only from the environment" + ("" if path is None else f"; there is no {path}")
    if os.name == "posix" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        return Mark.WRONG, f"settings: other accounts can read {path}, and with it the token; chmod 600 {path}"
    return Mark.OK, f"settings: {path}, and the environment, which wins"


async def _database(settings: Settings, found: list[Garden]) -> AsyncIterator[Line]:
    database = Database(settings.database_url, patience_s=_PATIENCE_S)
    try:
        if database.is_sqlite and not _is_made(database):
            yield _to_be_made(Path(str(database.url.database)))
            return
        stands = await schema.state(database)
        if stands is schema.State.EMPTY:
            yield Mark.LACKS, f"database {database.address}: empty; gatepost init or gatepost run makes its tables"
        elif stands is schema.State.OLDER:
            yield Mark.LACKS, "database: older than this program; gatepost run updates it (make a backup first)"
        elif stands is schema.State.NEWER:
            yield Mark.WRONG, str(schema.NewerError(database.address))
        else:
            yield Mark.OK, f"database {database.address}"
            for line in await _contents(database, found):
                yield line
    except Exception as error:
        if trouble(error, connecting=True) is None:
            raise
        yield Mark.WRONG, what_to_do(error, database.address)
    finally:
        await database.close()


def _is_made(database: Database) -> bool:
    path = str(database.url.database)
    return path.startswith("file:") or Path(path).exists()


def _to_be_made(path: Path) -> Line:
    if not path.parent.is_dir():
        return Mark.WRONG, f"database: its folder {path.parent} is not there; make it, or change GATEPOST_DATABASE_URL"
    if not os.access(path.parent, os.W_OK):
        return Mark.WRONG, f"database: this account is not allowed to write into {path.parent}; give it that right"
    return Mark.LACKS, f"database: none yet; gatepost init or gatepost run makes it, {path}"


async def _contents(database: Database, found: list[Garden]) -> list[Line]:
    async with database.begin() as session:
        found += await gardens.all_gardens(session)
        states = await outbox.counts(session)
        aside = await inbox.put_aside(session)
        missing = {garden.name: await setup.of_garden(session, garden) for garden in found}
    none = "gardens: none yet; add the bot to the garden's group, or load one: gatepost import FOLDER"
    names = ", ".join(garden.name for garden in found)
    lines: list[Line] = [(Mark.OK, f"gardens: {names}") if found else (Mark.LACKS, none)]
    for name, lacks in missing.items():
        lines += [(Mark.LACKS, f"{name}: {wording.lack(say('en', 'UTC'), one)}") for one in lacks]
    if aside:
        kinds = ", ".join(sorted({error.removeprefix(inbox.ASIDE) for error in aside})[:3])
        lines.append(
            (Mark.LACKS, f"updates left aside, because they could not be saved or read: {len(aside)} ({kinds})")
        )
    if any(states.values()):
        lines.append((Mark.OK, "messages: " + ", ".join(f"{count} {state}" for state, count in states.items())))
    return lines


async def _forecast(settings: Settings, found: list[Garden]) -> Line:
    point = Point(found[0].latitude, found[0].longitude, found[0].altitude_m) if found else Point(52.0, 0.0, 20.0)
    now = datetime.now(UTC)
    async with httpx.AsyncClient() as http:
        sources = request.order(settings.forecast)
        outcome = await request.latest(sources, point, {}, now, http, settings.contact)
    if outcome.forecast is None:
        return Mark.WRONG, f"forecast: {'; '.join(outcome.errors)}"
    return Mark.OK, f"forecast from {outcome.forecast.source}, {len(outcome.forecast.hours)} hours"


async def _platform(settings: Settings, found: list[Garden]) -> AsyncIterator[Line]:
    bot = Bot(settings.token, base_url=settings.bot_api_url)
    try:
        async with bot:
            yield Mark.OK, f"chat platform: @{bot.username}"
            if not bot.can_read_all_group_messages:
                yield (
                    Mark.LACKS,
                    "privacy mode is on: in groups where the bot is no administrator it sees only commands",
                )
            yield _webhook(settings, await bot.get_webhook_info())
            for garden in found:
                yield await _rights(bot, garden)
    except InvalidToken:
        yield Mark.WRONG, "the chat platform does not know this token; copy the whole GATEPOST_TOKEN again"
    except TelegramError as error:
        yield Mark.WRONG, f"the chat platform cannot be reached ({type(error).__name__}); is the network up?"


def _webhook(settings: Settings, info: WebhookInfo) -> Line:
    """Only its host is shown, since its path may hold a secret."""
    host = urlsplit(info.url).hostname
    if not settings.webhook:
        if host is None:
            return Mark.OK, "updates: asked for (long polling)"
        return (
            Mark.LACKS,
            f"a webhook is set for this token, at {host}; gatepost run takes it away, so stop what set it",
        )
    if info.url != settings.webhook:
        return Mark.LACKS, f"updates go to {host or 'nowhere yet'}; gatepost run has them brought to GATEPOST_WEBHOOK"
    failed_at = info.last_error_date
    if failed_at is not None and datetime.now(UTC) - failed_at.astimezone(UTC) < _LATELY:
        why = (info.last_error_message or "")[:100]
        return Mark.WRONG, f"the platform could not bring an update to {host} ({why}); {info.pending_update_count} wait"
    return Mark.OK, f"updates: brought to {host}; {info.pending_update_count} wait"


async def _rights(bot: Bot, garden: Garden) -> Line:
    """Pinning and seeing who leaves need the bot to be an administrator of the group."""
    if garden.shut:
        return Mark.WRONG, f"{garden.name}: its group can't be written to ({garden.shut}); /setup says how to fix it"
    if garden.chat_id is None:
        return Mark.LACKS, f"{garden.name} has no group yet; its organiser adds the bot to the group chat"
    try:
        member = await bot.get_chat_member(garden.chat_id, bot.id)
    except TelegramError as error:
        return Mark.WRONG, f"{garden.name}: its group cannot be seen ({type(error).__name__}); add the bot again"
    if member.status != "administrator":
        return (
            Mark.LACKS,
            f"{garden.name}: make the bot an administrator of the group, so that it can pin and see who leaves",
        )
    if not getattr(member, "can_pin_messages", True):
        return Mark.LACKS, f"{garden.name}: the bot's right to pin messages is missing"
    return Mark.OK, f"{garden.name}: group and rights"
