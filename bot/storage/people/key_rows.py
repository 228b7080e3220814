"""Keys: who holds which, and the trace of their moves. Codes of locks are never stored."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import Base
from bot.storage.states import KeyState
from bot.storage.types import Word


class Key(Base):
    """One key. place_id: what it opens, None for the gate or for everything. holder_member_id: None unless held or lent.

    `Member.has_key`, which the rota reads, is kept in step by services.keys.
    """

    __tablename__ = "keys"

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    name: Mapped[str]
    place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", ondelete="SET NULL"))
    holder_member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    state: Mapped[KeyState] = mapped_column(Word(KeyState))


class KeyMove(Base):
    """What became of a key, and who said so. holder_member_id: who had it afterwards."""

    __tablename__ = "key_moves"

    id: Mapped[int] = mapped_column(primary_key=True)
    key_id: Mapped[int] = mapped_column(ForeignKey("keys.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    holder_member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    state: Mapped[KeyState] = mapped_column(Word(KeyState))
    moved_at: Mapped[datetime]
