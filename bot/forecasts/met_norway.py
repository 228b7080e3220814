"""MET Norway's Locationforecast 2.0: what to ask it, and how to read its answers.

Values under `instant` hold at the step's own time. What is under `next_1_hours` and `next_6_hours` covers the time
AFTER it, while our Hour has the rain and thunder of the hour BEFORE, so these move to the hour at which their stretch
ends (docs.api.met.no, ForecastJSON, read 2026-11-25 via its source). `next_6_hours` is also a Span: its least and
greatest temperature always, its rain only where no hour within it and no earlier span has already counted it.
A gust is "maximum gust for period" without saying which; it is kept at the step's own time, as of the hour before.
The service gives no radiation; dew point only in `complete`; gusts and percentiles only around the Nordic countries.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from bot.core.weather.forecast import AirSpread, Forecast, ForecastError, Hour, Span
from bot.forecasts.reader import (
    AIR,
    RAIN,
    SHARE,
    WIND,
    Column,
    Point,
    Quantity,
    check_near,
    column,
    gaps,
    in_order,
    instant,
    listing,
    lost_steps,
    number,
    optional,
    section,
    shortened,
    within,
)

NAME = "met-norway"
URL = "https://api.met.no/weatherapi/locationforecast/2.0/complete"

#: The line that the licence suggests (docs.api.met.no, Licensing and Data Policy, read 2026-11-25 via its source),
#: with a link to the source, a link to the licence, and a word that changes were made.
ATTRIBUTION = "Data from MET Norway"
ATTRIBUTION_URL = "https://api.met.no/"
LICENCE_URL = "https://creativecommons.org/licenses/by/4.0/"

_AIR = "air_temperature"
_ONE, _SIX = ("next_1_hours", timedelta(hours=1)), ("next_6_hours", timedelta(hours=6))


def query(point: Point) -> dict[str, str]:
    """The parameters of a request for the whole forecast at `point`."""
    point = point.rounded()
    asked = {"lat": f"{point.latitude:g}", "lon": f"{point.longitude:g}"}
    return asked if point.altitude_m is None else {**asked, "altitude": f"{point.altitude_m:.0f}"}


def parse(body: object, *, fetched_at: datetime | None, near: Point | None = None) -> Forecast:
    """The Forecast in a `compact` or `complete` answer. Raises ForecastError where there is none.

    near: the place that was asked for.
    """
    meta = section(body, "properties", "meta")
    units = section(meta, "units")
    point, altitude_m = _place(section(body, "geometry"))
    check_near(point, near)
    steps = sorted(_steps(listing(section(body, "properties"), "timeseries")), key=lambda step: step[0])
    hours = in_order(_hours(steps, units))
    updated_at = meta.get("updated_at")
    return Forecast(
        source=NAME,
        latitude=point.latitude,
        longitude=point.longitude,
        altitude_m=altitude_m,
        zone=None,
        issued_at=None if updated_at is None else instant(updated_at),
        fetched_at=fetched_at,
        hours=hours,
        spans=_spans(steps, units, hours),
        gaps=gaps(hours, lost_steps([at for at, _ in steps], [_ahead(data) for _, data in steps])),
    )


_Step = tuple[datetime, Mapping[str, object]]


def _place(geometry: Mapping[str, object]) -> tuple[Point, float | None]:
    """The point and ground height; the order is longitude, latitude, height."""
    values = [number(value, "coordinates") for value in listing(geometry, "coordinates")]
    if len(values) not in (2, 3):
        raise ForecastError(f"coordinates are {shortened(values)}, expected longitude, latitude and height")
    return Point(values[1], values[0]), values[2] if len(values) == 3 else None


def _steps(timeseries: Sequence[object]) -> list[_Step]:
    return [(instant(section(step).get("time")), section(step, "data")) for step in timeseries]


def _ahead(data: Mapping[str, object]) -> timedelta:
    """How long after this step the next is due: no stretch is ever shorter than the step of the series."""
    return next((length for name, length in (_ONE, _SIX) if name in data), timedelta.max)


def _column(steps: Sequence[_Step], units: Mapping[str, object], part: str, name: str, quantity: Quantity) -> Column:
    values = [within(data, part, "details").get(name) for _, data in steps]
    return (column if name == _AIR else optional)(name, values, units.get(name), quantity)


def _hours(steps: Sequence[_Step], units: Mapping[str, object]) -> list[Hour]:
    def now(name: str, quantity: Quantity) -> Column:
        return _column(steps, units, "instant", name, quantity)

    air, dew = now(_AIR, AIR), now("dew_point_temperature", AIR)
    humidity, cloud = now("relative_humidity", SHARE), now("cloud_area_fraction", SHARE)
    wind, gust = now("wind_speed", WIND), now("wind_speed_of_gust", WIND)
    p10, p90 = now("air_temperature_percentile_10", AIR), now("air_temperature_percentile_90", AIR)
    rain, thunder = _rain_by_end(steps, units), _thunder_by_end(steps)
    return [
        Hour(
            at=at,
            air_c=air[i],
            dew_point_c=dew[i],
            humidity_pct=humidity[i],
            cloud_pct=cloud[i],
            wind_ms=wind[i],
            gust_ms=gust[i],
            rain_mm=rain.get(at),
            thunder=thunder.get(at),
            spread=None if p10[i] is None and p90[i] is None else AirSpread(p10_c=p10[i], p90_c=p90[i]),
        )
        for i, (at, _) in enumerate(steps)
    ]


def _rain_by_end(steps: Sequence[_Step], units: Mapping[str, object]) -> dict[datetime, float | None]:
    """Precipitation of an hour by the instant at which that hour ends."""
    name, length = _ONE
    rain = _column(steps, units, name, "precipitation_amount", RAIN)
    return {at + length: rain_mm for (at, _), rain_mm in zip(steps, rain, strict=True)}


def _thunder_by_end(steps: Sequence[_Step]) -> dict[datetime, bool]:
    """Whether thunder is expected in the stretch that ends at an instant; one of an hour says more than one of six."""
    thunder = {}
    for name, length in (_SIX, _ONE):
        for at, data in steps:
            symbol = within(data, name, "summary").get("symbol_code")
            if isinstance(symbol, str):
                thunder[at + length] = "thunder" in symbol
    return thunder


def _spans(steps: Sequence[_Step], units: Mapping[str, object], hours: Sequence[Hour]) -> tuple[Span, ...]:
    name, length = _SIX
    low = _column(steps, units, name, "air_temperature_min", AIR)
    high = _column(steps, units, name, "air_temperature_max", AIR)
    rain = _column(steps, units, name, "precipitation_amount", RAIN)
    counted = [hour.at for hour in hours if hour.rain_mm is not None]
    counted_to = steps[0][0]
    spans = []
    for (at, _), min_c, max_c, rain_mm in zip(steps, low, high, rain, strict=True):
        end_at = at + length
        if at < counted_to or bisect_right(counted, at) < bisect_right(counted, end_at):
            rain_mm = None
        if rain_mm is not None:
            counted_to = end_at
        if (min_c, max_c, rain_mm) != (None, None, None):
            spans.append(Span(at, end_at, min_c, max_c, rain_mm))
    return tuple(spans)
