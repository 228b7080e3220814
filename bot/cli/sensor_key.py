"""`gatepost sensor-key`: the key with which a garden's own sensors send readings; off until there is one."""

from __future__ import annotations

import argparse
import sys
from datetime import UTC, datetime

from bot.cli.code import garden_named
from bot.cli.moments import opened
from bot.services.weather import sent_readings


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--garden", metavar="NAME", help="which garden; may be left out when there is only one")
    parser.add_argument("--off", action="store_true", help="take nothing from its sensors any more")


async def run(args: argparse.Namespace) -> int:
    """0 when it is done; 2 when the garden cannot be told."""
    try:
        async with opened() as database, database.begin() as session:
            garden = await garden_named(session, args.garden)
            if args.off:
                was_on = await sent_readings.drop_key(session, garden)
                print(f"{garden.name}: nothing is taken from sensors" + ("" if was_on else "; it was off already"))
                return 0
            key = await sent_readings.new_key(session, garden, datetime.now(UTC))
            print(
                f"{garden.name}: its sensors send with this key, which is shown only now; the one before is void:\n{key}"
            )
    except LookupError as problem:
        print(f"sensor-key: {problem.args[0]}", file=sys.stderr)
        return 2
    return 0
