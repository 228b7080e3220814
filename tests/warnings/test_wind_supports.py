"""A row of peas on a frame is a wall to the wind."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.garden.snapshot import Planting, Stage, Support, SupportKind
from bot.core.units import mph_to_ms
from bot.core.warnings.holding import steps
from bot.core.warnings.supports import assess, cable_tie_n, leaf_wall, needed, panel_force_n
from bot.core.weather.odds import StepCode
from bot.core.weather.wind import gust_at_height, pressure_pa

FRAME = Support(1, 1, SupportKind.FRAME, height_m=1.8, width_m=3.0)
CANES = Support(2, 1, SupportKind.CANES, height_m=2.0, width_m=3.0)


def test_force_on_a_solid_panel_is_that_of_the_worked_example() -> None:
    """1.8 x 0.6 m, coefficient 1.2, 50 mph: 1.2 x 312.26 x 1.08 = 404.69 N (by hand, EN 1991-1-4 pressure)."""
    assert panel_force_n(pressure_pa(mph_to_ms(50)), 1.8 * 0.6, 1.0) == pytest.approx(404.69, abs=0.01)


def test_twice_the_wind_is_four_times_the_force() -> None:
    """Read via paperzz 9501895, 2026-11-25."""
    slow, fast = (panel_force_n(pressure_pa(ms), 1.0, 0.6) for ms in (10.0, 20.0))
    assert fast == pytest.approx(4.0 * slow)


def test_a_net_takes_the_share_of_the_load_that_it_stops() -> None:
    """Solid load x (1 - effective porosity); oblique wind by cos squared (Richards & Robinson 1999, abstract)."""
    solid_n = panel_force_n(200.0, 2.0, 1.0)
    assert panel_force_n(200.0, 2.0, 1.0 - 0.4) == pytest.approx(0.6 * solid_n)
    assert panel_force_n(200.0, 2.0, 1.0, angle_deg=60.0) == pytest.approx(0.25 * solid_n)


@pytest.mark.parametrize(
    ("width_mm", "least_n"),
    [(2, 50), (2.5, 80), (3.6, 130), (4.8, 180), (6, 220), (7, 360), (7.6, 450), (9, 530), (10, 800)],
)
def test_cable_ties_hold_what_the_standard_says(width_mm: float, least_n: float) -> None:
    """QB/T 4494-2013, read via cableties.cc, 2026-11-25."""
    assert cable_tie_n(width_mm) == least_n


@pytest.mark.parametrize("width_mm", [0.0, 10.1])
def test_the_strength_of_other_ties_is_asked_for(width_mm: float) -> None:
    with pytest.raises(ValueError, match="newtons"):
        cable_tie_n(width_mm)


def test_moment_of_a_full_wall_is_force_times_half_its_height() -> None:
    """By statics: 1.2 q A phi h/2, for leaves to the top of a frame of thin bars."""
    bare = Support(1, 1, SupportKind.FRAME, height_m=2.0, width_m=3.0, solidity=0.0)
    pressure = pressure_pa(gust_at_height(20.0, 2.0))
    assert assess(bare, 2.0, 0.6).asked(20.0) == pytest.approx(1.2 * pressure * 6.0 * 0.6 * 1.0)


def test_at_the_gust_it_holds_the_moment_is_just_what_it_resists() -> None:
    wall = assess(CANES, 1.6, 0.6)
    assert wall.asked(wall.gust_ms) == pytest.approx(wall.resists)
    low_ms, high_ms = wall.range_ms
    assert low_ms < wall.gust_ms < high_ms


def test_gusts_in_the_mid_forties_worry_the_grower_of_a_full_row_of_beans() -> None:
    """Growers' word (common practice, no source): mid-forties mph worry, and 65 mph happens."""
    low_ms, high_ms = assess(CANES, 2.0, 0.6).range_ms
    assert low_ms < mph_to_ms(45)
    assert high_ms < mph_to_ms(65)


def test_young_peas_on_a_frame_need_nothing_where_full_ones_need_ties() -> None:
    young, full = assess(FRAME, 0.4, 0.2), assess(FRAME, 1.8, 0.7)
    assert needed(FRAME, young, 24.0).ties == 0
    assert needed(FRAME, full, 24.0).ties > 0


def test_the_ties_that_are_asked_for_are_enough_and_one_fewer_is_not() -> None:
    full = assess(FRAME, 1.8, 0.7)
    more = needed(FRAME, full, 24.0).ties
    tied = [
        assess(Support(1, 1, SupportKind.FRAME, height_m=1.8, width_m=3.0, ties=n), 1.8, 0.7) for n in (more, more - 1)
    ]
    assert tied[0].gust_ms >= 24.0 > tied[1].gust_ms


