"""Invented weather whose forecasts change from one issue to the next, as real ones do. Nothing was measured anywhere.

A day's truth is the season's course and a deviation that lasts some days. What a forecast says of that day walks
towards the truth at random, one step each six hours, so that its error grows with the days as the published one does
(`core.weather.lead_error`; of gusts and rain by the same share), and is never less than it is a day ahead. Every issue has
a small slip of its own besides, so a night near a threshold flips to and fro. The errors a day ahead of all but
temperatures, and the slips, are common practice, no source.
"""

from __future__ import annotations

import json
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from email.utils import format_datetime
from pathlib import Path

from bot.core.weather.night_minima import lead_error_c, lead_growth
from bot.demo.weather import Day, answer

__all__ = ["EVERY", "Weather", "calm", "recorded", "write"]

#: How often a new forecast is issued.
EVERY = timedelta(hours=6)
_HOUR = timedelta(hours=1)
AHEAD_DAYS = 8
STEPS = AHEAD_DAYS * 4
#: A day ahead, and of one issue's slip: night minimum and maximum in degrees C, cloud in %, gust and rain as a share.
ERROR = (lead_error_c(24.0), lead_error_c(24.0), 15.0, 0.12, 0.4)
SLIP = (0.15, 0.15, 3.0, 0.02, 0.1)


def calm() -> Day:
    """A day that harms nothing: mild, cloudy, hardly a breeze."""
    return (9.0, 16.0, 80.0, 2.0, 5.0, 0.5)


@dataclass(slots=True)
class Weather:
    """truth: of each day from start_on. The same seed gives the same forecasts."""

    start_on: date
    truth: Sequence[Day]
    seed: int
    _walks: dict[int, list[tuple[float, ...]]] = field(default_factory=dict)

    @classmethod
    def of_year(cls, start_on: date, days: int, seed: int) -> Weather:
        """An invented year at about 52 degrees north."""
        chance, deviation_c, truth = random.Random(seed), 0.0, list[Day]()
        for n in range(days + AHEAD_DAYS + 1):
            on = start_on + timedelta(days=n)
            season = math.cos(2 * math.pi * (on.timetuple().tm_yday - 200) / 365)
            deviation_c = 0.7 * deviation_c + chance.gauss(0, 2.3)
            cloud = min(100.0, max(0.0, 60 + 8 * deviation_c + chance.gauss(0, 20)))
            low_c = 6.5 + 5.5 * season + deviation_c
            high_c = low_c + 6 + 3 * season + chance.gauss(0, 1.5) + (100 - cloud) / 30
            gust_ms = 9.5 * math.exp(chance.gauss(0, 0.4) - 0.1 * season)
            rain_mm = max(0.0, chance.gauss(-1.5, 5)) if cloud > 40 else 0.0
            truth.append((low_c, high_c, cloud, gust_ms / 2.2, gust_ms, rain_mm))
        return cls(start_on, truth, seed)

    def seen(self, issued_at: datetime) -> list[Day]:
        """What a forecast issued then says of that day and those after it."""
        first = (issued_at.date() - self.start_on).days
        slips = random.Random(f"{self.seed} {issued_at.isoformat()}")
        found = []
        for index in range(first, min(first + AHEAD_DAYS, len(self.truth))):
            ahead = (datetime.combine(self.start_on, time(), UTC) + timedelta(days=index) - issued_at) // EVERY
            walked = self._walk(index)[min(max(ahead, 0), STEPS - 1)]
            slip = [slips.gauss(0, sd) for sd in SLIP]
            found.append(_said(self.truth[index], [w + s for w, s in zip(walked, slip, strict=True)]))
        return found

    def _walk(self, index: int) -> list[tuple[float, ...]]:
        """How far forecasts of one day are off, by the steps that are left until it."""
        if index not in self._walks:
            chance = random.Random(f"{self.seed} day {index}")
            off = tuple(chance.gauss(0, sd) for sd in ERROR)
            self._walks[index] = walk = []
            for step in range(STEPS):
                walk.append(off)
                near, far = (lead_growth(EVERY / _HOUR * n) for n in (step, step + 1))
                more = math.sqrt(far**2 - near**2)
                off = tuple(value + chance.gauss(0, sd * more) for value, sd in zip(off, ERROR, strict=True))
        return self._walks[index]


def _said(day: Day, off: Sequence[float]) -> Day:
    low_c, high_c, cloud, wind_ms, gust_ms, rain_mm = day
    more = math.exp(off[3])
    return (
        low_c + off[0],
        max(high_c + off[1], low_c + off[0] + 1.0),
        round(min(100.0, max(0.0, cloud + off[2]))),
        wind_ms * more,
        gust_ms * more,
        rain_mm * math.exp(off[4]),
    )


def recorded(days: Sequence[Day], issued_at: datetime) -> str:
    """A recorded answer in Open-Meteo's form, with the moment of fetching in its headers."""
    start_at = datetime.combine(issued_at.date(), time(), UTC)
    headers = {"Date": format_datetime(issued_at, usegmt=True)}
    return json.dumps({"status_code": 200, "headers": headers, "data": answer(start_at, days)})


def write(path: Path, days: Sequence[Day], issued_at: datetime) -> None:
    """Put a recorded answer into place at once, so that no reader sees half of it."""
    beside = path.with_suffix(".new")
    beside.write_text(recorded(days, issued_at), encoding="utf-8")
    beside.replace(path)
