"""What gardeners know, in what a member reads: beside the published figure, the safer followed, and marked as practice.

Each fact is common practice, no source, unless a source is named.
"""

from __future__ import annotations

from datetime import date

from sqlalchemy import select

from bot.core.garden.snapshot import Stage
from bot.storage.models import Garden, Person, Place, Planting
from tests.support.paged import page_with, pressed, whole
from tests.support.talk import Talk

MARK = "(common practice, no source)"


async def plant(talk: Talk, place: str, **known: object) -> None:
    """A batch put into the records."""
    async with talk.stage.app.database.begin() as session:
        garden_id = await session.scalar(select(Garden.id))
        place_id = await session.scalar(select(Place.id).where(Place.name == place))
        session.add(Planting(garden_id=garden_id, place_id=place_id, **known))


async def why_of(talk: Talk, name: str, line: str) -> tuple[str, str]:
    """(the job as the list says it, its Why) of the first job with these words."""
    week = await page_with(talk, name, "/week", line)
    found = next(one for one in week.text.splitlines() if line in one)
    (job,) = await talk.press(name, week, f"Job {found.split('.')[0]}")
    return found, await pressed(talk, name, job, "Why")


async def test_onion_sets_three_inches_apart_both_ways_stand_beside_the_published_rows(talk: Talk) -> None:
    # 6 x 3 ft at 3 in: 24 x 12. Published: 10 cm apart in rows of 25-30 cm (RHS adviser, Grow Your Own, 20 Jul 2023).
    told = await whole(talk, "Miriam", "/crop onion sets 6 ft x 3 ft")
    assert "288 there, 3 inches apart on all sides" in told and "54: 3 rows of 18" in told
    assert MARK in told and "to be safe" in told
    assert "6 by 3\u00a0ft" in told


async def test_one_shallot_makes_five_or_six(talk: Talk) -> None:
    told = await whole(talk, "Miriam", "/crop shallots")
    assert f"One shallot grows into five or six {MARK}" in told


async def test_potatoes_planted_weeks_apart_come_a_month_apart(talk: Talk) -> None:
    for kind in ("first early", "second early", "maincrop"):
        assert f"about a month apart {MARK}" in await whole(talk, "Miriam", f"/crop {kind} potatoes")


async def test_earlies_do_not_store_and_one_pot_at_a_time_is_opened(talk: Talk) -> None:
    told = await whole(talk, "Miriam", "/crop second early potatoes")
    assert "earlies do not keep" in told and f"Dig up one pot or plant at a time {MARK}" in told
    for pot in ("Pot 1", "Pot 2"):
        await plant(talk, pot, crop="potato-first-early", count=3, stage=Stage.READY, planted_on=date(2026, 2, 20))
    assert "Eat it soon" not in await whole(talk, "Owen", "/week")  # the pots are the group's, not of his plot


async def test_haulm_a_week_against_two_to_three_weeks_both_said_in_the_list_and_under_why(talk: Talk) -> None:
    # Utah State Univ. Extension; SE Vegetable Handbook 2022, p. 104: two to three weeks.
    told = await whole(talk, "Miriam", "/crop maincrop potatoes")
    assert "Wait 14 to 21 days" in told and f"wait only about 7 days {MARK}. I say the longer time" in told


async def test_potting_on_gains_two_weeks_and_a_lost_batch_costs_two_months(talk: Talk) -> None:
    told = await whole(talk, "Miriam", "/out")
    assert f"A bigger pot gives the plant about 14 more days {MARK}" in told
    assert f"If a batch dies in spring, you lose about two months {MARK}" in told
    assert "It should be safe from" in told and "If you wait, the harvest is" in told


async def test_peppers_begin_with_one_hour_though_habit_begins_with_two(talk: Talk) -> None:
    # About an hour: Hennepin County Master Gardeners, Univ. Minnesota, 2014.
    told = await whole(talk, "Miriam", "/out")
    assert f"First day outside: 1 hour. Many people start with 2 hours {MARK}. I say less, to be safe." in told


async def test_the_why_of_potting_on_gives_the_gain_the_size_and_the_loss_in_words_with_units(talk: Talk) -> None:
    await plant(
        talk,
        "Windowsill",
        crop="runner-bean",
        count=20,
        stage=Stage.SEEDLING,
        sown_on=date(2026, 3, 20),
        height_cm=35.0,
    )
    await talk.write("Kasia", "/language en")
    async with talk.stage.app.database.begin() as session:
        kasia = await session.scalar(select(Person).where(Person.name == "Kasia"))
        assert kasia is not None
        kasia.language = "en"
    line, why = await why_of(talk, "Kasia", "Move to bigger pots: Runner beans")
    assert "Then they can wait about two weeks more." in line
    assert f"In a bigger pot it can stay inside for about 14 more days {MARK}." in why
    assert "It is 35\N{NO-BREAK SPACE}cm tall" in why and "weeks of growing" in why


async def test_a_watch_job_says_what_to_look_for_and_the_hygiene(talk: Talk) -> None:
    week = await page_with(talk, "Owen", "/week", "against pigeons")
    number = next(line.split(".")[0] for line in week.text.splitlines() if "against pigeons" in line)
    (job,) = await talk.press("Owen", week, f"Job {number}")
    assert "Put a net over them" in job.text
    told = await talk.said("Owen", "/crop summer cabbage")
    care = await pressed(talk, "Owen", told, "Care and pests")
    assert "club root" in care and "Clean boots and tools" in care and "not in the compost" in care
    assert "Wait 3 years" in care


async def test_a_family_that_comes_back_to_its_bed_too_soon_is_said_when_it_is_planted(talk: Talk) -> None:
    # Cleared years ago: beds keep what they carried, ended batches included.
    await plant(
        talk,
        "Bed 4",
        crop="leek",
        count=20,
        stage=Stage.ENDED,
        planted_on=date(2022, 6, 10),
        ended_on=date(2022, 12, 1),
    )
    kept = await talk.said("Owen", "sowed 40 spring onions in bed 4")
    assert "The same family grew here in 2022 (Leeks)" in kept.text
    fine = await talk.said("Owen", "sowed 40 carrots in bed 4")
    assert "same family" not in fine.text
