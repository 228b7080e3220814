"""`gatepost import` stores all or nothing; `gatepost demo` plays its story and leaves nothing behind."""

from __future__ import annotations

import json
import shutil
import sqlite3
import subprocess
import sys
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import pytest

from bot.cli import demo
from bot.stage import on_stage
from tests.cli.conftest import Run
from tests.open_data import ROOT
from tests.support.group_messages import GARDEN
from tests.support.talk import first_who_can


def members(folder: Path) -> int:
    with sqlite3.connect(folder / "own.sqlite3") as connection:
        (count,) = connection.execute("select count(*) from members").fetchone()
    connection.close()
    return int(count)


def test_a_garden_is_loaded_and_its_first_organiser_gets_a_code(run: Run, tmp_path: Path) -> None:
    status, out, _ = run("import", GARDEN)
    assert status == 0
    assert "Saved: Teasel Lane." in out and "/start " in out
    assert members(tmp_path) == 9


def test_loading_it_again_changes_nothing(run: Run, garden: Path, tmp_path: Path) -> None:
    status, out, _ = run("import", garden)
    assert status == 0 and members(tmp_path) == 9
    assert "0 new, 0 changed" in out


def test_one_wrong_line_keeps_everything_out_and_is_named(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "garden"
    shutil.copytree(GARDEN, folder)
    plantings = folder / "plantings.csv"
    lines = plantings.read_text(encoding="utf-8").splitlines()
    plantings.write_text("\n".join([*lines, lines[1].replace("Pot 1", "Pot 91")]), encoding="utf-8")
    status, out, _ = run("import", folder)
    assert status == 1
    assert f"line {len(lines) + 1}" in out and "Pot 91" in out and "Nothing was saved." in out
    assert members(tmp_path) == 0


def test_a_plant_without_a_rule_keeps_nothing_out_and_is_named(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "garden"
    shutil.copytree(GARDEN, folder)
    plantings = folder / "plantings.csv"
    lines = plantings.read_text(encoding="utf-8").splitlines()
    plantings.write_text("\n".join([*lines, lines[1].replace("potato-first-early", "zorblefruit")]), encoding="utf-8")
    status, out, _ = run("import", folder)
    assert status == 0 and members(tmp_path) == 9
    assert "I have no rules for: zorblefruit. I save them as this garden's own plants" in out


def test_a_preview_stores_nothing(run: Run, tmp_path: Path) -> None:
    status, out, _ = run("import", GARDEN, "--dry-run")
    assert status == 0 and "nothing was saved" in out
    assert members(tmp_path) == 0


def test_a_folder_that_is_not_there_is_said_so(run: Run, tmp_path: Path) -> None:
    status, _, complaint = run("import", tmp_path / "nowhere")
    assert status == 2 and "nowhere' is not there" in complaint


def test_the_report_of_an_import_can_be_read_by_a_program(run: Run) -> None:
    status, out, _ = run("import", GARDEN, "--json")
    assert status == 0 and json.loads(out)["garden"] == "Teasel Lane"


def test_the_demo_tells_its_first_days_saves_pictures_and_leaves_no_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run
) -> None:
    monkeypatch.setattr(demo, "on_stage", partial(on_stage, solve=first_who_can))
    monkeypatch.setattr(demo, "_END_AT", datetime(2026, 5, 3, 17, 30, tzinfo=UTC))
    monkeypatch.setenv("TMPDIR", str(tmp_path / "tmp"))
    monkeypatch.setattr("tempfile.tempdir", None)
    (tmp_path / "tmp").mkdir()
    status, out, _ = run("demo", "--no-chat", "--pictures", tmp_path / "pictures")
    assert status == 0
    assert "Tobias writes privately: What should I do this week?" in out
    assert "I will ask people by name the day before." in out and "[Why]" in out
    (picture,) = (tmp_path / "pictures").iterdir()
    assert picture.read_bytes().startswith(b"\x89PNG") and str(picture) in out
    assert [path.name for path in (tmp_path / "tmp").iterdir() if "demo" in path.name] == []
    assert not (tmp_path / "own.sqlite3").exists(), "one's own garden is not touched"


def test_help_names_every_command_and_an_unknown_one_is_refused() -> None:
    def gatepost(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "bot", *arguments], cwd=ROOT, capture_output=True, text=True, check=False
        )

    shown = gatepost("--help")
    assert shown.returncode == 0
    assert all(name in shown.stdout for name in ("demo", "run", "say", "replay", "outlook", "import", "check"))
    refused = gatepost("dance")
    assert refused.returncode == 2 and "invalid choice" in refused.stderr
    untold = gatepost("run")
    assert untold.returncode == 2 and "GATEPOST_TOKEN is not set" in untold.stderr
