"""Moments and databases as the command line takes them."""

from __future__ import annotations

import argparse
import asyncio
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import make_url, select

from bot.config import database_url
from bot.core.weather.forecast import Forecast, ForecastError
from bot.forecasts import file
from bot.forecasts.reader import Point
from bot.storage.models import Garden
from bot.storage.schema import upgrade
from bot.storage.session import Database

#: Later than any forecast: of a folder, the newest counts.
LATEST_AT = datetime.max.replace(tzinfo=UTC)


class Wrong(ValueError):
    """What was asked cannot be done. The text says what, the value and what to do."""


def moment(text: str, zone: ZoneInfo) -> datetime:
    """An ISO moment as aware UTC; one without an offset is the zone's clock. Raises Wrong."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise Wrong(f"the moment is {text[:40]!r}; write it like 2026-05-04T18:00 or 2026-05-04T18:00+01:00") from None
    return (at if at.tzinfo else at.replace(tzinfo=zone)).astimezone(UTC)


def zone(name: str) -> ZoneInfo:
    """An IANA zone. Raises argparse's error."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        raise argparse.ArgumentTypeError(f"{name[:40]!r} is not a time zone; write one like Europe/London") from None


def forecast_path(text: str) -> Path:
    """A recorded answer, or a folder of them. Raises argparse's error."""
    path = Path(text)
    if not path.exists():
        raise argparse.ArgumentTypeError(f"{text!r} is not there; name a recorded forecast, or a folder of them")
    return path


@asynccontextmanager
async def opened() -> AsyncIterator[Database]:
    """The database of the settings, brought up to date."""
    database = Database(database_url())
    try:
        await upgrade(database)
        yield database
    finally:
        await database.close()


def _is_there() -> bool:
    path = make_url(database_url()).database
    return not database_url().startswith("sqlite") or bool(path and Path(path).is_file())


async def own_zone() -> ZoneInfo | None:
    """The zone of the settings' garden; None without one. Looks only, makes no database."""
    if not _is_there():
        return None
    async with opened() as database:
        return await garden_zone(database)


async def garden_zone(database: Database) -> ZoneInfo | None:
    """The zone of the only garden, or of the first."""
    async with database.begin() as session:
        garden = await session.scalar(select(Garden).order_by(Garden.id).limit(1))
        return garden.tz if garden else None


async def recorded(database: Database, path: Path, at: datetime) -> Forecast:
    """The recorded forecast as of a moment, for the first garden's place. Raises Wrong when it can't be used there."""
    async with database.begin() as session:
        garden = await session.scalar(select(Garden).order_by(Garden.id).limit(1))
    if garden is None:
        raise Wrong("there is no garden yet; load one with: gatepost import FOLDER")
    near = Point(garden.latitude, garden.longitude, garden.altitude_m)
    try:
        return await asyncio.to_thread(file.latest, path, at, near)
    except (ForecastError, OSError) as error:
        raise Wrong(str(error)) from error
