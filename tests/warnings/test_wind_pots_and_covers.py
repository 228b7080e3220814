"""What tips over and what is torn off."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.garden.snapshot import Cover, Place, PlaceKind
from bot.core.units import ms_to_mph
from bot.core.warnings import hazard_wind, pots
from bot.core.warnings.pots import Fill, tipping_gust_ms
from bot.core.weather.wind import gust_at_height, pressure_pa

POT = Place(7, "pot 7", PlaceKind.CONTAINER, width_m=0.35, length_m=0.35, height_m=0.32, volume_l=25.0)
BED = Place(2, "bed 2", PlaceKind.BED, cover=Cover.FLEECE, length_m=2.4, width_m=1.2)
TUNNEL = Place(3, "tunnel", PlaceKind.TUNNEL, length_m=4.0, width_m=2.0, height_m=1.0)


def test_a_pot_tips_at_the_gust_of_the_worked_example() -> None:
    """12 kg, foot 0.25 m, face 0.15 m2 at 0.6 m, C 1: 16.174 m/s or 36.18 mph, by moments about the foot's edge."""
    gust_ms = tipping_gust_ms(12.0, 0.25, 0.15, 0.6, drag=1.0)
    assert gust_ms == pytest.approx(16.174, abs=5e-4)
    assert ms_to_mph(gust_ms) == pytest.approx(36.18, abs=0.005)
    assert pressure_pa(gust_ms) * 0.15 * 0.6 == pytest.approx(14.715, abs=1e-9)  # the resisting moment, N m


def test_a_whole_pot_agrees_with_moments_reckoned_by_hand() -> None:
    seen = pots.face(0.35, 0.32, 1.0, 0.5)
    assert seen.area_m2 == pytest.approx(0.35 * 0.32 + 0.5 * 1.0 * 0.4)
    assert seen.centre_m == pytest.approx((0.112 * 0.16 + 0.2 * 0.82) / 0.312)
    holding = pots.assess(POT, 1.0, 0.5, Fill.WET)
    foot_m = 0.8 * 0.35
    at_pot_ms = tipping_gust_ms(pots.mass_kg(25.0, Fill.WET), foot_m, seen.area_m2, seen.centre_m)
    assert gust_at_height(holding.gust_ms, 1.32) == pytest.approx(at_pot_ms)


def test_a_full_wet_pot_stands_longer_than_a_dry_one() -> None:
    dry, moist, wet = (pots.assess(POT, 1.0, 0.5, fill).gust_ms for fill in Fill)
    assert dry < moist < wet


def test_a_known_weight_when_wet_counts_and_drying_takes_the_water_off_it() -> None:
    """A litre of water weighs a kilogram; a pot of 25 L loses 30 % of its volume between drained and wilting."""
    assert pots.mass_kg(25.0, Fill.WET, wet_kg=24.0) == 24.0
    assert pots.mass_kg(25.0, Fill.DRY, wet_kg=24.0) == pytest.approx(24.0 - 7.5)


def test_the_weight_that_is_asked_for_is_enough() -> None:
    holding = pots.assess(POT, 0.8, 0.4)
    gust_ms = holding.gust_ms * 1.2
    more_kg = pots.needed(POT, holding, gust_ms).weight_kg
    assert more_kg > 0.0
    mass_kg = pots.mass_kg(25.0, Fill.DRY)
    seen = pots.face(0.35, 0.32, 0.8, 0.4)
    at_pot_ms = tipping_gust_ms(mass_kg + more_kg, 0.8 * 0.35, seen.area_m2, seen.centre_m)
    assert at_pot_ms == pytest.approx(gust_at_height(gust_ms, 1.12))


def test_a_top_heavy_pot_is_to_be_laid_down_when_it_would_need_more_than_its_own_weight() -> None:
    assert pots.needed(POT, pots.assess(POT, 1.8, 0.6), 25.0).lay_down


def test_a_pot_of_unknown_size_is_asked_about() -> None:
    with pytest.raises(ValueError, match="pot 9: width, height"):
        pots.assess(Place(9, "pot 9", PlaceKind.CONTAINER), 0.5, 0.5)


