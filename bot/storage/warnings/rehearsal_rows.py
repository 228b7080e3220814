"""Rehearsals that organisers have asked for, and what was played."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import Base


class Rehearsal(Base):
    """One cold snap to be played on a copy of a garden, for one organiser.

    answering: whether its people answer. attempts: how often it was begun; started_at: when last. played: the pages, as
    {"pages": [HTML, ...]}; None until it was told, or when it was lost.
    """

    __tablename__ = "rehearsals"

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    answering: Mapped[bool]
    asked_at: Mapped[datetime]
    started_at: Mapped[datetime | None]
    attempts: Mapped[int] = mapped_column(default=0)
    finished_at: Mapped[datetime | None]
    played: Mapped[dict[str, Any] | None]
