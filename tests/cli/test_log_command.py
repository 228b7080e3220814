"""`gatepost log`: what a logging thermometer kept, from the command line."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import Run

LOG = "time,thermometer,minimum\n" + "".join(f"2026-04-{day:02} 07:00,Shed,2.5\n" for day in range(20, 27))


def _with_shed(run: Run, folder: Path) -> Path:
    folder.mkdir()
    (folder / "thermometers.csv").write_text("name,height_m,shaded\nShed,1.5,yes\n", encoding="utf-8")
    status, _, complaints = run("import", folder, "--garden", "Teasel Lane")
    assert status == 0, complaints
    path = folder / "log.csv"
    path.write_text(LOG, encoding="utf-8")
    return path


def test_nights_are_kept_once_and_what_they_taught_is_said(run: Run, garden: Path, tmp_path: Path) -> None:
    log = _with_shed(run, tmp_path / "more")
    status, out, _ = run("log", log)
    assert status == 0
    assert "Shed: 7 nights." in out and "For 7 nights I have no earlier forecast" in out and "<b>" not in out
    assert "I already had 7." in run("log", log, "--garden", "teasel lane")[1]


def test_what_is_no_log_or_of_nobody_is_refused_and_said(run: Run, garden: Path, tmp_path: Path) -> None:
    log = _with_shed(run, tmp_path / "more")
    status, _, complaint = run("log", log, "--garden", "Fern Row")
    assert status == 2 and "--garden" in complaint
    status, _, complaint = run("log", tmp_path / "nowhere.csv")
    assert status == 2 and "cannot be read" in complaint
    status, _, complaint = run("log", tmp_path / "more" / "thermometers.csv")
    assert status == 2 and "its first line must name time" in complaint
    log.write_text("time,minimum\nyesterday,2\n", encoding="utf-8")
    status, out, _ = run("log", log)
    assert status == 1 and "is not a time" in out
