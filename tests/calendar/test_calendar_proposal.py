"""A season proposed from the crop rules and an invented garden's frosts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.calendar.entry import EntryKind
from bot.core.calendar.proposal import Because, Proposed, propose
from bot.core.growing.succession import Where
from bot.core.weather.climate import Climate, climate
from bot.crops.loader import load

CROPS = load()
NEW_YEAR = date(2026, 1, 1)


def frosty(last_springs: Mapping[int, date], first_autumn: tuple[int, int] = (10, 20)) -> Climate:
    """A climate of mild nights but for one frost in spring and one in autumn of each year."""
    minima = {}
    for year, last_on in last_springs.items():
        for n in range((date(year + 1, 1, 1) - date(year, 1, 1)).days):
            on = date(year, 1, 1) + timedelta(days=n)
            minima[on] = -1.0 if on == last_on or (on.month, on.day) == first_autumn else 5.0
    return climate(minima)


LATE = {year: date(year, 5, 12) + timedelta(days=year - 2001) for year in range(2001, 2021)}  # 12 to 31 May
EARLY = {year: date(year, 4, 1) + timedelta(days=year - 2001) for year in range(2001, 2021)}


def found(crop: str, known: Climate | None, today: date = NEW_YEAR) -> dict[EntryKind, Proposed]:
    return {one.kind: one for one in propose([CROPS[crop]], known, today).entries}


def years_with_a_later_frost(on: date, last_springs: Mapping[int, date]) -> float:
    later = [last for last in last_springs.values() if (last.month, last.day) > (on.month, on.day)]
    return len(later) / len(last_springs)


def test_what_frost_kills_waits_until_nine_years_in_ten_have_had_their_last_frost() -> None:
    out = found("runner-bean", frosty(LATE))[EntryKind.PLANT_OUT]
    assert years_with_a_later_frost(out.first_on, LATE) <= 0.1
    assert years_with_a_later_frost(out.first_on - timedelta(days=4), LATE) > 0.1
    assert [reason.code for reason in out.reasons] == [Because.WINDOW, Because.LAST_FROST]


def test_an_early_spring_brings_nothing_forward_of_the_usual_season() -> None:
    assert found("runner-bean", frosty(EARLY))[EntryKind.PLANT_OUT].first_on == date(2026, 5, 22)


def test_hardening_off_takes_the_published_days_before_planting_out() -> None:
    # 10-14 days: CSU Extension (Wise) and Iowa State (Zriba), The Fence Post; date read 2026-11-25.
    for crop in ("runner-bean", "tomato", "courgette"):
        chain = found(crop, frosty(LATE))
        harden, out = chain[EntryKind.HARDEN_OFF], chain[EntryKind.PLANT_OUT]
        assert harden.last_on + timedelta(days=1) == out.first_on
        assert 10 <= (out.first_on - harden.first_on).days <= 14


def test_everything_before_planting_out_moves_with_the_last_frost() -> None:
    early, late = found("runner-bean", frosty(EARLY)), found("runner-bean", frosty(LATE))
    moved = late[EntryKind.PLANT_OUT].first_on - early[EntryKind.PLANT_OUT].first_on
    assert moved > timedelta(days=7)
    for kind in (EntryKind.SOW, EntryKind.HARDEN_OFF):
        assert late[kind].first_on - early[kind].first_on == moved


def test_potatoes_are_chitted_six_weeks_before_planting_and_lifted_ten_weeks_after() -> None:
    # Chit about 6 weeks before planting; first earlies ready 10-12 weeks after: RHS, date read 2026-11-25.
    chain = found("potato-first-early", frosty(LATE))
    plant = chain[EntryKind.PLANT]
    assert plant.first_on - chain[EntryKind.CHIT].first_on == timedelta(weeks=6)
    harvest = chain[EntryKind.HARVEST]
    assert harvest.first_on - plant.first_on >= timedelta(weeks=10)
    assert harvest.last_on - plant.first_on <= timedelta(weeks=12)


def test_frost_does_not_move_the_hardy_nor_what_shoots_again() -> None:
    for crop in ("parsnip", "broad-bean", "potato-first-early"):
        assert propose([CROPS[crop]], frosty(LATE), NEW_YEAR) == propose([CROPS[crop]], frosty(EARLY), NEW_YEAR)


def test_where_frost_stays_likely_all_season_the_crop_is_named_and_has_no_entries() -> None:
    always = {year: date(year, 6, 30) for year in range(2001, 2021)}
    given = propose([CROPS["pumpkin"], CROPS["parsnip"]], frosty(always), NEW_YEAR)
    assert given.too_frosty == ("pumpkin",)
    assert {one.crop for one in given.entries} == {"parsnip"}


def test_without_known_frosts_it_says_so() -> None:
    codes = [reason.code for reason in found("tomato", None)[EntryKind.PLANT_OUT].reasons]
    assert codes == [Because.WINDOW, Because.FROSTS_UNKNOWN]


def test_the_harvest_of_the_tender_ends_before_the_autumn_frost() -> None:
    harvest = found("pumpkin", frosty(EARLY, first_autumn=(9, 10)))[EntryKind.HARVEST]
    assert harvest.last_on <= date(2026, 9, 10)
    assert Because.FIRST_FROST in [reason.code for reason in harvest.reasons]


def test_seeds_are_sown_where_the_crop_is_started() -> None:
    assert found("tomato", None)[EntryKind.SOW].where is Where.INDOORS
    assert found("carrot", None)[EntryKind.SOW].where is Where.OUTDOORS


def test_what_stands_for_years_is_only_harvested() -> None:
    assert set(found("raspberry-summer", None)) == {EntryKind.HARVEST}


def test_in_the_middle_of_the_season_what_is_over_is_next_years() -> None:
    chain = found("runner-bean", frosty(EARLY), date(2026, 5, 15))
    assert chain[EntryKind.PLANT_OUT].first_on.year == 2026
    assert chain[EntryKind.SOW].first_on.year == 2027


@settings(max_examples=40, deadline=None)
@given(st.dates(date(2025, 1, 1), date(2028, 12, 31)), st.sampled_from([None, LATE, EARLY]))
def test_a_proposal_is_always_in_order_and_to_come(today: date, frosts: Mapping[int, date] | None) -> None:
    given = propose(CROPS.values(), frosty(frosts) if frosts else None, today)
    assert len({(one.crop, one.kind) for one in given.entries}) == len(given.entries)
    assert [one.first_on for one in given.entries] == sorted(one.first_on for one in given.entries)
    for one in given.entries:
        assert one.first_on <= one.last_on >= today
        assert one.first_on < today + timedelta(days=365)
        assert one.reasons


@pytest.mark.parametrize("crop", sorted(key for key, crop in CROPS.items() if crop.raising and crop.planting.out))
def test_sowing_hardening_and_planting_out_come_in_that_order(crop: str) -> None:
    chain = found(crop, frosty(LATE))
    if EntryKind.PLANT_OUT in chain and chain[EntryKind.SOW].first_on < chain[EntryKind.PLANT_OUT].first_on:
        sow, harden, out = (chain[kind] for kind in (EntryKind.SOW, EntryKind.HARDEN_OFF, EntryKind.PLANT_OUT))
        assert sow.first_on < harden.first_on <= harden.last_on < out.first_on


def test_a_gardens_own_rule_changes_the_proposal() -> None:
    bean = CROPS["runner-bean"]
    own = replace(bean, planting=replace(bean.planting, out=((6, 1), (7, 5))))
    (out,) = [one for one in propose([own], frosty(EARLY), NEW_YEAR).entries if one.kind is EntryKind.PLANT_OUT]
    assert out.first_on == date(2026, 6, 1)
