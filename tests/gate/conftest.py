"""A village with its garden set up; some of its people are listed by name, others are strangers."""

from __future__ import annotations

import pytest

from tests.gate.lists import Gate
from tests.support.village import AMIRA, Village


@pytest.fixture
async def gate(village: Village) -> Gate:
    """Elm Lane, with Amira as its organiser and the bot an administrator of its group."""
    await village.added(status="administrator")
    await village.set_up(AMIRA)
    return Gate(village)
