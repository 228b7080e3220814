"""`gatepost import FOLDER`: a garden's records from spreadsheets, all or nothing."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path

from bot.cli.code import in_words
from bot.cli.moments import opened
from bot.i18n import Say, say
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.from_xlsx import read_xlsx
from bot.services.garden.records.importing import import_records
from bot.services.garden.records.problems import Report, Tally, near
from bot.services.garden.records.rows import same
from bot.services.people import codes
from bot.storage.garden import gardens
from bot.storage.models import Garden
from bot.storage.people import members
from bot.storage.session import Database

_SHOWN = 12


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="the folder with the CSV files, or one .xlsx file")
    parser.add_argument("--garden", metavar="NAME", help="the saved garden to change; then garden.csv is not needed")
    parser.add_argument("--dry-run", action="store_true", help="say what would change, and save nothing")
    parser.add_argument("--json", action="store_true", help="print one JSON object")


async def run(args: argparse.Namespace) -> int:
    """0 when all is well; 1 when the files have problems, and nothing is stored; 2 when there is nothing to read."""
    voice = say("en", "UTC")
    if not args.folder.exists():
        where = args.folder.resolve().parent
        print(
            f"import: {str(args.folder)!r} is not there; name the folder with the CSV files. {_there(where)}",
            file=sys.stderr,
        )
        return 2
    files = read_folder(args.folder)
    if not files:
        print(
            f"import: no spreadsheet to read (.csv or .xlsx, such as garden.csv; docs/records.md). {_there(args.folder)}",
            file=sys.stderr,
        )
        return 2
    async with opened() as database:
        done = await _import(database, files, args, voice)
    if done is None:
        return 2
    report, about_codes = done
    if report.problems:
        print(f"import: {_there(args.folder)}", file=sys.stderr)
    print(
        json.dumps(_as_json(report, about_codes), indent=2, ensure_ascii=False)
        if args.json
        else "\n".join([*_in_words(report, voice), *about_codes])
    )
    return 1 if report.problems else 0


def _there(path: Path) -> str:
    """Where was looked, and what is there."""
    where = path.resolve()
    if not where.is_dir():
        return f"Looked at {where}."
    names = sorted(f"{each.name}/" if each.is_dir() else each.name for each in where.iterdir())
    shown = ", ".join(names[:_SHOWN]) + (f" and {len(names) - _SHOWN} more" if len(names) > _SHOWN else "")
    return f"Looked in {where}; found there: {shown or 'nothing'}."


async def _import(
    database: Database, files: dict[str, bytes], args: argparse.Namespace, voice: Say
) -> tuple[Report, list[str]] | None:
    """What was stored, and what is said of the codes that a garden without an organiser needs."""
    async with database.begin() as session:
        garden = None
        if args.garden is not None:
            every = await gardens.all_gardens(session)
            named = [each for each in every if same(each.name) == same(args.garden)]
            if len(named) != 1:
                print(f"import: {_which(args.garden, len(named), [each.name for each in every])}", file=sys.stderr)
                return None
            garden = named[0]
        now = datetime.now(UTC)
        report = await import_records(session, files, voice, now, garden, args.dry_run, read_xlsx)
        stored = await session.get(Garden, report.garden_id) if report.stored and report.garden_id is not None else None
        if stored is None or any(one.person.user_id for one in await members.organisers(session, stored.id)):
            return report, []
        return report, list(in_words(await codes.first(session, stored, now), say("en", stored.zone)))


def _which(name: str, found_n: int, known: list[str]) -> str:
    if found_n:
        return f"{found_n} gardens are called {name!r}; rename all but one"
    likely = near(name, known)
    return f"no garden is called {name!r}" + (f"; did you mean {likely!r}?" if likely else "")


def _in_words(report: Report, voice: Say) -> Iterator[str]:
    if report.problems:
        yield from (problem.text for problem in report.problems)
        n = len(report.problems)
        yield voice.ngettext("{n} thing to correct. Nothing was saved.", "{n} things to correct. Nothing was saved.", n)
        return
    yield (
        voice.gettext("Saved: {garden}.", garden=report.garden)
        if report.stored
        else voice.gettext("Preview of {garden}; nothing was saved.", garden=report.garden)
    )
    for name, tally in report.tallies.items():
        yield from _tally(name, tally, voice)
    yield from (voice.gettext("Please check: {what}.", what=remark) for remark in report.remarks)
    if report.unknown:
        yield voice.gettext(
            "I have no rules for: {plants}. I save them as this garden's own plants. I protect them from "
            "frost and do not treat them as food, until somebody says more with /own.",
            plants=voice.and_list(report.unknown),
        )
    yield from (voice.gettext("Not read: {file}", file=file) for file in report.skipped)


def _tally(name: str, tally: Tally, voice: Say) -> Iterator[str]:
    yield voice.gettext(
        "{table}: {added} new, {changed} changed, {unchanged} the same",
        table=name, added=len(tally.added), changed=len(tally.changed), unchanged=tally.unchanged_n,
    )  # fmt: skip
    for each in tally.changed:
        columns = voice.and_list(each.columns)
        yield "  " + voice.gettext("changed: {name} ({columns})", name=each.name, columns=columns)
    for absent in tally.absent:
        yield "  " + voice.gettext("not in the file, not changed: {name}", name=absent)


def _as_json(report: Report, about_codes: list[str]) -> dict[str, object]:
    return {
        "garden": report.garden,
        "stored": report.stored,
        "tables": {
            name: {
                "added": list(tally.added),
                "changed": [asdict(each) for each in tally.changed],
                "unchanged": tally.unchanged_n,
                "absent": list(tally.absent),
            }
            for name, tally in report.tallies.items()
        },
        "problems": [asdict(problem) for problem in report.problems],
        "skipped": list(report.skipped),
        "remarks": list(report.remarks),
        "unknown": list(report.unknown),
        "organiser": about_codes,
    }
