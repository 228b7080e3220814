"""The daily work that goes by turns: one walk of one day, and who was asked for it."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.core.chores import Part
from bot.storage.states import AskState, DutyState
from bot.storage.tables.base import Base
from bot.storage.types import Word


class DayTurn(Base):
    """One walk of one day. chores: what it does, as services.turns.chores words them. minutes: of work.

    due_at: the latest time of the last of them. escalated_at: when organisers heard that nobody is left.
    """

    __tablename__ = "day_turns"
    __table_args__ = (UniqueConstraint("garden_id", "on", "part"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    on: Mapped[date]
    part: Mapped[Part] = mapped_column(Word(Part))
    chores: Mapped[list[dict[str, Any]]] = mapped_column(JSON, default=list)
    minutes: Mapped[int]
    due_at: Mapped[datetime]
    state: Mapped[DutyState] = mapped_column(default=DutyState.OPEN)
    done_at: Mapped[datetime | None]
    done_by: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    escalated_at: Mapped[datetime | None]


class DayTurnAsk(Base):
    """One member on one walk: it is theirs until they say that they can't."""

    __tablename__ = "day_turn_asks"
    __table_args__ = (UniqueConstraint("turn_id", "member_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    turn_id: Mapped[int] = mapped_column(ForeignKey("day_turns.id", ondelete="CASCADE"))
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    state: Mapped[AskState] = mapped_column(default=AskState.ASKED)
    asked_at: Mapped[datetime]
    answered_at: Mapped[datetime | None]
