"""What a day wants in shared places by turns: an experienced grower's judgement (common practice, no source, unless named)."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from bot.core.garden.snapshot import Garden, PlaceKind, Stage
from bot.core.growing.water import Decision, Watering
from bot.core.tasks.daily_work import Chore, DayRecords, Part, wanted
from bot.core.warnings.hazards import TaskKind
from bot.core.warnings.safety import GUST_MS, Closed
from bot.core.weather.odds import StepCode
from tests.support.stories import (
    CALLUMS_BED,
    FARAHS_BED,
    FRAME,
    GREENHOUSE,
    LONG_BED,
    PLACES,
    POT,
    TUNNEL,
    ZONE,
    Story,
    Weather,
    batch,
    crops,
)

JUNE, MAY, JANUARY = date(2026, 6, 20), date(2026, 5, 10), date(2026, 1, 12)
TOMATOES = batch("tomato", GREENHOUSE, Stage.FLOWERING, 6)
#: Sunny enough that glass passes 27 C more likely than not, but not so surely that the group is warned (0.8).
WARM = Weather((14.0, 14.0), (21.0,), cloud_pct=30.0, sun_w_m2=560.0)
COOL = Weather((8.0, 8.0), (14.0,), cloud_pct=90.0, sun_w_m2=150.0)
DRY = Watering(Decision.WATER, litres=23.0, cans=3, depletion_l=23.0, readily_l=15.0)


def chores(story: Story, now: datetime | None = None, **known: object) -> list[Chore]:
    given = DayRecords(story.forecast, story.findings, story.nights, **known)  # type: ignore[arg-type]
    return list(wanted(story.garden, crops(), given, now or story.now))


def kinds(story: Story, now: datetime | None = None, **known: object) -> list[tuple[TaskKind, int | None]]:
    return [(one.kind, one.place_id) for one in chores(story, now, **known)]


def gusty(story: Story, gust_ms: float, first_h: int, last_h: int) -> Story:
    """The story with such gusts in the hours that end from first_h to last_h of its day."""
    start, end = (datetime.combine(story.on, time(hour), ZONE).astimezone(UTC) for hour in (first_h, last_h))
    hours = tuple(replace(one, gust_ms=gust_ms) if start <= one.at <= end else one for one in story.forecast.hours)
    blown = Story(story.on, story.batches, story.weather, story.supports, story.places)
    blown.__dict__["forecast"] = replace(story.forecast, hours=hours)
    return blown


# -- opening and shading


def test_the_greenhouse_is_opened_before_a_day_that_passes_27() -> None:
    """27 C: RHS, Greenhouse: ventilation and shading, PID 732."""
    (found,) = chores(Story(JUNE, (TOMATOES,), WARM))
    assert (found.kind, found.place_id, found.part) == (TaskKind.VENT, GREENHOUSE, Part.MORNING)
    assert 10 <= found.due_at.astimezone(ZONE).hour <= 14
    assert {step.code for step in found.reasons} >= {StepCode.PLACE, StepCode.THRESHOLD}


def test_a_cool_grey_day_wants_nothing() -> None:
    assert kinds(Story(MAY, (TOMATOES,), COOL)) == []


def test_an_empty_house_wants_nothing_on_a_warm_day() -> None:
    assert kinds(Story(JUNE, (), WARM)) == []


def test_a_really_hot_day_is_the_groups_warning_and_not_a_turn_besides() -> None:
    hot = Weather((15.0, 15.0), (28.0,), cloud_pct=0.0, sun_w_m2=800.0)
    assert kinds(Story(JUNE, (TOMATOES,), hot)) == []


def test_what_a_warnings_duty_sees_to_is_not_asked_again() -> None:
    assert kinds(Story(JUNE, (TOMATOES,), WARM), covered=frozenset({(GREENHOUSE, TaskKind.VENT)})) == []


def test_a_house_that_stands_open_is_not_opened_again() -> None:
    assert kinds(Story(JUNE, (TOMATOES,), WARM), open_ids=frozenset({GREENHOUSE})) == []


def test_a_plots_own_house_is_its_holders_and_nobodys_turn() -> None:
    own = tuple(replace(one, shared=False, plot_id=1) if one.id == GREENHOUSE else one for one in PLACES)
    assert kinds(Story(JUNE, (TOMATOES,), WARM, places=own)) == []


def test_peppers_under_glass_are_shaded_when_open_vents_are_not_enough() -> None:
    """At 30 C outside the vents are the warning's; whether shade is wanted too is less sure, and a turn's."""
    peppers = batch("pepper", GREENHOUSE, Stage.FLOWERING, 6)
    story = Story(JUNE, (peppers,), Weather((14.0, 14.0), (30.0,), cloud_pct=0.0, sun_w_m2=760.0))
    assert kinds(story) == [(TaskKind.SHADE, GREENHOUSE)]


def test_a_house_is_not_opened_into_dangerous_gusts_later_that_day() -> None:
    """35 mph, 15.6 m/s: common practice, no source."""
    assert kinds(gusty(Story(JUNE, (TOMATOES,), WARM), GUST_MS, 17, 18)) == []
    assert kinds(gusty(Story(JUNE, (TOMATOES,), WARM), GUST_MS - 1.0, 17, 18)) == [(TaskKind.VENT, GREENHOUSE)]


def test_a_house_is_not_opened_for_the_last_half_hour_of_the_heat() -> None:
    story = Story(JUNE, (TOMATOES,), WARM)
    ends_at = max(one.ends_at for one in story.findings if one.window_on == JUNE)
    assert kinds(story, ends_at - timedelta(minutes=30)) == []


# -- closing


def test_an_open_house_is_shut_by_sunset_before_a_night_that_chills_tomatoes() -> None:
    """The rule's own chilling temperature decides; sunset in Birmingham on 10 May is about 20:51 BST (NOAA formulas)."""
    cold = Weather((6.0, 6.0), (16.0,), cloud_pct=80.0, sun_w_m2=200.0)
    (found,) = chores(Story(MAY, (TOMATOES,), cold), open_ids=frozenset({GREENHOUSE}))
    assert (found.kind, found.part) == (TaskKind.CLOSE, Part.EVENING)
    due = found.due_at.astimezone(ZONE)
    assert abs(due.hour * 60 + due.minute - (20 * 60 + 51)) <= 4


