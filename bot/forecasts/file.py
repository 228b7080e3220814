"""A recorded answer in a file, or a folder of them, in either service's form.

A file holds the body alone, or `{"status_code", "headers", "data"}`; then `headers.Date` is when it was fetched.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from pathlib import Path

from bot.core.weather.forecast import Forecast, ForecastError
from bot.forecasts import met_norway, open_meteo
from bot.forecasts.reader import Point, parse_json, shortened, within

MAX_BYTES = 5_000_000
_GOOD = (200, 203)


def load(path: Path, near: Point | None = None) -> Forecast:
    """The forecast in one file. Raises ForecastError, naming the file, where there is none.

    near: the place that it has to be for.
    """
    try:
        return _read(path, near)
    except ForecastError as error:
        raise ForecastError(f"{path.name}: {error}") from error


def load_series(path: Path, near: Point | None = None) -> tuple[Forecast, ...]:
    """The forecasts in a folder's *.json, ascending by when each was issued, else fetched.

    Raises ForecastError where there are none, or one tells neither.
    """
    names = sorted(path.glob("*.json"))
    if not names:
        raise ForecastError(f"{path.name} has no *.json in it; put recorded answers there")
    dated = []
    for name in names:
        forecast = load(name, near)
        at = _since(forecast)
        if at is None:
            raise ForecastError(f"{name.name}: it is unknown when this was issued; record it with its headers")
        dated.append((at, name, forecast))
    return tuple(forecast for _, _, forecast in sorted(dated, key=lambda row: row[:2]))


def latest(path: Path, now: datetime, near: Point | None = None) -> Forecast:
    """The forecast of a file, or the newest of a folder that was issued by `now`. Raises ForecastError."""
    if not path.is_dir():
        return load(path, near)
    return known_by(now, load_series(path, near))


def known_by(now: datetime, series: Sequence[Forecast]) -> Forecast:
    """The newest of a series that was issued by `now`. Raises ForecastError where there is none."""
    known = [forecast for forecast in series if (at := _since(forecast)) is not None and at <= now]
    if not known:
        raise ForecastError(f"there is no forecast issued by {now.isoformat()}; add an older one")
    return known[-1]


def http_date(text: str | None) -> datetime | None:
    """An HTTP date (RFC 9110, 5.6.7) as aware UTC, None where it is none."""
    try:
        at = parsedate_to_datetime(text or "")
        return at.replace(tzinfo=UTC) if at.tzinfo is None else at.astimezone(UTC)
    except (ValueError, OverflowError):
        return None


def _since(forecast: Forecast) -> datetime | None:
    return forecast.issued_at or forecast.fetched_at


def _read(path: Path, near: Point | None) -> Forecast:
    try:
        if path.stat().st_size > MAX_BYTES:
            raise ForecastError(f"the file is over {MAX_BYTES} bytes, too long for a forecast")
        body = parse_json(path.read_bytes())
    except OSError as error:
        raise ForecastError(f"the file cannot be read ({error.strerror}); check the path") from error
    if not (isinstance(body, Mapping) and "status_code" in body and "data" in body):
        return _parse(body, None, near)
    if body["status_code"] not in _GOOD:
        reason = within(body, "data").get("reason", "no reason given")
        raise ForecastError(f"an answer of status {shortened(body['status_code'])} was recorded: {shortened(reason)}")
    headers = {name.lower(): str(value) for name, value in within(body, "headers").items()}
    return _parse(body["data"], http_date(headers.get("date")), near)


def _parse(body: object, fetched_at: datetime | None, near: Point | None) -> Forecast:
    if isinstance(body, Mapping) and "properties" in body:
        return met_norway.parse(body, fetched_at=fetched_at, near=near)
    if isinstance(body, list) or (isinstance(body, Mapping) and ("hourly" in body or "error" in body)):
        return open_meteo.parse(body, fetched_at=fetched_at, near=near)
    raise ForecastError("this is neither an Open-Meteo nor a MET Norway answer; expected `hourly` or `properties`")
