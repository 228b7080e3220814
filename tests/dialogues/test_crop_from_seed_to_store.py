"""/crop answers how many, how far apart, when and how long, by published figures where there are any."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from bot.crops.loader import load
from tests.dialogues.talk import MONDAY_AT, Talk


async def test_onion_sets_in_a_six_by_three_foot_bed_by_published_distances(talk: Talk) -> None:
    # RHS adviser, Grow Your Own, 20 Jul 2023: 10 cm apart, rows 25-30 cm. 1.83 x 0.91 m: 18 in a row, 3 rows of 30 cm.
    told = (await talk.said("Miriam", "/crop onion sets 6 ft x 3 ft")).text
    assert "holds 54: 3 rows of 18, 10 cm apart, the rows 30 cm apart" in told
    assert "1.83 by 0.91 m" in told


@pytest.mark.parametrize("asked", ["/crop tomatoes 20", "/crop 20 tomatoes"])
async def test_spares_are_sown_so_that_enough_survive(talk: Talk, asked: str) -> None:
    told = (await talk.said("Miriam", asked)).text
    assert "For 20 plants sow" in told and "9 times in 10" in told


async def test_maincrop_potatoes_wait_the_longer_published_time_and_the_habit_is_told(talk: Talk) -> None:
    # Utah State Extension and SE Vegetable Handbook 2022, p. 104: two to three weeks; habit: about a week.
    told = (await talk.said("Miriam", "/crop maincrop potatoes")).text
    assert "wait 14 to 21 days" in told and "about 7 (common practice, no source)" in told
    assert "green" in told.lower()


async def test_early_potatoes_do_not_store(talk: Talk) -> None:
    # First and second earlies do not store: common practice, no source.
    assert "does not store" in (await talk.said("Miriam", "/crop first early potatoes")).text


async def test_beans_alone_are_several_and_nonsense_is_none(talk: Talk) -> None:
    assert "Which one" in (await talk.said("Miriam", "/crop beans")).text
    assert "no crop of that name" in (await talk.said("Miriam", "/crop <3 & co")).text


async def test_without_a_name_it_says_what_fills_a_gap(talk: Talk) -> None:
    told = (await talk.said("Miriam", "/crop")).text
    assert "To fill a gap" in told and "Radishes" in told


async def test_no_sowing_is_advised_for_a_day_that_is_past(talk: Talk) -> None:
    # 4 May: plants that go out in May were to be sown in April; "sow between" begins today at the earliest.
    found = {}
    for key in load():
        told = (await talk.said("Miriam", f"/crop {load()[key].name}")).text
        for first in re.findall(r"sow between \w+ (\d+ \w+) and", told):
            found[key] = datetime.strptime(f"{first} 2026", "%d %b %Y").replace(tzinfo=UTC).date()
    assert found and all(day >= MONDAY_AT.date() for day in found.values()), found
