"""Stories of the week: what stands on whose list, and what does not (common practice, no source, unless named)."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from bot.core.garden.snapshot import Stage
from bot.core.growing.spacing import Grown
from bot.core.growing.week import Job, JobKind, Mark, Week, WeekRecords
from bot.core.weather.odds import StepCode
from tests.support.stories import (
    CALLUM,
    CALLUMS_BED,
    CALLUMS_POT,
    FARAH,
    FARAHS_BED,
    GREENHOUSE,
    INES,
    LONG_BED,
    POT,
    POT_2,
    SILL,
    TOM,
    Story,
    Weather,
    batch,
    crops,
    frosts_end,
)

ON = date(2026, 5, 24)
FROST = Weather((1.0, 9.0, 9.0), days_c=(17.0,))
MILD = Weather((10.0,) * 3, days_c=(18.0,))
BEANS = batch("french-bean", CALLUMS_BED, Stage.GROWING, 30, height_cm=12.0)
POTATO_POTS = tuple(batch("potato-first-early", place, Stage.GROWING, 3, height_cm=30.0) for place in (POT, POT_2))


def kinds(week: Week) -> list[JobKind]:
    return [job.kind for job in week.jobs]


def job(week: Week, kind: JobKind) -> Job:
    return next(one for one in week.jobs if one.kind is kind)


def test_covering_before_tonights_frost_comes_before_everything_else() -> None:
    story = Story(ON, (BEANS, batch("carrot", CALLUMS_BED, Stage.GROWING, 200)), FROST)
    week = story.week(CALLUM, WeekRecords(litres={CALLUMS_BED: 40.0}))
    assert kinds(week)[0] is JobKind.COVER
    assert week.jobs[0].due_at == story.nights[0].sunset_at
    assert not week.nothing_urgent


def test_the_frost_on_one_plot_is_not_the_neighbours_job() -> None:
    assert JobKind.COVER not in kinds(Story(ON, (BEANS,), FROST).week(FARAH))


def test_a_member_without_a_plot_sees_where_help_is_wanted() -> None:
    week = Story(date(2026, 5, 5), POTATO_POTS, Weather((-2.0,))).week(TOM)
    assert kinds(week)[0] is JobKind.BRING_IN
    assert set(job(week, JobKind.BRING_IN).place_ids) == {POT, POT_2}


def test_two_pots_to_bring_in_are_said_once() -> None:
    week = Story(date(2026, 5, 5), POTATO_POTS, Weather((-2.0,))).week(TOM)
    assert kinds(week).count(JobKind.BRING_IN) == 1
    assert job(week, JobKind.BRING_IN).count == 6


def test_a_pot_that_is_someone_elses_turn_is_not_on_my_list() -> None:
    story = Story(date(2026, 5, 5), POTATO_POTS, Weather((-2.0,)))
    mine = job(story.week(TOM), JobKind.BRING_IN)
    turns = {mine.items[0].key: frozenset({FARAH}), mine.items[1].key: frozenset({TOM})}
    assert job(story.week(TOM, WeekRecords(asks=turns)), JobKind.BRING_IN).items == (mine.items[1],)
    assert job(story.week(FARAH, WeekRecords(asks=turns)), JobKind.BRING_IN).items == (mine.items[0],)
    assert JobKind.BRING_IN not in kinds(story.week(CALLUM, WeekRecords(asks=turns)))


def test_an_organiser_sees_the_pot_that_nobody_has_been_asked_for() -> None:
    story = Story(date(2026, 5, 5), POTATO_POTS, Weather((-2.0,)))
    pots = [item.key for item in job(story.week(TOM), JobKind.BRING_IN).items]
    week = story.week(INES, WeekRecords(asks={pots[0]: frozenset({TOM})}))
    assert [item.place_id for item in job(week, JobKind.FIND_SOMEBODY).items] == [POT_2]
    assert JobKind.FIND_SOMEBODY not in kinds(story.week(FARAH))


def test_an_organiser_sees_who_has_gone_silent_and_what_is_not_recorded() -> None:
    places = tuple(replace(one, wet_kg=None) if one.id == POT else one for one in Story(ON, (), MILD).garden.places)
    week = Story(ON, POTATO_POTS, MILD, places=places).week(INES, WeekRecords(silent=(CALLUM,)))
    assert job(week, JobKind.SPEAK_TO).items[0].member_id == CALLUM
    assert job(week, JobKind.COMPLETE).place_ids == (POT,)


def test_someone_away_sees_only_what_they_still_have_to_hand_on() -> None:
    story = Story(ON, (BEANS, *POTATO_POTS), FROST)
    assert story.week(CALLUM, WeekRecords(away=True)).jobs == ()
    pot = job(story.week(TOM), JobKind.BRING_IN).items[0].key
    week = story.week(CALLUM, WeekRecords(away=True, asks={pot: frozenset({CALLUM})}))
    assert [item.key for one in week.jobs for item in one.items] == [pot]


def test_what_is_done_is_not_said_again() -> None:
    story = Story(ON, (batch("tomato", CALLUMS_BED, Stage.FLOWERING, 6),), MILD)
    (item,) = job(story.week(CALLUM), JobKind.FEED).items
    done = Mark(done=True, marked_on=ON, until_on=ON + timedelta(days=item.again_days))
    assert JobKind.FEED not in kinds(story.week(CALLUM, WeekRecords(marks={item.key: done})))
    week_later = Story(ON + timedelta(days=7), story.batches, MILD)
    assert JobKind.FEED in kinds(week_later.week(CALLUM, WeekRecords(marks={item.key: done})))


def test_a_bed_that_is_covered_is_not_asked_for_again_tonight() -> None:
    story = Story(ON, (BEANS,), FROST)
    key = job(story.week(CALLUM), JobKind.COVER).items[0].key
    done = Mark(done=True, marked_on=ON, until_on=ON + timedelta(days=1))
    assert JobKind.COVER not in kinds(story.week(CALLUM, WeekRecords(marks={key: done})))


def test_ten_thirsty_lettuces_today_come_before_thirty_beans_to_pot_on_this_week() -> None:
    beans = batch("runner-bean", SILL, Stage.POTTED_ON, 30, height_cm=45.0)
    april = Story(date(2026, 4, 22), (beans, batch("lettuce", FARAHS_BED, Stage.GROWING, 10)), MILD)
    found = kinds(april.week(FARAH, WeekRecords(litres={FARAHS_BED: 10.0})))
    assert found.index(JobKind.WATER) < found.index(JobKind.POT_ON)


def test_what_is_put_off_is_out_of_sight_until_then() -> None:
    story = Story(ON, (batch("potato-maincrop", CALLUMS_BED, Stage.GROWING, 30, height_cm=25.0),), MILD)
    (item,) = job(story.week(CALLUM), JobKind.EARTH_UP).items
    later = Mark(done=False, marked_on=ON, until_on=ON + timedelta(days=5))
    assert JobKind.EARTH_UP not in kinds(story.week(CALLUM, WeekRecords(marks={item.key: later})))


def test_a_cover_put_off_until_after_the_frost_comes_back_on_its_day() -> None:
    story = Story(ON, (BEANS,), FROST)
    key = job(story.week(CALLUM), JobKind.COVER).items[0].key
    later = Mark(done=False, marked_on=ON, until_on=ON + timedelta(days=5))
    assert JobKind.COVER in kinds(story.week(CALLUM, WeekRecords(marks={key: later})))


def test_a_jobs_key_is_the_same_the_next_day() -> None:
    potatoes = (batch("potato-maincrop", CALLUMS_BED, Stage.GROWING, 30, height_cm=25.0),)
    first, next_day = (Story(on, potatoes, MILD).week(CALLUM) for on in (ON, ON + timedelta(days=1)))
    assert job(first, JobKind.EARTH_UP).key == job(next_day, JobKind.EARTH_UP).key
    assert job(first, JobKind.EARTH_UP).items[0].key == job(next_day, JobKind.EARTH_UP).items[0].key


def test_potatoes_of_25_cm_are_earthed_up_by_two_thirds() -> None:
    # At about 20 cm cover the lower two thirds (RHS).
    story = Story(ON, (batch("potato-maincrop", CALLUMS_BED, Stage.GROWING, 30, height_cm=24.0),), MILD)
    assert job(story.week(CALLUM), JobKind.EARTH_UP).items[0].cm == pytest.approx(16.0)
    short = Story(ON, (batch("potato-maincrop", CALLUMS_BED, Stage.GROWING, 30, height_cm=12.0),), MILD)
    assert JobKind.EARTH_UP not in kinds(short.week(CALLUM))


def test_potatoes_that_nobody_measures_are_earthed_up_a_fortnight_after_they_come_through() -> None:
    # Through the soil three weeks after planting: University of Nebraska-Lincoln, CropWatch.
    tubers = (batch("potato-maincrop", CALLUMS_BED, Stage.SOWN, 30, planted_on=ON - timedelta(days=35)),)
    assert JobKind.EARTH_UP in kinds(Story(ON, tubers, MILD).week(CALLUM))
    later = (batch("potato-maincrop", CALLUMS_BED, Stage.SOWN, 30, planted_on=ON - timedelta(days=30)),)
    assert JobKind.EARTH_UP not in kinds(Story(ON, later, MILD).week(CALLUM))


def test_beans_that_nobody_measures_get_their_canes_a_week_after_planting_out_and_are_not_asked_for_for_ever() -> None:
    def week(days: int) -> list[JobKind]:
        out_on = ON - timedelta(days=days)
        return kinds(
            Story(
                ON, (batch("runner-bean", CALLUMS_BED, Stage.GROWING, 24, planted_on=out_on, stage_on=out_on),), MILD
            ).week(CALLUM)
        )

    assert JobKind.SUPPORT in week(7)
    assert JobKind.SUPPORT not in week(3)
    assert JobKind.SUPPORT not in week(60)


def test_a_hot_house_stands_in_the_week_as_opening_and_shading_for_whoever_shares_it() -> None:
    # Above 27 C plants may be damaged (RHS, Greenhouse: ventilation and shading).
    peppers = batch("pepper", GREENHOUSE, Stage.FLOWERING, 6)
    hot = Story(date(2026, 7, 10), (peppers,), Weather((18.0,), (34.0,), cloud_pct=0.0, sun_w_m2=800.0))
    assert {JobKind.VENT, JobKind.SHADE} <= set(kinds(hot.week(TOM)))
    assert job(hot.week(TOM), JobKind.VENT).due_at is not None
    assert JobKind.VENT not in kinds(hot.week(CALLUM))


def test_beans_that_somebody_saw_ready_early_are_to_be_picked_whatever_the_calendar_says() -> None:
    early = date(2026, 5, 20)
    seen = batch("broad-bean", CALLUMS_BED, Stage.READY, 24, sown_on=date(2025, 11, 5), stage_on=early)
    assert JobKind.HARVEST in kinds(Story(early, (seen,), MILD).week(CALLUM))
    forgotten = replace(seen, stage_on=date(2025, 7, 1), sown_on=date(2025, 3, 1))
    assert JobKind.HARVEST not in kinds(Story(early, (forgotten,), MILD).week(CALLUM))


def test_tall_peas_without_sticks_are_given_some() -> None:
    story = Story(ON, (batch("runner-bean", CALLUMS_BED, Stage.GROWING, 24, height_cm=40.0),), MILD)
    assert job(story.week(CALLUM), JobKind.SUPPORT).crop == "runner-bean"


def test_maincrop_haulm_is_cut_first_and_lifted_a_fortnight_later() -> None:
    autumn = date(2026, 9, 5)
    potatoes = (batch("potato-maincrop", CALLUMS_BED, Stage.READY, 30),)
    week = Story(autumn, potatoes, MILD).week(CALLUM)
    assert JobKind.HARVEST not in kinds(week)
    cut = job(week, JobKind.CUT_HAULM)
    said = {step.code: step.value for step in cut.reasons}
    assert (said[StepCode.PRACTICE], said[StepCode.PUBLISHED]) == (7, 14)  # both are told, the longer is followed
    done = {cut.items[0].key: Mark(done=True, marked_on=autumn, until_on=autumn + timedelta(days=14))}
    meanwhile = kinds(Story(autumn + timedelta(days=8), potatoes, MILD).week(CALLUM, WeekRecords(marks=done)))
    assert not {JobKind.CUT_HAULM, JobKind.HARVEST} & set(meanwhile)
    assert JobKind.HARVEST in kinds(
        Story(autumn + timedelta(days=14), potatoes, MILD).week(CALLUM, WeekRecords(marks=done))
    )


def test_of_two_pots_of_earlies_one_is_opened() -> None:
    pots = tuple(replace(one, stage=Stage.READY) for one in POTATO_POTS)
    week = Story(date(2026, 6, 20), pots, MILD).week(TOM)
    assert len(job(week, JobKind.HARVEST).items) == 1


def test_what_is_neither_recorded_as_ready_nor_old_enough_is_not_lifted() -> None:
    young = (batch("parsnip", CALLUMS_BED, Stage.GROWING, 40, sown_on=date(2026, 4, 1)),)
    assert JobKind.HARVEST not in kinds(Story(date(2026, 7, 1), young, MILD).week(CALLUM))


def test_parsnips_can_wait_and_courgettes_cannot() -> None:
    story = Story(
        date(2026, 10, 10),
        (batch("parsnip", CALLUMS_BED, Stage.READY, 40), batch("courgette", CALLUMS_BED, Stage.READY, 3)),
        MILD,
    )
    crops_in_order = [one.crop for one in story.week(CALLUM).jobs if one.kind is JobKind.HARVEST]
    assert crops_in_order[0] == "courgette"
    assert next(one for one in story.week(CALLUM).jobs if one.crop == "parsnip").by_on is None


def test_water_comes_by_litres_for_the_places_that_are_due() -> None:
    plants = (batch("lettuce", CALLUMS_BED, Stage.GROWING, 40), batch("tomato", CALLUMS_POT, Stage.FLOWERING, 1))
    week = Story(ON, plants, MILD).week(
        CALLUM, WeekRecords(litres={CALLUMS_BED: 38.0, CALLUMS_POT: 1.5, LONG_BED: 60.0})
    )
    water = job(week, JobKind.WATER)
    assert water.litres == 39.5
    assert {item.place_id: item.litres for item in water.items} == {CALLUMS_BED: 38.0, CALLUMS_POT: 1.5}
    assert not week.nothing_urgent


def test_slugs_are_looked_for_once_however_many_beds_there_are() -> None:
    fresh = (batch("lettuce", CALLUMS_BED, Stage.GROWING, 20), batch("french-bean", CALLUMS_POT, Stage.GROWING, 4))
    week = Story(ON, fresh, MILD).week(CALLUM)
    assert [one.detail for one in week.jobs if one.kind is JobKind.WATCH].count("slugs") == 1


def test_no_pest_is_watched_for_out_of_its_season() -> None:
    week = Story(
        date(2026, 1, 10), (batch("cabbage-winter", CALLUMS_BED, Stage.GROWING, 12),), Weather((3.0,), (7.0,))
    ).week(CALLUM)
    assert "cabbage white" not in [one.detail for one in week.jobs]


def test_wanted_crops_are_sown_in_their_season_and_not_twice() -> None:
    wanted = WeekRecords(wanted=frozenset({"tomato", "parsnip"}))
    march = date(2026, 3, 10)
    bare = Story(march, (), MILD, soil_c=8.0).week(FARAH, wanted)
    assert {(one.crop, one.detail) for one in bare.jobs} == {("tomato", "indoors"), ("parsnip", "outdoors")}
    sown = Story(march, (batch("tomato", SILL, Stage.SOWN, 20, sown_on=march),), MILD, soil_c=8.0).week(FARAH, wanted)
    assert [one.crop for one in sown.jobs if one.kind is JobKind.SOW] == ["parsnip"]


def test_nothing_is_sown_in_cold_soil() -> None:
    # French beans: soil of at least 10 C (Mason, National Vegetable Society, 2024).
    wanted = WeekRecords(wanted=frozenset({"french-bean"}))
    on = date(2026, 7, 5)
    assert JobKind.SOW in kinds(Story(on, (), MILD, soil_c=11.0).week(FARAH, wanted))
    assert JobKind.SOW not in kinds(Story(on, (), MILD, soil_c=8.0).week(FARAH, wanted))


def test_radishes_are_sown_again_when_the_last_row_is_old_enough() -> None:
    days = crops()["radish"].harvest.succession_days
    assert days is not None
    row = (batch("radish", FARAHS_BED, Stage.GROWING, 100, sown_on=ON),)
    wanted = WeekRecords(wanted=frozenset({"radish"}))
    assert JobKind.SOW_AGAIN not in kinds(Story(ON + timedelta(days=days - 1), row, MILD).week(FARAH, wanted))
    assert JobKind.SOW_AGAIN in kinds(Story(ON + timedelta(days=days), row, MILD).week(FARAH, wanted))


def test_a_lost_batch_is_sown_again_while_there_is_time() -> None:
    wanted = WeekRecords(wanted=frozenset({"courgette"}))
    lost = (batch("courgette", FARAHS_BED, Stage.ENDED, 4, sown_on=date(2026, 4, 20)),)
    assert JobKind.SOW in kinds(Story(date(2026, 5, 22), lost, MILD, soil_c=17.0).week(FARAH, wanted))
    assert JobKind.SOW not in kinds(Story(date(2026, 8, 22), lost, MILD, soil_c=19.0).week(FARAH, wanted))


def test_a_family_back_too_soon_in_its_bed_is_told_when_it_is_planted() -> None:
    kale = batch("kale", CALLUMS_BED, Stage.GROWING, 8, planted_on=ON - timedelta(days=3))
    family = crops()["kale"].family
    lately = WeekRecords(history={CALLUMS_BED: (Grown("cabbage-summer", family, 2025),)})
    long_ago = WeekRecords(history={CALLUMS_BED: (Grown("cabbage-summer", family, 2015),)})
    assert JobKind.ROTATION in kinds(Story(ON, (kale,), MILD).week(CALLUM, lately))
    assert JobKind.ROTATION not in kinds(Story(ON, (kale,), MILD).week(CALLUM, long_ago))


def test_leggy_beans_stand_on_the_list_as_potting_on() -> None:
    beans = batch("runner-bean", SILL, Stage.POTTED_ON, 24, height_cm=45.0)
    april = date(2026, 4, 22)
    week = Story(april, (beans,), MILD, frost_after=frosts_end(date(2026, 5, 8), 12)).week(FARAH)
    assert JobKind.POT_ON in kinds(week)
    assert not {JobKind.PLANT_OUT, JobKind.HARDEN_OFF} & set(kinds(week))


def test_what_is_not_of_this_garden_is_refused() -> None:
    with pytest.raises(KeyError, match="expected one of its members"):
        Story(ON, (), MILD).week(99)
