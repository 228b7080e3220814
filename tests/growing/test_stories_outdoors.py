"""May it go out yet: an experienced grower's judgement (common practice, no source, unless a source is named)."""

from __future__ import annotations

from datetime import date, timedelta

from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.outdoors import Advice, Verdict, Why, hours_outside
from bot.core.growing.week import WeekRecords
from bot.core.weather.odds import StepCode
from tests.support.stories import (
    FARAH,
    FRAME,
    GREENHOUSE,
    SILL,
    STANDING,
    TOM,
    Story,
    Weather,
    batch,
    crops,
    frosts_end,
)

FROSTS = frosts_end(date(2026, 5, 8), 12)  # nine years in ten the last frost is over by 23 May
MILD = Weather((10.0, 11.0, 10.0, 9.0, 10.0), days_c=(20.0,))
APRIL = Weather((6.0, 7.0, 6.0, 5.0, 6.0), days_c=(14.0,))


def advice(on: date, planting: Planting, weather: Weather, soil_c: float | None = None) -> Advice:
    return Story(on, (planting,), weather, frost_after=FROSTS, soil_c=soil_c).advice[0]


def test_leggy_runner_beans_under_glass_in_april_are_potted_on_and_wait() -> None:
    beans = batch(
        "runner-bean", GREENHOUSE, Stage.POTTED_ON, 24,
        height_cm=45.0, sown_on=date(2026, 3, 25), potted_on=date(2026, 4, 5),
    )  # fmt: skip
    found = advice(date(2026, 4, 22), beans, APRIL)
    assert found.verdict is Verdict.POT_ON
    assert found.safe_on is not None
    assert found.safe_on >= date(2026, 5, 20)
    assert found.wait_days >= 28


def test_potting_on_is_said_to_gain_about_two_weeks() -> None:
    beans = batch("runner-bean", GREENHOUSE, Stage.POTTED_ON, 24, height_cm=45.0)
    steps = {step.code: step.value for step in advice(date(2026, 4, 22), beans, APRIL).reasons}
    assert steps[StepCode.GAIN] == 14


def test_a_warm_spell_in_april_sends_no_tomatoes_out() -> None:
    tomatoes = batch("tomato", GREENHOUSE, Stage.POTTED_ON, 24, height_cm=20.0)
    found = advice(date(2026, 4, 22), tomatoes, Weather((12.0,) * 6, days_c=(22.0,)))
    assert found.verdict is Verdict.HOLD


def test_small_seedlings_in_march_are_simply_held() -> None:
    seedlings = batch("tomato", SILL, Stage.SEEDLING, 40, height_cm=4.0, sown_on=date(2026, 3, 1))
    assert advice(date(2026, 3, 20), seedlings, APRIL).verdict is Verdict.HOLD


def test_seedlings_that_have_outgrown_their_cells_are_potted_on() -> None:
    seedlings = batch("tomato", SILL, Stage.SEEDLING, 40, height_cm=16.0, sown_on=date(2026, 3, 1))
    assert advice(date(2026, 4, 5), seedlings, APRIL).verdict is Verdict.POT_ON


def test_a_fortnight_before_the_safe_date_tomatoes_start_hardening() -> None:
    tomatoes = batch("tomato", GREENHOUSE, Stage.POTTED_ON, 24, height_cm=25.0)
    assert advice(date(2026, 5, 12), tomatoes, Weather((9.0,) * 6, days_c=(18.0,))).verdict is Verdict.HARDEN_OFF


def test_hardened_courgettes_go_out_in_a_mild_june() -> None:
    assert advice(date(2026, 6, 2), batch("courgette", STANDING, Stage.HARDENED, 4), MILD).verdict is Verdict.PLANT_OUT


def test_one_cold_night_ahead_holds_hardened_beans_for_that_night_and_not_for_weeks() -> None:
    cold_first = Weather((1.0, 9.0, 10.0, 10.0, 11.0), days_c=(15.0,))
    found = advice(date(2026, 6, 2), batch("french-bean", STANDING, Stage.HARDENED, 30), cold_first)
    assert found.verdict is Verdict.HOLD
    assert found.safe_on == date(2026, 6, 3)


def test_tender_plants_wait_while_night_after_night_chills_them_but_not_for_a_merely_cool_night() -> None:
    # Tomatoes: 50 F to skip a day, harmed below 45 F (Hennepin County Master Gardeners 2014): 10.0 and 7.2 C.
    tomatoes = batch("tomato", STANDING, Stage.HARDENED, 12)
    chilly = Weather((6.6,) * 2, days_c=(13.0,), cloud_pct=100.0, wind_ms=6.0)
    cool = Weather((8.5,) * 2, days_c=(15.0,), cloud_pct=100.0, wind_ms=6.0)
    assert advice(date(2026, 6, 2), tomatoes, chilly).verdict is Verdict.HOLD
    assert advice(date(2026, 6, 2), tomatoes, cool).verdict is Verdict.PLANT_OUT


def test_what_was_potted_on_last_week_is_not_potted_on_again() -> None:
    lately = batch("runner-bean", GREENHOUSE, Stage.POTTED_ON, 24, height_cm=45.0, potted_on=date(2026, 4, 15))
    assert advice(date(2026, 4, 22), lately, APRIL).verdict is Verdict.HOLD


