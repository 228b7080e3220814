"""Official warnings: asked for by the clock, held against each garden, said once, and closing their hours.

An official warning stands beside our own and takes none of them away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import httpx
from sqlalchemy import ColumnElement, delete, func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.warnings.alerts import Quiet
from bot.core.warnings.official import Alert, Held, closes, held, is_told
from bot.core.warnings.safety import Closed
from bot.core.weather.forecast import ForecastError
from bot.forecasts import cap
from bot.forecasts.cap import Resolve, public_addresses
from bot.storage.kept import Kept
from bot.storage.models import Garden, OfficialWarning, WarningFeed, WarningFile
from bot.storage.read_once import lasting, read_once
from bot.storage.revision import UNNOTED
from bot.storage.session import Database

#: So many files of one feed at a time; the rest at the next tick.
_AT_ONCE = 25
_FIRST_WAIT, _LONGEST_WAIT = timedelta(minutes=10), timedelta(hours=6)
#: A file that its feed lists no more is kept as long, for what still refers to it.
_KEPT_FOR = timedelta(days=7)
_RELIST = timedelta(hours=12)
#: A change of its hours by less is not said again.
_NOTABLE = timedelta(minutes=30)
_WORST = ("Unknown", "Severe", "Extreme")


@dataclass(frozen=True, slots=True)
class Told:
    """What people are to hear of one official warning: that it holds, has changed, or was called off before its end."""

    warning: OfficialWarning
    what: str  # "new", "changed" or "off"


async def of_operator(session: AsyncSession, url: str, now: datetime) -> None:
    """Keep the operator's feed, for every garden; an empty address for none."""
    rows = (await session.scalars(select(WarningFeed).where(WarningFeed.garden_id.is_(None)))).all()
    for row in rows:
        if row.url != url:
            await session.delete(row)
    if url and url not in {row.url for row in rows}:
        session.add(WarningFeed(garden_id=None, url=url, named_at=now))


async def name_feed(session: AsyncSession, row: Garden, url: str | None, now: datetime) -> WarningFeed | None:
    """The garden's own feed is this one, or none; its files and areas go with the old one."""
    for feed in await session.scalars(select(WarningFeed).where(WarningFeed.garden_id == row.id)):
        if feed.url == url:
            return feed
        await session.delete(feed)
        await _unread(session, row, now)
    if url is None:
        await session.flush()
        return None
    feed = WarningFeed(garden_id=row.id, url=url, named_at=now)
    session.add(feed)
    await session.flush()
    return feed


async def _unread(session: AsyncSession, row: Garden, now: datetime) -> None:
    """What came from a feed that is read no more holds no longer; nobody has called it off, so nothing is said."""
    for one in await session.scalars(select(OfficialWarning).where(_open(row.id))):
        one.ended_at, one.said, one.said_at = now, False, one.said_at or now


async def feeds_of(session: AsyncSession, garden_id: int) -> Sequence[WarningFeed]:
    """The garden's own feed, and the operator's."""
    query = select(WarningFeed).where((WarningFeed.garden_id == garden_id) | WarningFeed.garden_id.is_(None))
    return (await session.scalars(query.order_by(WarningFeed.garden_id.is_(None), WarningFeed.id))).all()


async def refresh(
    database: Database, now: datetime, http: httpx.AsyncClient, contact: str, resolve: Resolve = public_addresses
) -> tuple[str, ...]:
    """Ask every feed that may be asked by now, and for its files that are new. Returns what failed, a line each."""
    async with database.begin() as session:
        due = (WarningFeed.next_at.is_(None) | (WarningFeed.next_at <= now),)
        feeds = [(one.id, one.url, one.last_modified) for one in await session.scalars(select(WarningFeed).where(*due))]
    failed = []
    for feed_id, url, last_modified in feeds:
        try:
            found = await cap.listed(http, url, last_modified, now, contact, resolve)
        except ForecastError as error:
            failed.append(f"official warnings, feed {feed_id}: {error}")
            await _failed(database, feed_id, str(error), now)
            continue
        failed += await _files(database, feed_id, found, now, http, contact, resolve)
    return tuple(failed)


