"""The command line. A subcommand's module is loaded when it is used, so that `--help` answers at once."""

from __future__ import annotations

import argparse
import asyncio
import importlib
import inspect
import sys
from collections.abc import Sequence

__all__ = ["COMMANDS", "main"]

#: name, module below bot.cli, and what it does; docs/commands.md lists the same.
COMMANDS: tuple[tuple[str, str, str], ...] = (
    ("demo", "demo", "a story of some days in an invented garden, every message as the phones show it"),
    ("init", "init", "set the bot up: asks for its token, makes settings file and database, checks"),
    ("run", "run", "run the bot (needs GATEPOST_TOKEN)"),
    ("say", "say", "one message in, the replies out, as a member of your garden"),
    ("replay", "replay", "every message that the bot would have sent on some days"),
    ("outlook", "outlook", "cold and wind of a forecast, night by night"),
    ("import", "import_", "load a garden from a folder of CSV or XLSX files"),
    ("export", "export", "write a garden to a folder of CSV files"),
    ("log", "log", "read the file of a logging thermometer, and learn from it at once"),
    ("code", "code", "a new code for a garden's organiser"),
    ("sensor-key", "sensor_key", "the key with which a garden's own sensors send readings"),
    ("check", "check", "what is wrong with the settings, and what to do"),
    ("backup", "backup", "a copy of the database now"),
    ("restore", "restore", "put the database back from a copy; the old one is kept"),
    ("move-database", "move_database", "move everything from another database into the one in the settings"),
    ("verify", "verify", "how good this garden's cold warnings were, by its own thermometer"),
    ("frost-dates", "frost_dates", "odds of the last and first frost from daily minima"),
    ("calibrate", "calibrate", "fit the ground minimum, or score the learning, on measured nights"),
)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one subcommand; its exit status is ours. Without one, say what to do first."""
    given = list(sys.argv[1:] if argv is None else argv)
    if not given:
        print("\n".join(importlib.import_module("bot.cli.first").steps()))
        return 0
    parser = argparse.ArgumentParser(prog="gatepost", description="A garden group's helper in their chat.")
    parsers = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    chosen = next((one for one in given if not one.startswith("-")), None)
    for name, module, about in COMMANDS:
        sub = parsers.add_parser(name, help=about, description=about)
        if name == chosen:
            loaded = importlib.import_module(f"bot.cli.{module}")
            loaded.add_arguments(sub)
            sub.set_defaults(run=loaded.run)
    args = parser.parse_args(given)
    return _exit_status(args)


def _exit_status(args: argparse.Namespace) -> int:
    try:
        status = args.run(args)
        return int(asyncio.run(status) if inspect.iscoroutine(status) else status)
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        return 1
    except Exception as error:
        told = importlib.import_module("bot.cli.explaining").explained(error)
        if told is None:
            raise
        print(f"{args.command}: {told[1]}", file=sys.stderr)
        return int(told[0])


if __name__ == "__main__":
    sys.exit(main())
