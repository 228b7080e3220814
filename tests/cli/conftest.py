"""The command line on a database of its own, with the demo's invented garden ready to import."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from bot.cli import main, replay
from bot.stage import on_stage
from tests.support.group_messages import GARDEN, solve_here
from tests.support.invented_weather import calm, write

Run = Callable[..., tuple[int, str, str]]

MONDAY_AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
COLD = (-1.3, 12.5, 5.0, 1.0, 4.0, 0.0)


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    """`gatepost` with these arguments: its exit status, what it printed, and its complaints."""
    monkeypatch.setenv("GATEPOST_DATABASE_URL", f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}")
    for name in ("GATEPOST_TOKEN", "GATEPOST_FORECAST", "GATEPOST_BOT_API_URL", "GATEPOST_CONTACT"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setattr(replay, "on_stage", partial(on_stage, solve=solve_here))

    def call(*arguments: str | Path) -> tuple[int, str, str]:
        capsys.readouterr()
        status = main([str(one) for one in arguments])
        out, err = capsys.readouterr()
        return status, out, err

    return call


@pytest.fixture
def garden(run: Run) -> Path:
    """The folder of the demo's garden, after it was imported."""
    status, _, complaints = run("import", GARDEN)
    assert status == 0, complaints
    return GARDEN


@pytest.fixture
def forecast(tmp_path: Path) -> Path:
    """A recorded forecast with one night of frost, from Monday to Tuesday."""
    path = tmp_path / "forecast.json"
    write(path, [calm(), COLD, *[calm()] * 8], MONDAY_AT)
    return path


def parsed(out: str) -> Any:
    return json.loads(out)
