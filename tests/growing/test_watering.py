"""Beds and pots as buckets: FAO-56 chapter 8, and the rain that a pot does not catch."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.garden.snapshot import Cover, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Care, Crop
from bot.core.growing.water import (
    Decision,
    Watering,
    bucket,
    catches_rain,
    kc_on,
    litres_due,
    mouth_m2,
    readily_mm,
    stage_lengths,
    total_mm,
)
from bot.core.weather.days import Day
from tests.growing.invented import crop

TODAY = date(2026, 7, 10)
TOMATO = crop("tomato", care=Care(kc=(0.6, 1.15, 0.80), root_m=0.7, depletion=0.40))
BED = Place(1, "bed 1", PlaceKind.BED, length_m=2.4, width_m=1.2)
POT = Place(7, "pot 7", PlaceKind.CONTAINER, length_m=0.30, width_m=0.30, volume_l=15.0)
BEANS = Planting(1, "bean", 1, Stage.FLOWERING, 12, height_cm=150.0, sown_on=date(2026, 5, 10))
FRUITING = Planting(2, "tomato", 7, Stage.FLOWERING, 1, height_cm=150.0, sown_on=date(2026, 3, 1))


def weather(days_n: int, rain_mm: float | None = 0.0) -> list[Day]:
    """Days like those of FAO-56 example 18 (Uccle, ET0 3.9 mm), up to today."""
    return [
        Day(TODAY - timedelta(days=days_n - 1 - n), 12.3, 21.5, humidity_min_pct=63.0, humidity_max_pct=84.0,
            wind_ms=2.78, sun_mj_m2=22.07, rain_mm=rain_mm)
        for n in range(days_n)
    ]  # fmt: skip


def due(
    place: Place, batch: Planting, rule: Crop, past: list[Day], coming: list[Day] | None = None, start_l: float = 0.0
) -> Watering:
    return litres_due(place, [(batch, rule)], past, coming or [], latitude=50.8, altitude_m=100.0, start_l=start_l)


def test_a_millimetre_on_a_square_metre_is_a_litre_and_a_pot_of_thirty_centimetres_catches_little() -> None:
    """pi/4 x 0.3^2 = 0.0707 L a mm, by geometry."""
    assert mouth_m2(POT) == pytest.approx(0.0707, abs=5e-5)
    assert due(POT, FRUITING, TOMATO, weather(1, rain_mm=10.0)).rain_l == pytest.approx(0.707, abs=5e-4)
    assert due(BED, BEANS, crop(), weather(1, rain_mm=10.0)).rain_l == pytest.approx(28.8)


def test_the_crop_coefficient_follows_the_curve_of_the_handbook() -> None:
    """Potato, Europe, 30/35/50/30 days (FAO-56 Table 11), 0.5/1.15/0.75 (Table 12), read via pyfao56; curve fig. 34."""
    potato, lengths = (0.5, 1.15, 0.75), (30.0, 35.0, 50.0, 30.0)
    days = (0, 30, 47.5, 65, 115, 130, 145, 200)
    expected = (0.5, 0.5, 0.825, 1.15, 1.15, 0.95, 0.75, 0.75)
    assert [kc_on(potato, day, lengths) for day in days] == pytest.approx(list(expected))


@pytest.mark.parametrize("published", [(30, 35, 50, 30), (15, 25, 35, 15), (25, 35, 35, 25)])
def test_simple_stage_lengths_are_within_a_week_of_the_handbook(published: tuple[int, ...]) -> None:
    """Potato, pea and winter squash in Europe: FAO-56 Table 11, read via pyfao56."""
    assert list(stage_lengths(sum(published))) == pytest.approx(list(published), abs=7.0)


def test_available_water_follows_the_handbook() -> None:
    """TAW = 1000 (FC - WP) Zr; p + 0.04 (5 - ETc), held to 0.1-0.8 (pyfao56 model.py, Table 22 tomato 0.40)."""
    assert total_mm(0.7, 0.15) == pytest.approx(105.0)
    assert readily_mm(105.0, 0.40, 5.0) == pytest.approx(42.0)
    assert readily_mm(105.0, 0.40, 2.5) == pytest.approx(52.5)
    assert readily_mm(100.0, 0.20, 10.0) == pytest.approx(10.0)
    assert readily_mm(100.0, 0.75, 0.0) == pytest.approx(80.0)


def test_a_mature_tomato_in_a_pot_drinks_about_a_litre_and_a_half_on_a_sunny_day() -> None:
    """1.5 L a day in sun (The Guardian, 22 July 2006); the sunny day has an ET0 near 5 mm, that of a British July."""
    sunny = [replace(day, max_c=26.0, sun_mj_m2=26.0) for day in weather(1)]
    assert due(POT, FRUITING, TOMATO, sunny).used_l == pytest.approx(1.5, rel=0.2)


def test_a_bed_of_beans_uses_its_coefficient_times_the_reference() -> None:
    """ET0 3.9 mm (example 18), Kc mid 1.05 (Table 12 green bean) on 2.88 m2."""
    assert due(BED, BEANS, crop(), weather(1)).used_l == pytest.approx(3.9 * 1.05 * 2.88, abs=0.05 * 3.0)


def test_a_pot_is_due_within_days_where_a_bed_is_not() -> None:
    assert due(POT, FRUITING, TOMATO, weather(3)).decision is Decision.WATER
    assert due(BED, BEANS, crop(), weather(3)).decision is Decision.NOT_DUE
    assert due(BED, BEANS, crop(), weather(14)).decision is Decision.WATER


def test_a_pot_gets_at_least_a_tenth_of_its_volume() -> None:
    """RHS, read via gardeningetc.com, 2026-11-25: 10 % of the pot's volume at one watering."""
    young = replace(FRUITING, stage=Stage.GROWING, height_cm=20.0)
    radish = crop("radish", care=Care(kc=(0.7, 0.9, 0.85), root_m=0.3, depletion=0.1))
    found = due(POT, young, radish, weather(5))
    assert found.decision is Decision.WATER
    assert found.litres >= 1.5


