"""Readings that a garden's own sensors send by themselves: kept until a night is over, then taken like a logger's."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from hashlib import sha256

from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.weather.logger import Sample
from bot.core.weather.night import Site
from bot.core.weather.sun import night_bounds
from bot.i18n import say
from bot.services.weather import logged, readings
from bot.services.weather.logged import Lines
from bot.storage.garden import gardens
from bot.storage.models import Garden, SensorKey, SentReading
from bot.storage.once import insert_new

#: The longest text at once: two weeks of a value every ten minutes.
MOST_BYTES, MOST_LINES = 64_000, 2_200
#: A logger that was out of reach for a weekend tells of it afterwards; what is doubted is doubted by its days.
KEPT_FOR = timedelta(days=8)
#: A sensor's clock may be ahead by this.
_AHEAD = timedelta(minutes=5)
_KEY_BYTES = 32
#: Where one night's readings end and the next one's begin; from when on a minimum is no longer the night's.
_NOON, _EVENING = time(12), time(18)


@dataclass(frozen=True, slots=True)
class Sent:
    """kept_n: readings that were not there yet. nights_n: nights that these made whole. unknown: names that no thermometer
    of the garden has. problems: what could not be read.
    """

    kept_n: int
    nights_n: int
    unknown: tuple[str, ...]
    problems: tuple[str, ...]


async def new_key(session: AsyncSession, garden: Garden, now: datetime) -> str:
    """The key for the garden's sensors, shown once; the one before no longer works."""
    key = secrets.token_urlsafe(_KEY_BYTES)
    await drop_key(session, garden)
    session.add(SensorKey(garden_id=garden.id, digest=_digest(key), made_at=now))
    await session.flush()
    return key


async def drop_key(session: AsyncSession, garden: Garden) -> bool:
    """Nothing is taken from now on; whether anything was before."""
    row = await session.get(SensorKey, garden.id)
    if row is None:
        return False
    await session.delete(row)
    await session.flush()
    return True


async def garden_of(session: AsyncSession, key: str) -> Garden | None:
    """Whose key it is, held until the transaction ends, so that one night is taken once."""
    garden_id = await session.scalar(select(SensorKey.garden_id).where(SensorKey.digest == _digest(key)))
    return None if garden_id is None else await gardens.lock(session, garden_id)


def is_too_long(data: bytes) -> bool:
    """Whether it is more than is read at once."""
    return len(data) > MOST_BYTES or max(data.count(b"\n"), data.count(b"\r")) > MOST_LINES


async def take(session: AsyncSession, garden: Garden, data: bytes, now: datetime) -> Sent | None:
    """Keep what a CSV holds, in the form of a logger's (`logged.COLUMNS`), and learn from each night that is over.

    None where its first line names no time and no reading. Given again, nothing changes.
    """
    if is_too_long(data) or not logged.is_log(data):
        return None
    lines = logged.lines_of("readings", data, garden.tz, say("en", garden.zone))
    meters = await readings.thermometers(session, garden.id)
    by_name = {one.name.casefold(): one for one in meters}
    if len(meters) == 1:
        by_name[""] = meters[0]
    since_at = now - KEPT_FOR
    rows = [
        {"thermometer_id": meter.id, "at": _minute(one.at), "is_minimum": one.is_minimum, "value_c": one.value_c}
        for name, samples in lines.samples.items()
        if (meter := by_name.get(name.casefold())) is not None
        for one in samples
        if since_at <= one.at <= now + _AHEAD
    ]
    kept = await insert_new(session, SentReading, *rows) if rows else ()
    ids = [meter.id for meter in meters]
    await session.execute(delete(SentReading).where(SentReading.thermometer_id.in_(ids), SentReading.at < since_at))
    unknown = tuple(sorted(name for name in lines.samples if name.casefold() not in by_name))
    nights_n = await _nights(session, garden, {meter.id: meter.name for meter in meters}, now) if kept else 0
    return Sent(len(kept), nights_n, unknown, lines.problems)


async def _nights(session: AsyncSession, garden: Garden, names: dict[int, str], now: datetime) -> int:
    """Give every night that is over to whatever learns from loggers; how many it had not had."""
    site = Site(garden.latitude, garden.longitude, garden.altitude_m, garden.tz, garden.lay)
    whole = Lines()
    query = select(SentReading).where(SentReading.thermometer_id.in_(names)).order_by(SentReading.at)
    for row in await session.scalars(query):
        whole.samples.setdefault(names[row.thermometer_id], []).append(Sample(row.at, row.value_c, row.is_minimum))
    for name, samples in whole.samples.items():
        whole.samples[name] = [one for one in samples if _is_of_a_night_that_is_over(one, site, now)]
    taken, _ = await logged.take(session, garden, None, whole, now)
    return sum(len(one.log.nights) - one.had_n for one in taken)


def _is_of_a_night_that_is_over(one: Sample, site: Site, now: datetime) -> bool:
    """A night is taken once, so not before its coldest hour; a minimum that was sent while it lasted is none yet."""
    local = one.at.astimezone(site.zone)
    evening_on = local.date() if local.time() >= _NOON else local.date() - timedelta(days=1)
    _, sunrise_at = night_bounds(evening_on, site.zone, site.latitude, site.longitude)
    if one.is_minimum:
        return sunrise_at <= one.at <= now and local.time() < _EVENING
    return sunrise_at <= now


def _digest(key: str) -> str:
    return sha256(key.encode("utf-8", "replace")).hexdigest()


def _minute(at: datetime) -> datetime:
    return at.replace(second=0, microsecond=0)
