"""The invented weather of the demo, in the form that a weather service answers in; printed to stdout.

Run as `python -m bot.demo.weather > bot/demo/forecast.json`. Nothing here was measured anywhere.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Any

START_AT = datetime(2026, 5, 3, tzinfo=UTC)
#: One day: night minimum before it, maximum, cloud %, mean wind m/s, gust m/s, rain mm: all invented.
Day = tuple[float, float, float, float, float, float]
DAYS: tuple[Day, ...] = (
    (6.0, 16.0, 60, 3.5, 8.0, 0.0),
    (5.5, 15.0, 40, 3.0, 7.0, 0.0),
    (7.5, 13.0, 60, 2.5, 5.0, 0.0),
    (0.5, 12.5, 5, 1.0, 4.5, 0.0),
    (5.0, 14.0, 70, 4.5, 10.0, 1.0),
    (7.0, 14.5, 90, 11.0, 22.5, 4.0),
    (6.5, 14.0, 60, 5.0, 11.0, 0.5),
    (6.0, 17.0, 40, 3.0, 7.0, 0.0),
    (7.0, 18.0, 30, 2.5, 6.5, 0.0),
    (8.0, 19.0, 30, 2.5, 6.0, 0.0),
)


def hour(at: datetime, start_at: datetime, days: Sequence[Day]) -> dict[str, float]:
    """One invented hour: coldest at 04 UTC, warmest at 14 UTC, the wind strongest in the early afternoon."""
    index = min((at - start_at).days, len(days) - 1)
    low_c, high_c, cloud, wind_ms, gust_ms, rain_mm = days[index]
    next_low_c = days[min(index + 1, len(days) - 1)][0]
    clock_h = at.hour + at.minute / 60
    if clock_h <= 4:
        last_high_c = days[max(index - 1, 0)][1]
        share = 0.5 - 0.5 * math.cos(math.pi * (clock_h + 10) / 14)
        air_c = last_high_c + (low_c - last_high_c) * share
    elif clock_h <= 14:
        air_c = low_c + (high_c - low_c) * (0.5 - 0.5 * math.cos(math.pi * (clock_h - 4) / 10))
    else:
        air_c = high_c + (next_low_c - high_c) * (0.5 - 0.5 * math.cos(math.pi * (clock_h - 14) / 14))
    breeze = 0.55 + 0.45 * math.cos(math.pi * (clock_h - 14) / 12)
    return {
        "temperature_2m": round(air_c, 1),
        "dew_point_2m": round(min(air_c - 1.0, low_c + 1.0), 1),
        "relative_humidity_2m": round(max(35.0, 95.0 - 4.0 * (air_c - low_c))),
        "cloud_cover": cloud,
        "wind_speed_10m": round(max(0.5, wind_ms * breeze), 1),
        "wind_gusts_10m": round(max(1.0, gust_ms * breeze), 1),
        "precipitation": round(rain_mm / 6, 1) if 9 <= at.hour < 15 else 0.0,
        "shortwave_radiation": round(max(0.0, 700 * math.sin(math.pi * (clock_h - 5) / 15)) * (1 - cloud / 140)),
        "weather_code": 3 if cloud > 50 else 1,
    }


def answer(start_at: datetime, days: Sequence[Day]) -> dict[str, Any]:
    """A service's whole answer for days of invented weather from a midnight on."""
    moments = [start_at + timedelta(hours=n) for n in range(24 * len(days))]
    hours = [hour(at, start_at, days) for at in moments]
    units = ("°C", "°C", "%", "%", "m/s", "m/s", "mm", "W/m²", "wmo code")
    return {
        "_note": "invented for the demo",
        "latitude": 52.21,
        "longitude": -1.52,
        "utc_offset_seconds": 0,
        "timezone": "GMT",
        "elevation": 74.0,
        "hourly_units": {"time": "iso8601", **dict(zip(hours[0], units, strict=True))},
        "hourly": {
            "time": [f"{at:%Y-%m-%dT%H:%M}" for at in moments],
            **{name: [one[name] for one in hours] for name in hours[0]},
        },
    }


def main() -> None:
    json.dump(answer(START_AT, DAYS), sys.stdout, ensure_ascii=False)


if __name__ == "__main__":
    main()
