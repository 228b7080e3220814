"""Notes from the plot that wait for an answer."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import Base


class PendingNote(Base):
    """A note that is not clear yet. note: as JSON, with what each answer would add to it."""

    __tablename__ = "pending_notes"

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    note: Mapped[dict[str, Any]]
    asked_at: Mapped[datetime]
