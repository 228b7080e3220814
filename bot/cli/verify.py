"""`gatepost verify`: how this garden's odds and cold warnings did, against its own thermometer."""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import asdict
from typing import Any

from bot.cli.moments import opened
from bot.services.weather.score import Scores, scores
from bot.storage.garden import gardens


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="one JSON object by garden")


async def run(args: argparse.Namespace) -> int:
    async with opened() as database, database.begin() as session:
        found = {row.name: await scores(session, row) for row in await gardens.all_gardens(session)}
    if not found:
        print("verify: there is no garden yet; load one with: gatepost import FOLDER", file=sys.stderr)
        return 2
    if args.json:
        print(json.dumps({name: None if one is None else _as_json(one) for name, one in found.items()}, indent=2))
    else:
        print("\n".join(line for name, one in found.items() for line in _lines(name, one)))
    return 0


def _as_json(one: Scores) -> dict[str, Any]:
    return {
        "nights": [
            {"evening_on": on.isoformat(), "frost_odds": odds, "frost": frost, "called": called}
            for on, odds, frost, called in one.nights
        ],
        "brier": asdict(one.parts),
        "skill": one.skill,
        "warnings": {**asdict(one.called), "pod": one.called.pod, "far": one.called.far, "csi": one.called.csi},
        "reliability": [asdict(each) for each in one.bins],
    }


def _lines(name: str, one: Scores | None) -> list[str]:
    if one is None:
        return [f"{name}: no night yet with both odds and a reading of a shaded thermometer at 1 to 2 m."]
    table = one.called
    lines = [
        f"{name}: {len(one.nights)} nights with odds and a reading, {table.hits + table.misses} of them with an air frost.",
        f"  cold warnings: {table.hits} right, {table.false_alarms} without frost, {table.misses} frosts without one",
    ]
    if one.skill is not None:
        lines.append(f"  odds: skill {one.skill:.2f} over always giving the share of frosty nights")
    return lines
