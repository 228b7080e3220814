"""Open weather data that stands outside the project; tests that want it are skipped where it is missing."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


def open_data(relative: str) -> Path:
    """The path of an open data file below GATEPOST_OPEN_DATA (default: `shared` beside the checkout), or skip the test."""
    folder = Path(os.environ.get("GATEPOST_OPEN_DATA", ROOT.parent / "shared"))
    path = folder / relative
    if not path.exists():
        pytest.skip(f"open data {relative} is not in {folder}; set GATEPOST_OPEN_DATA to the folder that has it")
    return path
