"""Codes that let one account in: made, read, found in the open, and guarded against guessing."""

from __future__ import annotations

import re
import secrets
import unicodedata
from dataclasses import dataclass
from datetime import datetime, timedelta
from hashlib import sha256

from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.storage.models import ClaimCode, CodeGuess, Garden, Member
from bot.storage.people import members

#: Letters and digits that no phone changes and nobody mixes up: without 0, 1, I, L and O.
_SIGNS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
#: 31 signs, 13 of them: 64 bits.
_CODE_N = 13
_IN_TEXT = re.compile(rf"(?<![^\W_])[{_SIGNS}]{{{_CODE_N}}}(?![^\W_])", re.IGNORECASE)
#: Long enough to be handed over at the next working day (common practice, no source).
HOLDS_FOR = timedelta(days=5)
#: So many wrong codes, and an account waits so long (common practice, no source).
GUESSES_N = 5
WAIT_FOR = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Code:
    """member_name: whose place on the list it gives; None for one that makes a new organiser."""

    text: str
    until: datetime
    member_name: str | None = None


async def issue(session: AsyncSession, garden_id: int, member: Member | None, now: datetime) -> Code:
    """A new code for this place on the list, or for a new organiser; the one before no longer works."""
    member_id = member.id if member is not None else None
    of_it = ClaimCode.member_id.is_(None) if member_id is None else ClaimCode.member_id == member_id
    await session.execute(delete(ClaimCode).where(ClaimCode.garden_id == garden_id, of_it))
    text = "".join(secrets.choice(_SIGNS) for _ in range(_CODE_N))
    until = now + HOLDS_FOR
    session.add(ClaimCode(garden_id=garden_id, member_id=member_id, digest=_digest(text), expires_at=until))
    await session.flush()
    return Code(text, until, member.person.name if member is not None else None)


async def first(session: AsyncSession, garden: Garden, now: datetime) -> list[Code]:
    """New codes by which a garden comes to organisers: one for each who is listed without an account, else one for
    whoever sends it."""
    waiting = [one for one in await members.organisers(session, garden.id) if one.person.user_id is None]
    return [await issue(session, garden.id, one, now) for one in (waiting or (None,))]


async def take(session: AsyncSession, text: str, now: datetime) -> ClaimCode | None:
    """The code that this is, used up; None where nothing, or nothing any more, has it. Any text may be given.

    Found by its digest, so that how long it takes tells nothing of what is stored.
    """
    found = await session.scalar(select(ClaimCode).where(ClaimCode.digest == _digest(text)))
    if found is None:
        return None
    await session.delete(found)
    await session.flush()
    return found if found.expires_at > now else None


async def posted(session: AsyncSession, text: str) -> list[ClaimCode]:
    """The codes that stand in a text which others can read; they no longer work."""
    written = [*_IN_TEXT.findall(text), *text.split("/start")[1:]]
    if not written:
        return []
    digests = {_digest(one) for one in written}
    found = list(await session.scalars(select(ClaimCode).where(ClaimCode.digest.in_(digests))))
    for row in found:
        await session.delete(row)
    await session.flush()
    return found


async def waits_until(session: AsyncSession, user_id: int, now: datetime) -> datetime | None:
    """Until when an account that has sent too many wrong codes has to wait; None when it need not."""
    row = await session.get(CodeGuess, user_id)
    until = row.last_at + WAIT_FOR if row is not None and row.wrong_n >= GUESSES_N else None
    return until if until is not None and until > now else None


async def misses(session: AsyncSession, user_id: int, now: datetime) -> None:
    """Count a wrong code; those of long ago no longer count."""
    row = await session.get(CodeGuess, user_id)
    if row is None:
        session.add(CodeGuess(user_id=user_id, wrong_n=1, last_at=now))
    else:
        row.wrong_n = row.wrong_n + 1 if now - row.last_at < WAIT_FOR else 1
        row.last_at = now
    await session.flush()


def _digest(text: str) -> str:
    """Of the code in capitals without spaces, as people may write it; of any other text something that nothing has."""
    written = "".join(unicodedata.normalize("NFKC", text).upper().split())
    return sha256(written.encode("utf-8", "surrogatepass")).hexdigest()
