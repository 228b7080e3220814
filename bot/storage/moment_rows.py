"""When the bot last lived."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import Base


class LastMoment(Base):
    """One row: the last moment that a running bot believed, for the next start to hold its clock against."""

    __tablename__ = "last_moment"

    id: Mapped[int] = mapped_column(primary_key=True)
    believed_at: Mapped[datetime]
