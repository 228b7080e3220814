"""A batch moves on by itself, says by what, and one sentence from the plot puts it right."""

from __future__ import annotations

from tests.support.paged import page_with, pressed, whole
from tests.support.talk import Talk


async def test_what_is_seen_to_be_up_is_noted_and_its_harvest_is_foretold(talk: Talk) -> None:
    await talk.write("Tobias", "sowed 60 carrots in bed 1")
    kept = await talk.said("Tobias", "the carrots are up")
    assert kept.text.startswith("Up: Carrots (Bed 1), today.")
    assert "First harvest from about" in kept.text and "(from the days" in kept.text
    (back,) = await talk.press("Tobias", kept, "Undo")
    assert "Taken back" in back.text


async def test_seed_that_was_sown_weeks_ago_counts_as_up_and_a_member_says_that_it_is_not(talk: Talk) -> None:
    told = await talk.said("Tobias", "sowed 60 peas in bed 1 on 20 March")
    if any("Yes" in key["text"] for row in told.keyboard for key in row):
        (told,) = await talk.press("Tobias", told, "Yes")
    # Peas: 36 days at 5 C, the slowest of the table (Harrington & Minges 1954): 25 April.
    assert "I think it has been up since Sat 25 Apr (from the days since sowing)" in told.text
    assert "“peas not up yet”" in told.text
    not_yet = await talk.said("Tobias", "peas not up yet")
    assert not_yet.text.startswith("Not up yet: Peas (Bed 1), today.")
    assert "I will ask again in a week" in not_yet.text


async def test_planted_potatoes_are_below_the_soil_until_they_come_up(talk: Talk) -> None:
    kept = await talk.said("Leila", "planted 12 second earlies in bed 5")
    # Three weeks from planting to emergence (Univ. Nebraska-Lincoln, CropWatch): 4 May and 21 days.
    assert "It should be up by about Mon 25 May (from the days since sowing)." in kept.text


async def test_why_of_a_job_says_how_far_the_batch_is_taken_to_have_come(talk: Talk) -> None:
    await talk.write("Tobias", "sowed 40 radishes in bed 1 on 28 March")
    week = await page_with(talk, "Tobias", "/week", "Harvest: Radishes")
    number = next(line.split(".")[0] for line in week.text.splitlines() if "Harvest: Radishes" in line)
    (job,) = await talk.press("Tobias", week, f"Job {number}")
    why = await pressed(talk, "Tobias", job, "Why")
    assert "I think it has been ready since" in why and "(from the days" in why
    assert "“radishes not ready yet”" in why
    await talk.write("Tobias", "radishes not ready yet")
    assert "Harvest: Radishes" not in await whole(talk, "Tobias", "/week")


async def test_one_s_own_peas_are_meant_before_the_neighbours(talk: Talk) -> None:
    await talk.write("Owen", "sowed 40 peas in bed 4 on 20 March")
    kept = await talk.said("Owen", "the peas are flowering")
    assert kept.text.startswith("In flower: Peas (Bed 4), today.")
    not_yet = await talk.said("Owen", "peas not ready yet")
    assert not_yet.text.startswith("Not ready yet: Peas (Bed 4), today.")
