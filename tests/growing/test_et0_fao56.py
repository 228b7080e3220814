"""FAO-56 step by step: Allen et al. 1998, examples by number, printed answers read via the tests of PyETo and pyet,
which cite them (2026-11-25); values of the library oracles refet and pyet are made as the test runs.
"""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pandas as pd
import pyet
import pytest
import refet
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.growing.evapotranspiration import (
    Method,
    clear_sky_mj_m2,
    daily,
    daylight_h,
    hargreaves_mm,
    longwave_mj_m2,
    penman_monteith_mm,
    pressure_kpa,
    psychrometric_kpa_c,
    slope_kpa_c,
    sun_from_sunshine_mj_m2,
    vapour_from_humidity_kpa,
    wind_2m_ms,
)
from bot.core.weather.days import Day
from bot.core.weather.sun import declination_rad, extraterrestrial_mj_m2, saturation_kpa, sunset_angle_rad

RIO = -(22 + 54 / 60)
UCCLE = 50 + 48 / 60
BANGKOK = 13 + 44 / 60


def test_example_2_pressure_and_psychrometric_constant() -> None:
    assert pressure_kpa(1800.0) == pytest.approx(81.8, abs=0.05)
    assert psychrometric_kpa_c(81.8) == pytest.approx(0.054, abs=5e-4)


def test_example_3_saturation_vapour_pressure() -> None:
    assert saturation_kpa(24.5) == pytest.approx(3.075, abs=5e-4)
    assert saturation_kpa(15.0) == pytest.approx(1.705, abs=5e-4)


def test_example_5_actual_vapour_pressure_from_humidity() -> None:
    assert vapour_from_humidity_kpa(18.0, 25.0, 54.0, 82.0) == pytest.approx(1.70, abs=0.005)


def test_example_8_extraterrestrial_radiation() -> None:
    assert declination_rad(246) == pytest.approx(0.120, abs=5e-4)
    assert sunset_angle_rad(-20.0, 246) == pytest.approx(1.527, abs=5e-4)
    assert extraterrestrial_mj_m2(-20.0, 246) == pytest.approx(32.2, abs=0.05)


def test_example_9_daylight_hours() -> None:
    assert daylight_h(-20.0, 246) == pytest.approx(11.7, abs=0.05)


def test_example_10_radiation_from_sunshine_in_rio() -> None:
    top = extraterrestrial_mj_m2(RIO, 135)
    assert top == pytest.approx(25.1, abs=0.05)
    assert daylight_h(RIO, 135) == pytest.approx(10.9, abs=0.05)
    assert sun_from_sunshine_mj_m2(7.1 / 10.9, 25.1) == pytest.approx(14.45, abs=0.02)


def test_example_11_longwave_radiation() -> None:
    """Printed 3.5; one reference test feeds in 19.0 degrees and prints 3.6."""
    assert longwave_mj_m2(19.1, 25.1, 2.1, 14.5 / 18.8) == pytest.approx(3.5, abs=0.05)


def test_example_14_wind_at_two_metres() -> None:
    assert wind_2m_ms(3.2) == pytest.approx(2.4, abs=0.05)


def test_example_17_evapotranspiration_in_bangkok() -> None:
    """Printed 5.72; its own printed inputs give 5.713."""
    assert slope_kpa_c((34.8 + 25.6) / 2) == pytest.approx(0.246, abs=5e-4)
    assert penman_monteith_mm(25.6, 34.8, 2.85, 2.0, 14.33, 2.0, g=0.14) == pytest.approx(5.72, abs=0.05)


