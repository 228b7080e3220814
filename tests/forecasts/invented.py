"""The invented answers in `data/`, read anew for each test, which may then change them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from bot.core.weather.forecast import Forecast
from bot.forecasts import met_norway, open_meteo

DATA = Path(__file__).parent / "data"
OPEN_METEO = DATA / "invented-open-meteo.json"
MET_NORWAY = DATA / "invented-met-norway.json"


def open_meteo_body() -> dict[str, Any]:
    return dict(json.loads(OPEN_METEO.read_text(encoding="utf-8")))


def met_norway_body() -> dict[str, Any]:
    return dict(json.loads(MET_NORWAY.read_text(encoding="utf-8")))


def read_open_meteo(body: object) -> Forecast:
    return open_meteo.parse(body, fetched_at=None)


def read_met_norway(body: object) -> Forecast:
    return met_norway.parse(body, fetched_at=None)