async def _failed(database: Database, feed_id: int, why: str, now: datetime) -> None:
    async with database.begin() as session:
        feed = await session.get(WarningFeed, feed_id)
        if feed is not None:
            feed.next_at = now + min(_FIRST_WAIT * 2 ** min(feed.failures, 10), _LONGEST_WAIT)
            feed.failures, feed.note = feed.failures + 1, why[:200]


async def _files(
    database: Database,
    feed_id: int,
    found: cap.Listed,
    now: datetime,
    http: httpx.AsyncClient,
    contact: str,
    resolve: Resolve,
) -> list[str]:
    """Fetch what is new of a list. Until all of it is there, the feed is asked again at the next tick."""
    async with database.begin() as session:
        known = {one.url for one in await session.scalars(select(WarningFile).where(WarningFile.feed_id == feed_id))}
        elsewhere = {
            one.url: one.body
            for one in await session.scalars(select(WarningFile).where(WarningFile.url.in_(found.links or ())))
        }
    new = [url for url in found.links or () if url not in known]
    bodies, notes = dict[str, str](), dict[str, str]()
    for url in new[:_AT_ONCE]:
        try:
            body = found.body if found.body is not None else elsewhere.get(url)
            bodies[url] = body or await cap.warning(http, url, contact, resolve)
        except ForecastError as error:
            notes[url] = str(error)[:200]
    async with database.begin() as session:
        feed = await session.get(WarningFeed, feed_id)
        if feed is None:
            return []
        listed = await session.scalars(select(WarningFile).where(WarningFile.feed_id == feed_id))
        for row in listed:
            if (found.links is None or row.url in found.links) and now - row.listed_at >= _RELIST:
                row.listed_at = now
        for url in (*bodies, *(one for one in notes if not _is_passing(notes[one]))):
            file = {"body": bodies.get(url, ""), "note": notes.get(url, ""), "fetched_at": now, "listed_at": now}
            session.add(WarningFile(feed_id=feed_id, url=url, **file))
        waits = len(new) > _AT_ONCE or any(_is_passing(note) for note in notes.values())
        feed.next_at = now if len(new) > _AT_ONCE else found.next_at
        feed.last_modified = None if waits else found.last_modified
        feed.answered_at, feed.failures, feed.note, feed.troubled_at = now, 0, "", None
    return [f"official warnings, {url}: {note}" for url, note in notes.items()]


def _is_passing(note: str) -> bool:
    """Whether a file may be there at another time; what cannot be read is not asked for again."""
    return note.startswith(("no answer", "status 5", "status 429", "status 404"))


async def note(session: AsyncSession, row: Garden, now: datetime) -> None:
    """Bring the garden's official warnings up to the files that are known."""
    feeds = await feeds_of(session, row.id)
    if not feeds:
        await _unread(session, row, now)
        return
    codes = {(name, value) for feed in feeds for name, value in feed.codes}
    alerts = await _alerts(session, [feed.id for feed in feeds])
    standing = held(alerts, row.latitude, row.longitude, codes, now)
    rows = (await session.scalars(select(OfficialWarning).where(_open(row.id)))).all()
    left = {one.id: one for one in rows}
    for one in standing:
        kept = _row_of(one, rows)
        if kept is None:
            kept = OfficialWarning(garden_id=row.id, found_at=now, severity="", starts_at=now, ends_at=now)
            session.add(kept)
        else:
            left.pop(kept.id, None)
        _bring_up(kept, one)
    for gone in left.values():
        gone.ended_at = min(now, gone.ends_at)
    await session.flush()


async def _alerts(session: AsyncSession, feed_ids: Sequence[int]) -> tuple[Alert, ...]:
    """Every message that these feeds have listed; read anew only when there is another file."""
    of_these = (WarningFile.feed_id.in_(feed_ids), WarningFile.body != "")
    # SQLite gives a number again once its row is gone, so the number alone does not tell a new file from an old one.
    newest = select(func.max(WarningFile.id), func.max(WarningFile.fetched_at), func.count()).where(*of_these)
    key = (*feed_ids, *(await session.execute(newest)).one())
    kept: Kept[tuple[object, tuple[Alert, ...]]] = session.info["alerts"]
    last = kept.get(feed_ids[0])
    if last is not None and last[0] == key:
        return last[1]
    bodies = await session.scalars(select(WarningFile.body).where(*of_these).order_by(WarningFile.id))
    alerts = tuple(cap.parse(body) for body in dict.fromkeys(bodies))
    kept.put(feed_ids[0], (key, alerts))
    return alerts


