"""Work that takes longer than an answer may: asked for in one transaction, done between, settled in another."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, Index, LargeBinary, String
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import LINE, Base
from bot.storage.states import ErrandKind, ErrandState
from bot.storage.types import Word


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
