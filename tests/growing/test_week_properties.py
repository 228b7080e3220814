"""What holds for every garden and night: nothing is said twice, deadlines lead, and warmth never asks for more."""

from __future__ import annotations

from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.finding import Hazard
from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.week import WeekRecords
from tests.support.stories import GREENHOUSE, INES, LONG_BED, POT, STANDING, TOM, TUNNEL, Story, Weather, batch, crops

ON = date(2026, 5, 24)
STAGES = st.sampled_from([stage for stage in Stage if stage is not Stage.ENDED])
PLACES = st.sampled_from([LONG_BED, TUNNEL, GREENHOUSE, POT, STANDING])


BATCHES = st.builds(
    batch, st.sampled_from(sorted(crops())), PLACES, STAGES, st.integers(1, 60), height_cm=st.floats(1, 200)
)


@settings(max_examples=25, deadline=None)
@given(st.lists(BATCHES, max_size=8), st.floats(-6, 10))
def test_every_item_stands_in_exactly_one_job_and_deadlines_by_the_clock_lead(
    plants: list[Planting], night_c: float
) -> None:
    week = Story(ON, tuple(plants), Weather((night_c, 6.0), (17.0,))).week(INES, WeekRecords(litres={LONG_BED: 9.0}))
    keys = [item.key for job in week.jobs for item in job.items]
    assert len(keys) == len(set(keys))
    assert len({job.key for job in week.jobs}) == len(week.jobs)
    by_the_clock = [job.due_at is not None for job in week.jobs]
    assert by_the_clock == sorted(by_the_clock, reverse=True)


@settings(max_examples=25, deadline=None)
@given(st.lists(BATCHES, min_size=1, max_size=6), st.floats(-8, 8), st.floats(0, 6))
def test_a_warmer_night_never_puts_more_at_risk(plants: list[Planting], night_c: float, warmer_c: float) -> None:
    def at_risk(low_c: float) -> dict[int, float]:
        story = Story(ON, tuple(plants), Weather((low_c,), (low_c + 12.0,), cloud_pct=90.0, sun_w_m2=0.0))
        cold = (one for one in story.findings if one.hazard is Hazard.COLD)
        return {one.planting_id or 0: one.probability for one in cold}

    cold, warm = at_risk(night_c), at_risk(night_c + warmer_c)
    assert warm.keys() <= cold.keys()
    assert all(warm[one] <= cold[one] + 1e-9 for one in warm)


@settings(max_examples=25, deadline=None)
@given(st.lists(BATCHES, max_size=6), st.floats(-8, 14))
def test_what_is_still_below_the_soil_is_never_named(plants: list[Planting], night_c: float) -> None:
    story = Story(ON, tuple(plants), Weather((night_c,), (17.0,)))
    named = {one.planting_id for one in story.findings if one.hazard is Hazard.COLD}
    below_ground = {one.id for one in story.garden.plantings if one.stage is Stage.SOWN}
    assert not named & below_ground


def test_a_garden_without_plantings_has_a_quiet_week() -> None:
    week = Story(ON, (), Weather((10.0,), (16.0,))).week(TOM)
    assert week.jobs == ()
    assert week.nothing_urgent
