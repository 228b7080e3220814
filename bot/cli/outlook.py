"""`gatepost outlook --forecast FILE`: cold and wind, day by day and night by night."""

from __future__ import annotations

import argparse
import asyncio
import json
import sys
from dataclasses import asdict
from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from bot.cli.moments import Wrong, forecast_path, moment, own_zone, zone
from bot.core.garden.snapshot import Cover, Lay, PlaceKind
from bot.core.units import ms_to_mph
from bot.core.weather import cold, learn
from bot.core.weather.forecast import Forecast, ForecastError
from bot.core.weather.night import Night, Site
from bot.core.weather.timeline import Day
from bot.core.weather.wind import gusts
from bot.forecasts import file
from bot.forecasts.reader import Point

_PLACES = (
    ("open", PlaceKind.BED, Cover.NONE, False),
    ("pot", PlaceKind.CONTAINER, Cover.NONE, True),
    ("fleece", PlaceKind.BED, Cover.FLEECE, False),
    ("tunnel", PlaceKind.TUNNEL, Cover.NONE, False),
    ("greenhouse", PlaceKind.GREENHOUSE, Cover.NONE, False),
    ("indoors", PlaceKind.INDOORS, Cover.NONE, True),
)
_THRESHOLDS_C = (0.0, -2.0, -4.0)
_MOMENT = timedelta(microseconds=1)  # a gust stamped 00:00 belongs to the day before


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--forecast", type=forecast_path, required=True, help="a recorded answer of a weather service")
    parser.add_argument("--lat", type=float, help="latitude of the garden (default: the forecast's own point)")
    parser.add_argument("--lon", type=float, help="longitude of the garden")
    parser.add_argument("--altitude", type=float, help="metres above sea level")
    parser.add_argument("--lay", type=Lay, choices=list(Lay), default=Lay.OPEN, help="the kind of ground")
    parser.add_argument("--now", help="the moment, ISO (default: the file's first hour)")
    parser.add_argument("--zone", type=zone, help="IANA zone (default: the file's, else the garden's, else UTC)")
    parser.add_argument("--json", action="store_true", help="one JSON object, documented in docs/commands.md")


async def run(args: argparse.Namespace) -> int:
    try:
        found = await _outlook(args)
    except (ForecastError, Wrong, OSError) as error:
        print(f"outlook: {error}", file=sys.stderr)
        return 2
    print(json.dumps(found, ensure_ascii=False, indent=2) if args.json else "\n".join(_lines(found)))
    return 0


async def _outlook(args: argparse.Namespace) -> dict[str, Any]:
    near = None
    if (args.lat is None) != (args.lon is None):
        raise Wrong("give both --lat and --lon, or neither")
    if args.lat is not None:
        near = Point(args.lat, args.lon, args.altitude)
    asked_at = moment(args.now, args.zone or ZoneInfo("UTC")) if args.now else datetime.max.replace(tzinfo=UTC)
    forecast = await asyncio.to_thread(file.latest, args.forecast, asked_at, near)
    where, note = await _zone(args, forecast)
    now = moment(args.now, where) if args.now else forecast.hours[0].at
    site = Site(
        near.latitude if near else forecast.latitude,
        near.longitude if near else forecast.longitude,
        args.altitude if args.altitude is not None else forecast.altitude_m,
        where,
        args.lay,
    )
    nights = cold.nights(forecast, site, learn.untaught(args.lay), now)
    return {
        "source": forecast.source,
        "issued_at": _iso(forecast.issued_at),
        "fetched_at": _iso(forecast.fetched_at),
        "age_h": _age_h(forecast, now),
        "now": _iso(now),
        "latitude": site.latitude,
        "longitude": site.longitude,
        "altitude_m": site.altitude_m,
        "zone": where.key,
        "notes": [note] if note else [],
        "gaps": [asdict(gap) for gap in forecast.gaps],
        "days": [_day(day, forecast, where) for day in cold.days(forecast, where)],
        "nights": [_night(night) for night in nights],
    }


