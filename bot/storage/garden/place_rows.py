"""What people report of places: a ledger, only ever added to."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import ForeignKey, false
from sqlalchemy.orm import Mapped, mapped_column

from bot.core.garden.place_state import Did
from bot.core.garden.snapshot import Cover
from bot.storage.base import Base
from bot.storage.types import Word


class PlaceReport(Base):
    """One thing that somebody did to a place, or saw of it; how it stands now is derived (`core.garden.place_state`).

    cover: with what; target_place_id: into which house. at: when it was so. until_at: the end of what it was done for,
    such as a night's morning; None until further word. still: seen to be so still. task_id, entry_id: the task that was
    reported done, the note that says so. withdrawn_at: when it was taken back, with the note or as not done after all.
    """

    __tablename__ = "place_reports"

    id: Mapped[int] = mapped_column(primary_key=True)
    place_id: Mapped[int] = mapped_column(ForeignKey("places.id", ondelete="CASCADE"), index=True)
    did: Mapped[Did] = mapped_column(Word(Did))
    cover: Mapped[Cover | None]
    target_place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", ondelete="SET NULL"))
    at: Mapped[datetime]
    until_at: Mapped[datetime | None]
    still: Mapped[bool] = mapped_column(default=False, server_default=false())
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    task_id: Mapped[int | None] = mapped_column(ForeignKey("tasks.id", ondelete="SET NULL"), index=True)
    entry_id: Mapped[int | None] = mapped_column(ForeignKey("journal.id", ondelete="SET NULL"), index=True)
    withdrawn_at: Mapped[datetime | None]
