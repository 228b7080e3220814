"""`gatepost move-database FROM`: move everything from another database into the one in the settings."""

from __future__ import annotations

import argparse
import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path

from bot.config import SettingsError, database_url, problem_of
from bot.services.garden.moving import MoveError, move
from bot.storage.claims import single_instance
from bot.storage.schema import upgrade
from bot.storage.session import Database


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "source",
        metavar="FROM",
        help="the SQLite file, or the address, to move from; into GATEPOST_DATABASE_URL, which must be empty",
    )


async def run(args: argparse.Namespace) -> int:
    """0 when every row is there and the same; 2 when it cannot be, and nothing was moved."""
    source, target = Database(_address(args.source)), Database(database_url())
    try:
        if source.url == target.url:
            raise SettingsError(f"{source.address} is the database of the settings; name the new one there")
        with _alone(source), _alone(target):
            await upgrade(source)
            await upgrade(target)
            moved = await move(source, target)
    except MoveError as error:
        print(f"move-database: {error}", file=sys.stderr)
        return 2
    finally:
        await source.close()
        await target.close()
    print(f"{sum(moved.values())} rows of {sum(map(bool, moved.values()))} tables moved and compared, all the same.")
    print(f"From {source.address}, which stays as it is, into {target.address}. Next: gatepost check, gatepost run")
    return 0


def _address(source: str) -> str:
    if "://" not in source:
        path = Path(source).expanduser().resolve()
        if not path.is_file():
            raise SettingsError(f"{path} is not there; name the SQLite file to move from")
        return f"sqlite+aiosqlite:///{path}"
    problem = problem_of("GATEPOST_DATABASE_URL", source)
    if problem:
        raise SettingsError(problem.replace("GATEPOST_DATABASE_URL", "FROM"))
    return source


@contextlib.contextmanager
def _alone(database: Database) -> Iterator[None]:
    if database.is_sqlite:
        with single_instance(Path(str(database.url.database))):
            yield
    else:
        yield
