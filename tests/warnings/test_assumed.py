"""What an organiser expects beside the forecast: it can add to a forecast, never take from it, and it closes hours."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.finding import Finding, Hazard, Severity, TaskKind
from bot.core.garden.snapshot import Garden, Place, PlaceKind, Planting, Stage
from bot.core.warnings.assumed import Assumed, Blow, ColdNight, merged, night, threatened
from bot.core.warnings.safety import Closed, kept_in
from bot.core.weather.night import Site
from bot.crops.loader import load

RULES = load()
EVENING_ON = date(2026, 5, 5)
NOON = datetime(2026, 5, 5, 11, 0, tzinfo=UTC)
#: At about 52 degrees north; invented.
PLACES = (
    Place(1, "Bed 1", PlaceKind.BED, length_m=2.0, width_m=1.2),
    Place(2, "Tall tunnel", PlaceKind.TUNNEL, length_m=6.0, width_m=3.0, height_m=2.2),
)


def _garden(crop: str, stage: Stage = Stage.GROWING, place_id: int = 1) -> Garden:
    planting = Planting(1, crop, place_id, stage, 20, height_cm=20.0)
    return Garden(1, "Teasel Lane", 52.2, -1.5, 74.0, "Europe/London", places=PLACES, plantings=(planting,))


def _cold(crop: str, plant_c: float, place_id: int = 1) -> tuple[Finding, ...]:
    assumed = Assumed(nights=(ColdNight(EVENING_ON, plant_c),))
    return threatened(_garden(crop, place_id=place_id), RULES, None, assumed, NOON)


@pytest.mark.parametrize(
    ("crop", "plant_c", "harmed"),
    [
        # Ranges of damage in PMC10202904, Table 2: tomato +5 to 0, French bean and potato foliage 0 to -2; onion,
        # parsnip and kale -4 to -7 degrees C.
        ("tomato", -2.0, True),
        ("french-bean", -2.5, True),
        ("potato-first-early", -2.5, True),
        ("onion-set", -2.0, False),
        ("parsnip", -2.0, False),
        ("kale", -2.0, False),
        ("tomato", 8.0, False),
    ],
)
def test_a_cold_that_is_called_asks_for_what_it_harms_and_lets_the_hardy_stay(
    crop: str, plant_c: float, harmed: bool
) -> None:
    assert bool(_cold(crop, plant_c)) is harmed


def test_without_any_forecast_a_call_still_has_its_findings_due_by_sunset() -> None:
    (found,) = _cold("tomato", -2.0)
    site = Site(52.2, -1.5, 74.0, ZoneInfo("Europe/London"))
    expected = night(site, ColdNight(EVENING_ON, -2.0))
    assert found.due_at == expected.sunset_at and found.window_on == EVENING_ON
    assert expected.ground.mean_c == -2.0, "the figure is the plants', not the air's"
    assert expected.air.mean_c > expected.ground.mean_c, (
        "the screen is warmer than grass on most nights (Brugge, wea.760)"
    )


def test_a_blow_that_is_called_is_due_before_it_begins() -> None:
    start_at = datetime(2026, 5, 6, 13, 0, tzinfo=UTC)
    assumed = Assumed(blows=(Blow(start_at, start_at + timedelta(hours=4), 30.0),))
    found = threatened(_garden("tomato", place_id=2), RULES, None, assumed, NOON)
    # 30 m/s is beyond a gale's gusts (43-51 kn is 22.1-26.2 m/s; Met Office marine glossary, read via two copies).
    assert {one.task for one in found} == {TaskKind.PIN}
    assert all(one.hazard is Hazard.WIND and one.due_at <= start_at for one in found)


MOMENTS = st.integers(0, 400).map(lambda quarters: NOON + timedelta(minutes=15 * quarters))
FINDINGS = st.builds(
    lambda place_id, planting_id, odds, due_at, hazard: Finding(
        hazard, EVENING_ON, place_id, planting_id, None, TaskKind.COVER, Severity.SLIGHT, odds, 0.0, None,
        due_at, due_at + timedelta(hours=9), due_at, 10, 1,
    ),
    st.integers(1, 3), st.integers(1, 3), st.floats(0.05, 1.0), MOMENTS, st.sampled_from([Hazard.COLD, Hazard.WIND]),
)  # fmt: skip
CLOSED = st.builds(lambda at, hours: Closed(at, at + timedelta(hours=hours)), MOMENTS, st.integers(1, 24))


def _key(one: Finding) -> tuple[object, ...]:
    return one.hazard, one.window_on, one.place_id, one.planting_id


@settings(max_examples=60)
@given(st.lists(FINDINGS, max_size=8), st.lists(FINDINGS, max_size=8))
def test_a_call_adds_to_the_forecast_and_never_takes_from_it(found: list[Finding], called: list[Finding]) -> None:
    together: dict[tuple[object, ...], float] = {}
    for one in merged(found, called):
        together[_key(one)] = max(one.probability, together.get(_key(one), 0.0))
    assert together.keys() == {_key(one) for one in (*found, *called)}
    assert all(together[_key(one)] >= one.probability for one in (*found, *called))
    assert sorted(merged(found, ()), key=repr) == sorted(found, key=repr), "without a call nothing changes"


@settings(max_examples=60)
@given(st.lists(FINDINGS, max_size=6), st.lists(CLOSED, max_size=3))
def test_no_work_is_due_in_closed_hours_and_none_is_put_off(found: list[Finding], closed: list[Closed]) -> None:
    site = Site.of(_garden("lettuce"))
    for before, after in zip(found, kept_in(found, closed, site, NOON), strict=True):
        assert after.due_at <= before.due_at
        assert not any(one.start_at < after.due_at <= one.end_at for one in closed)