def test_a_tie_counts_for_half_of_its_strength_after_a_season_outdoors() -> None:
    """IEC 62275 type 1: at least half after conditioning (standard's summary, read 2026-11-25)."""
    tied = Support(1, 1, SupportKind.FRAME, height_m=2.0, width_m=3.0, ties=4, tie_n=180.0)
    bare = Support(1, 1, SupportKind.FRAME, height_m=2.0, width_m=3.0)
    assert assess(tied, 1.8, 0.6).resists - assess(bare, 1.8, 0.6).resists == pytest.approx(4 * 90.0 * 2.0)


def test_what_no_sensible_number_of_ties_holds_is_to_be_laid_down() -> None:
    full = assess(CANES, 2.0, 0.7)
    assert needed(CANES, full, 40.0).lay_down


def test_the_reasons_name_gust_height_force_and_what_it_holds() -> None:
    wall = assess(CANES, 2.0, 0.6)
    chain = steps(wall, 20.0, estimated=True)
    assert [step.code for step in chain] == [StepCode.GUST, StepCode.HEIGHT, StepCode.FORCE, StepCode.HOLDS]
    # The load goes with the square of the speed (EN 1991-1-4, 4.8), so its share of what holds is that of the gusts squared.
    share = (20.0 / wall.gust_ms) ** 2
    assert [step.value for step in chain] == pytest.approx([20.0, gust_at_height(20.0, 2.0), share, wall.gust_ms])
    assert chain[0].source == "mean-wind"


def test_the_wall_of_leaves_grows_with_the_season() -> None:
    stages = (Stage.SOWN, Stage.SEEDLING, Stage.HARDENED, Stage.GROWING, Stage.FLOWERING, Stage.READY)
    walls = [leaf_wall(Planting(1, "pea", 1, stage, 30), 1.5) for stage in stages]
    assert walls[0].height_m == walls[0].solidity == 0.0
    holds = [assess(FRAME, wall.height_m, wall.solidity).gust_ms for wall in walls]
    assert holds == sorted(holds, reverse=True)
    assert holds[0] > 1.5 * holds[-1]


def test_plants_taller_than_their_stage_suggests_are_taken_at_their_height() -> None:
    assert leaf_wall(Planting(1, "pea", 1, Stage.GROWING, 30, height_cm=140.0), 1.5).height_m == 1.4
    assert leaf_wall(Planting(1, "pea", 1, Stage.ENDED, 30, height_cm=140.0), 1.5).height_m == 0.0


@pytest.mark.parametrize(("height_m", "solidity"), [(-0.1, 0.5), (1.0, 1.1), (1.0, -0.1)])
def test_sizes_that_cannot_be_are_refused(height_m: float, solidity: float) -> None:
    with pytest.raises(ValueError, match="support 1"):
        assess(FRAME, height_m, solidity)


@settings(max_examples=60)
@given(
    st.sampled_from(SupportKind),
    st.tuples(st.floats(0.0, 3.0), st.floats(0.0, 3.0)),
    st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)),
    st.floats(0.0, 1.0),
    st.integers(0, 8),
)
def test_taller_or_leafier_never_holds_more(
    kind: SupportKind, heights: tuple[float, float], leaf: tuple[float, float], solidity: float, ties: int
) -> None:
    support = Support(1, 1, kind, height_m=1.8, width_m=2.0, solidity=solidity, ties=ties)
    (low, tall), (thin, leafy) = sorted(heights), sorted(leaf)
    first, taller, leafier = assess(support, low, thin), assess(support, tall, thin), assess(support, low, leafy)
    assert taller.gust_ms <= first.gust_ms * (1 + 1e-9)
    assert leafier.gust_ms <= first.gust_ms * (1 + 1e-9)


@settings(max_examples=40)
@given(st.floats(5.0, 40.0), st.floats(5.0, 40.0))
def test_a_stronger_gust_never_needs_less(one_ms: float, two_ms: float) -> None:
    weaker, stronger = (needed(FRAME, assess(FRAME, 1.8, 0.6), gust) for gust in sorted((one_ms, two_ms)))
    assert stronger.lay_down or (not weaker.lay_down and weaker.ties <= stronger.ties)


def test_where_the_wind_finds_nothing_nothing_goes() -> None:
    assert math.isinf(assess(Support(1, 1, SupportKind.STAKES, 1.0, 1.0, solidity=0.0), 0.0, 0.0).gust_ms)
