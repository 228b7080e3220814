"""`gatepost code`: a new code by which a garden comes to an organiser; the ones before no longer work."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from datetime import UTC, datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.cli.moments import opened
from bot.i18n import Say, say
from bot.services.garden.records.rows import same
from bot.services.people import codes
from bot.services.people.codes import Code
from bot.storage.garden import gardens
from bot.storage.models import Garden
from bot.storage.session import Database


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--garden", metavar="NAME", help="which garden; not needed when there is only one")


async def run(args: argparse.Namespace) -> int:
    """0 when there is a code; 2 when the garden cannot be told."""
    try:
        async with opened() as database:
            print("\n".join(await _made(database, args.garden)))
    except LookupError as problem:
        print(f"code: {problem.args[0]}", file=sys.stderr)
        return 2
    return 0


async def _made(database: Database, name: str | None) -> list[str]:
    async with database.begin() as session:
        garden = await garden_named(session, name)
        made = await codes.first(session, garden, datetime.now(UTC))
        return list(in_words(made, say("en", garden.zone)))


async def garden_named(session: AsyncSession, name: str | None) -> Garden:
    """The garden of that name, or the only one. Raises LookupError with what to do."""
    every = await gardens.all_gardens(session)
    found = [each for each in every if name is None or same(each.name) == same(name)]
    if len(found) != 1:
        names = ", ".join(each.name for each in every) or "none"
        raise LookupError(f"{len(found)} gardens fit; name one with --garden. Stored: {names}")
    return found[0]


def in_words(made: Sequence[Code], voice: Say) -> Iterator[str]:
    """What whoever runs the bot passes on, to whom, until when, and how to get another."""
    for code in made:
        if code.member_name is None:
            yield voice.gettext(
                "The new organiser must send this to the bot in a private chat: /start {code}", code=code.text
            )
        else:
            yield voice.gettext(
                "{name}, an organiser, must send this to the bot in a private chat: /start {code}",
                name=code.member_name,
                code=code.text,
            )
    if made:
        until = made[0].until
        yield voice.gettext(
            "Give it to nobody else. It works once, until {day}, {time}. For a new one: gatepost code",
            day=voice.day(voice.local(until).date()), time=voice.clock(until),
        )  # fmt: skip
