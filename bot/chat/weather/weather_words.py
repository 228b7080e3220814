"""The forecast in words: that it is missing or old, and the coming nights in short."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from bot.chat.html import bold, lines
from bot.core.warnings.safety import Closed
from bot.core.weather.forecast import Forecast
from bot.core.weather.night import Night
from bot.core.weather.timeline import Day
from bot.i18n import Say
from bot.services.warnings.events import WeatherEvent

#: Whom each service's licence asks to be named where its data are shown, and the licence.
_CREDITS = {"open-meteo": ("Open-Meteo.com", "CC BY 4.0"), "met-norway": ("MET Norway", "CC BY 4.0")}


def credit(say: Say, source: str) -> str | None:
    """What the service's licence asks to be said; None for what is no weather service."""
    if source not in _CREDITS:
        return None
    service, licence = _CREDITS[source]
    return say.gettext("Weather data by {service} ({licence})", service=service, licence=licence)


def about(say: Say, event: WeatherEvent, now: datetime) -> str:
    """One message about the forecast itself; silence must not be taken for safety."""
    since = _moment(say, event.since_at, now)
    if event.state == "missing":
        return lines([
            bold(say.gettext("I have had no weather forecast since {since}.", since=since)),
            say.gettext("So I can't warn you of cold or wind. If I say nothing, that does not mean that it is safe."),
            say.gettext("Please look at a forecast yourself before dusk."),
        ])  # fmt: skip
    if event.state == "stale":
        return lines([
            bold(say.gettext("My weather forecast is old: it is from {since}.", since=since)),
            say.gettext("I still use it. Please look at a newer one yourself before dusk."),
        ])  # fmt: skip
    return say.gettext("I have a new weather forecast again. I had none since {since}.", since=since)


def _moment(say: Say, at: datetime, now: datetime) -> str:
    local = say.local(at)
    return say.gettext("{time} on {day}", time=say.clock(at), day=say.day(local.date()))


def age(say: Say, forecast: Forecast, now: datetime) -> str:
    """Where the numbers come from and how old they are."""
    old = forecast.age(now)
    whose = credit(say, forecast.source) or forecast.source
    if forecast.gusts_by is not None:
        others = credit(say, forecast.gusts_by) or forecast.gusts_by
        whose = say.gettext("{credit}; gusts: {others}", credit=whose, others=others)
    if old is None:
        return say.gettext("{credit}. I don't know how old it is.", credit=whose)
    hours = round(max(old, timedelta(0)) / timedelta(hours=1))
    return say.ngettext("{credit}; {n} hour old.", "{credit}; {n} hours old.", hours, credit=whose)


def coming(say: Say, nights: Sequence[Night], days: Sequence[Day], most: int = 5) -> list[str]:
    """A line a night: the air, the plants on the ground, and the strongest gust of the day before it."""
    gusts = {day.on: day.gust_max_ms for day in days}
    return [of_night(say, night, say.day(night.evening_on), gusts.get(night.evening_on)) for night in nights[:most]]


def of_night(say: Say, night: Night, day: str, gust_ms: float | None = None) -> str:
    """How cold a night gets, in a line. day: its evening in words."""
    low_c, high_c = night.ground.band(0.9)
    words = {
        "day": day,
        "air": say.celsius(night.air.mean_c),
        "plant": say.celsius(night.ground.mean_c),
        "low": say.celsius(low_c),
        "high": say.celsius(high_c),
    }
    if gust_ms is None:
        return say.gettext("{day}, night: air {air}, ground {plant} ({low} to {high}).", **words)
    return say.gettext(
        "{day}, night: air {air}, ground {plant} ({low} to {high}). Gusts to {gust} by day.",
        **words,
        gust=say.wind(gust_ms),
    )


def not_then(say: Say, rough: Closed) -> str:
    """Hours of today in which nobody should be out."""
    return say.gettext(
        "Do not go out from {start} to {end}. Wind or thunder makes it dangerous.",
        start=say.clock(rough.start_at),
        end=say.clock(rough.end_at),
    )