def test_an_open_house_stays_open_in_a_mild_night() -> None:
    mild = Weather((17.0, 17.0), (20.0,), cloud_pct=80.0, sun_w_m2=200.0)
    assert kinds(Story(JUNE, (TOMATOES,), mild), open_ids=frozenset({GREENHOUSE})) == []


def test_a_shut_house_needs_nobody_before_a_cold_night() -> None:
    cold = Weather((4.0, 4.0), (14.0,), cloud_pct=80.0, sun_w_m2=150.0)
    assert kinds(Story(MAY, (TOMATOES,), cold)) == []


def test_hardy_lettuce_in_an_open_frame_is_not_shut_for_seven_degrees() -> None:
    lettuce = batch("lettuce", FRAME, Stage.GROWING, 10)
    assert kinds(Story(MAY, (lettuce,), Weather((7.0, 7.0), (14.0,))), open_ids=frozenset({FRAME})) == []


def test_a_house_opened_in_the_morning_is_shut_the_same_evening_when_the_night_is_cold() -> None:
    warm_then_cold = Weather((7.0, 7.0), (20.5,), cloud_pct=20.0, sun_w_m2=600.0)
    assert kinds(Story(MAY, (TOMATOES,), warm_then_cold)) == [
        (TaskKind.VENT, GREENHOUSE),
        (TaskKind.CLOSE, GREENHOUSE),
    ]


def test_an_open_house_is_shut_before_the_first_dangerous_gust_and_not_at_sunset() -> None:
    mild = Weather((17.0, 17.0), (20.0,), cloud_pct=80.0, sun_w_m2=200.0)
    story = gusty(Story(JUNE, (TOMATOES,), mild), 18.0, 16, 23)
    (found,) = chores(story, open_ids=frozenset({GREENHOUSE}))
    assert found.kind is TaskKind.CLOSE
    assert found.due_at == datetime(2026, 6, 20, 15, tzinfo=ZONE).astimezone(UTC)
    assert [step.code for step in found.reasons] == [StepCode.GUST]


def test_nobody_is_sent_when_the_dangerous_wind_is_there_already() -> None:
    mild = Weather((17.0, 17.0), (20.0,), cloud_pct=80.0, sun_w_m2=200.0)
    assert kinds(gusty(Story(JUNE, (TOMATOES,), mild), 18.0, 8, 23), open_ids=frozenset({GREENHOUSE})) == []


# -- watering


def test_a_dry_shared_bed_and_pot_are_watered_by_litres() -> None:
    story = Story(JUNE, (), COOL)
    found = chores(story, watering={LONG_BED: DRY, POT: replace(DRY, litres=3.0)})
    assert {(one.place_id, one.litres) for one in found} == {(LONG_BED, 23.0), (POT, 3.0)}
    assert all(one.due_at == story.nights[0].sunset_at for one in found), "nobody waters alone in the dark"


@pytest.mark.parametrize("decision", [Decision.RAIN_ENOUGH, Decision.NOT_DUE, Decision.UNKNOWN])
def test_rain_enough_or_not_due_is_no_turn_today(decision: Decision) -> None:
    assert kinds(Story(JUNE, (), COOL), watering={LONG_BED: replace(DRY, decision=decision)}) == []