def _open(garden_id: int) -> ColumnElement[bool]:
    return (OfficialWarning.garden_id == garden_id) & OfficialWarning.ended_at.is_(None)


def _row_of(one: Held, rows: Sequence[OfficialWarning]) -> OfficialWarning | None:
    """The row of this message, or of one that it takes the place of."""
    mine = {(one.alert.me.sender, one.alert.me.identifier)}
    mine |= {(old.sender, old.identifier) for old in one.alert.references}
    return next((row for row in rows if (row.sender, row.identifier) in mine), None)


def _bring_up(row: OfficialWarning, one: Held) -> None:
    """What the row says; where it is worse, or at other hours, people hear of it again."""
    if row.said_at is not None and _differs(row, one):
        row.said_at = None
    row.sender, row.identifier = one.alert.me.sender[:200], one.alert.me.identifier[:200]
    row.severity, row.starts_at, row.ends_at = one.severity[:40], one.starts_at, one.ends_at
    row.words = [
        {"language": info.language, "event": info.event, "headline": info.headline, "description": info.description,
         "instruction": info.instruction, "issuer": info.issuer, "web": info.web}
        for info in one.infos
    ]  # fmt: skip


def _differs(row: OfficialWarning, one: Held) -> bool:
    worse = (
        one.severity in _WORST and row.severity in _WORST and _WORST.index(one.severity) > _WORST.index(row.severity)
    )
    moved = max(abs(row.starts_at - one.starts_at), abs(row.ends_at - one.ends_at)) >= _NOTABLE
    return worse or moved or (is_told(one.severity) and not is_told(row.severity))


async def to_say(session: AsyncSession, row: Garden, quiet: Quiet, now: datetime) -> list[Told]:
    """What people are to hear now, and is taken as said by this transaction.

    In the quiet hours only what begins soon after them; what is over by itself is not spoken of again.
    """
    rows = await session.scalars(
        select(OfficialWarning).where(
            OfficialWarning.garden_id == row.id,
            OfficialWarning.said_at.is_(None) | OfficialWarning.ended_at.is_not(None),
        )
    )
    found = []
    for one in rows:
        if one.ended_at is not None:
            if one.said and one.ended_at < one.ends_at and one.said_at is not None:
                found.append(Told(one, "off"))
            one.bring_up(said=False, said_at=one.said_at or now)
        elif is_told(one.severity) and not quiet.holds(now, one.starts_at):
            found.append(Told(one, "changed" if one.said else "new"))
            one.said, one.said_at = True, now
    return found


@read_once(OfficialWarning)
async def in_force(session: AsyncSession, garden_id: int) -> Sequence[OfficialWarning]:
    """Every official warning that holds for the garden, the slight ones too, the soonest first."""
    query = select(OfficialWarning).where(_open(garden_id)).order_by(OfficialWarning.starts_at, OfficialWarning.id)
    return (await session.scalars(query)).all()


async def closed(session: AsyncSession, garden_id: int, now: datetime) -> tuple[Closed, ...]:
    """The hours in which nobody is sent out because of them."""
    return tuple(one for one in await _severe(session, garden_id) if one.end_at > now)


@lasting(OfficialWarning)
async def _severe(session: AsyncSession, garden_id: int) -> Sequence[Closed]:
    return [Closed(one.starts_at, one.ends_at) for one in await in_force(session, garden_id) if closes(one.severity)]


async def forget_old(session: AsyncSession, now: datetime) -> None:
    """Let files go that no feed lists any more, and warnings that are long over."""
    old_files = delete(WarningFile).where(WarningFile.listed_at < now - _KEPT_FOR)
    old_warnings = delete(OfficialWarning).where(OfficialWarning.ended_at < now - _KEPT_FOR)
    for old in (old_files, old_warnings):
        await session.execute(old, execution_options=UNNOTED)
