"""People, and what they say of themselves in each garden."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import BigInteger, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column, relationship

from bot.core.garden.snapshot import Role
from bot.storage.base import LINE, Base


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
