"""Coordinates as people write them, and the clocks that a place may keep."""

from __future__ import annotations

import pytest

from bot.core.garden.coordinates import read
from bot.services.garden import setup


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("52.2053, 0.1218", (52.2053, 0.1218)),
        ("52,2053 0,1218", (52.2053, 0.1218)),
        ("we are at 52.2053 N, 0.1218 W by the river", (52.2053, -0.1218)),
        ("33.8568 S 151.2153 E", (-33.8568, 151.2153)),
        ("0.1218 E, 52.2053 N", (52.2053, 0.1218)),
        # 19 minutes are 19/60 of a degree, 12 seconds 12/3600, by definition.
        ("52°12'18\"N 0°07'12\"W", (52 + 12 / 60 + 18 / 3600, -(7 / 60 + 12 / 3600))),
    ],
)
def test_coordinates_are_read_as_they_are_written(text: str, expected: tuple[float, float]) -> None:
    assert read(text) == pytest.approx(expected)


@pytest.mark.parametrize("text", ["Mill Road 12", "12 May", "52", "pot 3.5", ""])
def test_other_words_hold_no_coordinates(text: str) -> None:
    assert read(text) is None


def test_coordinates_off_the_earth_are_refused() -> None:
    with pytest.raises(ValueError, match="expected -90 to 90"):
        read("152.2053, 0.1218")


@pytest.mark.parametrize(
    ("latitude", "longitude", "zone"),
    # Which clock a town keeps: the time zone database, 2025b; coordinates from memory.
    [(52.2, 0.12, "Europe/London"), (52.2, 21.0, "Europe/Warsaw"), (55.95, -3.2, "Europe/London")],
)
def test_the_right_clock_is_among_those_offered(latitude: float, longitude: float, zone: str) -> None:
    assert zone in setup.near(latitude, longitude)


def test_a_town_names_its_clock() -> None:
    assert setup.called("warsaw") == ["Europe/Warsaw"]
    assert setup.called("Nowhere at all") == []