def test_less_than_three_litres_in_all_wait_until_it_is_worth_a_walk_but_no_plant_suffers() -> None:
    little = replace(DRY, litres=1.2, cans=1, depletion_l=1.2, readily_l=1.0)
    assert kinds(Story(JUNE, (), COOL), watering={POT: little}) == []
    both = {POT: little, LONG_BED: replace(little, litres=2.0)}
    assert len(kinds(Story(JUNE, (), COOL), watering=both)) == 2
    assert kinds(Story(JUNE, (), COOL), watering={POT: replace(little, depletion_l=1.6)}) == [(TaskKind.WATER, POT)]
    on_the_way = kinds(Story(JUNE, (TOMATOES,), WARM), watering={POT: little})
    assert on_the_way == [(TaskKind.VENT, GREENHOUSE), (TaskKind.WATER, POT)]


def test_a_plots_own_bed_is_watered_by_its_holder() -> None:
    assert kinds(Story(JUNE, (), COOL), watering={FARAHS_BED: DRY, CALLUMS_BED: DRY}) == []


def test_it_is_watered_before_the_thunder() -> None:
    story = Story(JUNE, (), COOL)
    four = datetime(2026, 6, 20, 16, tzinfo=ZONE)
    hours = tuple(
        replace(one, thunder=one.at >= four and one.at < four + timedelta(hours=9)) for one in story.forecast.hours
    )
    story.__dict__["forecast"] = replace(story.forecast, hours=hours)
    (found,) = chores(story, watering={LONG_BED: DRY})
    assert found.due_at.astimezone(ZONE) == datetime(2026, 6, 20, 15, tzinfo=ZONE)


def test_an_official_severe_warning_closes_its_hours() -> None:
    story = Story(JUNE, (), COOL)
    all_day = Closed(story.now - timedelta(hours=1), story.now + timedelta(hours=14))
    assert kinds(story, watering={LONG_BED: DRY}, closed=(all_day,)) == []


def test_nothing_is_asked_for_when_the_sun_is_about_to_set() -> None:
    story = Story(JUNE, (), COOL)
    assert kinds(story, story.nights[0].sunset_at - timedelta(minutes=30), watering={LONG_BED: DRY}) == []


# -- hoses


def test_hoses_are_drained_before_a_hard_frost_by_sunset() -> None:
    """28 F, -2.2 C: below it frost is hard (Phillips, Michigan State University Extension, 2014)."""
    (found,) = chores(Story(JANUARY, (), Weather((-5.0, -5.0), (2.0,))))
    assert (found.kind, found.place_id, found.part) == (TaskKind.DRAIN, None, Part.EVENING)
    assert found.due_at.astimezone(ZONE).hour == 16


def test_a_light_frost_drains_nothing() -> None:
    assert kinds(Story(JANUARY, (), Weather((-1.0, -1.0), (4.0,)))) == []


def test_hoses_that_are_drained_are_not_drained_again() -> None:
    assert kinds(Story(JANUARY, (), Weather((-5.0, -5.0), (2.0,))), drained=True) == []


# -- the clock


@pytest.mark.parametrize("on", [date(2026, 3, 29), date(2026, 10, 25)])
def test_sunset_is_right_on_the_days_when_the_clocks_change(on: date) -> None:
    """Sunset in Birmingham: 19:37 BST on 29 March, 16:47 GMT on 25 October 2026 (NOAA formulas, within minutes)."""
    (found,) = chores(Story(on, (), COOL), watering={LONG_BED: DRY})
    due = found.due_at.astimezone(ZONE)
    expected = time(19, 37) if on.month == 3 else time(16, 47)
    assert abs(due.hour * 60 + due.minute - expected.hour * 60 - expected.minute) <= 5


def test_organisers_stricter_wind_limit_holds_for_turns_too() -> None:
    story = gusty(Story(JUNE, (TOMATOES,), WARM), 12.0, 17, 18)
    garden: Garden = replace(story.garden, gust_limit_ms=11.0, place_by_id={})
    given = DayRecords(story.forecast, story.findings, story.nights)
    assert wanted(garden, crops(), given, story.now) == ()


def test_every_kind_of_house_is_looked_at() -> None:
    assert {one.kind for one in PLACES if one.id in (TUNNEL, GREENHOUSE, FRAME)} == {
        PlaceKind.TUNNEL,
        PlaceKind.GREENHOUSE,
        PlaceKind.FRAME,
    }
    under = tuple(batch("tomato", place, Stage.FLOWERING, 6) for place in (TUNNEL, GREENHOUSE, FRAME))
    assert {place for _, place in kinds(Story(JUNE, under, WARM))} == {TUNNEL, GREENHOUSE, FRAME}
