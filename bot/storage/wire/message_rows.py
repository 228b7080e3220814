"""What came in and what goes out: the durable ends of the chat.

Work that takes longer than an answer may: asked for in one transaction, done between, settled in another.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index, LargeBinary, String
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import LINE, Base
from bot.storage.states import ErrandKind, ErrandState, SendState
from bot.storage.types import Word


class Inbox(Base):
    """Every update, before it is acknowledged. turn: its place in line for one chat. unheard_garden_id: the garden of which
    it may have spoken, where nobody understood it; no foreign key, as for the outbox.
    """

    __tablename__ = "inbox"
    __table_args__ = (Index("ix_inbox_waiting", "done_at", "chat_id", "update_id"),)

    update_id: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    chat_id: Mapped[int] = mapped_column(BigInteger)
    payload: Mapped[dict[str, Any]]
    received_at: Mapped[datetime]
    done_at: Mapped[datetime | None]
    attempts: Mapped[int] = mapped_column(default=0)
    retry_at: Mapped[datetime | None]
    error: Mapped[str | None] = mapped_column(String(LINE))
    unheard_garden_id: Mapped[int | None]


class Outbox(Base):
    """Every call to the chat platform that tells somebody something.

    key: unique per event, person and moment, so that nothing is queued twice. method: of the Bot API; payload: its
    parameters without chat and topic. urgency: lower goes first. repeatable: an uncertain send is repeated, marked as
    such. edits: the outbox row whose message an edit changes. supersedes older edits of the same message.
    garden_id: whose matters an answer speaks of, so that a press under it is about that garden; no
    foreign key, since on SQLite that would make the table anew, and what points at its rows would let go of them.
    """

    __tablename__ = "outbox"
    __table_args__ = (
        Index("ix_outbox_waiting", "state", "send_at", "urgency", "id"),
        Index("ix_outbox_in_turn", "state", "urgency", "id"),
        Index("ix_outbox_tried", "state", "attempts"),
    )

    id: Mapped[int] = mapped_column(primary_key=True)
    key: Mapped[str] = mapped_column(String(LINE), unique=True)
    chat_id: Mapped[int] = mapped_column(BigInteger, index=True)
    thread_id: Mapped[int | None]
    method: Mapped[str]
    payload: Mapped[dict[str, Any]]
    urgency: Mapped[int]
    repeatable: Mapped[bool] = mapped_column(default=False)
    edits: Mapped[int | None] = mapped_column(ForeignKey("outbox.id"), index=True)
    garden_id: Mapped[int | None]
    state: Mapped[SendState] = mapped_column(default=SendState.PENDING)
    queued_at: Mapped[datetime]
    send_at: Mapped[datetime]
    expires_at: Mapped[datetime | None]
    claimed_at: Mapped[datetime | None]
    settled_at: Mapped[datetime | None]
    attempts: Mapped[int] = mapped_column(default=0)
    message_id: Mapped[int | None]
    error: Mapped[str | None] = mapped_column(String(LINE))


class Errand(Base):
    """One piece of long work for one member. asked: its parameters. chat_id, thread_id: where the answer goes.

    outbox_id: the message that says that it goes on. For a file: file_id is the platform's name of it, file_name its
    sender's, file_bytes_n its size as announced; data: what was fetched, gone as soon as it was applied or dropped.
    """

    __tablename__ = "errands"
    __table_args__ = (Index("ix_errands_waiting", "state", "id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    chat_id: Mapped[int] = mapped_column(BigInteger)
    thread_id: Mapped[int | None]
    kind: Mapped[ErrandKind] = mapped_column(Word(ErrandKind))
    asked: Mapped[dict[str, Any]] = mapped_column(default=dict)
    state: Mapped[ErrandState] = mapped_column(Word(ErrandState), default=ErrandState.WAITING)
    file_id: Mapped[str | None] = mapped_column(String(LINE))
    file_name: Mapped[str | None] = mapped_column(String(LINE))
    file_bytes_n: Mapped[int | None] = mapped_column(BigInteger)
    data: Mapped[bytes | None] = mapped_column(LargeBinary)
    asked_at: Mapped[datetime]
    claimed_at: Mapped[datetime | None]
    attempts: Mapped[int] = mapped_column(default=0)
    retry_at: Mapped[datetime | None]
    outbox_id: Mapped[int | None] = mapped_column(ForeignKey("outbox.id", ondelete="SET NULL"))
    error: Mapped[str | None] = mapped_column(String(LINE))
