"""Warnings, the duties they cause, and who was asked."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.core.garden import Cover
from bot.core.hazards import Hazard, Severity, Task
from bot.storage.states import AskState, DutyState, WarningState
from bot.storage.tables.base import LINE, Base


class Warning(Base):
    """One hazard in one window, unique, so that two processes detect it once.

    window_on: the evening of a night, or the day of a wind. said: what the last message said, to compare with.
    outbox_id: the standing message in the group.
    """

    __tablename__ = "warnings"
    __table_args__ = (UniqueConstraint("garden_id", "hazard", "window_on"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    hazard: Mapped[Hazard]
    window_on: Mapped[date]
    state: Mapped[WarningState] = mapped_column(default=WarningState.DETECTED)
    severity: Mapped[Severity]
    starts_at: Mapped[datetime]
    ends_at: Mapped[datetime]
    due_at: Mapped[datetime]
    probability: Mapped[float]
    detected_at: Mapped[datetime]
    announced_at: Mapped[datetime | None]
    called_at: Mapped[datetime | None]
    clear_since_at: Mapped[datetime | None]
    over_at: Mapped[datetime | None]
    said: Mapped[dict[str, Any]] = mapped_column(default=dict)
    outbox_id: Mapped[int | None] = mapped_column(ForeignKey("outbox.id", ondelete="SET NULL"))


class Duty(Base):
    """One thing to do to one place, for one or more people, by due_at.

    target_place_id: where to bring it. cover: what to put over it. unliftable: too heavy for hands. crops: keys of what is
    at risk there, parted by spaces. support_id: 0 for none (NULLs are never equal). What its being done makes of the place
    is in the ledger (`PlaceReport`).
    """

    __tablename__ = "duties"
    __table_args__ = (UniqueConstraint("warning_id", "place_id", "support_id", "task"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    warning_id: Mapped[int] = mapped_column(ForeignKey("warnings.id", ondelete="CASCADE"), index=True)
    place_id: Mapped[int] = mapped_column(ForeignKey("places.id", ondelete="CASCADE"))
    support_id: Mapped[int] = mapped_column(default=0)
    task: Mapped[Task]
    target_place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", ondelete="SET NULL"))
    cover: Mapped[Cover | None]
    unliftable: Mapped[bool] = mapped_column(default=False)
    crops: Mapped[str] = mapped_column(String(LINE), default="")
    people: Mapped[int] = mapped_column(default=1)
    minutes: Mapped[int]
    starts_at: Mapped[datetime]
    due_at: Mapped[datetime]
    state: Mapped[DutyState] = mapped_column(default=DutyState.OPEN)
    done_at: Mapped[datetime | None]
    done_by: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    escalated_at: Mapped[datetime | None]


class Ask(Base):
    """One member asked for one duty. why: names of the reasons, parted by spaces.

    told_at: for a member without the app, when their helper said that they have been told. home_asked_at: when they were
    asked whether they are safely home, since it had got late; home_said_at: when they said so; home_told_at: when their
    silence went to the organisers.
    """

    __tablename__ = "asks"
    __table_args__ = (UniqueConstraint("duty_id", "member_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    duty_id: Mapped[int] = mapped_column(ForeignKey("duties.id", ondelete="CASCADE"))
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), index=True)
    state: Mapped[AskState] = mapped_column(default=AskState.ASKED)
    why: Mapped[str] = mapped_column(default="")
    asked_at: Mapped[datetime]
    told_at: Mapped[datetime | None]
    reminded_at: Mapped[datetime | None]
    answered_at: Mapped[datetime | None]
    home_asked_at: Mapped[datetime | None]
    home_said_at: Mapped[datetime | None]
    home_told_at: Mapped[datetime | None]


class DutyReport(Base):
    """A duty reported done, or not done after all: the trace when two say different things.

    member_id: who said it was done; None for not done, which names nobody. A done of a duty that is not done is one
    person's part. before: the states of the duty and of its asks, by id, to be put back by Undo.
    """

    __tablename__ = "duty_reports"

    id: Mapped[int] = mapped_column(primary_key=True)
    duty_id: Mapped[int] = mapped_column(ForeignKey("duties.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    done: Mapped[bool]
    reported_at: Mapped[datetime]
    before: Mapped[dict[str, Any] | None]
