"""`gatepost init`: two questions, a settings file that only its owner reads, the database, and a check."""

from __future__ import annotations

import argparse
import contextlib
import getpass
import os
import sys
from pathlib import Path

from bot.cli import check
from bot.cli.moments import opened
from bot.config import SettingsError, given, in_file, problem_of, settings_path

_TRIES = 3
_HEADING = """\
# Gatepost's settings: NAME=VALUE, a line each; docs/deploy.md lists them. The environment wins over this file.
# The token is a password: whoever has it is your bot. Show this file to nobody.
"""
_QUESTIONS = {
    "GATEPOST_TOKEN": "The bot's token, from @BotFather in Telegram (not shown as you paste it)",
    "GATEPOST_CONTACT": "A mail address or page, sent to the weather services only (Enter for none)",
}


def add_arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--offline", action="store_true", help="check without the weather service and Telegram")


async def run(args: argparse.Namespace) -> int:
    """The status of `check`; 2 when an answer cannot be used, and nothing is written."""
    path = settings_path()
    if path is None:
        print("init: GATEPOST_SETTINGS is off; unset it, or name the file to write", file=sys.stderr)
        return 2
    kept = in_file(path) if path.is_file() else {}
    answers = {name: answer for name, question in _QUESTIONS.items() if (answer := _asked(name, question, kept))}
    _write(path, answers)
    print(f"\nSettings: {path} (only your account can read it)")
    async with opened() as database:
        print(f"Database: {database.address}\n")
    status = await check.run(args)
    ready = status == 0 and "GATEPOST_TOKEN" in given()
    print("\nEverything is ready. Next: gatepost run" if ready else "\nThen check again: gatepost check")
    return status


def _asked(name: str, question: str, kept: dict[str, str]) -> str:
    """An answer that can be used; empty to leave the setting as it is. Raises SettingsError after some tries."""
    if kept.get(name):
        question += " (Enter keeps the one that is there)"
    for _ in range(_TRIES):
        answer = _answer(f"{question}: ", secret=name == "GATEPOST_TOKEN")
        problem = problem_of(name, answer) if answer else None
        if problem is None:
            return answer
        print(problem, file=sys.stderr)
    raise SettingsError(f"{name}: I can use none of the answers; nothing was written")


def _answer(question: str, *, secret: bool) -> str:
    if secret and sys.stdin.isatty():
        return getpass.getpass(question).strip()
    print(question, end="", flush=True)
    return sys.stdin.readline().strip()


def _write(path: Path, answers: dict[str, str]) -> None:
    """The answers in place of the lines that named them; all other lines stay. The old file or the new one, never half."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    lines = path.read_text(encoding="utf-8").splitlines() if path.is_file() else _HEADING.splitlines()
    others = [line for line in lines if line.removeprefix("export ").partition("=")[0].strip() not in answers]
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    try:
        with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w", encoding="utf-8") as file:
            file.write("\n".join([*others, *(f"{name}={answer}" for name, answer in answers.items()), ""]))
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
