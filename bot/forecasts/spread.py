"""A forecast with the spread of an ensemble that was asked for beside it."""

from __future__ import annotations

from dataclasses import replace

from bot.core.weather.forecast import AirSpread, Forecast, Hour

__all__ = ["with_spread"]


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
