"""Warnings: what endangers the garden, and what was said of it.

Official warnings: the feeds that are named, the files that they list, and what of them holds for a garden.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.core.finding import Hazard, Severity
from bot.storage.base import LINE, Base
from bot.storage.states import WarningState

#: Columns that hold the numbers of a warning's first line.
FACTS = ("plant_c", "low_c", "high_c", "gust_ms", "odds")


class Warning(Base):
    """One hazard in one window, unique, so that two processes detect it once.

    window_on: the evening of a night, or the day of a wind. outbox_id: the standing message in the group.
    again: it had been called off, and came back.

    By hand: by_hand, an organiser has called it, or an official warning. called_plant_c, called_gust_ms with its hours:
    what they expect. severe_from_at, severe_to_at: of an official warning. off_reason: why an organiser called it off,
    empty for no reason, None where none has.

    What the group was told, to compare the next look with: said_severity to said_needs are the last message's
    (`core.warnings.alerts.Said`; needs: place, support and task of each); said_ground_c the night's minimum at the ground
    then. plant_c with its band, gust_ms, odds (of a spell): the numbers of the first line (FACTS). safe: from and to
    of the hours in which it is safe to be out. stay: keys of crops that may stay as they are. lost: planting, crop
    and day of what an earlier frost has killed. too_late: no safe time was left when it was found; cut_short: or is
    left any more. cleared: called off by the forecast; spared: only the records had changed. open_called: everybody
    was asked for what nobody had said yes to. spell: other cold evenings that the last message that rang spoke of,
    too. silent: a message about the night before spoke of this one. untold: it is over, and nobody has been told yet.
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
    outbox_id: Mapped[int | None] = mapped_column(ForeignKey("outbox.id", ondelete="SET NULL"))
    again: Mapped[bool] = mapped_column(default=False)
    by_hand: Mapped[bool] = mapped_column(default=False)
    called_plant_c: Mapped[float | None]
    called_gust_ms: Mapped[float | None]
    called_from_at: Mapped[datetime | None]
    called_to_at: Mapped[datetime | None]
    severe_from_at: Mapped[datetime | None]
    severe_to_at: Mapped[datetime | None]
    off_reason: Mapped[str | None] = mapped_column(Text)
    said_severity: Mapped[Severity | None]
    said_loudest: Mapped[Severity | None]
    said_due_at: Mapped[datetime | None]
    spoken_due_at: Mapped[datetime | None]
    said_probability: Mapped[float | None]
    said_needs: Mapped[list[list[Any]]] = mapped_column(JSON, default=list)
    said_ground_c: Mapped[float | None]
    plant_c: Mapped[float | None]
    low_c: Mapped[float | None]
    high_c: Mapped[float | None]
    gust_ms: Mapped[float | None]
    odds: Mapped[float | None]
    safe: Mapped[list[list[str]]] = mapped_column(JSON, default=list)
    stay: Mapped[list[str]] = mapped_column(JSON, default=list)
    lost: Mapped[list[list[Any]]] = mapped_column(JSON, default=list)
    too_late: Mapped[bool] = mapped_column(default=False)
    cut_short: Mapped[bool] = mapped_column(default=False)
    cleared: Mapped[bool] = mapped_column(default=False)
    spared: Mapped[bool] = mapped_column(default=False)
    open_called: Mapped[bool] = mapped_column(default=False)
    spell: Mapped[list[str]] = mapped_column(JSON, default=list)
    silent: Mapped[bool] = mapped_column(default=False)
    untold: Mapped[bool] = mapped_column(default=False)

    @property
    def facts(self) -> dict[str, float | None]:
        """The numbers of the first line, by name."""
        return {name: getattr(self, name) for name in FACTS}

    @property
    def off_by_hand(self) -> bool:
        """Whether an organiser has called it off."""
        return self.off_reason is not None

    @property
    def severe(self) -> tuple[datetime, datetime] | None:
        """From and to of an official warning."""
        if self.severe_from_at is None or self.severe_to_at is None:
            return None
        return self.severe_from_at, self.severe_to_at

    def begin_anew(self, now: datetime, *, again: bool = False) -> None:
        """A new round, with messages of its own: nothing of it has been said yet."""
        self.state, self.detected_at, self.again = WarningState.DETECTED, now, again
        self.announced_at = self.called_at = self.over_at = self.clear_since_at = None
        self.by_hand = self.too_late = self.cut_short = self.cleared = self.spared = self.open_called = False
        self.silent = self.untold = False
        self.called_plant_c = self.called_gust_ms = self.called_from_at = self.called_to_at = None
        self.severe_from_at = self.severe_to_at = self.off_reason = None
        self.said_severity = self.said_loudest = self.said_due_at = self.spoken_due_at = None
        self.said_probability = self.said_ground_c = self.plant_c = self.low_c = self.high_c = None
        self.gust_ms = self.odds = None
        self.said_needs, self.safe, self.stay, self.lost, self.spell = [], [], [], [], []


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
