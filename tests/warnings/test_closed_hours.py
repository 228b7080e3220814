"""No work is due in hours that the forecast makes unsafe: design's safety default, common practice, no source."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from bot.core.finding import Finding, Hazard, Severity, TaskKind
from bot.core.garden.snapshot import Garden, Place, PlaceKind
from bot.core.warnings.safety import kept_safe
from bot.core.weather.forecast import Forecast, Hour
from tests.warnings.skies import NOON, forecast

PLACES = (
    Place(1, "Bed 1", PlaceKind.BED),
    Place(2, "Low tunnel", PlaceKind.TUNNEL, height_m=0.5),
)
GARDEN = Garden(1, "Teasel Lane", 52.5, -1.9, 120.0, "Europe/London", places=PLACES)
#: Sunset at 52.5 N, 1.9 W on 14 May is about 20:00 UTC (from memory of almanacs, to a quarter of an hour).
SUNSET_AT = datetime(2026, 5, 14, 20, 0, tzinfo=UTC)


def _finding(task: TaskKind = TaskKind.COVER, place_id: int = 1, due_at: datetime = SUNSET_AT) -> Finding:
    return Finding(
        Hazard.COLD, date(2026, 5, 14), place_id, None, None, task, Severity.SLIGHT, 0.9, 0.0, None,
        due_at, due_at + timedelta(hours=9), due_at, 10, 1,
    )  # fmt: skip


def _sky(*rough: int, thunder: bool = False, gust_ms: float = 20.0, wind_ms: float = 4.0) -> Forecast:
    """Two days of calm hours from noon, but for the hours that end so many hours after noon."""
    hours = (
        Hour(
            NOON + timedelta(hours=step),
            wind_ms=wind_ms if step in rough else 3.0,
            gust_ms=gust_ms if step in rough else 5.0,
            thunder=thunder and step in rough,
        )
        for step in range(-24, 24)
    )
    return forecast(list(hours))


def _due(sky: Forecast, now: datetime = NOON, finding: Finding | None = None, garden: Garden = GARDEN) -> datetime:
    (kept,) = kept_safe([finding or _finding()], garden, sky, now)
    return kept.due_at


def test_a_calm_afternoon_leaves_the_cover_due_at_sunset() -> None:
    assert _due(_sky()) == SUNSET_AT


def test_a_gusty_evening_brings_the_covers_forward_to_before_it() -> None:
    assert _due(_sky(6, 7, 8)) == NOON + timedelta(hours=5)


def test_thunder_in_the_evening_does_so_too() -> None:
    assert _due(_sky(7, thunder=True, gust_ms=4.0)) == NOON + timedelta(hours=6)


def test_a_rough_hour_at_midday_with_all_afternoon_after_it_changes_nothing() -> None:
    assert _due(_sky(1)) == SUNSET_AT


def test_in_the_midst_of_it_the_time_after_it_still_counts() -> None:
    now = NOON + timedelta(hours=5, minutes=30)
    assert _due(_sky(6), now) == SUNSET_AT
    assert _due(_sky(6, 7, 8), now) < now, "nothing safe is left, and that is said"


def test_nobody_is_sent_out_in_the_dark_before_a_storm_that_lasts_all_day() -> None:
    due_at = _due(_sky(*range(-9, 12)), NOON - timedelta(hours=23))  # from 02:00 to 23:00
    assert due_at.date() == date(2026, 5, 13)
    assert timedelta(0) <= SUNSET_AT - timedelta(days=1) - due_at < timedelta(minutes=15)


@pytest.mark.parametrize(("wind_ms", "moved"), [(10.2, False), (10.3, True)])
def test_covers_of_tunnels_are_not_handled_in_a_mean_wind_of_23_mph(wind_ms: float, moved: bool) -> None:
    """HSE HSG33 (read via citation.co.uk): winds above 23 mph affect balance."""
    sky = _sky(6, 7, 8, gust_ms=15.0, wind_ms=wind_ms)
    assert (_due(sky, finding=_finding(TaskKind.PIN, 2)) < SUNSET_AT) is moved
    assert _due(sky, finding=_finding(TaskKind.COVER, 1)) == SUNSET_AT, "fleece on a bed is no work on glass or covers"


def test_a_gardens_own_stricter_limits_count() -> None:
    strict = Garden(
        1,
        "Teasel Lane",
        52.5,
        -1.9,
        120.0,
        "Europe/London",
        gust_limit_ms=10.0,
        height_wind_limit_ms=7.0,
        places=PLACES,
    )
    assert _due(_sky(7, gust_ms=11.0)) == SUNSET_AT
    assert _due(_sky(7, gust_ms=11.0), garden=strict) < SUNSET_AT
    windy = _sky(7, gust_ms=9.0, wind_ms=7.5)
    assert _due(windy, finding=_finding(TaskKind.PIN, 2)) == SUNSET_AT
    assert _due(windy, finding=_finding(TaskKind.PIN, 2), garden=strict) < SUNSET_AT


def test_hours_of_which_nothing_is_known_hurry_nobody() -> None:
    assert _due(forecast([Hour(NOON + timedelta(hours=step)) for step in range(24)])) == SUNSET_AT
