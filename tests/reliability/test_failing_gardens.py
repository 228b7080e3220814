"""A garden that fails is said to fail, once, is tried ever later, and takes nothing from the others."""

from __future__ import annotations

from contextlib import suppress
from datetime import timedelta

import pytest
from sqlalchemy import select, update

from bot import app as app_module
from bot.chat.garden import failing
from bot.services.warnings.watch import watch
from bot.storage.models import Garden, PastDay
from tests.support.talk import Talk, texts

FAILS, OVER = "Something has been wrong on my side", "I can look at the forecast again"


class Spoilt:
    """The watch over one garden, failing while `is_broken`; looks_n: how often it was tried."""

    def __init__(self, garden_id: int) -> None:
        self.garden_id, self.is_broken, self.looks_n = garden_id, True, 0

    async def __call__(self, database: object, garden_id: int, *rest: object) -> None:
        if garden_id == self.garden_id:
            self.looks_n += 1
            if self.is_broken:
                raise RuntimeError("a crop that nobody knows")
        await watch(database, garden_id, *rest)  # type: ignore[arg-type]


@pytest.fixture
async def spoilt(lane: Talk, monkeypatch: pytest.MonkeyPatch) -> Spoilt:
    found = Spoilt(next(iter(lane.stage.groups)))
    monkeypatch.setattr(app_module, "watch", found)
    return found


async def live(lane: Talk, hours: float, every_s: int = 60) -> str:
    """The watch looks again and again; what was said."""
    said = []
    for _ in range(int(hours * 3600 / every_s)):
        lane.stage.clock.at += timedelta(seconds=every_s)
        with suppress(RuntimeError, KeyError):
            await lane.stage.app.watch()
        said += await lane.settled()
    return texts(said)


async def test_organisers_hear_once_after_an_hour_and_once_when_it_is_over(lane: Talk, spoilt: Spoilt) -> None:
    assert FAILS not in await live(lane, 0.9)
    assert FAILS in await live(lane, 0.5)
    assert await live(lane, 3, 300) == ""
    assert [FAILS in one.text for one in lane.private("Miriam")].count(True) == 1
    assert not any(FAILS in one.text for one in [*lane.group(), *lane.private("Owen")]), (
        "privately, and organisers only"
    )
    spoilt.is_broken = False
    assert OVER in await live(lane, 0.5)
    assert await live(lane, 1, 300) == ""


async def test_it_is_said_once_though_the_process_begins_anew(lane: Talk, spoilt: Spoilt) -> None:
    assert FAILS in await live(lane, 1.5)
    lane.stage.app._waits = failing.Waits()
    lane.stage.app._well.clear()
    assert await live(lane, 2, 300) == ""
    lane.stage.app._waits = failing.Waits()
    spoilt.is_broken = False
    assert OVER in await live(lane, 0.5)


async def test_a_slip_that_the_next_look_makes_good_is_nobodys_business(lane: Talk, spoilt: Spoilt) -> None:
    await live(lane, 0.5)
    spoilt.is_broken = False
    await live(lane, 0.5)
    spoilt.is_broken = True
    assert await live(lane, 0.6) == ""


async def test_it_is_tried_ever_later_but_never_given_up(lane: Talk, spoilt: Spoilt) -> None:
    await live(lane, 1, 30)
    first = spoilt.looks_n
    assert 5 <= first <= 12
    await live(lane, 2, 30)
    assert 7 <= spoilt.looks_n - first <= 9, "four an hour"


async def test_at_night_nobody_is_woken_for_it(lane: Talk, spoilt: Spoilt) -> None:
    lane.stage.clock.at = lane.stage.clock.at.replace(hour=22)
    assert FAILS not in await live(lane, 5, 600)
    assert FAILS in await live(lane, 5, 600)


async def test_a_garden_whose_row_cannot_be_read_takes_nothing_from_the_next(lane: Talk) -> None:
    async with lane.stage.app.database.begin() as session:
        first = (await session.scalars(select(Garden))).one()
        second = Garden(name="Far Field", latitude=first.latitude, longitude=first.longitude, zone=first.zone)
        session.add(second)
        await session.execute(update(Garden).where(Garden.id == first.id).values(zone="Nowhere/Land"))
    with suppress(KeyError):
        await lane.stage.app.watch()
    async with lane.stage.app.database.begin() as session:
        assert await session.get(PastDay, (second.id, lane.stage.clock.at.date())), "it was looked at"
    assert FAILS in await live(lane, 1.5, 120), "in a voice that needs no clock of the garden"
