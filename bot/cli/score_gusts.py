"""How gusts stand to the mean wind in recorded answers that give both, and what is found when they give none.

Each line is one answer: hours of 5 m/s and more, the ratio's quantiles, by parts of the local day; hours of dangerous
gusts, how many of them the estimate's upper end finds, and how many hours it closes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from statistics import median, stdev

from bot.core.warnings.safety import GUST_MS, Unsafe, unsafe_outdoor_hours
from bot.core.weather.forecast import Forecast, ForecastError, Hour
from bot.forecasts.file import load

_WINDY_MS = 5.0
_LEAST_N = 5
_PARTS = ((0, 8), (8, 18), (18, 24))


def report(path: Path) -> list[str]:
    """Of one file, or each *.json of a folder. Raises ForecastError where no answer gives both."""
    files = sorted(path.glob("*.json")) if path.is_dir() else [path]
    found = [(one.stem, known) for one in files if (known := _both(one))]
    if not found:
        raise ForecastError(f"{path}: no answer gives gusts and mean winds; record one with both")
    return [line for name, forecast in found for line in _lines(name, forecast)]


def _both(path: Path) -> Forecast | None:
    forecast = load(path)
    return forecast if any(hour.gust_ms and hour.wind_ms for hour in forecast.hours) else None


def _lines(name: str, forecast: Forecast) -> Iterable[str]:
    windy = [hour for hour in forecast.hours if hour.gust_ms and (hour.wind_ms or 0.0) >= _WINDY_MS]
    yield f"{name}: {len(windy)} hours of {_WINDY_MS:g} m/s and more{_quantiles(windy)}"
    for from_h, to_h in _PARTS:
        part = [hour for hour in windy if from_h <= _local_h(hour, forecast.longitude) < to_h]
        yield f"  {from_h:02}-{to_h:02} by the sun: {len(part)} hours{_quantiles(part)}"
    blind = replace(forecast, hours=tuple(replace(hour, gust_ms=None) for hour in forecast.hours))
    closed = {hour.end_at for hour in unsafe_outdoor_hours(blind) if Unsafe.GUST in hour.reasons}
    dangerous = {hour.at for hour in forecast.hours if (hour.gust_ms or 0.0) >= GUST_MS}
    yield f"  without its gusts: {len(dangerous & closed)} of {len(dangerous)} dangerous hours found, {len(closed)} closed"


def _quantiles(hours: Sequence[Hour]) -> str:
    ratios = sorted((hour.gust_ms or 0.0) / (hour.wind_ms or 1.0) for hour in hours)
    if len(ratios) < _LEAST_N:
        return ""
    spread = stdev(math.log(ratio) for ratio in ratios)
    low, high = (ratios[round(share * (len(ratios) - 1))] for share in (0.05, 0.95))
    return f"; gust over mean {median(ratios):.2f} ({low:.2f} to {high:.2f}), sd of its logarithm {spread:.2f}"


def _local_h(hour: Hour, longitude: float) -> int:
    return (hour.at + timedelta(hours=longitude / 15.0)).hour