def test_beans_wait_for_warm_soil_although_the_air_is_warm() -> None:
    # French beans: soil of at least 10 C (Mason, National Vegetable Society, 2024).
    beans = batch("french-bean", STANDING, Stage.HARDENED, 30)
    assert advice(date(2026, 6, 2), beans, MILD, soil_c=8.0).verdict is Verdict.HOLD
    assert advice(date(2026, 6, 2), beans, MILD, soil_c=11.0).verdict is Verdict.PLANT_OUT


def test_unhardened_tomatoes_are_hardened_in_june_and_not_put_straight_out() -> None:
    assert advice(date(2026, 6, 2), batch("tomato", SILL, Stage.POTTED_ON, 12), MILD).verdict is Verdict.HARDEN_OFF


def test_half_hardened_trays_go_on_going_out_by_day_while_they_wait() -> None:
    waiting = batch("tomato", FRAME, Stage.HARDENING, 24, hardening_on=date(2026, 4, 26))
    assert advice(date(2026, 5, 10), waiting, Weather((8.0,) * 6, days_c=(17.0,))).verdict is Verdict.HARDEN_OFF


def test_hardened_cabbages_go_out_in_april_whatever_a_light_frost_does() -> None:
    cabbages = batch("cabbage-summer", STANDING, Stage.HARDENED, 20)
    assert advice(date(2026, 4, 20), cabbages, Weather((0.0, 2.0, 4.0))).verdict is Verdict.PLANT_OUT


def test_tomatoes_left_over_in_august_have_no_safe_date_this_season() -> None:
    found = advice(date(2026, 8, 10), batch("tomato", STANDING, Stage.HARDENED, 3), MILD)
    assert found.verdict is Verdict.HOLD
    assert found.safe_on is None


def test_without_climate_the_trades_window_holds_the_batch() -> None:
    beans = batch("runner-bean", GREENHOUSE, Stage.POTTED_ON, 24, height_cm=30.0)
    found = Story(date(2026, 5, 1), (beans,), APRIL).advice[0]
    assert found.safe_on == date(2026, 5, 22)  # the window of the crop rule opens


def test_a_lost_batch_in_spring_is_said_to_cost_about_two_months() -> None:
    tomatoes = batch("tomato", GREENHOUSE, Stage.POTTED_ON, 24, height_cm=20.0)
    assert 7 <= advice(date(2026, 4, 22), tomatoes, APRIL).lost_weeks <= 9


def peppers(on: date) -> Planting:
    return batch("pepper", FRAME, Stage.HARDENING, 24, hardening_on=on, height_cm=18.0, sown_on=date(2026, 2, 20))


def test_peppers_begin_with_the_safer_hour_and_stay_longer_each_day() -> None:
    # About an hour at first: Hennepin County Master Gardeners 2014; habit says a couple of hours.
    on = date(2026, 5, 18)
    story = Story(on, (peppers(on),), Weather((9.0,) * 7, days_c=(18.0,)))
    hours = [one.hours for one in hours_outside(peppers(on), crops()["pepper"], story.days, story.nights, on)]
    assert hours[0] == 1
    assert hours == sorted(hours)
    assert len(set(hours)) == len(hours)


def test_a_windy_day_and_a_cold_day_are_spent_inside_and_do_not_count() -> None:
    on = date(2026, 5, 18)
    weather = Weather((9.0,) * 7, days_c=(18.0, 9.0, 18.0, 18.0), gusts_ms=(5.0, 5.0, 14.0))
    story = Story(on, (peppers(on),), weather)
    plan = hours_outside(peppers(on), crops()["pepper"], story.days, story.nights, on, 4)
    assert [(one.hours, one.why) for one in plan] == [(1, Why.LONGER), (0, Why.COLD), (0, Why.WINDY), (2, Why.LONGER)]


def test_nights_come_last_and_only_when_they_are_warm() -> None:
    on, begun = date(2026, 5, 28), date(2026, 5, 19)
    warm = Story(on, (peppers(begun),), Weather((19.0, 19.0), days_c=(27.0,), cloud_pct=90.0))
    cool = Story(on, (peppers(begun),), Weather((8.0, 8.0), days_c=(18.0,)))
    pepper = crops()["pepper"]
    assert hours_outside(peppers(begun), pepper, warm.days, warm.nights, on, 1)[0].night
    assert not hours_outside(peppers(begun), pepper, cool.days, cool.nights, on, 1)[0].night
    first_day = hours_outside(peppers(on), pepper, warm.days, warm.nights, on, 1)[0]
    assert not first_day.night


def test_days_beyond_the_forecast_are_said_to_be_unknown() -> None:
    on = date(2026, 5, 18)
    story = Story(on, (peppers(on),), Weather((9.0, 9.0), days_c=(18.0,)))
    plan = hours_outside(peppers(on), crops()["pepper"], story.days, story.nights, on, 7)
    assert plan[-1].why is Why.UNKNOWN
    assert plan[-1].hours == 0


def test_the_hours_of_a_later_day_are_a_job_only_for_whoever_has_that_day() -> None:
    on = date(2026, 5, 18)
    story = Story(on, (peppers(on),), Weather((9.0,) * 4, days_c=(18.0,)), frost_after=FROSTS)
    tomorrow = f"harden off:1:{on + timedelta(days=1)}"
    asked = story.week(FARAH, WeekRecords(asks={tomorrow: frozenset({FARAH})}))
    assert [item.key for job in asked.jobs for item in job.items] == [tomorrow]
    today = [item.key for job in story.week(TOM).jobs for item in job.items if job.kind.value == "harden off"]
    assert today == [f"harden off:1:{on}"]
