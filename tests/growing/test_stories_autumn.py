"""Stories of frost at the end of the season: what is picked or lifted before dark, and what is past saving.

An experienced grower's judgement (common practice, no source), unless a source is named.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.core.finding import Finding, TaskKind
from bot.core.garden.snapshot import Cover, Planting, Stage
from bot.core.warnings.hazard_cold import killed
from bot.core.warnings.hazards import findings, may_stay
from tests.support.stories import (
    CALLUMS_BED,
    FARAHS_BED,
    GREENHOUSE,
    LONG_BED,
    PLACES,
    POT,
    Story,
    Weather,
    batch,
    crops,
    tonight,
)

OCTOBER, LATE_OCTOBER = date(2026, 10, 10), date(2026, 10, 27)
HARD = Weather((-7.0,), (8.0,))


def summer(crop: str, place_id: int = LONG_BED, count: int = 12) -> Planting:
    """Planted out in June and ready since August."""
    return batch(
        crop, place_id, Stage.READY, count,
        sown_on=date(2026, 4, 25), planted_on=date(2026, 6, 1), stage_on=date(2026, 8, 10),
    )  # fmt: skip


def asked(story: Story) -> set[tuple[str, str]]:
    return set(tonight(story))


@pytest.mark.parametrize("crop", ["courgette", "tomato", "runner-bean", "french-bean", "sweetcorn", "potato-maincrop"])
@pytest.mark.parametrize("on", [OCTOBER, date(2026, 10, 18), LATE_OCTOBER])
def test_what_frost_ends_and_may_be_eaten_is_picked_before_a_hard_october_night(crop: str, on: date) -> None:
    assert asked(Story(on, (summer(crop),), HARD)) == {(crop, "pick or lift")}


@pytest.mark.parametrize("crop", ["pumpkin", "winter-squash", "marrow"])
def test_pumpkins_and_squashes_are_cut_before_frost_and_not_covered(crop: str) -> None:
    """Squash and pumpkins that have been frozen do not keep (Michigan State University Extension, read 2026-11-26)."""
    story = Story(date(2026, 10, 3), (summer(crop, count=4),), Weather((-1.0,), (12.0,)))
    assert asked(story) == {(crop, "pick or lift")}


# What is stored is brought in before a hard frost: growers of seed do so at air minima of about 20 F (cabbage, celeriac)
# and 15 F (carrots, turnips, beets; Giving Ground Seeds); some beets and cabbage heads die at 20 F (Dawling 2012). A
# light frost leaves roots in the soil unharmed (Michigan State University Extension, via a copy, read 2026-11-27).
STORED = ("beetroot", "carrot", "turnip", "kohlrabi", "celeriac", "cabbage-summer")


def stored(crop: str) -> Planting:
    return batch(crop, LONG_BED, Stage.READY, 30, sown_on=date(2026, 5, 20), stage_on=date(2026, 9, 25))


@pytest.mark.parametrize("crop", STORED)
def test_roots_and_heads_for_the_store_come_in_before_a_hard_frost(crop: str) -> None:
    assert asked(Story(LATE_OCTOBER, (stored(crop),), Weather((-8.0,), (4.0,)))) == {(crop, "pick or lift")}


@pytest.mark.parametrize("crop", STORED)
def test_roots_and_heads_stay_in_a_light_frost(crop: str) -> None:
    assert Story(LATE_OCTOBER, (stored(crop),), Weather((-1.0,), (9.0,))).findings == ()


def test_celeriac_that_stood_a_light_frost_is_not_given_up() -> None:
    story = Story(LATE_OCTOBER, (stored("celeriac"),), HARD)
    assert killed(story.garden, crops(), {date(2026, 10, 20): -3.5}) == {}


@pytest.mark.parametrize("crop", ["cauliflower", "calabrese"])
def test_curds_and_heads_that_frost_would_spoil_are_cut(crop: str) -> None:
    """Curds and spears are damaged at -2 to -4 C (Wilson, Payne and Boyd 2023, Table 2), the leaves only below."""
    assert asked(Story(OCTOBER, (stored(crop),), Weather((-4.0,), (9.0,)))) == {(crop, "pick or lift")}


@pytest.mark.parametrize("crop", ["dill", "coriander"])
def test_soft_herbs_past_their_season_are_picked_and_not_fleeced(crop: str) -> None:
    herbs = batch(crop, LONG_BED, Stage.READY, 20, sown_on=date(2026, 7, 20), stage_on=date(2026, 9, 20))
    assert asked(Story(date(2026, 11, 6), (herbs,), Weather((-6.0,), (6.0,)))) <= {(crop, "pick or lift")}


def test_the_picking_is_due_by_sunset_and_is_enough() -> None:
    story = Story(OCTOBER, (summer("courgette"),), HARD)
    (found,) = story.findings
    assert (found.task, found.due_at, found.enough) == (TaskKind.PICK, story.nights[0].sunset_at, True)


def test_beans_in_full_crop_in_september_are_covered_for_a_touch_of_frost_and_not_stripped() -> None:
    story = Story(date(2026, 9, 12), (summer("french-bean", count=40),), Weather((2.0,), (17.0,)))
    assert asked(story) == {("french-bean", "cover")}


def test_what_is_picked_before_the_first_frosty_night_is_not_asked_for_again_before_the_second() -> None:
    story = Story(OCTOBER, (summer("courgette"),), Weather((-7.0, -7.0), (8.0,)))
    assert [one.window_on for one in story.findings] == [OCTOBER]


def test_peppers_under_cold_glass_are_picked_when_the_glass_will_not_keep_them() -> None:
    story = Story(date(2026, 10, 18), (summer("pepper", GREENHOUSE),), HARD)
    assert asked(story) == {("pepper", "pick or lift")}


def test_nobody_goes_out_in_late_november_for_what_was_left() -> None:
    assert Story(date(2026, 11, 25), (summer("courgette"), summer("tomato")), HARD).findings == ()


# -- what may stay


def test_nothing_is_said_to_be_safe_that_the_night_would_kill() -> None:
    tender = tuple(summer(crop) for crop in ("courgette", "potato-maincrop", "runner-bean"))
    hardy = (batch("leek", FARAHS_BED, Stage.GROWING, 40), batch("kale", FARAHS_BED, Stage.READY, 10))
    story = Story(date(2026, 10, 18), (*tender, *hardy), HARD)
    nothing_found: tuple[Finding, ...] = ()
    stay = may_stay(story.garden, crops(), nothing_found, story.nights)
    assert {one.crop for one in stay} == {"leek", "kale"}


# -- what is past saving


def test_courgettes_that_a_frost_has_killed_are_known_to_be_lost_and_asked_for_no_more() -> None:
    story = Story(date(2026, 10, 18), (summer("courgette"), summer("pumpkin", CALLUMS_BED, 3)), HARD)
    frost = {date(2026, 10, 12): -3.0, date(2026, 10, 13): 6.0}
    lost = killed(story.garden, crops(), frost)
    assert set(lost.values()) == {date(2026, 10, 12)} and len(lost) == 2
    assert findings(story.garden, crops(), story.nights, story.forecast, story.now, frozenset(lost)) == ()


@pytest.mark.parametrize(
    "plants",
    [
        batch("leek", LONG_BED, Stage.GROWING, 40, planted_on=date(2026, 6, 1)),  # hardy
        batch("potato-maincrop", LONG_BED, Stage.READY, 20, planted_on=date(2026, 4, 20)),  # safe below the soil
        summer("tomato", GREENHOUSE),  # under glass
        replace(summer("courgette"), stage_on=date(2026, 10, 14)),  # seen alive since
    ],
)
def test_what_may_have_come_through_is_not_given_up(plants: Planting) -> None:
    story = Story(date(2026, 10, 18), (plants,), HARD)
    assert killed(story.garden, crops(), {date(2026, 10, 12): -3.0}) == {}


def test_what_was_covered_that_night_is_not_given_up() -> None:
    story = Story(date(2026, 10, 18), (summer("courgette"),), HARD)
    assert killed(story.garden, crops(), {date(2026, 10, 12): -3.0}, {(LONG_BED, date(2026, 10, 12))}) == {}
    fleeced = tuple(replace(one, cover=Cover.FLEECE) if one.id == LONG_BED else one for one in PLACES)
    under = Story(date(2026, 10, 18), (summer("courgette"),), HARD, places=fleeced)
    assert killed(under.garden, crops(), {date(2026, 10, 12): -3.0}) == {}


def test_a_touch_of_frost_at_the_thermometer_gives_nothing_up() -> None:
    story = Story(date(2026, 10, 18), (summer("courgette"),), HARD)
    assert killed(story.garden, crops(), {date(2026, 10, 12): -0.5}) == {}


def test_a_pot_of_ripe_potatoes_is_emptied_rather_than_carried() -> None:
    story = Story(OCTOBER, (summer("potato-maincrop", POT, 3),), HARD)
    assert asked(story) == {("potato-maincrop", "pick or lift")}


def test_a_batch_of_next_year_is_not_picked_at_the_end_of_this_years_season() -> None:
    young = batch("lettuce", LONG_BED, Stage.GROWING, 30, sown_on=LATE_OCTOBER - timedelta(days=30))
    assert ("lettuce", "pick or lift") not in asked(Story(LATE_OCTOBER, (young,), HARD))
