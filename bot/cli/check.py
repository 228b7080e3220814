"""`gatepost check`: what is wrong with settings, database, migrations, languages, forecast and token, and what to do."""

from __future__ import annotations

import argparse
from collections.abc import AsyncIterator
from datetime import UTC, datetime

import httpx
from sqlalchemy.exc import SQLAlchemyError
from telegram import Bot
from telegram.error import InvalidToken, TelegramError

from bot.chat import inbox, outbox
from bot.chat.redact import quieten
from bot.chat.wording import setup as wording
from bot.config import Settings, SettingsError, database_url, project_folder, read
from bot.forecasts import client
from bot.forecasts.reader import Point
from bot.i18n import LANGUAGES, say
from bot.services import backups, lacking
from bot.storage import gardens
from bot.storage.models import Garden
from bot.storage.schema import is_current
from bot.storage.session import Database

__all__ = ["add_arguments", "run"]

#: None: nothing is wrong, but something is still to come.
_MARKS = {True: "ok    ", False: "WRONG ", None: "lacks "}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--offline", action="store_true", help="ask neither the weather service nor the chat platform")


async def run(args: argparse.Namespace) -> int:
    """0 when all is well, 1 when something needs doing; a line for each."""
    quieten()
    try:
        settings = read()
    except SettingsError as error:
        print(f"WRONG  settings: {error}")
        return 1
    print("ok     settings")
    problems = 0
    async for well, line in _lines(settings, offline=args.offline):
        problems += well is False
        print(f"{_MARKS[well]} {line}")
    return 1 if problems else 0


async def _lines(settings: Settings, *, offline: bool) -> AsyncIterator[tuple[bool | None, str]]:
    found: list[Garden] = []
    async for well, line in _database(found):
        yield well, line
    for language in LANGUAGES:
        there = language == "en" or (project_folder("locales") / language / "LC_MESSAGES" / "gatepost.po").is_file()
        yield (
            there,
            f"language {language}" if there else f"language {language}: its catalogue is missing; install again",
        )
    if not settings.contact:
        yield False, "GATEPOST_CONTACT is not set; MET Norway refuses requests without a mail address or page"
    yield backups.state(database_url(), settings.backups, datetime.now(UTC))
    if offline:
        return
    yield await _forecast(settings, found)
    async for well, line in _platform(settings, found):
        yield well, line


async def _database(found: list[Garden]) -> AsyncIterator[tuple[bool | None, str]]:
    database = Database(database_url())
    try:
        current = await is_current(database)
        yield current, "database" if current else "database: older than this program; gatepost run brings it up to date"
        if current:
            async with database.begin() as session:
                found += await gardens.all_gardens(session)
                states = await outbox.counts(session)
                aside = await inbox.put_aside(session)
                missing = {garden.name: await lacking.of_garden(session, garden) for garden in found}
            names = ", ".join(garden.name for garden in found)
            none = "no garden yet; add the bot to the garden's group, or load one: gatepost import FOLDER"
            yield True if found else None, f"gardens: {names}" if found else none
            for name, lacks in missing.items():
                for one in lacks:
                    yield None, f"{name}: {wording.lack(say('en', 'UTC'), one)}"
            if aside:
                kinds = ", ".join(sorted({error.removeprefix(inbox.ASIDE) for error in aside})[:3])
                yield None, f"updates put aside, since they could not be stored or read: {len(aside)} ({kinds})"
            yield True, "messages: " + ", ".join(f"{count} {state}" for state, count in states.items())
    except (SQLAlchemyError, OSError) as error:
        yield False, f"database: {type(error).__name__}; look at GATEPOST_DATABASE_URL and whether it is running"
    finally:
        await database.close()


async def _forecast(settings: Settings, found: list[Garden]) -> tuple[bool, str]:
    point = Point(found[0].latitude, found[0].longitude, found[0].altitude_m) if found else Point(52.0, 0.0, 20.0)
    now = datetime.now(UTC)
    async with httpx.AsyncClient() as http:
        sources = client.order(settings.forecast)
        outcome = await client.latest(sources, point, {}, now, http, settings.contact)
    if outcome.forecast is None:
        return False, f"forecast: {'; '.join(outcome.errors)}"
    return True, f"forecast from {outcome.forecast.source}, {len(outcome.forecast.hours)} hours"


async def _platform(settings: Settings, found: list[Garden]) -> AsyncIterator[tuple[bool | None, str]]:
    if not settings.token:
        yield False, "GATEPOST_TOKEN is not set; ask your chat platform for a bot's token"
        return
    bot = Bot(settings.token, base_url=settings.bot_api_url)
    try:
        async with bot:
            yield True, f"chat platform: @{bot.username}"
            if not bot.can_read_all_group_messages:
                yield None, "privacy mode is on: in groups where the bot is no administrator it sees only commands"
            for garden in found:
                yield await _rights(bot, garden)
    except InvalidToken:
        yield False, "the chat platform does not know this token; copy GATEPOST_TOKEN again whole"
    except TelegramError as error:
        yield False, f"the chat platform cannot be reached ({type(error).__name__}); is the network up?"


async def _rights(bot: Bot, garden: Garden) -> tuple[bool, str]:
    """Pinning and seeing who leaves need the bot to be an administrator of the group."""
    if garden.shut:
        return False, f"{garden.name}: its group can't be written to ({garden.shut}); /setup says what mends it"
    if garden.chat_id is None:
        return False, f"{garden.name} has no group yet; its organiser adds the bot to the group chat"
    try:
        member = await bot.get_chat_member(garden.chat_id, bot.id)
    except TelegramError as error:
        return False, f"{garden.name}: its group cannot be seen ({type(error).__name__}); add the bot again"
    if member.status != "administrator":
        return (
            False,
            f"{garden.name}: make the bot an administrator of the group, so that it can pin and see who leaves",
        )
    if not getattr(member, "can_pin_messages", True):
        return False, f"{garden.name}: the bot's right to pin messages is missing"
    return True, f"{garden.name}: group and rights"
