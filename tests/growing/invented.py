"""Invented weather and crops for the water, warmth, bolting and blight tests."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.core.growing.crop import Bolting, Care, Cold, Crop, Hardiness, Harvest, Kind, Life, PlantingOut, Sowing, Start
from bot.core.weather.forecast import Forecast, Hour, Span

LONDON = ZoneInfo("Europe/London")
START = datetime(2026, 6, 30, 23, tzinfo=UTC)  # midnight of 1 July in London


def hourly(hours_n: int, hour_of: Callable[[int], Hour], spans: Sequence[Span] = ()) -> Forecast:
    """A forecast of so many hours from midnight of 1 July 2026 in London; hour_of(n) gives hour n without its time."""
    hours = tuple(replace(hour_of(n), at=START + timedelta(hours=n)) for n in range(hours_n))
    return Forecast("open-meteo", 50.8, -1.9, 100.0, None, None, START, hours, tuple(spans))


def steady(air_c: float, rain_mm: float | None = None) -> Callable[[int], Hour]:
    """The same values every hour."""
    return lambda _: Hour(START, air_c=air_c, rain_mm=rain_mm)


def crop(
    key: str = "bean", *, bolting: Bolting | None = None, life: Life = Life.ANNUAL, care: Care | None = None
) -> Crop:
    """A crop of figures of FAO-56 Tables 12 and 22 for green bean, where a test does not say otherwise."""
    return Crop(
        key=key,
        name=f"{key}s",
        aliases=(),
        kind=Kind.VEGETABLE,
        family="Fabaceae",
        hardiness=Hardiness.TENDER,
        life=life,
        rotation_years=3,
        cold=Cold(0.0, 0.0, 10.0, 4),
        sowing=Sowing(Start.SEED, None, None, None, 10.0, 4.0),
        planting=PlantingOut(None, 15.0, 45.0),
        care=care or Care(kc=(0.5, 1.05, 0.90), root_m=0.6, depletion=0.45),
        harvest=Harvest((60, 100), ((7, 1), (9, 30)), "pods", keeps=False, order=1),
        bolting=bolting,
    )
