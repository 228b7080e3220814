"""What an organiser was asked and has yet to answer, while a garden is set up or changed in the chat."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, BigInteger, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import Base


class Setup(Base):
    """One open dialogue of one person. garden_id: None until name, place and clock are known, and a garden begins.

    chat_id, thread_id: the group it was begun in, None for a change of a garden that is there. title: that group's.
    asks: the question that was asked last, a word of `services.garden.setup.Question`. draft: lines read and not yet
    confirmed, as JSON. bot_status: ours in that group.
    """

    __tablename__ = "setups"

    id: Mapped[int] = mapped_column(primary_key=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("people.id", ondelete="CASCADE"), unique=True)
    garden_id: Mapped[int | None] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    chat_id: Mapped[int | None] = mapped_column(BigInteger, index=True)
    thread_id: Mapped[int | None]
    title: Mapped[str] = mapped_column(default="")
    name: Mapped[str | None]
    latitude: Mapped[float | None]
    longitude: Mapped[float | None]
    zone: Mapped[str | None]
    asks: Mapped[str] = mapped_column(String(20))
    bot_status: Mapped[str] = mapped_column(default="")
    draft: Mapped[dict[str, Any]] = mapped_column(JSON, default=dict)
    touched_at: Mapped[datetime]