def test_example_18_evapotranspiration_in_uccle() -> None:
    vapour = vapour_from_humidity_kpa(12.3, 21.5, 63.0, 84.0)
    top = extraterrestrial_mj_m2(UCCLE, 187)
    sun = sun_from_sunshine_mj_m2(9.25 / daylight_h(UCCLE, 187), top)
    clear = clear_sky_mj_m2(100.0, top)
    net = 0.77 * sun - longwave_mj_m2(12.3, 21.5, vapour, sun / clear)
    assert vapour == pytest.approx(1.409, abs=5e-4)
    assert top == pytest.approx(41.09, abs=0.005)
    assert daylight_h(UCCLE, 187) == pytest.approx(16.1, abs=0.05)
    assert sun == pytest.approx(22.07, abs=0.01)
    assert clear == pytest.approx(30.90, abs=0.01)
    assert net == pytest.approx(13.28, abs=0.01)
    assert wind_2m_ms(2.78) == pytest.approx(2.078, abs=0.005)
    assert penman_monteith_mm(12.3, 21.5, vapour, 2.078, net, 100.0) == pytest.approx(3.9, abs=0.05)


UCCLE_DAY = Day(
    date(2025, 7, 6),  # day 187
    min_c=12.3,
    max_c=21.5,
    humidity_min_pct=63.0,
    humidity_max_pct=84.0,
    wind_ms=2.78,
    sun_mj_m2=22.07,
)


def test_a_whole_day_of_example_18_goes_through_in_one() -> None:
    found = daily(UCCLE_DAY, UCCLE, 100.0)
    assert found is not None
    assert found.method is Method.PENMAN_MONTEITH
    assert found.mm == pytest.approx(3.9, abs=0.05)


def test_with_cloud_in_place_of_radiation_example_18_is_reckoned_from_cloud_and_says_so() -> None:
    """Sunshine 9.25 of 16.1 h leaves 42.5 % of the sky's time clouded."""
    cloudy = Day(UCCLE_DAY.on, 12.3, 21.5, humidity_min_pct=63.0, humidity_max_pct=84.0, wind_ms=2.78, cloud_pct=42.5)
    found = daily(cloudy, UCCLE, 100.0)
    assert found is not None
    assert found.method is Method.PENMAN_MONTEITH_CLOUD
    assert found.mm == pytest.approx(3.9, abs=0.05)


def test_temperature_alone_falls_back_on_hargreaves_and_says_so() -> None:
    found = daily(Day(UCCLE_DAY.on, 12.3, 21.5), UCCLE, 100.0)
    assert found is not None
    assert found.method is Method.HARGREAVES
    assert daily(Day(UCCLE_DAY.on, max_c=21.5), UCCLE, 100.0) is None


# Ra (MJ/m2/d) and N (h) by FAO-56 equations 21-34 at British latitudes, reckoned with numpy outside the project.
BRITAIN = {
    50: {15: (8.89, 8.33), 105: (31.52, 13.53), 172: (41.78, 16.15), 355: (7.44, 7.85)},
    52: {15: (7.70, 8.03), 105: (30.79, 13.65), 172: (41.70, 16.49), 355: (6.29, 7.51)},
    54: {80: (21.98, 11.94), 135: (37.81, 15.73), 227: (33.18, 14.61), 266: (21.08, 11.80)},
    56: {80: (20.89, 11.94), 135: (37.44, 16.05), 227: (32.56, 14.82), 355: (4.09, 6.67)},
}


@pytest.mark.parametrize(
    ("latitude", "day_of_year", "expected"),
    [(latitude, number, values) for latitude, row in BRITAIN.items() for number, values in row.items()],
)
def test_radiation_and_daylight_in_britain(latitude: int, day_of_year: int, expected: tuple[float, float]) -> None:
    assert extraterrestrial_mj_m2(latitude, day_of_year) == pytest.approx(expected[0], abs=0.006)
    assert daylight_h(latitude, day_of_year) == pytest.approx(expected[1], abs=0.006)


def test_polar_night_and_polar_day_do_not_break_it() -> None:
    assert daylight_h(80.0, 355) == 0.0
    assert daylight_h(80.0, 172) == pytest.approx(24.0)
    assert extraterrestrial_mj_m2(80.0, 355) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("month", range(1, 13))
