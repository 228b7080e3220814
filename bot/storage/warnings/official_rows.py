"""Official warnings: the feeds that are named, the files that they list, and what of them holds for a garden."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.storage.base import LINE, Base

#: The longest address that is kept.
ADDRESS = 500


class WarningFeed(Base):
    """An Atom or RSS feed of CAP files. garden_id: whose organiser named it, None for the operator's, which is for all.

    codes: name of the system and value of each area in which that garden lies. next_at: no request before it.
    last_modified: that header's text. answered_at: when it last answered well; failures: how many since, in a row;
    note: why the last request failed, empty when it did not. troubled_at: when organisers were told that it fails.
    """

    __tablename__ = "warning_feeds"
    __table_args__ = (UniqueConstraint("garden_id", "url"),)
    UNSEEN = frozenset({"next_at", "last_modified", "answered_at", "failures", "note", "troubled_at"})

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int | None] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    url: Mapped[str] = mapped_column(String(ADDRESS))
    codes: Mapped[list[list[str]]] = mapped_column(JSON, default=list)
    named_at: Mapped[datetime]
    next_at: Mapped[datetime | None]
    last_modified: Mapped[str | None]
    answered_at: Mapped[datetime | None]
    failures: Mapped[int] = mapped_column(default=0)
    note: Mapped[str] = mapped_column(String(LINE), default="")
    troubled_at: Mapped[datetime | None]


class WarningFile(Base):
    """One CAP file, fetched once: such a file never changes. body: empty where it could not be read, and why in note.

    listed_at: when its feed last listed it.
    """

    __tablename__ = "warning_files"
    __table_args__ = (UniqueConstraint("feed_id", "url"),)
    UNSEEN = frozenset({"listed_at"})

    id: Mapped[int] = mapped_column(primary_key=True)
    feed_id: Mapped[int] = mapped_column(ForeignKey("warning_feeds.id", ondelete="CASCADE"), index=True)
    url: Mapped[str] = mapped_column(String(ADDRESS))
    body: Mapped[str] = mapped_column(Text, default="")
    note: Mapped[str] = mapped_column(String(LINE), default="")
    fetched_at: Mapped[datetime]
    listed_at: Mapped[datetime]


class OfficialWarning(Base):
    """An official warning that holds for a garden; an update of it changes the row.

    words: of each language of the file its event, headline, description, instruction, issuer and link. said_at: when
    people were told of what the row now says; said: whether they were told of any of it. ended_at: it was called off, or
    is over.
    """

    __tablename__ = "official_warnings"

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    sender: Mapped[str] = mapped_column(String(LINE))
    identifier: Mapped[str] = mapped_column(String(LINE))
    severity: Mapped[str]
    starts_at: Mapped[datetime]
    ends_at: Mapped[datetime]
    words: Mapped[list[dict[str, Any]]] = mapped_column(JSON, default=list)
    found_at: Mapped[datetime]
    said_at: Mapped[datetime | None]
    said: Mapped[bool] = mapped_column(default=False)
    ended_at: Mapped[datetime | None]
