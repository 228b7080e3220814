"""The seasonal calendar, and the trace of what was changed in it."""

from __future__ import annotations

from datetime import date, datetime, time
from typing import Any

from sqlalchemy import JSON, ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.core.calendar.entry import MOST_TITLE_N, EntryKind, EntryState
from bot.storage.base import LINE, Base
from bot.storage.types import Word

UID = 255


class Calendar(Base):
    """One garden's calendar. uid: tells its on-call weeks from those of any other garden's file.

    pinned_id: the outbox row of the pinned message, which edits keep up to date.
    """

    __tablename__ = "calendars"

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    uid: Mapped[str]
    pinned_id: Mapped[int | None] = mapped_column(ForeignKey("outbox.id", ondelete="SET NULL"))


class CalendarEntry(Base):
    """core.calendar_rules.Entry is its shape for core, where the fields are explained.

    uid: of RFC 5545, kept through every change. sequence: counts the changes since it was published.
    skips: ISO days. created_by: None once they have left.
    """

    __tablename__ = "calendar_entries"
    __table_args__ = (UniqueConstraint("garden_id", "uid"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    uid: Mapped[str] = mapped_column(String(UID))
    title: Mapped[str] = mapped_column(String(MOST_TITLE_N))
    kind: Mapped[EntryKind] = mapped_column(Word(EntryKind))
    first_on: Mapped[date]
    last_on: Mapped[date]
    starts: Mapped[time | None]
    ends: Mapped[time | None]
    rrule: Mapped[str] = mapped_column(String(LINE), default="")
    skips: Mapped[list[str]] = mapped_column(JSON, default=list)
    crop: Mapped[str | None]
    state: Mapped[EntryState] = mapped_column(Word(EntryState), default=EntryState.DRAFT)
    sequence: Mapped[int] = mapped_column(default=0)
    created_by: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    changed_at: Mapped[datetime]


class CalendarChange(Base):
    """Who changed an entry and what it was before; before is None where the entry was new."""

    __tablename__ = "calendar_changes"

    id: Mapped[int] = mapped_column(primary_key=True)
    entry_id: Mapped[int] = mapped_column(ForeignKey("calendar_entries.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    changed_at: Mapped[datetime]
    before: Mapped[dict[str, Any] | None] = mapped_column(JSON)
