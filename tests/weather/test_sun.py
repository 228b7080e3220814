"""Sun times against a published-standard ephemeris table and against ephem itself."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import ephem
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.weather.sun import night_bounds, sun_day

LONDON = ZoneInfo("Europe/London")

# Computed with ephem 4.2.1 (pressure 0, horizon -0:34 upper limb; civil -6 deg centre), read 2026-11-25.
TABLE = [
    ((51.4769, 0.0005), date(2026, 3, 20), "06:02:53", "18:12:59", "05:29:39", "18:46:19"),
    ((51.4769, 0.0005), date(2026, 3, 29), "06:42:22", "19:28:08", "06:08:44", "20:01:54"),
    ((51.4769, 0.0005), date(2026, 6, 21), "04:42:47", "21:20:49", "03:55:03", "22:08:34"),
    ((51.4769, 0.0005), date(2026, 12, 21), "08:03:02", "15:53:04", "07:22:46", "16:33:20"),
    ((52.4862, -1.8904), date(2026, 5, 15), "05:11:44", "20:57:04", "04:28:50", "21:40:15"),
    ((52.4862, -1.8904), date(2026, 6, 21), "04:44:31", "21:34:13", "03:54:20", "22:24:24"),
    ((52.4862, -1.8904), date(2026, 10, 25), "06:50:51", "16:51:36", "06:15:34", "17:26:50"),
    ((52.4862, -1.8904), date(2026, 12, 21), "08:15:53", "15:55:21", "07:34:17", "16:36:57"),
]


def seconds_off(found: datetime | None, day: date, clock: str) -> float:
    assert found is not None
    wanted = datetime.fromisoformat(f"{day} {clock}").replace(tzinfo=LONDON)
    return abs((found - wanted.astimezone(UTC)).total_seconds())


@pytest.mark.parametrize(("place", "day", "rise", "set_", "dawn", "dusk"), TABLE)
def test_sun_times_agree_with_the_table(
    place: tuple[float, float], day: date, rise: str, set_: str, dawn: str, dusk: str
) -> None:
    sun = sun_day(day, LONDON, *place)
    assert seconds_off(sun.sunrise_at, day, rise) < 60
    assert seconds_off(sun.sunset_at, day, set_) < 60
    assert seconds_off(sun.dawn_at, day, dawn) < 90
    assert seconds_off(sun.dusk_at, day, dusk) < 90


@settings(max_examples=40, deadline=None)
@given(
    day=st.dates(date(2024, 1, 1), date(2030, 12, 31)),
    latitude=st.floats(-55.0, 55.0),
    longitude=st.floats(-179.0, 179.0),
)
def test_sunset_agrees_with_ephem_anywhere(day: date, latitude: float, longitude: float) -> None:
    zone = ZoneInfo("UTC")
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.pressure, observer.horizon = str(latitude), str(longitude), 0, "-0:34"
    sun = sun_day(day, zone, latitude, longitude)
    assert sun.sunset_at is not None
    observer.date = ephem.Date((sun.sunset_at - timedelta(hours=2)).replace(tzinfo=None))
    wanted = observer.next_setting(ephem.Sun()).datetime().replace(tzinfo=UTC)
    assert abs((sun.sunset_at - wanted).total_seconds()) < 60


@pytest.mark.parametrize("zone", ["Pacific/Auckland", "America/Los_Angeles", "Pacific/Kiritimati", "Europe/London"])
def test_the_sun_sets_on_the_local_day_that_was_asked_for(zone: str) -> None:
    place = {
        "Pacific/Auckland": (-41.3, 174.8),
        "America/Los_Angeles": (37.8, -122.4),
        "Pacific/Kiritimati": (1.9, -157.4),
        "Europe/London": (51.5, -0.1),
    }[zone]
    sun = sun_day(date(2026, 4, 18), ZoneInfo(zone), *place)
    assert sun.sunrise_at is not None
    assert sun.sunset_at is not None
    assert sun.sunrise_at.astimezone(ZoneInfo(zone)).date() == date(2026, 4, 18)
    assert sun.sunset_at.astimezone(ZoneInfo(zone)).date() == date(2026, 4, 18)


def test_midnight_sun_has_no_sunset_and_the_night_falls_back_to_the_clock() -> None:
    oslo = ZoneInfo("Europe/Oslo")
    assert sun_day(date(2026, 6, 21), oslo, 70.0, 23.0).sunset_at is None
    sunset_at, sunrise_at = night_bounds(date(2026, 6, 21), oslo, 70.0, 23.0)
    assert sunset_at == datetime(2026, 6, 21, 16, tzinfo=UTC)
    assert sunrise_at == datetime(2026, 6, 22, 4, tzinfo=UTC)


def test_white_nights_have_a_sunset_but_no_civil_dusk() -> None:
    sun = sun_day(date(2026, 6, 21), ZoneInfo("Europe/Helsinki"), 62.5, 25.0)
    assert sun.sunset_at is not None
    assert sun.dusk_at is None
