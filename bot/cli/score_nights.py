"""Score the site's learner on recorded night minima and ensemble forecasts, each night from earlier nights alone.

The CSV has valid_utc, temp (observed minimum, degrees C) and tempfc.1, tempfc.2, ... (members of the forecast for it).
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from statistics import pstdev

from bot.core.weather.learn import FAR_OFF, fitted
from bot.core.weather.odds import Estimate
from bot.core.weather.verification import (
    Pair,
    bootstrap_interval,
    brier_parts,
    brier_score,
    reliability,
    skill,
    tabulate,
)

_SPRING = (3, 4, 5)
_RATIOS = (0.05, 0.1, 0.25, 0.5)
_WARN_FROM = 0.25
_FROST_C = 0.0


class NightsError(ValueError):
    """The file cannot be used. The text names the line, the value and what is expected."""


@dataclass(frozen=True, slots=True)
class ForecastNight:
    """on: the morning. observed_c: the minimum. members_c: what each member had forecast."""

    on: date
    observed_c: float
    members_c: tuple[float, ...]

    @property
    def forecast_c(self) -> float:
        return sum(self.members_c) / len(self.members_c)

    @property
    def spread_c(self) -> float:
        """Standard deviation of the members."""
        return pstdev(self.members_c)


@dataclass(frozen=True, slots=True)
class Scored:
    """Pairs of odds of frost and what happened, spring nights of the scored years; the same nights in each list."""

    learned: tuple[Pair, ...]
    raw: tuple[Pair, ...]
    season: tuple[Pair, ...]


def read_forecast_nights(path: Path) -> list[ForecastNight]:
    """The nights in order of date. Raises NightsError."""
    with path.open(newline="", encoding="utf-8-sig") as stream:
        reader = csv.DictReader(stream)
        members = [name for name in reader.fieldnames or () if name.startswith("tempfc.")]
        if not members:
            raise NightsError(f"{path}: no columns tempfc.1, tempfc.2, ...; expected valid_utc,temp,tempfc.1,...")
        nights = [_night(path, reader.line_num, row, members) for row in reader]
    return sorted(nights, key=lambda night: night.on)


def _night(path: Path, line: int, row: dict[str, str], members: Sequence[str]) -> ForecastNight:
    try:
        on = datetime.fromisoformat(row["valid_utc"]).date()
        return ForecastNight(on, float(row["temp"]), tuple(float(row[name]) for name in members))
    except (KeyError, TypeError, ValueError) as problem:
        raise NightsError(f"{path}, line {line}: {problem}; expected a time and numbers") from problem


def score(nights: Sequence[ForecastNight], learn_years: int = 3) -> Scored:
    """Learn through the first years, then score each spring night before learning from it."""
    if not nights:
        raise NightsError("no nights to score; give a file with rows")
    first_scored = nights[0].on.year + learn_years
    fit = fitted(FAR_OFF)
    learned: list[Pair] = []
    for night in nights:
        if night.on.year >= first_scored and night.on.month in _SPRING:
            estimate = Estimate(fit.mean_c(night.forecast_c, night.on, night.spread_c), fit.sd_c(night.on))
            learned.append((estimate.below(_FROST_C), night.observed_c < _FROST_C))
        fit = fit.learned(night.forecast_c, night.observed_c, night.on, night.spread_c)
    spring = [night for night in nights if night.on.month in _SPRING]
    trained = [night.observed_c < _FROST_C for night in spring if night.on.year < first_scored]
    scored = [night for night in spring if night.on.year >= first_scored]
    if not trained or not scored:
        raise NightsError(
            f"no spring nights before or after {first_scored}; at least {learn_years + 1} years are needed"
        )
    frequency = sum(trained) / len(trained)
    return Scored(
        learned=tuple(learned),
        raw=tuple((Estimate(0.0, 0.0, n.members_c).below(_FROST_C), n.observed_c < _FROST_C) for n in scored),
        season=tuple((frequency, night.observed_c < _FROST_C) for night in scored),
    )


def report(scored: Scored) -> list[str]:
    """A table with 90 % bootstrap intervals, the parts of the Brier score, reliability, and cost/loss ratios."""
    frequency = scored.season[0][0]

    def gain(drawn: Sequence[Pair]) -> float | None:
        return skill(brier_score(drawn), brier_score([(frequency, happened) for _, happened in drawn]))

    lines = [f"{len(scored.learned)} spring nights, {sum(happened for _, happened in scored.learned)} with frost"]
    for name, pairs in (("raw ensemble", scored.raw), ("training years", scored.season), ("learned", scored.learned)):
        lines.append(
            f"{name}: Brier {_with_range(pairs, brier_score)}"
            f", skill {_with_range(pairs, gain)}"
            f", POD {_with_range(pairs, lambda drawn: tabulate(drawn, _WARN_FROM).pod)}"
            f", FAR {_with_range(pairs, lambda drawn: tabulate(drawn, _WARN_FROM).far)}"
        )
    parts = brier_parts([(round(odds, 1), happened) for odds, happened in scored.learned])
    lines.append(
        f"learned, odds to one tenth: reliability {parts.reliability:.4f}, resolution {parts.resolution:.4f}, "
        f"uncertainty {parts.uncertainty:.4f}"
    )
    lines += [
        f"odds {row.low:.1f}-{row.high:.1f}: said {row.mean_odds:.2f}, came {row.happened:.2f}, {row.count} nights"
        for row in reliability(scored.learned, 5)
    ]
    for ratio in _RATIOS:
        table = tabulate(scored.learned, ratio)
        lines.append(f"learned, warning from {ratio:g}: POD {_figure(table.pod)}, FAR {_figure(table.far)}")
    return lines


def _with_range(pairs: Sequence[Pair], value: Callable[[Sequence[Pair]], float | None]) -> str:
    interval = bootstrap_interval(pairs, value)
    shown = _figure(value(pairs))
    return shown if interval is None else f"{shown} ({interval[0]:.3f} to {interval[1]:.3f})"


def _figure(value: float | None) -> str:
    return "none" if value is None else f"{value:.4f}"
