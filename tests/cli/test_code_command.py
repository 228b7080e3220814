"""`gatepost import` and `gatepost code`: how a garden whose organiser has not written yet comes to one."""

from __future__ import annotations

import json
import re
import sqlite3
from pathlib import Path

from tests.cli.conftest import Run


def codes_in(out: str) -> list[str]:
    return re.findall(r"/start (\w+)", out)


def test_an_import_says_whose_code_it_is_until_when_it_holds_and_how_to_get_another(run: Run, garden: Path) -> None:
    status, out, _ = run("import", garden)
    assert status == 0
    assert re.search(
        r"^Miriam, an organiser, must send this to the bot in a private chat: /start \w{13}$", out, re.MULTILINE
    )
    assert re.search(r"It works once, until \w+ \d+ \w+, \d\d:\d\d\. For a new one: gatepost code$", out, re.MULTILINE)


def test_a_new_code_makes_the_one_before_void(run: Run, garden: Path, tmp_path: Path) -> None:
    _, first, _ = run("code")
    _, second, _ = run("code", "--garden", "teasel lane")
    assert "Miriam" in second and codes_in(first) != codes_in(second)
    with sqlite3.connect(tmp_path / "own.sqlite3") as connection:
        rows = connection.execute("select digest from claim_codes").fetchall()
        kept = "".join(connection.iterdump())
    connection.close()
    assert len(rows) == 1
    assert not [one for one in codes_in(first + second) if one in kept], "codes themselves are not stored"


def test_a_garden_that_cannot_be_told_is_asked_for(run: Run, garden: Path) -> None:
    status, _, complaint = run("code", "--garden", "Fern Row")
    assert status == 2 and "Teasel Lane" in complaint and "--garden" in complaint


def test_a_program_reads_the_code_as_well(run: Run, garden: Path) -> None:
    _, out, _ = run("import", garden, "--json")
    assert len(codes_in(" ".join(json.loads(out)["organiser"]))) == 1


def test_a_garden_with_an_organiser_who_has_written_gets_no_code_by_an_import(
    run: Run, garden: Path, tmp_path: Path
) -> None:
    with sqlite3.connect(tmp_path / "own.sqlite3") as connection:
        connection.execute("update people set user_id = 5 where name = 'Miriam'")
    connection.close()
    _, out, _ = run("import", garden)
    assert codes_in(out) == []
    _, out, _ = run("code")
    assert "The new organiser must send" in out and len(codes_in(out)) == 1, "whoever runs the bot can always name one"
