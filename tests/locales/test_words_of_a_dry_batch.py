"""Where only some of a house's plants want water, the message says which."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from bot.chat.tasks import daily_words
from bot.core.garden.snapshot import Place, PlaceKind
from bot.core.warnings.hazards import TaskKind
from bot.i18n import say
from bot.services.warnings.views import TaskView
from bot.storage.states import TaskState

NOW = datetime(2026, 7, 10, 9, tzinfo=UTC)
TUNNEL = Place(1, "Tunnel", PlaceKind.TUNNEL, shared=True)


def water(crops: tuple[str, ...]) -> TaskView:
    return TaskView(
        1, TaskKind.WATER, TUNNEL, crops, None, None, 1, 10, NOW, NOW + timedelta(hours=8), TaskState.OPEN, (), None,
        litres=12.0,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("language", "crops", "words"),
    [
        ("en", ("lettuce",), "Tunnel (the Lettuces)"),
        ("en", (), "Water Tunnel early"),
        ("en", ("own-yacon",), "Tunnel (the yacon)"),
        ("pl", ("lettuce",), "Tunnel (tylko: "),
    ],
)
def test_the_plants_that_are_dry_are_named(language: str, crops: tuple[str, ...], words: str) -> None:
    (line,) = daily_words.chores(say(language, "Europe/London"), [water(crops)])
    assert words.casefold() in line.casefold(), line
