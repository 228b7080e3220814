"""Messages are kept as long as they are of use, and then removed by the clock. Readings and the journal stay."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import CursorResult, Delete, String, Update, cast, delete, select, update
from sqlalchemy.ext.asyncio import AsyncSession
from sqlalchemy.orm import aliased

from bot.services.people import codes, personal_data, wishes
from bot.services.tasks import answers
from bot.services.warnings import official
from bot.services.weather.past_days import KEPT_FOR
from bot.storage.models import (
    Calendar,
    ClaimCode,
    CodeGuess,
    Errand,
    Inbox,
    Knock,
    Member,
    Outbox,
    PastDay,
    PendingNote,
    Person,
    Setup,
    TaskReport,
    Warning,
)
from bot.storage.revision import UNNOTED
from bot.storage.states import SendState, WarningState
from bot.storage.trouble import trouble

_LOG = logging.getLogger(__name__)

#: What people wrote, once it has been dealt with: long enough to look into a complaint.
INBOX_FOR = timedelta(days=7)
#: What was said: long enough to change a message, and to know that it was said.
OUTBOX_FOR = timedelta(days=30)
#: The bare number of an update stays longer than any answer to it, since answers are told apart by it.
_NUMBER_FOR = OUTBOX_FOR + INBOX_FOR
#: The name of whoever has left every garden: two seasons, so that they may come back (common practice, no source).
LEFT_FOR = timedelta(days=730)
_SETTLED = (SendState.SENT, SendState.FAILED, SendState.UNCERTAIN, SendState.EXPIRED)


@dataclass(frozen=True, slots=True)
class Removed:
    """How many: texts that came in, messages that went out, questions that nobody answered."""

    inbox_n: int
    outbox_n: int
    questions_n: int


async def tidy(session: AsyncSession, now: datetime) -> Removed:
    """Remove what is older than its time. Doing it again removes nothing more."""
    kept = cast(Inbox.payload, String) != "{}"  # PostgreSQL compares JSON as text only
    texts = await _count(session, update(Inbox).where(Inbox.done_at < now - INBOX_FOR, kept).values(payload={}))
    await session.execute(delete(Inbox).where(Inbox.done_at < now - _NUMBER_FOR))
    await _long_gone(session, now)
    await wishes.lift_again(session, now)
    for table, old in (
        (PastDay, PastDay.on < (now - KEPT_FOR).date()),
        (TaskReport, TaskReport.reported_at < now - OUTBOX_FOR),
        (Setup, Setup.touched_at < now - OUTBOX_FOR),
        (Errand, Errand.asked_at < now - INBOX_FOR),
        (ClaimCode, ClaimCode.expires_at < now),
        (CodeGuess, CodeGuess.last_at < now - codes.WAIT_FOR),
        (Knock, Knock.asked_at < now - OUTBOX_FOR),
    ):
        await _count(session, delete(table).where(old))
    questions = delete(PendingNote).where(PendingNote.asked_at < now - INBOX_FOR)
    await official.forget_old(session, now)
    await answers.note(session)
    return Removed(texts, await _outbox(session, now), await _count(session, questions))


async def _long_gone(session: AsyncSession, now: datetime) -> None:
    """Whoever left long ago, and is a member nowhere, is forgotten as if they had asked for it."""
    still = select(Member.person_id).where(Member.left_at.is_(None) | (Member.left_at >= now - LEFT_FOR))
    left = select(Member.person_id)
    gone = select(Person).where(Person.name != personal_data.NOBODY, Person.id.in_(left), Person.id.not_in(still))
    for person in (await session.scalars(gone)).all():
        number = person.id
        try:
            async with session.begin_nested():
                await personal_data.forget(session, person, now)
        except Exception as error:  # one who cannot be forgotten keeps nothing of the others, and is tried again
            if trouble(error) is not None:
                raise
            _LOG.error("person %d cannot be forgotten: %s", number, type(error).__name__)


async def _outbox(session: AsyncSession, now: datetime) -> int:
    """First changes, then what they changed; a message that still stands for something is kept."""
    old = (Outbox.settled_at < now - OUTBOX_FOR, Outbox.state.in_(_SETTLED))
    changes = await _count(session, delete(Outbox).where(*old, Outbox.edits.is_not(None)))
    change = aliased(Outbox)
    standing = select(Warning.outbox_id).where(Warning.state != WarningState.OVER, Warning.outbox_id.is_not(None))
    pinned = select(Calendar.pinned_id).where(Calendar.pinned_id.is_not(None))
    changed = select(change.edits).where(change.edits.is_not(None))
    unused = (Outbox.id.not_in(kept) for kept in (standing, pinned, changed))
    return changes + await _count(session, delete(Outbox).where(*old, *unused))


async def _count(session: AsyncSession, statement: Update | Delete) -> int:
    # No look at a garden rests on what is so old.
    result = await session.execute(statement, execution_options=UNNOTED)
    assert isinstance(result, CursorResult)
    return result.rowcount
