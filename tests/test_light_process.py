"""The bot's own process stays small: what only a worker process needs is never loaded in it."""

from __future__ import annotations

import subprocess
import sys

import pytest


@pytest.mark.parametrize("heavy", ["PIL", "alembic", "asyncpg", "fpdf", "icalendar", "numpy", "openpyxl", "ortools"])
def test_the_running_bot_does_not_load(heavy: str) -> None:
    asked = f"import sys, bot.app, bot.cli.run; sys.exit({heavy!r} in sys.modules)"
    assert subprocess.run([sys.executable, "-c", asked], check=False).returncode == 0
