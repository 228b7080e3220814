"""Stories of what is sown, planted and looked after: depth, chitting, autumn sowings, nets, stakes, leggy seedlings.

An experienced grower's judgement (common practice, no source), unless a source is named.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.core.finding import Hazard, TaskKind
from bot.core.garden.snapshot import Cover, Planting, Stage, Support, SupportKind
from bot.core.growing.jobs.raising import LEGGY
from bot.core.growing.seasons import harvest_days, in_window
from bot.core.growing.succession import Where, first_harvest, sowing_places
from bot.core.growing.week import Job, JobKind, WeekRecords
from tests.support.stories import CALLUM, CALLUMS_BED, FARAH, PLACES, SILL, Story, Weather, batch, crops

MILD = Weather((9.0, 9.0, 9.0), (18.0,))
COOL = Weather((4.0, 4.0, 4.0), (9.0,))


def jobs(story: Story, kind: JobKind, member_id: int = CALLUM, wanted: frozenset[str] = frozenset()) -> list[Job]:
    return [one for one in story.week(member_id, WeekRecords(wanted=wanted)).jobs if one.kind is kind]


# -- chitting: light, cool, free of frost, six weeks before planting (RHS, potatoes)


def test_seed_potatoes_are_set_out_to_chit_and_not_sown_in_the_warm() -> None:
    story = Story(date(2026, 2, 5), (batch("leek", CALLUMS_BED, Stage.READY, 9),), COOL)
    wanted = frozenset({"potato-first-early"})
    (chit,) = jobs(story, JobKind.CHIT, wanted=wanted)
    assert (chit.detail, chit.items[0].cm) == (Where.CHIT, None)
    assert jobs(story, JobKind.SOW, wanted=wanted) == []


def test_what_chits_already_is_not_set_out_again_but_planted_in_its_time() -> None:
    trays = batch("potato-first-early", SILL, Stage.CHITTING, 30)
    wanted = frozenset({"potato-first-early"})
    assert jobs(Story(date(2026, 2, 20), (trays,), COOL), JobKind.CHIT, FARAH, wanted=wanted) == []
    (plant,) = jobs(Story(date(2026, 3, 22), (trays,), COOL, soil_c=9.0), JobKind.SOW, FARAH, wanted=wanted)
    assert plant.detail == Where.OUTDOORS


@pytest.mark.parametrize(
    ("key", "first", "last"),  # RHS, potatoes: mid-March to April, early to mid-April, from mid-April
    [
        ("potato-first-early", date(2026, 3, 15), date(2026, 4, 30)),
        ("potato-second-early", date(2026, 4, 1), date(2026, 4, 20)),
    ],
)
def test_early_potatoes_are_planted_when_the_rhs_plants_them(key: str, first: date, last: date) -> None:
    day = timedelta(days=1)
    planted = {on: Where.OUTDOORS in {one.where for one in sowing_places(crops()[key], on)}
               for on in (first - day, first, last, last + day)}  # fmt: skip
    assert list(planted.values()) == [False, True, True, False]


def test_maincrop_potatoes_wait_until_mid_april() -> None:
    window = crops()["potato-maincrop"].sowing.outdoors
    assert window is not None and window[0] == (4, 15)


def test_first_earlies_planted_in_mid_march_are_lifted_ten_to_twelve_weeks_later() -> None:
    planted_on = date(2026, 3, 19)
    least, most = first_harvest(crops()["potato-first-early"], planted_on)
    assert (least - planted_on, most - planted_on) == (timedelta(weeks=10), timedelta(weeks=12))


# -- autumn sowings stand the winter: NVS, Simply Vegetables, autumn 2024; Kettell, RHS, 2010

NOVEMBER = date(2026, 11, 3)


@pytest.mark.parametrize("key", ["broad-bean", "pea", "onion-set", "garlic"])
def test_what_stands_the_winter_is_started_in_autumn(key: str) -> None:
    assert Where.OUTDOORS in {one.where for one in sowing_places(crops()[key], NOVEMBER)}


def test_beans_sown_in_november_are_picked_in_june_not_in_february() -> None:
    first_on, last_on = first_harvest(crops()["broad-bean"], NOVEMBER)
    assert date(2027, 5, 20) <= first_on <= date(2027, 6, 15) and last_on <= date(2027, 7, 5)
    assert harvest_days(crops()["broad-bean"], date(2027, 3, 10)) == crops()["broad-bean"].harvest.days


def test_beans_sown_in_november_do_not_flower_in_january_and_call_nobody() -> None:
    beans = batch("broad-bean", CALLUMS_BED, Stage.SOWN, 60, sown_on=NOVEMBER)
    story = Story(date(2027, 1, 20), (beans,), Weather((-6.0,), (3.0,)))
    assert story.garden.plantings[0].stage in (Stage.SEEDLING, Stage.GROWING)
    assert story.findings == ()


def test_beans_sown_in_november_flower_by_mid_may() -> None:
    beans = batch("broad-bean", CALLUMS_BED, Stage.SOWN, 60, sown_on=NOVEMBER)
    assert Story(date(2027, 5, 15), (beans,), MILD).garden.plantings[0].stage is Stage.FLOWERING


def test_every_autumn_window_lies_in_the_dark_half_of_the_year() -> None:
    windows = {key: crop.sowing.autumn for key, crop in crops().items() if crop.sowing.autumn}
    assert windows and all(in_window(date(2026, 10, 25), window) for window in windows.values())


# -- earthing up


def maincrop(height_cm: float) -> Story:
    potatoes = batch("potato-maincrop", CALLUMS_BED, Stage.GROWING, 30, height_cm=height_cm)
    return Story(date(2026, 7, 5), (potatoes,), MILD)


def test_a_ridge_is_never_asked_to_be_half_a_metre_high() -> None:
    (ridge,) = jobs(maincrop(55.0), JobKind.EARTH_UP)
    assert ridge.items[0].cm is not None and ridge.items[0].cm <= 30


def test_potatoes_that_have_closed_over_the_ridge_are_earthed_up_no_more() -> None:
    assert jobs(maincrop(70.0), JobKind.EARTH_UP) == []


# -- nets


@pytest.mark.parametrize("key", ["kale", "cabbage-winter", "brussels-sprouts", "pea"])
def test_what_pigeons_eat_is_netted_and_not_only_looked_at(key: str) -> None:
    month = 5 if key == "pea" else 11
    story = Story(date(2026, month, 1), (batch(key, CALLUMS_BED, Stage.GROWING, 12, sown_on=date(2026, 4, 1)),), COOL)
    assert "pigeons" in [one.detail for one in jobs(story, JobKind.NET)]
    assert "pigeons" not in [one.detail for one in jobs(story, JobKind.WATCH)]


def test_what_lies_under_a_net_is_not_netted_again() -> None:
    netted = tuple(replace(one, cover=Cover.NET) if one.id == CALLUMS_BED else one for one in PLACES)
    story = Story(date(2026, 11, 1), (batch("kale", CALLUMS_BED, Stage.GROWING, 12),), COOL, places=netted)
    assert jobs(story, JobKind.NET) == []


# -- tall plants in a gale

GALE = Weather((9.0, 9.0), (16.0,), wind_ms=5.0, gusts_ms=(10.0, 24.0))


def tied(story: Story) -> list[tuple[str, int]]:
    plants = {one.id: one.crop for one in story.garden.plantings}
    return [
        (plants[one.planting_id or 0], one.place_id)
        for one in story.findings
        if one.hazard is Hazard.WIND and one.task is TaskKind.TIE
    ]


def beans(height_cm: float) -> Planting:
    return batch("broad-bean", CALLUMS_BED, Stage.FLOWERING, 60, sown_on=date(2025, 11, 3), height_cm=height_cm)


def test_tall_broad_beans_without_stakes_are_in_the_gales_warning() -> None:
    assert tied(Story(date(2026, 5, 20), (beans(120.0),), GALE)) == [("broad-bean", CALLUMS_BED)]


def test_young_broad_beans_are_left_alone_in_a_gale() -> None:
    young = batch("broad-bean", CALLUMS_BED, Stage.SEEDLING, 60, height_cm=20.0)
    assert tied(Story(date(2026, 4, 2), (young,), GALE)) == []


def test_a_breezy_day_calls_nobody_to_broad_beans() -> None:
    breeze = Weather((9.0, 9.0), (16.0,), wind_ms=6.0, gusts_ms=(11.0, 11.0))
    assert tied(Story(date(2026, 5, 20), (beans(120.0),), breeze)) == []


def test_staked_broad_beans_are_reckoned_with_their_stakes() -> None:
    stakes = Support(1, CALLUMS_BED, SupportKind.STAKES, height_m=1.2, width_m=4.0, ties=12)
    story = Story(date(2026, 5, 20), (beans(120.0),), GALE, supports=(stakes,))
    assert {one.support_id for one in story.findings if one.task is TaskKind.TIE} <= {1}


def test_stakes_are_not_asked_for_when_the_season_ends() -> None:
    sprouts = batch("runner-bean", CALLUMS_BED, Stage.READY, 24, height_cm=150.0)
    assert jobs(Story(date(2026, 10, 5), (sprouts,), MILD), JobKind.SUPPORT) == []
    assert jobs(Story(date(2026, 7, 25), (sprouts,), MILD), JobKind.SUPPORT) != []


# -- leggy seedlings


@pytest.mark.parametrize(("height_cm", "detail"), [(46.0, LEGGY), (16.0, None)])
def test_leggy_seedlings_are_told_apart_from_those_that_only_want_a_bigger_pot(
    height_cm: float, detail: str | None
) -> None:
    tomatoes = batch("tomato", SILL, Stage.SEEDLING, 12, sown_on=date(2026, 3, 1), height_cm=height_cm)
    (pot_on,) = jobs(Story(date(2026, 4, 10), (tomatoes,), COOL), JobKind.POT_ON, FARAH)
    assert pot_on.detail == detail


# -- the harvest before a frost

FROST_ON_TUESDAY = Weather((6.0, 6.0, 5.0, -3.0, -3.0), (13.0,))


def test_pumpkins_are_harvested_before_the_frost_and_not_a_week_after_it() -> None:
    pumpkins = batch("pumpkin", CALLUMS_BED, Stage.READY, 6, sown_on=date(2026, 5, 1), planted_on=date(2026, 6, 1))
    story = Story(date(2026, 10, 10), (pumpkins,), FROST_ON_TUESDAY)
    week = story.week(CALLUM)
    about = [one for one in week.jobs if one.crop == "pumpkin" and one.kind in (JobKind.HARVEST, JobKind.PICK)]
    assert len(about) == 1, "said once"
    assert about[0].by_on is not None and about[0].by_on <= date(2026, 10, 13)


# -- cold soil


def safe_on(on: date, soil_c: float) -> date | None:
    tomatoes = batch("tomato", SILL, Stage.HARDENED, 12, sown_on=date(2026, 3, 1))
    return Story(on, (tomatoes,), Weather((12.0, 12.0, 12.0, 12.0, 12.0), (20.0,)), soil_c=soil_c).advice[0].safe_on


def test_cold_soil_does_not_put_planting_out_off_week_by_week_all_season() -> None:
    opens = crops()["tomato"].planting.out
    assert opens is not None
    first_on = date(2026, *opens[0])
    days = [safe_on(first_on + timedelta(days=n), 11.0) for n in (0, 7, 14, 21, 24)]
    assert None not in days and len(set(days[2:4])) == 1
    assert days[4] == first_on + timedelta(days=24), "by now it goes out"
