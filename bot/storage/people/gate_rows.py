"""How people are let in: codes, guesses at them, and questions to the organisers about who has come."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import BigInteger, ForeignKey, String
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import Base


class ClaimCode(Base):
    """A code that can still be used. digest: its SHA-256; the code itself is not kept.

    member_id: whose place on the list it gives, None for one that makes an organiser of whoever sends it.
    """

    __tablename__ = "claim_codes"

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"))
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    expires_at: Mapped[datetime]


class CodeGuess(Base):
    """How often an account has sent a wrong code of late. user_id: theirs on the chat platform."""

    __tablename__ = "code_guesses"

    user_id: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    wrong_n: Mapped[int]
    last_at: Mapped[datetime]


class Knock(Base):
    """Somebody about whom the organisers are asked: who they are on the list, or whether they may come back.

    member_id: the newcomer, or who was removed. shown: the account's name as the group saw it.
    """

    __tablename__ = "knocks"

    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
    shown: Mapped[str]
    asked_at: Mapped[datetime]
    answered_at: Mapped[datetime | None]
