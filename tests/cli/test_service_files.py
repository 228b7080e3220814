"""The unit and the container file: what systemd itself says of the unit, and what they promise in docs/deploy.md."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from bot.config import SETTINGS, read
from tests.open_data import ROOT

UNIT = ROOT / "docs/service/gatepost.service"
CONTAINER = ROOT / "docs/service/Containerfile"


def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path) -> None:
    """systemd-analyze(1), verify: unknown keys and values, and programs that are not there."""
    program = shutil.which("systemd-analyze")
    if program is None:
        pytest.skip("systemd-analyze is not on this machine")
    text = UNIT.read_text(encoding="utf-8")
    unit = tmp_path / UNIT.name
    unit.write_text(text.replace("/opt/gatepost/.venv/bin/gatepost", sys.executable), encoding="utf-8")
    done = subprocess.run([program, "verify", unit], capture_output=True, text=True, check=False)
    assert done.returncode == 0 and UNIT.name not in done.stderr, done.stderr
    unit.write_text(unit.read_text().replace("NoNewPrivileges=yes", "NoNewPrivileges=perhaps"), encoding="utf-8")
    wrong = subprocess.run([program, "verify", unit], capture_output=True, text=True, check=False)
    assert "perhaps" in wrong.stderr, "it does notice a slip"


@pytest.mark.parametrize("path", [UNIT, CONTAINER], ids=["unit", "container"])
def test_the_settings_that_they_give_exist_and_can_be_used(path: Path) -> None:
    given = dict(re.findall(r"(GATEPOST_\w+)=([^\s\\]+)", path.read_text(encoding="utf-8")))
    assert "GATEPOST_DATABASE_URL" in given and given.keys() <= {name for name, _, _ in SETTINGS}
    assert read(given).database_url.startswith("sqlite+aiosqlite:////")


def test_the_container_is_not_roots_keeps_its_records_in_a_volume_and_says_whether_it_lives() -> None:
    text = CONTAINER.read_text(encoding="utf-8")
    copied = re.findall(r"^COPY (?!--)(.+)$", text, re.MULTILINE)
    assert all((ROOT / name).exists() for line in copied for name in line.split()[:-1]), copied
    last = text.rpartition("\nFROM ")[2]
    user = re.search(r"^USER (\d+)$", last, re.MULTILINE)
    assert user is not None and int(user[1]) > 0
    assert re.search(r"^VOLUME /data$", last, re.MULTILINE) and "sqlite+aiosqlite:////data/" in last
    assert 'CMD ["gatepost", "check", "--alive"]' in last
