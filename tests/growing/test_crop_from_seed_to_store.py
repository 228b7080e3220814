"""/crop answers how many, how far apart, when and how long, by published figures where there are any."""

from __future__ import annotations

import re
from datetime import UTC, datetime

import pytest

from bot.crops.loader import load
from tests.support.paged import pages, whole
from tests.support.rings import lines_of
from tests.support.talk import MONDAY_AT, Talk


async def test_onion_sets_in_a_six_by_three_foot_bed_by_published_distances(talk: Talk) -> None:
    # RHS adviser, Grow Your Own, 20 Jul 2023: 10 cm apart, rows 25-30 cm. 1.83 x 0.91 m: 18 in a row, 3 rows of 30 cm.
    told = (await talk.said("Miriam", "/crop onion sets 6 ft x 3 ft")).text
    assert "has room for 54: 3 rows of 18, 10\u00a0cm apart. Leave 30\u00a0cm between rows" in told
    assert "1.83 by 0.91\u00a0m (6 by 3\u00a0ft)" in told


@pytest.mark.parametrize("asked", ["/crop tomatoes 20", "/crop 20 tomatoes"])
async def test_spares_are_sown_so_that_enough_survive(talk: Talk, asked: str) -> None:
    told = (await talk.said("Miriam", asked)).text
    assert "For 20 plants sow" in told and "9 times in 10" in told


async def test_maincrop_potatoes_wait_the_longer_published_time_and_the_habit_is_told(talk: Talk) -> None:
    # Utah State Extension and SE Vegetable Handbook 2022, p. 104: two to three weeks; habit: about a week.
    told = await whole(talk, "Miriam", "/crop maincrop potatoes")
    assert "Wait 14 to 21 days" in told and "about 7 days (common practice, no source)" in told
    assert "green" in told.lower()


async def test_early_potatoes_do_not_store(talk: Talk) -> None:
    # First and second earlies do not store: common practice, no source.
    assert "does not keep" in await whole(talk, "Miriam", "/crop first early potatoes")
    # Of oca's store no figure was found; it is dug when it is wanted, and keeps for months (Green Harvest, undated page).
    oca = await whole(talk, "Miriam", "/crop oca")
    assert "leave it in the ground" in oca
    assert "does not keep" not in oca


async def test_beans_alone_are_several_and_nonsense_is_none(talk: Talk) -> None:
    assert "Which one" in (await talk.said("Miriam", "/crop beans")).text
    assert "I don't know that crop" in (await talk.said("Miriam", "/crop <3 & co")).text


async def test_without_a_name_it_says_what_fills_a_gap(talk: Talk) -> None:
    told = (await talk.said("Miriam", "/crop")).text
    assert "You can still start these now" in told and "Radishes" in told


async def test_inches_are_said_to_whoever_measures_in_feet_or_inches_and_to_nobody_else(talk: Talk) -> None:
    # 2.54 cm to the inch, exactly; onion sets 2.5 cm deep, 10 cm apart, rows 30 cm (RHS adviser, as above).
    told = await whole(talk, "Miriam", "/crop onion sets 6 ft x 3 ft")
    assert "In inches: 1 deep, 4 apart, rows 12." in told and "3 inches apart on all sides" in told
    for asked in ("/crop onion sets", "/crop onion sets 1.8 m x 0.9 m"):
        told = await whole(talk, "Miriam", asked)
        assert "inches" not in told and "ft" not in told and "8\u00a0cm apart on all sides" in told


@pytest.mark.parametrize(
    "crop",
    ["maincrop potatoes", "runner beans", "tomatoes 20", "onion sets 6 ft x 3 ft", "figs", "comfrey", "", "chillies"],
)
async def test_a_crop_s_answer_fits_a_phone_and_the_rest_is_one_tap_away(talk: Talk, crop: str) -> None:
    """Twelve lines of 40 letters: one screen of a phone (common practice, no source)."""
    first, *rest = await pages(talk, "Miriam", f"/crop {crop}".strip())
    everything = "\n".join(one.text for one in rest)
    assert all(lines_of(one.text) <= 12 for one in [first, *rest])
    assert not rest or set(first.text.splitlines()[:3]) <= set(everything.splitlines())


async def test_the_button_of_a_crop_keeps_the_bed_and_the_number_that_were_asked_about(talk: Talk) -> None:
    _, *card = await pages(talk, "Miriam", "/crop maincrop potatoes 6 ft x 3 ft")
    assert any("A bed of 1.83 by 0.91" in one.text for one in card)
    _, *card = await pages(talk, "Miriam", "/crop runner beans 20")
    assert any("For 20 plants sow" in one.text for one in card)


async def test_the_short_answer_about_beans_keeps_its_caution(talk: Talk) -> None:
    # FSAI 2024: dried beans are soaked 12 hours and boiled 30 minutes.
    first, *card = await pages(talk, "Miriam", "/crop runner beans")
    assert "soak dried beans for 12 hours and boil them hard for 30 minutes" in first.text
    assert any("Never eat these beans raw" in one.text for one in card)


async def test_no_sowing_is_advised_for_a_day_that_is_past(talk: Talk) -> None:
    # 4 May: plants that go out in May were to be sown in April; "sow between" begins today at the earliest.
    found = {}
    for key in load():
        told = await whole(talk, "Miriam", f"/crop {load()[key].name}")
        for first in re.findall(r"sow between \w+ (\d+ \w+) and", told):
            found[key] = datetime.strptime(f"{first} 2026", "%d %b %Y").replace(tzinfo=UTC).date()
    assert found and all(day >= MONDAY_AT.date() for day in found.values()), found