def test_a_pot_without_a_face_never_tips() -> None:
    assert math.isinf(tipping_gust_ms(5.0, 0.2, 0.0, 0.0))


@settings(max_examples=60)
@given(
    st.tuples(st.floats(0.0, 2.0), st.floats(0.0, 2.0)),
    st.tuples(st.floats(0.0, 1.0), st.floats(0.0, 1.0)),
    st.sampled_from(Fill),
)
def test_a_taller_or_leafier_plant_never_stands_firmer(
    heights: tuple[float, float], leaf: tuple[float, float], fill: Fill
) -> None:
    (low, tall), (thin, leafy) = sorted(heights), sorted(leaf)
    first_ms = pots.assess(POT, low, thin, fill).gust_ms
    assert pots.assess(POT, tall, thin, fill).gust_ms <= first_ms * (1 + 1e-9)
    assert pots.assess(POT, low, leafy, fill).gust_ms <= first_ms * (1 + 1e-9)


def test_lift_on_a_film_tunnel_is_the_pressure_over_its_plan() -> None:
    """Greatest suction coefficient near -1 on a single-span plastic house: HortTechnology 23(5):622, abstract."""
    holding = hazard_wind.assess(TUNNEL, 12)
    assert holding.asked(20.0) == pytest.approx(pressure_pa(gust_at_height(20.0, 1.0)) * 8.0)


def test_a_net_lifts_less_than_a_film_by_its_open_share() -> None:
    """Load x (1 - porosity), Richards & Robinson 1999; insect net 33 % open, Robertson et al. 2002, abstracts."""
    net = Place(2, "bed 2", PlaceKind.BED, cover=Cover.NET, length_m=2.4, width_m=1.2)
    cloche = Place(2, "bed 2", PlaceKind.BED, cover=Cover.CLOCHE, length_m=2.4, width_m=1.2)
    assert hazard_wind.assess(net, 8).asked(20.0) == pytest.approx(0.67 * hazard_wind.assess(cloche, 8).asked(20.0))


def test_pins_in_saturated_soil_hold_half() -> None:
    """Tent stakes in saturated soil: about one half (University of Illinois study, via intentsmag.com 2009)."""
    assert hazard_wind.assess(BED, 8, wet_soil=True).resists == pytest.approx(0.5 * hazard_wind.assess(BED, 8).resists)


def test_the_pins_that_are_asked_for_are_enough_and_one_fewer_is_not() -> None:
    holding = hazard_wind.assess(BED, 8)
    gust_ms = holding.gust_ms * 1.3
    more = hazard_wind.needed(BED, holding, gust_ms).pins
    assert hazard_wind.assess(BED, 8 + more).gust_ms >= gust_ms > hazard_wind.assess(BED, 7 + more).gust_ms


def test_a_cover_that_no_pins_would_hold_comes_off() -> None:
    assert hazard_wind.needed(TUNNEL, hazard_wind.assess(TUNNEL, hazard_wind.usual_pins(4.0, 2.0)), 40.0).lay_down


def test_a_cover_nobody_counted_the_pins_of_has_one_a_metre() -> None:
    assert hazard_wind.usual_pins(4.0, 2.0) == 12
    assert hazard_wind.usual_pins(0.5, 0.5) == 4


def test_a_bed_of_unknown_size_is_asked_about() -> None:
    with pytest.raises(ValueError, match="bed 5: length and width"):
        hazard_wind.assess(Place(5, "bed 5", PlaceKind.BED, cover=Cover.FLEECE), 6)


@settings(max_examples=40)
@given(st.floats(0.0, 50.0), st.floats(0.0, 50.0), st.integers(0, 30))
def test_a_stronger_gust_never_asks_for_fewer_pins(one_ms: float, two_ms: float, pins: int) -> None:
    holding = hazard_wind.assess(BED, pins)
    weaker, stronger = (hazard_wind.needed(BED, holding, gust_ms) for gust_ms in sorted((one_ms, two_ms)))
    assert stronger.lay_down or (not weaker.lay_down and weaker.pins <= stronger.pins)