def test_litres_come_in_cans_of_ten() -> None:
    found = due(BED, BEANS, crop(), weather(11))
    assert found.litres == pytest.approx(found.depletion_l)
    assert found.cans == -(-found.litres // 10.0)


def test_plants_draw_less_from_dry_soil_and_never_more_than_it_holds() -> None:
    """Ks = (TAW - Dr) / (TAW - RAW): FAO-56 (84). Sixty days would draw 709 L of a bed that holds 259 L."""
    kept = bucket(BED, [(BEANS, crop())], TODAY, et0_mm=3.9)
    dry = due(BED, BEANS, crop(), weather(1), start_l=(kept.total_l + kept.readily_l) / 2)
    wet = due(BED, BEANS, crop(), weather(1))
    assert dry.used_l == pytest.approx(wet.used_l / 2, rel=0.01)
    assert due(BED, BEANS, crop(), weather(60)).used_l <= kept.total_l


def test_a_house_that_nobody_says_they_water_is_not_billed_all_that_its_soil_holds() -> None:
    """Its plants would be dead: what is asked for at once is what they draw without harm, and a day's more."""
    house = Place(4, "house", PlaceKind.GREENHOUSE, length_m=3.0, width_m=2.0)
    tomatoes = replace(FRUITING, count=12)
    spacing_m2 = TOMATO.planting.in_row_cm * TOMATO.planting.rows_cm / 1e4
    found, soon = (due(house, tomatoes, TOMATO, weather(days)) for days in (60, 11))
    assert found.decision is soon.decision is Decision.WATER
    assert found.litres == pytest.approx(found.readily_l + 3.9 * 1.15 * 12 * spacing_m2, rel=0.03)
    assert found.litres < found.depletion_l / 1.5


def test_lettuces_beside_tomatoes_get_their_own_water() -> None:
    """FAO-56 table 22: lettuce roots 0.3-0.5 m and p 0.30, tomato 0.7-1.5 m and p 0.40: the lettuces are dry first."""
    house = Place(4, "house", PlaceKind.TUNNEL, length_m=6.0, width_m=3.0)
    lettuce = crop("lettuce", care=Care(kc=(0.7, 1.0, 0.95), root_m=0.3, depletion=0.30))
    salad = Planting(3, "lettuce", 4, Stage.GROWING, 20, height_cm=20.0, sown_on=date(2026, 5, 1))
    both = [(replace(FRUITING, count=12, place_id=4), TOMATO), (salad, lettuce)]
    alone = [due(house, planting, rule, weather(5)) for planting, rule in both]
    assert [one.decision for one in alone] == [Decision.NOT_DUE, Decision.WATER]
    found = litres_due(house, both, weather(5), [], latitude=50.8, altitude_m=100.0)
    assert (found.decision, found.crops) == (Decision.WATER, ("lettuce",))
    assert found.litres == pytest.approx(alone[1].litres)
    later = litres_due(house, both, weather(40), [], latitude=50.8, altitude_m=100.0)
    assert later.crops == () and later.litres > found.litres


def test_rain_to_come_spares_a_turn_in_a_bed_but_not_in_a_pot() -> None:
    rain = [Day(TODAY + timedelta(days=1), rain_mm=15.0)]
    assert due(BED, BEANS, crop(), weather(12), rain).decision is Decision.RAIN_ENOUGH
    assert due(POT, FRUITING, TOMATO, weather(4), rain).decision is Decision.WATER


@pytest.mark.parametrize(
    ("place", "caught"),
    [
        (BED, True),
        (replace(BED, cover=Cover.NET), True),
        (replace(BED, cover=Cover.FLEECE), True),
        (replace(BED, cover=Cover.CLOCHE), False),
        (replace(BED, kind=PlaceKind.TUNNEL), False),
        (replace(POT, inside=PlaceKind.GREENHOUSE), False),
        (POT, True),
    ],
)
def test_rain_does_not_reach_what_stands_under_a_roof(place: Place, caught: bool) -> None:
    assert catches_rain(place) is caught
    assert bool(due(place, BEANS, crop(), weather(1, rain_mm=5.0)).rain_l) is caught


def test_rain_that_is_not_known_is_counted_as_none_and_said_to_be() -> None:
    found = due(BED, BEANS, crop(), weather(4, rain_mm=None))
    assert found.dry_assumed_n == 4
    assert due(replace(POT, inside=PlaceKind.GREENHOUSE), FRUITING, TOMATO, weather(4, rain_mm=None)).dry_assumed_n == 0


def test_a_day_without_temperature_leaves_it_unknown() -> None:
    past = [*weather(2), Day(TODAY + timedelta(days=1), rain_mm=0.0)]
    assert due(BED, BEANS, crop(), past).decision is Decision.UNKNOWN


def test_days_without_radiation_or_humidity_are_said_to_be_estimated() -> None:
    rough = [Day(TODAY, 12.3, 21.5, rain_mm=0.0)]
    assert due(BED, BEANS, crop(), rough).estimated
    assert not due(BED, BEANS, crop(), weather(1)).estimated


def test_seedlings_have_the_first_coefficient_and_shallow_roots() -> None:
    seedlings = replace(BEANS, stage=Stage.SEEDLING, sown_on=TODAY - timedelta(days=14))
    young, old = bucket(BED, [(seedlings, crop())], TODAY), bucket(BED, [(BEANS, crop())], TODAY)
    assert (young.kc, old.kc) == (0.5, 1.05)
    assert young.total_l < old.total_l


@pytest.mark.parametrize(
    ("place", "missing"),
    [(Place(4, "bed 4", PlaceKind.BED), "length and width"), (replace(POT, volume_l=None), "volume")],
)
def test_a_place_of_unknown_size_is_asked_about(place: Place, missing: str) -> None:
    with pytest.raises(ValueError, match=missing):
        due(place, BEANS, crop(), weather(1))


def test_empty_places_and_empty_pasts_are_refused() -> None:
    with pytest.raises(ValueError, match="nothing grows"):
        litres_due(BED, [], weather(1), [], latitude=50.8)
    with pytest.raises(ValueError, match="no days"):
        due(BED, BEANS, crop(), [])


rains = st.lists(st.floats(0.0, 30.0), min_size=1, max_size=10)


@settings(max_examples=30)
@given(rains, st.integers(0, 9), st.floats(0.0, 20.0), st.floats(0.0, 60.0))
def test_more_rain_never_leaves_it_drier_and_the_bucket_keeps_its_bounds(
    rain: list[float], where: int, more_mm: float, start_l: float
) -> None:
    past = [replace(day, rain_mm=mm) for day, mm in zip(weather(len(rain)), rain, strict=True)]
    wetter = list(past)
    index = where % len(past)
    wetter[index] = replace(past[index], rain_mm=rain[index] + more_mm)
    dry, wet = (due(BED, BEANS, crop(), days, start_l=start_l) for days in (past, wetter))
    assert wet.depletion_l <= dry.depletion_l + 1e-9
    assert 0.0 <= dry.depletion_l <= total_mm(0.6) * 2.88
