"""The garden, what is in it, and what was done to it.

What people report of places: a ledger, only ever added to.

What an organiser was asked and has yet to answer, while a garden is set up or changed in the chat.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import JSON, BigInteger, ForeignKey, Index, String, UniqueConstraint, false
from sqlalchemy.orm import Mapped, mapped_column, validates

from bot.core.garden.place_state import Did
from bot.core.garden.snapshot import Around, Cover, Lay, PlaceKind, Stage, SupportKind
from bot.storage.base import LINE, UNSEEN, Base
from bot.storage.states import MarkKind, Shut
from bot.storage.types import Word


class Garden(Base):
    """One garden group. chat_id: its group chat, None until the bot is in one; thread_id: its forum topic there.

    language, second_language: in which the group is spoken to; the second is empty where there is one.
    wordings: what it says in its own words, as in `i18n.Wordings`.
    hears_reports: whether plain reports in the group are taken that nobody addressed to the bot.
    turns_planned_on: the last day whose turns were found. revision: see `storage.revision`. next_look_at: when anything may
    be to be said or done next, None for now; see `services.due`. ask_weather_at: when a service may be asked again.
    call_h: hours before the latest safe time from which its people are called, by how soon they answer; None for 32.
    trouble_since_at, trouble_said_at: since when looking at it has failed, and when its organisers heard of that.
    bot_status: ours in the group, as last heard: empty, "member", "administrator", or "administrator pin" where it may pin.
    shut: a word of `Shut`, empty where the group can be written to, or there has never been one; shut_at: since when.
    former_chat_id, former_thread_id: the group that the bot was removed from, to go on there when it is added again.
    """

    __tablename__ = "gardens"
    __table_args__ = (Index("ix_gardens_where", "latitude", "longitude"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    name: Mapped[str]
    chat_id: Mapped[int | None] = mapped_column(BigInteger, index=True)
    thread_id: Mapped[int | None]
    latitude: Mapped[float]
    longitude: Mapped[float]
    altitude_m: Mapped[float | None]
    zone: Mapped[str]
    language: Mapped[str] = mapped_column(default="en")
    second_language: Mapped[str] = mapped_column(default="", server_default="")
    wordings: Mapped[dict[str, Any]] = mapped_column(default=dict, server_default="{}")
    wind_unit: Mapped[str] = mapped_column(default="mph")
    lay: Mapped[Lay] = mapped_column(default=Lay.OPEN)
    around: Mapped[Around] = mapped_column(default=Around.FIELDS, server_default=Around.FIELDS.value)
    gust_limit_ms: Mapped[float | None]
    height_wind_limit_ms: Mapped[float | None]
    bot_status: Mapped[str] = mapped_column(default="", server_default="")
    shut: Mapped[str] = mapped_column(default="", server_default="")
    shut_at: Mapped[datetime | None]
    former_chat_id: Mapped[int | None] = mapped_column(BigInteger)
    former_thread_id: Mapped[int | None]
    quiet_from_h: Mapped[int] = mapped_column(default=21)
    quiet_to_h: Mapped[int] = mapped_column(default=7)
    weather_missing_since_at: Mapped[datetime | None]
    weather_missing_said_at: Mapped[datetime | None]
    trouble_since_at: Mapped[datetime | None]
    trouble_said_at: Mapped[datetime | None]
    hose_ban: Mapped[bool] = mapped_column(default=False, server_default=false())
    turns_planned_on: Mapped[date | None]
    revision: Mapped[int] = mapped_column(default=0, server_default="0")
    next_look_at: Mapped[datetime | None]
    ask_weather_at: Mapped[datetime | None]
    call_h: Mapped[float | None]
    hears_reports: Mapped[bool] = mapped_column(default=False, server_default=false())

    @validates("latitude", "longitude")
    def _moved(self, _name: str, value: float) -> float:
        self.ask_weather_at = None  # no service has been asked for this place yet
        return value

    @property
    def tz(self) -> ZoneInfo:
        return ZoneInfo(self.zone)

    @property
    def group_id(self) -> int | None:
        """Its group chat where the bot can write there now; None where everything goes to each member privately."""
        return None if self.shut and Shut(self.shut).silent else self.chat_id


class Plot(Base):
    __tablename__ = "plots"
    __table_args__ = (UniqueConstraint("garden_id", "name"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    name: Mapped[str]


class PlotHolder(Base):
    __tablename__ = "plot_holders"

    plot_id: Mapped[int] = mapped_column(ForeignKey("plots.id", ondelete="CASCADE"), primary_key=True)
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"), primary_key=True)


class Place(Base):
    """A bed, container, tunnel, frame, greenhouse or room. inside: where a container stands now, None in the open.

    walk_min: from the garden's gate, None where it is not worth counting. fasten_told_at: when whoever looks after a pot
    was told to fasten it for good.
    """

    __tablename__ = "places"
    __table_args__ = (UniqueConstraint("garden_id", "name"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    plot_id: Mapped[int | None] = mapped_column(ForeignKey("plots.id"))
    name: Mapped[str]
    kind: Mapped[PlaceKind]
    shared: Mapped[bool] = mapped_column(default=False)
    movable: Mapped[bool] = mapped_column(default=False)
    cover: Mapped[Cover] = mapped_column(default=Cover.NONE)
    length_m: Mapped[float | None]
    width_m: Mapped[float | None]
    height_m: Mapped[float | None]
    volume_l: Mapped[float | None]
    wet_kg: Mapped[float | None]
    inside: Mapped[PlaceKind | None]
    needs_key: Mapped[bool] = mapped_column(default=False)
    walk_min: Mapped[int | None]
    fasten_told_at: Mapped[datetime | None]


class Support(Base):
    __tablename__ = "supports"

    id: Mapped[int] = mapped_column(primary_key=True)
    place_id: Mapped[int] = mapped_column(ForeignKey("places.id", ondelete="CASCADE"), index=True)
    kind: Mapped[SupportKind]
    height_m: Mapped[float]
    width_m: Mapped[float]
    solidity: Mapped[float] = mapped_column(default=0.1)
    ties: Mapped[int] = mapped_column(default=0)
    tie_n: Mapped[float | None]


class Planting(Base):
    """One batch of one crop in one place; core.garden.Planting is its shape for core."""

    __tablename__ = "plantings"

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    place_id: Mapped[int] = mapped_column(ForeignKey("places.id"), index=True)
    crop: Mapped[str]
    variety: Mapped[str] = mapped_column(default="")
    batch: Mapped[str] = mapped_column(default="")
    count: Mapped[int]
    stage: Mapped[Stage]
    stage_on: Mapped[date | None]
    height_cm: Mapped[float | None]
    sown_on: Mapped[date | None]
    potted_on: Mapped[date | None]
    hardening_on: Mapped[date | None]
    planted_on: Mapped[date | None]
    ended_on: Mapped[date | None]


class Entry(Base):
    """The journal: what was done or seen. undo: what brings the planting back as it was, kept until undone.

    corrects_id: the entry of somebody else that this one takes back, or is written in place of.
    """

    __tablename__ = "journal"

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    planting_id: Mapped[int | None] = mapped_column(ForeignKey("plantings.id", ondelete="SET NULL"))
    place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", ondelete="SET NULL"))
    written_at: Mapped[datetime]
    done_on: Mapped[date]
    action: Mapped[str]
    amount: Mapped[float | None]
    unit: Mapped[str] = mapped_column(default="")
    words: Mapped[str] = mapped_column(String(LINE), default="")
    photo_id: Mapped[str | None] = mapped_column(String(LINE))
    corrects_id: Mapped[int | None] = mapped_column(ForeignKey("journal.id", ondelete="SET NULL"), index=True)
    undo: Mapped[dict[str, Any] | None]
    undone_at: Mapped[datetime | None]


class JobMark(Base):
    """What a member said of one of the week's jobs. job: its key, stable from day to day."""

    __tablename__ = "job_marks"
    __table_args__ = (UniqueConstraint("garden_id", "member_id", "job"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    member_id: Mapped[int] = mapped_column(ForeignKey("members.id", ondelete="CASCADE"))
    job: Mapped[str] = mapped_column(String(LINE))
    kind: Mapped[MarkKind]
    marked_at: Mapped[datetime]
    until_on: Mapped[date]


class OwnCrop(Base):
    """A plant that the shared rules do not have. key: as plantings name it. said: what people have said of it, as
    crops.own.to_row has it. member_id: who said it last."""

    __tablename__ = "own_crops"
    __table_args__ = (UniqueConstraint("garden_id", "key"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    key: Mapped[str]
    said: Mapped[dict[str, Any]]
    changed_at: Mapped[datetime]


class RuleChange(Base):
    """A garden's own figure in place of a shared crop rule's. key: dotted, as in the rule's file."""

    __tablename__ = "rule_changes"
    __table_args__ = (UniqueConstraint("garden_id", "crop", "key"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    crop: Mapped[str]
    key: Mapped[str]
    value: Mapped[dict[str, Any]]
    changed_at: Mapped[datetime]


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


class Setup(Base):
    """One open dialogue of one person. garden_id: None until name, place and clock are known, and a garden begins.

    chat_id, thread_id: the group it was begun in, None for a change of a garden that is there. title: that group's.
    asks: the question that was asked last, a word of `services.garden.setup.Question`. draft: lines read and not yet
    confirmed, as JSON. bot_status: ours in that group.
    """

    __tablename__ = "setups"
    __table_args__ = ({"info": UNSEEN},)

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
