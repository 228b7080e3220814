"""Running to seed: what is reckoned, what is only suspected."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.bolting import CARROT, Reason, Verdict, chill_degree_days, chill_sum, judge, swing
from bot.core.growing.crop import Bolting, Life
from bot.core.weather.days import Day
from bot.crops.loader import load
from tests.growing.invented import crop

CROPS = load()

SOWN = date(2026, 3, 1)
CARROTS = Planting(1, "carrot", 1, Stage.GROWING, 60, sown_on=SOWN)


def run(means_c: list[float | None], start: date = SOWN, half_span_c: float = 3.0) -> list[Day]:
    return [
        Day(start + timedelta(days=n))
        if mean is None
        else Day(start + timedelta(days=n), mean - half_span_c, mean + half_span_c, mean)
        for n, mean in enumerate(means_c)
    ]


def test_chill_at_a_steady_five_degrees_is_six_degree_days_a_day() -> None:
    """Atherton et al. 1990, base -1: first bolters at 126 degree-days (21 days at 5), nine in ten at 336 (56 days)."""
    assert chill_degree_days(5.0, CARROT) == pytest.approx(6.0)
    assert chill_sum([5.0] * 20, CARROT) < CARROT.first_cd == pytest.approx(chill_sum([5.0] * 21, CARROT))
    assert chill_sum([5.0] * 55, CARROT) < CARROT.most_cd == pytest.approx(chill_sum([5.0] * 56, CARROT))


def test_chill_is_greatest_at_six_and_a_half_and_none_beyond_its_ends() -> None:
    """Base -1.0, optimum 6.5, maximum 16.0: Atherton et al. 1990."""
    course = [chill_degree_days(tenth / 10.0, CARROT) for tenth in range(-30, 200)]
    assert max(course) == chill_degree_days(6.5, CARROT) == pytest.approx(7.5)
    assert chill_degree_days(-1.0, CARROT) == chill_degree_days(16.0, CARROT) == chill_degree_days(25.0, CARROT) == 0.0
    assert chill_degree_days(11.25, CARROT) == pytest.approx(3.75)


def test_carrots_are_at_risk_once_chilled_past_the_published_sum() -> None:
    rule = crop("carrot", bolting=Bolting(juvenile_weeks=0), life=Life.BIENNIAL)
    # Halfway between the first bolter (126) and nine in ten (336): 231 degree-days, 38.5 days at 6.
    found = judge(CARROTS, rule, run([5.0] * 39), 52.0)
    assert (found.verdict, found.reasons) == (Verdict.RISK, (Reason.CHILL,))
    assert found.chill == pytest.approx(39 * 6.0)
    assert found.chill_needed == 231.0
    assert judge(CARROTS, rule, run([5.0] * 38), 52.0).verdict is Verdict.NONE


def test_chill_is_counted_since_sowing_and_not_on_the_days_of_the_forecast_alone() -> None:
    rule = crop("carrot", bolting=Bolting(juvenile_weeks=0), life=Life.BIENNIAL)
    days = run([5.0] * 45)
    before, coming = days[:34], days[34:]
    assert judge(CARROTS, rule, coming, 52.0).verdict is Verdict.NONE
    found = judge(CARROTS, rule, coming, 52.0, past=before)
    assert found.verdict is Verdict.RISK and found.chill == pytest.approx(45 * 6.0)


def test_a_day_that_is_both_past_and_forecast_counts_once() -> None:
    rule = crop("carrot", bolting=Bolting(juvenile_weeks=0), life=Life.BIENNIAL)
    days = run([5.0] * 20)
    assert judge(CARROTS, rule, days, 52.0, past=days).chill == pytest.approx(20 * 6.0)


def test_heat_of_last_month_is_no_news() -> None:
    lettuce = Planting(3, "lettuce", 1, Stage.GROWING, 20, sown_on=SOWN)
    rule = crop("lettuce", bolting=Bolting(heat_c=27.0))
    past, coming = run([28.0] * 5), run([15.0] * 5, SOWN + timedelta(days=40))
    assert judge(lettuce, rule, coming, 52.0, past=past).verdict is Verdict.NONE


def test_chill_outside_does_not_count_for_what_stands_on_the_sill() -> None:
    rule = replace(CROPS["celery"], bolting=CELERY)
    tray = Planting(2, "celery", 1, Stage.POTTED_ON, 6, sown_on=SOWN)
    assert judge(tray, rule, run([6.0] * 60), 52.0).chill == 0.0
    out = replace(tray, stage=Stage.GROWING, planted_on=SOWN + timedelta(days=50))
    assert judge(out, rule, run([6.0] * 60), 52.0).chill == 10.0


def test_no_grower_of_spring_cabbage_or_onion_sets_is_frightened_by_an_ordinary_spring() -> None:
    """Their chill comes every year; what sends them to seed is sowing too early, or dry roots (common practice)."""
    for key in ("cabbage-spring", "onion-set", "shallot"):
        rule = CROPS[key].bolting
        assert rule is None or rule.chill_c is None


def test_celery_has_the_critical_temperature_of_its_source() -> None:
    """About 14 degrees: doi 10.1080/00221589.1990.11516075, abstract."""
    rule = CROPS["celery"].bolting
    assert rule is not None and rule.chill_c == 14.0


def test_chill_before_the_end_of_the_juvenile_stage_does_not_count() -> None:
    rule = crop("carrot", bolting=Bolting(juvenile_weeks=8), life=Life.BIENNIAL)
    found = judge(CARROTS, rule, run([5.0] * 56), 52.0)
    assert (found.verdict, found.chill) == (Verdict.NONE, 0.0)


CELERY = Bolting(chill_c=14.0, chill_days=14, juvenile_weeks=2)


@pytest.mark.parametrize(("mean_c", "verdict"), [(10.0, Verdict.RISK), (18.0, Verdict.NONE)])
def test_celery_bolts_at_ten_degrees_and_not_at_eighteen(mean_c: float, verdict: Verdict) -> None:
    """Glasshouse celery, 1990: about 14 degrees is critical, at 10 it bolts, at 18 none does."""
    celery = Planting(2, "celery", 1, Stage.GROWING, 6, sown_on=SOWN)
    assert judge(celery, crop("celery", bolting=CELERY), run([mean_c] * 30), 52.0).verdict is verdict


def test_chilled_days_that_are_not_known_leave_the_verdict_unknown_not_safe() -> None:
    celery = Planting(2, "celery", 1, Stage.GROWING, 6, sown_on=SOWN)
    rule = crop("celery", bolting=CELERY)
    assert judge(celery, rule, run([16.0] * 20 + [None] * 3), 52.0).verdict is Verdict.UNKNOWN
    assert judge(replace(celery, sown_on=None), rule, run([16.0] * 20), 52.0).verdict is Verdict.UNKNOWN


def test_a_swing_alone_is_a_suspicion_and_not_a_risk() -> None:
    """1 to 20 degrees within days upsets many plants: growers' word, common practice, no source."""
    days = [Day(SOWN, 1.0, 12.0, 6.0), Day(SOWN + timedelta(days=3), 9.0, 20.0, 14.0)]
    lettuce = Planting(3, "lettuce", 1, Stage.GROWING, 20, sown_on=SOWN)
    found = judge(lettuce, crop("lettuce", bolting=Bolting(heat_c=27.0)), days, 52.0)
    assert (found.verdict, found.reasons) == (Verdict.SUSPICION, (Reason.SWING,))
    assert not swing([days[0], replace(days[1], on=SOWN + timedelta(days=4))])
    assert not swing([replace(days[0], min_c=None), days[1]])


