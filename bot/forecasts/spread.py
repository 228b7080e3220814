"""A forecast with what was asked for beside it: the spread of an ensemble, or another service's gusts."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import replace
from datetime import timedelta

from bot.core.weather.forecast import AirSpread, Forecast, Gap, Hour

_SOON = timedelta(days=3)  # as far ahead as people are called


def with_spread(forecast: Forecast, ensemble: Forecast) -> Forecast:
    """The forecast, its hours given the ensemble's members about its own temperature, degrees C.

    The ensemble's model is coarser and may be off as a whole, so that only how its members differ from their mean is
    taken. Hours that it does not know, and spreads that the forecast has already, stay as they are.
    """
    members = {hour.at: hour.spread.members_c for hour in ensemble.hours if hour.spread and hour.spread.members_c}
    return replace(forecast, hours=tuple(_spread(hour, members.get(hour.at, ())) for hour in forecast.hours))


def _spread(hour: Hour, members_c: tuple[float, ...]) -> Hour:
    if hour.air_c is None or hour.spread is not None or len(members_c) < 2:
        return hour
    mean_c = sum(members_c) / len(members_c)
    about = tuple(hour.air_c + member_c - mean_c for member_c in members_c)
    return replace(hour, spread=AirSpread(members_c=about))


def lacks_gusts(forecast: Forecast) -> bool:
    """Whether an hour of the coming days has a mean wind and no gust."""
    until = forecast.hours[0].at + _SOON
    return any(hour.gust_ms is None and hour.wind_ms is not None for hour in forecast.hours if hour.at <= until)


def with_gusts(forecast: Forecast, other: Forecast) -> Forecast:
    """The forecast, with another service's greatest gust, m/s, in each step that has none; its own gusts stay."""
    ends = [hour.at for hour in other.hours]
    hours, before = [], None
    for hour in forecast.hours:
        since = before or hour.at - timedelta(hours=1)
        within = other.hours[bisect_right(ends, since) : bisect_right(ends, hour.at)]
        known = [one.gust_ms for one in within if one.gust_ms is not None]
        whole = len(known) >= (hour.at - since) / timedelta(hours=1)
        hours.append(replace(hour, gust_ms=max(known)) if hour.gust_ms is None and known and whole else hour)
        before = hour.at
    if tuple(hours) == forecast.hours:
        return forecast
    left = tuple(gap for gap in forecast.gaps if gap.field != "gust_ms")
    missing = sum(hour.gust_ms is None for hour in hours)
    gaps = (*left, Gap("gust_ms", missing, len(hours))) if missing else left
    return replace(forecast, hours=tuple(hours), gaps=gaps, gusts_by=other.source)
