"""The docs name every command, setting and subcommand, and the README holds exactly its two commands."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from bot.chat.commands import COMMANDS
from bot.cli import COMMANDS as SUBCOMMANDS
from bot.config import SETTINGS
from tests.open_data import ROOT


def _doc(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def test_every_setting_is_documented_with_its_default() -> None:
    rows = re.findall(r"^\| `(GATEPOST_\w+)` \| (.+?) \|", _doc("docs/deploy.md"), re.MULTILINE)
    assert rows == [(name, default) for name, default, _ in SETTINGS]


def test_every_subcommand_is_documented() -> None:
    documented = re.findall(r"^\| `gatepost ([\w-]+)", _doc("docs/commands.md"), re.MULTILINE)
    assert sorted(documented) == sorted(name for name, _, _ in SUBCOMMANDS)


def test_every_chat_command_is_documented() -> None:
    documented = re.findall(r"^\| /(\w+) \|", _doc("docs/commands.md"), re.MULTILINE)
    assert documented == [command.WORD for command in COMMANDS]


def test_every_module_of_a_command_is_in_the_tuple() -> None:
    """Whatever names a word that is typed after a slash answers to it."""
    modules = {
        ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for path in (ROOT / "bot/chat").rglob("*.py")
        if re.search(r"^WORD\b", path.read_text(encoding="utf-8"), re.MULTILINE)
    }
    assert modules == {command.__name__ for command in COMMANDS}  # type: ignore[attr-defined]


def test_a_file_name_occurs_once_on_a_floor() -> None:
    for floor in ("core", "storage", "services", "chat"):
        names = Counter(path.stem for path in (ROOT / "bot" / floor).rglob("*.py") if path.stem != "__init__")
        assert {name for name, n in names.items() if n > 1} == set(), floor


_ASKS = re.compile(
    r"\bsession\.(scalars?|execute|get|get_one|add|add_all|delete)\(|^(from|import) sqlalchemy", re.MULTILINE
)


def test_chat_asks_the_database_nothing_itself() -> None:
    """Statements stand in storage, or with the activity that they serve in services; chat is given rows, and flushes."""
    allowed = "from sqlalchemy.ext.asyncio import AsyncSession"
    asks = {
        f"{path.relative_to(ROOT)}: {found[0]}"
        for path in (ROOT / "bot" / "chat").rglob("*.py")
        for found in _ASKS.finditer(path.read_text().replace(allowed, ""))
    }
    assert not asks


def test_the_readme_opens_with_the_job_and_has_exactly_two_commands_of_a_line_each() -> None:
    readme = _doc("README.md")
    blocks = re.findall(r"^```\n(.*?)^```", readme, re.MULTILINE | re.DOTALL)
    assert len(blocks) == 2
    assert [block.count("\n") for block in blocks] == [1, 1]
    assert readme.split("\n\n")[1].startswith("Gatepost is")


@pytest.mark.parametrize("name", ["bot", "tests", "docs", "migrations"])
def test_no_module_is_over_400_lines(name: str) -> None:
    long = {str(path): n for path in (ROOT / name).rglob("*.py") if (n := len(path.read_text().splitlines())) > 400}
    if name == "migrations":
        long = {path: n for path, n in long.items() if "versions" not in path}
    assert not long


def test_every_test_that_the_threat_model_names_exists() -> None:
    named = re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", _doc("docs/security.md"))
    assert len(named) > 30
    missing = [
        (path, name)
        for path, name in named
        if not (ROOT / path).is_file() or (name and f"def {name}(" not in _doc(path))
    ]
    assert not missing