def test_lettuce_bolts_from_heat_on_two_days_running() -> None:
    lettuce = Planting(3, "lettuce", 1, Stage.GROWING, 20, sown_on=SOWN)
    rule = crop("lettuce", bolting=Bolting(heat_c=27.0))
    hot = judge(lettuce, rule, run([25.0, 25.0, 18.0]), 52.0)
    assert (hot.verdict, hot.reasons, hot.hottest_c) == (Verdict.RISK, (Reason.HEAT,), 28.0)
    assert judge(lettuce, rule, run([25.0, 18.0, 25.0]), 52.0).verdict is Verdict.NONE


def test_spinach_bolts_when_days_are_long() -> None:
    """N at 52 N is 13.65 h on day 105 and 16.49 h on day 172 (FAO-56 equation 34)."""
    spinach = Planting(4, "spinach", 1, Stage.GROWING, 40, sown_on=SOWN)
    rule = crop("spinach", bolting=Bolting(day_h=14.0))
    april, june = (
        judge(spinach, rule, run([12.0] * 2, start), 52.0) for start in (date(2026, 4, 14), date(2026, 6, 20))
    )
    assert april.verdict is Verdict.NONE
    assert june.verdict is Verdict.RISK
    assert june.longest_h == pytest.approx(16.49, abs=0.01)


def test_long_days_count_for_a_crop_that_needs_chill_only_after_the_chill() -> None:
    rule = crop("onion", bolting=Bolting(chill_c=13.0, chill_days=90, day_h=14.0))
    onion = Planting(5, "onion", 1, Stage.GROWING, 40, sown_on=SOWN)
    assert judge(onion, rule, run([15.0] * 120), 52.0).verdict is Verdict.NONE
    assert judge(onion, rule, run([9.0] * 120), 52.0).reasons == (Reason.CHILL, Reason.DAY_LENGTH)


@pytest.mark.parametrize(("dry", "verdict"), [(True, Verdict.RISK), (False, Verdict.NONE), (None, Verdict.NONE)])
def test_coriander_bolts_from_drought_when_it_is_known_to_be_dry(dry: bool | None, verdict: Verdict) -> None:
    coriander = Planting(6, "coriander", 1, Stage.GROWING, 30, sown_on=SOWN)
    rule = crop("coriander", bolting=Bolting(heat_c=25.0, drought=True))
    assert judge(coriander, rule, run([12.0] * 3), 52.0, dry=dry).verdict is verdict


@pytest.mark.parametrize("stage", [Stage.SOWN, Stage.FLOWERING, Stage.READY, Stage.ENDED])
def test_what_does_not_show_or_is_past_it_is_left_alone(stage: Stage) -> None:
    rule = crop("carrot", bolting=Bolting(juvenile_weeks=0))
    assert judge(replace(CARROTS, stage=stage), rule, run([5.0] * 60), 52.0).verdict is Verdict.NONE
    assert judge(CARROTS, crop("carrot"), run([5.0] * 60), 52.0).verdict is Verdict.NONE


@settings(max_examples=30)
@given(st.lists(st.floats(-10.0, 30.0), min_size=1, max_size=30))
def test_the_order_of_days_does_not_matter_and_more_days_never_lessen_the_chill(means_c: list[float]) -> None:
    rule = crop("carrot", bolting=Bolting(juvenile_weeks=0), life=Life.BIENNIAL)
    days = run(list(means_c))
    assert judge(CARROTS, rule, days[::-1], 52.0) == judge(CARROTS, rule, days, 52.0)
    assert judge(CARROTS, rule, days[:-1], 52.0).chill <= judge(CARROTS, rule, days, 52.0).chill
