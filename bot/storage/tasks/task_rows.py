"""What is to be done, from a warning or from the day itself, who was asked for it, and what was reported of it.

Weeks on call that were shown to the group: kept, so that they stay as they were and count for fairness.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.core.finding import TaskKind
from bot.core.garden.snapshot import Cover
from bot.core.tasks.daily_work import Part
from bot.storage.base import LINE, Base
from bot.storage.states import AskState, TaskState
from bot.storage.types import Word


class Task(Base):
    """One thing to do to one place, for one or more people, by due_at.

    warning_id: None for the work of a day. on: the day, or of a warning's the warning's own (`Warning.window_on`).
    part: of a day's work, which walk does it. place_id: None for the whole garden. support_id: 0 for none (NULLs are
    never equal). target_place_id: where to bring it. cover: what to put over it. unliftable: too heavy for hands.
    crops: keys of what is at risk there, parted by spaces. litres: of water to give. item: its key in the week, empty
    where it has none. why: the steps that led to it, of a day's work; a warning's are reckoned anew.
    escalated_at: when organisers heard that nobody is left.
    told_due_at: the due_at that those asked have been told. more: people besides, whom somebody on it has asked for.
    unneeded_since_at: when the forecast last stopped asking for it. kept_until_at: it has made something so that is to
    be left as it is until then. What its being done makes of the place is in the ledger (`PlaceReport`).
    """

    __tablename__ = "tasks"
    __table_args__ = (UniqueConstraint("warning_id", "place_id", "support_id", "kind"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    warning_id: Mapped[int | None] = mapped_column(ForeignKey("warnings.id", ondelete="CASCADE"), index=True)
    on: Mapped[date]
    part: Mapped[Part | None] = mapped_column(Word(Part))
    place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", ondelete="CASCADE"))
    support_id: Mapped[int] = mapped_column(default=0)
    kind: Mapped[TaskKind]
    target_place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", ondelete="SET NULL"))
    cover: Mapped[Cover | None]
    unliftable: Mapped[bool] = mapped_column(default=False)
    crops: Mapped[str] = mapped_column(String(LINE), default="")
    people: Mapped[int] = mapped_column(default=1)
    minutes: Mapped[int]
    litres: Mapped[float | None]
    item: Mapped[str] = mapped_column(String(LINE), default="")
    why: Mapped[list[list[Any]]] = mapped_column(JSON, default=list)
    starts_at: Mapped[datetime]
    due_at: Mapped[datetime]
    state: Mapped[TaskState] = mapped_column(default=TaskState.OPEN)
    done_at: Mapped[datetime | None]
    done_by: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    escalated_at: Mapped[datetime | None]
    told_due_at: Mapped[datetime | None]
    more: Mapped[int] = mapped_column(default=0)
    unneeded_since_at: Mapped[datetime | None]
    kept_until_at: Mapped[datetime | None]

    @property
    def where_id(self) -> int:
        """The place, 0 for the whole garden."""
        return self.place_id or 0

    @property
    def cause_id(self) -> int:
        """The warning, 0 for the work of a day."""
        return self.warning_id or 0


class Ask(Base):
    """One member asked for one task. why: names of the reasons, parted by spaces.

    told_at: for a member without the app, when their helper said that they have been told. home_asked_at: when they were
    asked whether they are safely home, since it had got late; home_said_at: when they said so; home_told_at: when their
    silence went to the organisers.
    """

    __tablename__ = "asks"
    __table_args__ = (UniqueConstraint("task_id", "member_id"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    task_id: Mapped[int] = mapped_column(ForeignKey("tasks.id", ondelete="CASCADE"))
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


class TaskReport(Base):
    """A task reported done, or not done after all: the trace when two say different things.

    member_id: who said it was done; None for not done, which names nobody. A done of a task that is not done is one
    person's part. before: the states of the task and of its asks, by id, to be put back by Undo.
    """

    __tablename__ = "task_reports"

    id: Mapped[int] = mapped_column(primary_key=True)
    task_id: Mapped[int] = mapped_column(ForeignKey("tasks.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    done: Mapped[bool]
    reported_at: Mapped[datetime]
    before: Mapped[dict[str, Any] | None]


class OnCall(Base):
    """One member in one week. starts_on: its Monday."""

    __tablename__ = "on_call"

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    starts_on: Mapped[date] = mapped_column(primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)
