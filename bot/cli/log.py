"""`gatepost log FILE --garden NAME`: read the file of a logging thermometer, and learn from it at once."""

from __future__ import annotations

import argparse
import sys
from datetime import UTC, datetime
from pathlib import Path

from bot.chat.weather import logged_words as wording
from bot.cli.moments import opened
from bot.i18n import say
from bot.services.garden.records.problems import near
from bot.services.garden.records.rows import same
from bot.services.weather import logged
from bot.storage.garden import gardens

MOST_BYTES = 20_000_000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", type=Path, metavar="FILE", help="CSV with time, thermometer, and reading or minimum")
    parser.add_argument(
        "--garden", metavar="NAME", help="whose thermometer it is; not needed where there is one garden"
    )


async def run(args: argparse.Namespace) -> int:
    """0 when nights were found; 1 when none was; 2 when the file cannot be read, or it is unclear whose it is."""
    try:
        if args.file.stat().st_size > MOST_BYTES:
            print(f"log: {args.file} is over {MOST_BYTES} bytes; give it year by year", file=sys.stderr)
            return 2
        data = args.file.read_bytes()
    except OSError as error:
        print(f"log: {args.file} cannot be read ({error.strerror})", file=sys.stderr)
        return 2
    if not logged.is_log(data):
        print(f"log: {args.file}: its first line must name time, and reading or minimum", file=sys.stderr)
        return 2
    async with opened() as database, database.begin() as session:
        every = await gardens.all_gardens(session)
        named = [each for each in every if args.garden is None or same(each.name) == same(args.garden)]
        if len(named) != 1:
            likely = near(args.garden or "", [each.name for each in every])
            hint = f"; did you mean {likely!r}?" if likely else "; name one with --garden"
            print(f"log: {len(named)} gardens fit{hint}", file=sys.stderr)
            return 2
        (garden,) = named
        voice = say("en", garden.zone)
        lines = logged.lines_of(args.file.name, data, garden.tz, voice)
        taken, unknown = await logged.take(session, garden, None, lines, datetime.now(UTC))
    print(wording.taken(voice, taken, unknown, lines.problems).replace("<b>", "").replace("</b>", ""))
    return 0 if any(one.log.nights for one in taken) else 1
