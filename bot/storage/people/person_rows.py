"""People, and what they say of themselves in each garden.

How people are let in: codes, guesses at them, and questions to the organisers about who has come.

Keys: who holds which, and the trace of their moves. Codes of locks are never stored.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from bot.core.garden.snapshot import Role
from bot.storage.base import LINE, Base
from bot.storage.states import KeyState
from bot.storage.types import Word


class Person(Base):
    """Someone who may belong to several gardens. user_id: theirs on the chat platform, None before they wrote.

    garden_id: the garden they last chose to speak of. private_ok_at: when one private message to them first succeeded;
    blocked_at: when one was last refused.
    """

    __tablename__ = "people"

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    user_id: Mapped[int | None] = mapped_column(BigInteger, unique=True)
    username: Mapped[str | None]
    language: Mapped[str] = mapped_column(default="en")
    garden_id: Mapped[int | None] = mapped_column(ForeignKey("gardens.id", ondelete="SET NULL"))
    private_ok_at: Mapped[datetime | None]
    blocked_at: Mapped[datetime | None]


class Member(Base):
    """A person in one garden, and what they wish.

    adult: yes or no, never a birth date. lift_kg: the most they are glad to lift, 0 for no lifting, None unsaid.
    lift_back_on: until the day before they lift nothing, and then lift_back_kg again.
    per_week: most turns a week. skills: words parted by spaces. travel_min: to the garden, None unsaid. heard_at: when
    they last wrote or tapped something here; still_asked_at: when they were asked, after a long silence, whether they are
    still in. removed_at: when an organiser took them off the list; they come back only when an organiser lets them in.
    """

    __tablename__ = "members"
    __table_args__ = (UniqueConstraint("garden_id", "person_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    person_id: Mapped[int] = mapped_column(ForeignKey("people.id"), index=True)
    role: Mapped[Role] = mapped_column(default=Role.MEMBER)
    adult: Mapped[bool] = mapped_column(default=True)
    lift_kg: Mapped[float | None]
    lift_back_on: Mapped[date | None]
    lift_back_kg: Mapped[float | None]
    has_key: Mapped[bool] = mapped_column(default=False)
    mornings_only: Mapped[bool] = mapped_column(default=False)
    per_week: Mapped[int | None]
    travel_min: Mapped[int | None]
    skills: Mapped[str] = mapped_column(String(LINE), default="")
    joined_at: Mapped[datetime]
    left_at: Mapped[datetime | None]
    removed_at: Mapped[datetime | None]
    heard_at: Mapped[datetime | None]
    still_asked_at: Mapped[datetime | None]
    person: Mapped[Person] = relationship(lazy="joined", innerjoin=True)


class NamedHelper(Base):
    """A member with the app who passes on to one without it what is asked of them, and brings back the answer.

    asked_at: when they were asked whether they would; agreed_at: when they said yes. Nobody is asked through them before.
    """

    __tablename__ = "named_helpers"

    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
    helper_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    asked_at: Mapped[datetime | None]
    agreed_at: Mapped[datetime | None]


class Away(Base):
    """Days on which a member is away, both included.

    given_on: which of their turns went to others because of it, with the states before, so that it can be taken back.
    """

    __tablename__ = "aways"

    id: Mapped[int] = mapped_column(primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    from_on: Mapped[date]
    to_on: Mapped[date]
    given_on: Mapped[dict[str, Any] | None]


class FreeTime(Base):
    """When a member can come: a weekday (0 is Monday) and hours of the garden's clock. No row means any time."""

    __tablename__ = "free_times"

    id: Mapped[int] = mapped_column(primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    weekday: Mapped[int]
    from_h: Mapped[int]
    to_h: Mapped[int]


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
