"""`gatepost frost-dates --daily CSV`: the odds of the last spring and the first autumn frost from daily minima."""

from __future__ import annotations

import argparse
import csv
import json
import math
import sys
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from bot.core.growing.crop import MonthDay
from bot.core.weather.climate import Climate, ClimateError, Frosts, climate

_METHOD = "Weibull positions r/(n+1), linear between; years without a frost stay in the count"
_COLDEST_C, _WARMEST_C = -70.0, 45.0


class DailyError(ValueError):
    """The CSV cannot be used. The text names the file, the line, the value and what is expected."""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--daily", type=Path, required=True, help="CSV with the columns date,min_c")
    parser.add_argument("--threshold", type=float, default=0.0, help="a frost is a minimum below this, degrees C")
    parser.add_argument("--lat", type=float, default=None, help="latitude; south of the equator the halves are shifted")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def run(args: argparse.Namespace) -> int:
    try:
        _check(args.threshold, args.lat)
        minima_c = read_minima(args.daily)
        if args.lat is None and _summer_in_january(minima_c):
            raise DailyError(
                f"{args.daily}: January's nights are warmer than July's, as south of the equator; say where this was "
                "measured, --lat -37.8, say"
            )
        found = climate(minima_c, args.threshold, southern=args.lat is not None and args.lat < 0.0)
    except (OSError, DailyError, ClimateError) as problem:
        print(f"frost-dates: {problem}", file=sys.stderr)
        return 2
    print(json.dumps(_as_json(found), indent=2) if args.json else "\n".join(_in_words(found)))
    return 0


def _check(threshold_c: float, latitude: float | None) -> None:
    if not _COLDEST_C <= threshold_c <= _WARMEST_C:
        raise DailyError(
            f"--threshold is {threshold_c:g}, expected degrees C from {_COLDEST_C:.0f} to {_WARMEST_C:.0f}"
        )
    if latitude is not None and not -90.0 <= latitude <= 90.0:
        raise DailyError(f"--lat is {latitude:g}, expected -90 to 90; is it the longitude?")


def _summer_in_january(minima_c: Mapping[date, float]) -> bool:
    summed = {month: [low_c for on, low_c in minima_c.items() if on.month == month] for month in (1, 7)}
    january, july = summed[1], summed[7]
    return bool(january and july) and sum(january) / len(january) > sum(july) / len(july)


def read_minima(path: Path) -> dict[date, float]:
    """Daily minima by date, degrees C; empty cells are missing days. Raises DailyError with the line number."""
    minima_c: dict[date, float] = {}
    with path.open(newline="", encoding="utf-8-sig") as stream:
        reader = csv.DictReader(stream)
        if not {"date", "min_c"} <= set(reader.fieldnames or ()):
            raise DailyError(f"{path}, line 1: columns are {reader.fieldnames}, expected date,min_c")
        for row in reader:
            on, text = _date(path, reader.line_num, row["date"]), (row["min_c"] or "").strip()
            if on in minima_c:
                raise DailyError(f"{path}, line {reader.line_num}: {on} stands twice; keep one")
            if text:
                minima_c[on] = _degrees(path, reader.line_num, text)
    return minima_c


def _date(path: Path, line: int, text: str | None) -> date:
    try:
        return date.fromisoformat((text or "").strip())
    except ValueError:
        raise DailyError(f"{path}, line {line}: date is {text!r}, expected YYYY-MM-DD") from None


def _degrees(path: Path, line: int, text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not _COLDEST_C <= value <= _WARMEST_C:
        limits = f"{_COLDEST_C:.0f} to {_WARMEST_C:.0f} degrees C"
        raise DailyError(f"{path}, line {line}: min_c is {text!r}, expected a number from {limits}")
    return value


def _as_json(found: Climate) -> dict[str, Any]:
    return {
        "threshold_c": found.threshold_c,
        "method": _METHOD,
        "last_spring": _half_json(found.last_spring),
        "first_autumn": _half_json(found.first_autumn),
        "left_out": [
            {"year": gap.year, "half": gap.half.value, "missing": gap.missing, "expected": gap.expected}
            for gap in found.left_out
        ],
        "words": _in_words(found),
    }


def _half_json(frosts: Frosts) -> dict[str, Any]:
    return {
        **{f"p{share}": _text(frosts.by(share / 100.0)) for share in (10, 50, 90)},
        "years": len(frosts.years),
        "first_year": frosts.years[0],
        "last_year": frosts.years[-1],
        "share_without": frosts.share_without,
    }


def _text(day: MonthDay | None) -> str | None:
    return None if day is None else f"{day[0]:02d}-{day[1]:02d}"


def _in_words(found: Climate) -> list[str]:
    spring, autumn = found.last_spring, found.first_autumn
    lines = [
        f"Frost: a night minimum below {found.threshold_c:g} C.",
        f"Spring, {_years(spring)}:",
        *_spring_words(spring),
        f"Autumn, {_years(autumn)}:",
        *_autumn_words(autumn),
    ]
    lines += [
        f"Left out: {gap.half} {gap.year}, {gap.missing} of {gap.expected} days missing." for gap in found.left_out
    ]
    return [*lines, f"Method: {_METHOD}."]


def _years(frosts: Frosts) -> str:
    without = f"{frosts.without} without a frost" if frosts.without else "each with a frost"
    return f"{len(frosts.years)} years from {frosts.years[0]} to {frosts.years[-1]}, {without}"


def _spring_words(frosts: Frosts) -> list[str]:
    told = (
        ("Nine years in ten still have", 0.1),
        ("Half of the years still have", 0.5),
        ("One year in ten still has", 0.9),
    )
    return [
        f"  {who} a frost after {_text(day)}."
        if (day := frosts.by(share))
        else f"  {who} a frost after: cannot be told."
        for who, share in told
    ]


def _autumn_words(frosts: Frosts) -> list[str]:
    told = (("One year in ten has", 0.1), ("Half of the years have", 0.5), ("Nine years in ten have", 0.9))
    return [
        f"  {who} had a frost by {_text(day)}."
        if (day := frosts.by(share))
        else f"  {who} had a frost by: cannot be told."
        for who, share in told
    ]
