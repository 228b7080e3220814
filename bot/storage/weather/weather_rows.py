"""Forecasts, thermometers and what they taught."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from sqlalchemy import ForeignKey, String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from bot.core.garden.snapshot import Cover
from bot.core.weather.ground import NightKind
from bot.storage.base import LINE, UNSEEN, Base


class Weather(Base):
    """The last answer of one service for one garden, with what its terms ask to be kept."""

    __tablename__ = "weather"
    __table_args__ = (UniqueConstraint("garden_id", "service"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    service: Mapped[str]
    stored: Mapped[dict[str, Any]]


class Thermometer(Base):
    """A thermometer of the garden. momentary: it shows only now; else it keeps the night's minimum."""

    __tablename__ = "thermometers"
    __table_args__ = (UniqueConstraint("garden_id", "name"),)

    id: Mapped[int] = mapped_column(primary_key=True)
    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"))
    place_id: Mapped[int | None] = mapped_column(ForeignKey("places.id", ondelete="SET NULL"))
    name: Mapped[str]
    height_m: Mapped[float]
    shaded: Mapped[bool]
    cover: Mapped[Cover] = mapped_column(default=Cover.NONE)
    momentary: Mapped[bool] = mapped_column(default=False)


class Reading(Base):
    """What a thermometer showed. accepted: None while we ask whether it is right."""

    __tablename__ = "readings"

    id: Mapped[int] = mapped_column(primary_key=True)
    thermometer_id: Mapped[int] = mapped_column(ForeignKey("thermometers.id", ondelete="CASCADE"), index=True)
    member_id: Mapped[int | None] = mapped_column(ForeignKey("members.id", ondelete="SET NULL"))
    read_at: Mapped[datetime]
    night_on: Mapped[date]
    value_c: Mapped[float]
    forecast_c: Mapped[float | None]
    accepted: Mapped[bool | None]


class SensorKey(Base):
    """By which a garden's own sensors send readings. digest: its SHA-256; the key itself is not kept."""

    __tablename__ = "sensor_keys"
    __table_args__ = ({"info": UNSEEN},)

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    made_at: Mapped[datetime]


class SentReading(Base):
    """What a sensor sent, kept for some days, until a whole night is together; one a minute is enough."""

    __tablename__ = "sent_readings"
    __table_args__ = ({"info": UNSEEN},)

    thermometer_id: Mapped[int] = mapped_column(ForeignKey("thermometers.id", ondelete="CASCADE"), primary_key=True)
    at: Mapped[datetime] = mapped_column(primary_key=True)
    is_minimum: Mapped[bool] = mapped_column(primary_key=True)
    value_c: Mapped[float]


class ServicePause(Base):
    """Until when a weather service wants nothing from us, for whichever garden."""

    __tablename__ = "service_pauses"

    service: Mapped[str] = mapped_column(primary_key=True)
    until_at: Mapped[datetime]


class Learned(Base):
    """What readings have taught about a garden's air, as core.learn.Correction in words; one row a garden."""

    __tablename__ = "learned"

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    correction: Mapped[dict[str, Any]]
    updated_at: Mapped[datetime]


class PlaceLearned(Base):
    """What a thermometer has taught about the place that it stands in; one row a thermometer that teaches no air."""

    __tablename__ = "place_learned"

    thermometer_id: Mapped[int] = mapped_column(ForeignKey("thermometers.id", ondelete="CASCADE"), primary_key=True)
    correction: Mapped[dict[str, Any]]
    updated_at: Mapped[datetime]


class NightMinimum(Base):
    """A past night's minimum near the garden, for the odds of frost by date. source: where it was read.

    max_c: the maximum of the day that it belongs to, for the season's warmth; None where only the night is known.
    """

    __tablename__ = "night_minima"

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    on: Mapped[date] = mapped_column(primary_key=True)
    min_c: Mapped[float]
    max_c: Mapped[float | None]
    source: Mapped[str] = mapped_column(String(LINE))


class PastDay(Base):
    """The weather of one local day by the forecasts in force while it passed; core.days.Day says what each field is.

    None of it was measured here. hours: what the day is reckoned from, kept until it is over: for each instant (ISO) the
    values of services.past.KEPT. source: the service; noted_at: when a forecast last changed the row.
    """

    __tablename__ = "past_days"

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    on: Mapped[date] = mapped_column(primary_key=True)
    source: Mapped[str]
    noted_at: Mapped[datetime]
    min_c: Mapped[float | None]
    max_c: Mapped[float | None]
    mean_c: Mapped[float | None]
    dew_c: Mapped[float | None]
    humidity_min_pct: Mapped[float | None]
    humidity_max_pct: Mapped[float | None]
    wind_ms: Mapped[float | None]
    cloud_pct: Mapped[float | None]
    sun_mj_m2: Mapped[float | None]
    rain_mm: Mapped[float | None]
    hours: Mapped[dict[str, Any] | None]


class NightOdds(Base):
    """What was expected of one night's air minimum at noon before it, kept to be scored against readings.

    forecast: the hours it was reckoned from, kept for some days as services.before_night words them. What a reading is
    held against is kept for good: kind of night; lead_h from the forecast's issue to sunrise; untaught_c, the air's
    minimum before the site's own learning; ground_c, at 10 cm over grass; spread_c, of the service's members. None in
    rows from before these were kept.
    """

    __tablename__ = "night_odds"

    garden_id: Mapped[int] = mapped_column(ForeignKey("gardens.id", ondelete="CASCADE"), primary_key=True)
    evening_on: Mapped[date] = mapped_column(primary_key=True)
    made_at: Mapped[datetime]
    forecast_c: Mapped[float]
    mean_c: Mapped[float]
    sd_c: Mapped[float]
    frost_odds: Mapped[float]
    forecast: Mapped[dict[str, Any] | None]
    kind: Mapped[NightKind | None]
    lead_h: Mapped[float | None]
    untaught_c: Mapped[float | None]
    ground_c: Mapped[float | None]
    spread_c: Mapped[float | None]
