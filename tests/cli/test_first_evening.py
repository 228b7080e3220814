"""A volunteer's first evening: what to do first, two questions, a check; and what stands where afterwards.

Rights: POSIX.1-2017, <sys/stat.h>: S_IRWXG and S_IRWXO, what group and others may do, are 0 in 0600 and 0700.
"""

from __future__ import annotations

import io
import sqlite3
import stat
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.config import SettingsError, given, read
from tests.cli.conftest import Run
from tests.support.group_messages import GARDEN

TOKEN = "123456:invented-for-the-tests"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, run: Run) -> Path:
    """A machine on which nothing was ever set up."""
    for name in ("GATEPOST_DATABASE_URL", "GATEPOST_SETTINGS", "XDG_CONFIG_HOME", "XDG_DATA_HOME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def types(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def rights(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def written(home: Path) -> Path:
    (found,) = home.rglob("settings.env")
    return found


def test_the_bare_command_says_what_to_do_first_and_what_next(run: Run, home: Path) -> None:
    status, out, _ = run()
    assert status == 0 and "gatepost demo" in out and "gatepost init" in out
    path = home / ".config/gatepost/settings.env"
    path.parent.mkdir(parents=True)
    path.write_text(f"GATEPOST_TOKEN={TOKEN}\n")
    path.chmod(0o600)
    _, out, _ = run()
    assert "gatepost run" in out and "gatepost init" not in out and TOKEN not in out


def test_two_answers_make_settings_and_database_that_only_their_owner_reads(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    types(monkeypatch, TOKEN, "garden@example.org")
    status, out, complaints = run("init", "--offline")
    assert status == 0, complaints
    path = written(home)
    assert rights(path) == 0o600 and rights(path.parent) == 0o700
    (database,) = home.rglob("gatepost.sqlite3")
    assert rights(database) == 0o600 and rights(database.parent) == 0o700
    assert read().token == TOKEN and read().contact == "garden@example.org"
    assert str(path) in out and str(database) in out
    assert "WRONG" not in out and "to do" not in out, "it ends with a check"
    assert TOKEN not in out + complaints


def test_asked_again_the_answers_are_put_right_and_everything_else_stays(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    types(monkeypatch, TOKEN, "")
    run("init", "--offline")
    path = written(home)
    path.write_text(path.read_text() + "# ours\nGATEPOST_LOG_LEVEL=WARNING\n")
    types(monkeypatch, "", "new@example.org")
    status, _, _ = run("init", "--offline")
    assert status == 0
    assert (read().token, read().contact, read().log_level) == (TOKEN, "new@example.org", "WARNING")
    assert "# ours" in path.read_text() and rights(path) == 0o600
    assert [one.name for one in path.parent.iterdir()] == ["settings.env"]


def test_a_slip_is_asked_again_and_nothing_is_written_when_no_answer_will_do(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    types(monkeypatch, "my token", TOKEN, "")
    status, _, complaints = run("init", "--offline")
    assert status == 0 and "does not look like a token" in complaints and "my token" not in complaints
    written(home).unlink()
    types(monkeypatch, "one", "two", "three")
    status, _, complaints = run("init", "--offline")
    assert status == 2 and "nothing was written" in complaints
    assert not list(home.rglob("settings.env*"))


def test_on_an_empty_machine_check_says_what_is_still_to_do_and_makes_nothing(run: Run, home: Path) -> None:
    status, out, _ = run("check", "--offline")
    assert status == 1 and "WRONG" not in out and "older" not in out
    assert "gatepost init" in out and "gatepost.sqlite3" in out
    assert not [path for path in home.rglob("*") if path.is_file()]


@pytest.mark.parametrize(
    ("forecast", "mark"), [("file:/srv/f.json", None), ("open-meteo", "lacks"), ("met-norway", "WRONG")]
)
def test_a_missing_contact_is_a_fault_only_where_the_service_needs_one(
    run: Run, home: Path, monkeypatch: pytest.MonkeyPatch, forecast: str, mark: str | None
) -> None:
    """MET Norway refuses requests without one (api.met.no, Terms of Service: identification)."""
    monkeypatch.setenv("GATEPOST_FORECAST", forecast)
    _, out, _ = run("check", "--offline")
    assert [line.split()[0] for line in out.splitlines() if "GATEPOST_CONTACT" in line] == ([mark] if mark else [])


def test_the_environment_wins_over_the_file(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "own.env"
    path.write_text('# a note\n\nGATEPOST_CONTACT="file@example.org"\nexport GATEPOST_LOG_LEVEL = error\n')
    monkeypatch.setenv("GATEPOST_SETTINGS", str(path))
    assert (read().contact, read().log_level) == ("file@example.org", "ERROR")
    monkeypatch.setenv("GATEPOST_CONTACT", "shell@example.org")
    assert read().contact == "shell@example.org"
    monkeypatch.setenv("GATEPOST_SETTINGS", "off")
    assert read().log_level == "INFO"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("GATEPOST_TOKEM=123456:secret-words", "line 1: GATEPOST_TOKEM is not a setting; did you mean GATEPOST_TOKEN?"),
        ("\n123456:secret-words", "line 2: expected NAME=VALUE"),
        ("GATEPOST_SETTINGS=/x", "line 1: GATEPOST_SETTINGS names this file"),
        (None, "cannot be read"),
    ],
)
def test_a_wrong_line_of_the_file_is_named_and_its_value_is_not_shown(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str | None, said: str
) -> None:
    path = tmp_path / "own.env"
    if text is not None:
        path.write_text(text)
    monkeypatch.setenv("GATEPOST_SETTINGS", str(path))
    with pytest.raises(SettingsError, match=r"own\.env"):
        given()
    for command in ("run", "check", "code"):
        status, out, complaints = run(command)
        assert status in (1, 2) and said in out + complaints and "secret-words" not in out + complaints


def test_a_file_that_others_can_read_is_a_fault(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "own.env"
    path.write_text(f"GATEPOST_TOKEN={TOKEN}\n")
    path.chmod(0o644)
    monkeypatch.setenv("GATEPOST_SETTINGS", str(path))
    status, out, _ = run("check", "--offline")
    assert status == 1 and f"chmod 600 {path}" in out


def test_an_import_that_finds_nothing_says_where_it_looked_and_what_is_there(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "papers"
    (folder / "garden").mkdir(parents=True)
    (folder / "minutes.docx").write_bytes(b"")
    status, _, complaint = run("import", folder)
    assert status == 2 and "Traceback" not in complaint
    assert str(folder) in complaint and "garden/, minutes.docx" in complaint and "garden.csv" in complaint
    status, _, complaint = run("import", folder / "gardn")
    assert status == 2 and str(folder) in complaint and "garden/" in complaint


def test_an_import_with_mistakes_says_where_it_looked(run: Run, tmp_path: Path) -> None:
    (tmp_path / "plots.csv").write_text("plot,size\nA,1\n")
    status, out, complaint = run("import", tmp_path)
    assert status == 1 and out and str(tmp_path) in complaint and "plots.csv" in complaint


def test_a_health_check_tells_a_bot_at_work_from_one_that_stands_still(run: Run, tmp_path: Path) -> None:
    assert run("check", "--alive")[0] == 1, "there is no database"
    assert not (tmp_path / "own.sqlite3").exists()
    run("import", GARDEN)
    assert run("check", "--alive")[0] == 1, "it was never at work"
    for minutes, wanted in ((4, 0), (40, 1)):
        with closing(sqlite3.connect(tmp_path / "own.sqlite3")) as connection:
            at = (datetime.now(UTC) - timedelta(minutes=minutes)).strftime("%Y-%m-%d %H:%M:%S.%f")
            connection.execute("insert or replace into last_moment (id, believed_at) values (1, ?)", (at,))
            connection.commit()
        status, out, _ = run("check", "--alive")
        assert status == wanted and "worked" in out