def test_daily_values_agree_with_the_library_refet(month: int) -> None:
    """refet (Apache-2.0) by its ASCE short-reference equations; the two differ in the third figure."""
    on = date(2025, month, 15)
    warm = 12.0 - 9.0 * math.cos(2.0 * math.pi * (month - 1) / 12.0)
    top = extraterrestrial_mj_m2(52.0, on.timetuple().tm_yday)
    day = Day(on, warm - 4.0, warm + 5.0, dew_c=warm - 3.0, wind_ms=4.0, sun_mj_m2=0.45 * top)
    oracle = refet.Daily(
        tmin=warm - 4.0,
        tmax=warm + 5.0,
        tdew=warm - 3.0,
        rs=0.45 * top,
        uz=4.0,
        zw=10.0,
        elev=80.0,
        lat=52.0,
        doy=on.timetuple().tm_yday,
        method="asce",
    )
    found = daily(day, 52.0, 80.0)
    assert found is not None
    assert found.mm == pytest.approx(float(np.ravel(oracle.eto())[0]), abs=0.05)


def test_a_season_agrees_with_the_library_pyet() -> None:
    days = [date(2025, 4, 1) + timedelta(days=7 * week) for week in range(26)]
    warm = np.array([10.0 + 8.0 * math.sin(math.pi * week / 26.0) for week in range(26)])
    top = np.array([extraterrestrial_mj_m2(54.0, on.timetuple().tm_yday) for on in days])
    frame = pd.DataFrame({"t": warm, "rs": 0.5 * top}, index=pd.DatetimeIndex([pd.Timestamp(on) for on in days]))
    north = math.radians(54.0)
    wind = pd.Series(wind_2m_ms(3.5), index=frame.index)
    oracle = pyet.pm_fao56(
        frame.t, wind, rs=frame.rs, tmax=frame.t + 5.0, tmin=frame.t - 5.0, rhmax=wind * 0 + 90.0,
        rhmin=wind * 0 + 55.0, elevation=60.0, lat=north,
    )  # fmt: skip
    by_temperature = pyet.hargreaves(frame.t, frame.t + 5.0, frame.t - 5.0, north)
    for index, on in enumerate(days):
        day = Day(
            on, warm[index] - 5.0, warm[index] + 5.0, humidity_min_pct=55.0, humidity_max_pct=90.0, wind_ms=3.5,
            sun_mj_m2=0.5 * top[index],
        )  # fmt: skip
        found, rough = daily(day, 54.0, 60.0), hargreaves_mm(warm[index] - 5.0, warm[index] + 5.0, float(top[index]))
        assert found is not None
        assert found.mm == pytest.approx(float(oracle.iloc[index]), abs=0.05)
        assert rough == pytest.approx(float(by_temperature.iloc[index]), rel=0.02)  # its heat of vaporisation varies


@settings(max_examples=60)
@given(
    st.floats(-30.0, 45.0), st.floats(0.0, 25.0), st.floats(0.0, 100.0), st.floats(0.0, 30.0), st.integers(1, 365),
    st.floats(-66.0, 66.0),
)  # fmt: skip
def test_evapotranspiration_is_never_below_zero_or_more_than_a_desert_gives(
    min_c: float, span_c: float, humidity_pct: float, wind_ms: float, number: int, latitude: float
) -> None:
    on = date(2025, 1, 1) + timedelta(days=number - 1)
    top = extraterrestrial_mj_m2(latitude, number)
    day = Day(
        on, min_c, min_c + span_c, humidity_min_pct=humidity_pct, humidity_max_pct=100.0, wind_ms=wind_ms,
        sun_mj_m2=0.6 * top,
    )  # fmt: skip
    found = daily(day, latitude, 0.0)
    assert found is not None
    assert 0.0 <= found.mm < 60.0