async def _zone(args: argparse.Namespace, forecast: Forecast) -> tuple[ZoneInfo, str | None]:
    if args.zone is not None:
        return args.zone, None
    if forecast.zone is not None:
        return forecast.zone, None
    own = await own_zone()
    if own is not None:
        return own, None
    return ZoneInfo("UTC"), "neither the file nor a garden names a zone, so days are UTC; give --zone"


def _iso(at: datetime | None) -> str | None:
    return None if at is None else at.astimezone(UTC).isoformat()


def _age_h(forecast: Forecast, now: datetime) -> float | None:
    age = forecast.age(now)
    return None if age is None else round(age.total_seconds() / 3600, 2)


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 2)


def _day(day: Day, forecast: Forecast, where: ZoneInfo) -> dict[str, Any]:
    estimates = [
        gust.ms for gust in gusts(forecast) if gust.estimated and (gust.at - _MOMENT).astimezone(where).date() == day.on
    ]
    return {
        "date": day.on.isoformat(),
        "hours_covered": day.hours_covered,
        "air_min_c": _rounded(day.air_min_c),
        "air_max_c": _rounded(day.air_max_c),
        "gust_max_ms": _rounded(day.gust_max_ms),
        "gust_estimate_ms": _rounded(max(estimates, default=None)) if day.gust_max_ms is None else None,
        "rain_mm": _rounded(day.rain_mm),
    }


def _night(night: Night) -> dict[str, Any]:
    return {
        "evening_on": night.evening_on.isoformat(),
        "sunset_at": _iso(night.sunset_at),
        "sunrise_at": _iso(night.sunrise_at),
        "hours_covered": night.hours_covered,
        "kind": night.kind.value,
        "lead_h": round(night.lead_h, 1),
        "forecast_min_c": _rounded(night.forecast_min_c),
        "coldest_at": _iso(night.coldest_at),
        "wind_ms": _rounded(night.wind_ms),
        "cloud_pct": _rounded(night.cloud_pct),
        "air": _estimate(night.air),
        "ground": _estimate(night.ground),
        "places": {
            name: _estimate(cold.at_plant(night, shelter, cover, in_pot=in_pot))
            for name, shelter, cover, in_pot in _PLACES
        },
    }


def _estimate(estimate: Any) -> dict[str, Any]:
    low_c, high_c = estimate.band(0.9)
    return {
        "mean_c": round(estimate.mean_c, 2),
        "low_c": round(low_c, 2),
        "high_c": round(high_c, 2),
        "below": {f"{threshold_c:g}": round(estimate.below(threshold_c), 3) for threshold_c in _THRESHOLDS_C},
    }


def _lines(found: dict[str, Any]) -> list[str]:
    lines = [f"{found['source']}, issued {found['issued_at'] or 'unsaid'}, fetched {found['fetched_at'] or 'unsaid'}"]
    lines += found["notes"]
    for day in found["days"]:
        gust_ms = day["gust_max_ms"] if day["gust_max_ms"] is not None else day["gust_estimate_ms"]
        gust = "no gust" if gust_ms is None else f"gust {ms_to_mph(gust_ms):.0f} mph ({gust_ms:.1f} m/s)"
        kind = ", estimated from the mean wind" if day["gust_max_ms"] is None and gust_ms is not None else ""
        lines.append(f"{day['date']}  air {day['air_min_c']} to {day['air_max_c']} C, {gust}{kind}")
    for night in found["nights"]:
        open_, air = night["places"]["open"], night["air"]
        lines.append(
            f"night of {night['evening_on']}  air {air['mean_c']:.1f}, at the plants {open_['mean_c']:.1f} C "
            f"({open_['low_c']:.1f} to {open_['high_c']:.1f}), below 0: {open_['below']['0']:.0%}, {night['kind']}"
        )
    return lines
