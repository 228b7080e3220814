"""Rehearsals that wait are played in a process of their own, and told to whoever asked: once, or that it was lost."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot import worker
from bot.chat.warnings import rehearsal_words as wording
from bot.chat.warnings.announce import voice
from bot.chat.wire.message import Button, Urgency, post
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.warnings import rehearsing
from bot.services.warnings.rehearsing import LONGEST_S, Played, Script
from bot.services.weather import garden_forecast
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Garden, Member, Rehearsal
from bot.storage.session import Database

__all__ = ["buttons", "play", "play_next"]

_LOG = logging.getLogger(__name__)


async def play(script: Script) -> Played:
    """Off the event loop, and never longer than LONGEST_S."""
    return await worker.run("rehearsal", "bot.rehearsal:play", script, Played, timeout_s=LONGEST_S)


async def play_next(database: Database, source: Source, now: datetime) -> int:
    """Play one rehearsal that waits; gives how many were dealt with. May be cut off anywhere.

    What was begun and not told is begun once more later, and after that said to be lost.
    """
    async with database.begin() as session:
        claimed = await rehearsing.claim(session, now)
    if claimed is None:
        return 0
    # Apart from the claim, so that one that cannot even be read counts as an attempt, and lets the next one through.
    async with database.begin() as session:
        row = await session.get_one(Rehearsal, claimed.id)
        script = await _script(session, row, source, now)
    if script is None:
        return 1
    try:
        played = await play(script)
    except worker.WorkerFailed as error:
        _LOG.warning("rehearsal %d, attempt %d: %s", row.id, row.attempts, error)
        async with database.begin() as session:
            (await session.get_one(Rehearsal, row.id)).started_at = None
        return 1
    async with database.begin() as session:
        await _tell(session, row.id, played, now)
    return 1


async def _script(session: AsyncSession, row: Rehearsal, source: Source, now: datetime) -> Script | None:
    """What to play; None, and the row settled, where it is given up or nobody may hear it any more."""
    found = await _organiser(session, row)
    if found is None:
        row.finished_at = now
        return None
    garden, member = found
    if row.attempts > rehearsing.ATTEMPTS:
        row.finished_at = now
        say = voice(garden, member.person.language)
        text = say.gettext("Sorry, I lost the rehearsal. Nobody else got a message. Please send /rehearse again.")
        await _post(session, row, member, text, (), now)
        return None
    rows = await rehearsing.copy_of(session, garden.id)
    forecast = await garden_forecast.current(session, garden, source, now)
    return Script(garden.id, rows, forecast, now, member.person.language, row.answering)


async def _organiser(session: AsyncSession, row: Rehearsal) -> tuple[Garden, Member] | None:
    """Whoever asked, while they are an organiser there and can be written to."""
    member = await session.get_one(Member, row.member_id)
    if member.left_at is not None or member.role is not Role.ORGANISER or member.person.user_id is None:
        return None
    return await session.get_one(Garden, row.garden_id), member


async def _tell(session: AsyncSession, row_id: int, played: Played, now: datetime) -> None:
    row = await session.get_one(Rehearsal, row_id, with_for_update=True)
    found = await _organiser(session, row)
    if row.finished_at is not None or found is None:
        return
    garden, member = found
    say = voice(garden, member.person.language)
    told = wording.pages(say, garden.name, played, answering=row.answering)
    row.played, row.finished_at = {"pages": told}, now
    await _post(session, row, member, told[0], buttons(say, row, 0), now)


async def _post(
    session: AsyncSession, row: Rehearsal, member: Member, text: str, keys: Sequence[Sequence[Button]], now: datetime
) -> None:
    user_id = member.person.user_id
    assert user_id is not None
    await post(
        session,
        key=f"rehearsal:{row.id}",
        chat_id=user_id,
        text=text,
        now=now,
        buttons=keys,
        urgency=Urgency.REPLY,
    )


def buttons(say: Say, row: Rehearsal, page: int) -> list[list[Button]]:
    """Back and on; after the last page, the other way to play it."""
    total = len(row.played["pages"]) if row.played else 0
    turn: list[Button] = []
    if page > 0:
        turn.append((say.gettext("Back"), f"reh:{row.id}:{page - 1}"))
    if page + 1 < total:
        turn.append((say.gettext("Next"), f"reh:{row.id}:{page + 1}"))
    if page + 1 < total or total < 2:
        return [turn] if turn else []
    again = say.gettext("Play with no answers") if row.answering else say.gettext("Play with answers")
    return [turn, [(again, f"reh:{row.id}:{'mute' if row.answering else 'talk'}")]]
