"""Weeks on call that were shown to the group: kept, so that they stay as they were and count for fairness."""

from __future__ import annotations

from datetime import date

from sqlalchemy import ForeignKey
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import Base


class OnCall(Base):
    """One member in one week. starts_on: its Monday."""

    __tablename__ = "on_call"

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    starts_on: Mapped[date] = mapped_column(primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
