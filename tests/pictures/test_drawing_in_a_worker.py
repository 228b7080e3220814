"""Pictures drawn in a process of their own: the same bytes, nothing heavy left behind, a clear word when it fails."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import bot
from bot import worker
from bot.pictures import draw_outlook, draw_season, draw_wall, working
from tests.pictures.picture_samples import WALL, outlook, season

ROOT = Path(bot.__file__).parent.parent


async def test_the_worker_draws_what_is_drawn_here() -> None:
    assert await working.draw(outlook()) == draw_outlook.draw(outlook())
    assert await working.draw(season()) == draw_season.draw(season())
    assert await working.draw(WALL) == draw_wall.draw(WALL)


async def test_a_worker_that_fails_is_reported_with_its_own_words() -> None:
    with pytest.raises(working.DrawingFailed, match=r"the picture worker ended with 1 .*no attribute 'printed_on'"):
        await worker.run("picture", "bot.pictures.draw_wall:draw", season(), bytes)


async def test_an_answer_of_another_kind_is_refused() -> None:
    with pytest.raises(working.DrawingFailed, match="the picture worker answered bytes, expected str"):
        await worker.run("picture", "bot.pictures.draw_season:draw", season(entries=[]), str)


def test_the_bot_does_not_load_the_drawing_libraries_itself() -> None:
    program = "import bot.pictures.working, sys; sys.exit(bool({'PIL', 'fpdf'} & sys.modules.keys()))"
    assert subprocess.run([sys.executable, "-c", program], cwd=ROOT, check=False).returncode == 0
