"""The lock holds what pyproject.toml asks for, each with its hashes (pip's documentation, "Secure installs"; PEP 440)."""

from __future__ import annotations

import re
import tomllib

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.open_data import ROOT

RUN, DEV = ROOT / ".ci/requirements.txt", ROOT / ".ci/requirements-dev.txt"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
ASKED = {"run": PROJECT["dependencies"], "dev": PROJECT["dependencies"] + PROJECT["optional-dependencies"]["dev"]}
BUILD = (ROOT / ".ci/build.in").read_text(encoding="utf-8").split()


def locked(name: str) -> dict[str, tuple[str, int]]:
    """Version, and how many hashes, of each package."""
    text = (RUN if name == "run" else DEV).read_text(encoding="utf-8").replace("\\\n", " ")
    found = dict[str, tuple[str, int]]()
    for line in filter(None, map(str.strip, text.splitlines())):
        one = re.match(r"([\w.-]+)==(\S+)(?: ; [^-]+?)?((?:\s+--hash=sha256:[0-9a-f]{64})+)$", line)
        assert one is not None, f"no name, version and hashes: {line[:80]}"
        found[canonicalize_name(one[1])] = one[2], one[3].count("--hash=")
    return found


@pytest.mark.parametrize("name", ["run", "dev"])
def test_what_is_asked_for_is_there_in_a_version_that_will_do(name: str) -> None:
    """After a change of pyproject.toml: task lock."""
    lock = locked(name)
    for text in (*ASKED[name], *BUILD):
        asked = Requirement(text)
        version, hashes_n = lock[canonicalize_name(asked.name)]
        assert asked.specifier.contains(version), f"{text}: {version} is locked"
        assert hashes_n >= 1


def test_both_hold_the_same_versions() -> None:
    dev = locked("dev")
    assert {name: found[0] for name, found in locked("run").items()}.items() <= {
        n: f[0] for n, f in dev.items()
    }.items()


def test_every_package_that_is_asked_for_has_its_reason() -> None:
    told = (ROOT / "docs/decisions.md").read_text(encoding="utf-8").partition("## Why each package is there")[2]
    named = {canonicalize_name(word) for word in re.findall(r"[\w.*-]+", told)}
    asked = {canonicalize_name(Requirement(text).name) for text in (*ASKED["dev"], *BUILD)}
    assert {name for name in asked - named if not name.startswith("types-")} == set()
