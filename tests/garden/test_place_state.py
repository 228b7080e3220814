"""How a place stands, told by reports in order of time: what is sure, what is perhaps, what is off."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import count

import pytest

from bot.core.finding import Hazard, TaskKind
from bot.core.garden.place_state import (
    PERHAPS_FOR,
    Did,
    Layer,
    Report,
    State,
    Sure,
    Want,
    answering,
    doubtful,
    kept_until,
    less,
    state,
    wanting,  # fmt: skip
)
from bot.core.garden.snapshot import Cover, Place, PlaceKind

BED = Place(1, "Bed 1", PlaceKind.BED)
NETTED = Place(1, "Bed 1", PlaceKind.BED, cover=Cover.NET)
POT = Place(1, "Pot 1", PlaceKind.CONTAINER, movable=True)
_ids = count(1)


def at(day: int, hour: int) -> datetime:
    return datetime(2026, 5, day, hour, tzinfo=UTC)


def told(did: Did, when: datetime, until: datetime | None = None, **more: object) -> Report:
    return Report(next(_ids), 1, did, when, until, **more)  # type: ignore[arg-type]


def fleece(day: int, hour: int = 16) -> Report:
    """Put on for that day's night."""
    return told(Did.COVERED, at(day, hour), at(day + 1, 5), cover=Cover.FLEECE)


def night(day: int, task: TaskKind = TaskKind.COVER, cover: Cover | None = Cover.FLEECE) -> Want:
    return Want(1, Hazard.COLD, task, at(day, 20), at(day + 1, 5), cover=cover)


def over(stands: State) -> tuple[Cover, Sure]:
    return stands.lies_over


def test_a_cover_for_a_night_is_sure_until_its_morning_then_perhaps_and_protects_in_no_reckoning() -> None:
    reports = [fleece(4)]
    assert over(state(BED, reports, at(4, 23))) == (Cover.FLEECE, Sure.SURE)
    assert over(state(BED, reports, at(5, 6))) == (Cover.FLEECE, Sure.PERHAPS)
    assert over(state(BED, reports, at(5, 5) + PERHAPS_FOR)) == (Cover.NONE, Sure.NOT)
    assert {state(BED, reports, when).cover for when in (at(4, 23), at(5, 6))} == {Cover.NONE}


def test_what_is_told_later_counts_and_the_order_of_arrival_does_not() -> None:
    reports = [fleece(4), told(Did.UNCOVERED, at(5, 9)), fleece(5)]
    for given in (reports, reports[::-1]):
        assert over(state(BED, given, at(5, 12))) == (Cover.NONE, Sure.NOT)
        assert over(state(BED, given, at(5, 18))) == (Cover.FLEECE, Sure.SURE)


def test_what_is_recorded_stands_until_told_otherwise() -> None:
    assert state(NETTED, [], at(4, 12)).cover is Cover.NET
    off = state(NETTED, [told(Did.UNCOVERED, at(4, 9))], at(4, 12))
    assert (off.cover, over(off)) == (Cover.NONE, (Cover.NONE, Sure.NOT))
    again = state(NETTED, [told(Did.UNCOVERED, at(4, 9)), told(Did.RECORDED, at(4, 10))], at(4, 12))
    assert again.cover is Cover.NET


def test_what_came_for_a_night_comes_off_before_what_stands_there() -> None:
    reports = [fleece(4), told(Did.UNCOVERED, at(5, 9))]
    assert over(state(NETTED, reports, at(5, 12))) == (Cover.NET, Sure.SURE)


def test_taken_off_twice_on_one_day_is_taken_off_once() -> None:
    reports = [fleece(4), told(Did.UNCOVERED, at(5, 9)), told(Did.UNCOVERED, at(5, 10))]
    assert state(NETTED, reports, at(5, 12)).cover is Cover.NET
    later = [*reports, told(Did.UNCOVERED, at(9, 10))]
    assert state(NETTED, later, at(9, 12)).cover is Cover.NONE


def test_taking_the_fleece_off_leaves_a_net_that_stands_there() -> None:
    reports = [told(Did.UNCOVERED, at(5, 9), cover=Cover.FLEECE)]
    assert state(NETTED, reports, at(5, 12)).cover is Cover.NET


def test_until_further_word_counts_in_every_reckoning_and_comes_off_whole() -> None:
    reports = [fleece(4), told(Did.COVERED, at(5, 8), cover=Cover.FLEECE)]
    assert state(BED, reports, at(9, 12)).cover is Cover.FLEECE
    assert over(state(BED, reports, at(9, 12))) == (Cover.FLEECE, Sure.SURE)
    off = state(BED, [*reports, told(Did.UNCOVERED, at(9, 13))], at(9, 14))
    assert (off.cover, over(off)) == (Cover.NONE, (Cover.NONE, Sure.NOT))


def test_a_pot_carried_in_and_never_put_back_is_perhaps_inside_and_reckoned_outside() -> None:
    stands = state(POT, [told(Did.BROUGHT_IN, at(4, 16), at(5, 5), house=PlaceKind.TUNNEL)], at(8, 12))
    assert (stands.inside, stands.on[Layer.INSIDE].sure) == (None, Sure.PERHAPS)
    assert answering(stands, night(8, TaskKind.BRING_IN), [], at(8, 12)) is None
    assert doubtful(stands, night(8, TaskKind.BRING_IN)) is stands.on[Layer.INSIDE]


def test_a_house_stands_open_until_somebody_says_that_it_is_shut() -> None:
    house = Place(1, "Tunnel", PlaceKind.TUNNEL)
    reports = [told(Did.OPENED, at(4, 9))]
    assert state(house, reports, at(5, 9)).on[Layer.OPEN].sure is Sure.SURE
    assert Layer.OPEN not in state(house, [*reports, told(Did.SHUT, at(4, 18))], at(5, 9)).on


def test_what_is_done_for_one_night_answers_the_next_of_its_spell_until_the_morning_and_no_later_one() -> None:
    nights = [night(4), night(5), night(8)]
    evening, morning = state(BED, [fleece(4)], at(4, 18)), state(BED, [fleece(4)], at(5, 6))
    assert answering(evening, nights[0], nights, at(4, 18)) is not None
    assert answering(evening, nights[1], nights, at(4, 18)) is not None
    assert answering(evening, nights[2], nights, at(4, 18)) is None, "mild nights lie between"
    assert answering(morning, nights[1], nights, at(5, 6)) is None
    assert doubtful(morning, nights[1]) is not None


def test_a_colder_night_wants_more_than_lies_there() -> None:
    nights = [night(4), night(5, cover=Cover.DOUBLE_FLEECE)]
    stands = state(BED, [fleece(4)], at(4, 18))
    assert answering(stands, nights[1], nights, at(4, 18)) is None
    assert less(stands.on[Layer.COVER], nights[1])
    single = told(Did.COVERED, at(5, 16), at(6, 5), cover=Cover.FLEECE)
    assert answering(state(BED, [single], at(5, 18)), nights[1], nights, at(5, 18)) is not None, "less is taken"


def test_being_in_a_house_answers_a_cover_and_a_roof_against_the_rain_does_not() -> None:
    inside = state(POT, [told(Did.BROUGHT_IN, at(4, 16), at(5, 5), house=PlaceKind.TUNNEL)], at(4, 18))
    assert answering(inside, night(4), [], at(4, 18)) is inside.on[Layer.INSIDE]
    roofed = state(POT, [told(Did.BROUGHT_IN, at(4, 16), at(5, 5))], at(4, 18))
    assert answering(roofed, night(4), [], at(4, 18)) is None


@pytest.mark.parametrize(
    ("layer", "hazard", "task", "kept"),
    [
        (Layer.COVER, Hazard.COLD, TaskKind.COVER, True),
        (Layer.INSIDE, Hazard.COLD, TaskKind.COVER, True),
        (Layer.INSIDE, Hazard.WIND, TaskKind.LAY_DOWN, True),
        (Layer.INSIDE, Hazard.RAIN, TaskKind.MOVE_FROM_RAIN, True),
        (Layer.COVER, Hazard.WIND, TaskKind.PIN, True),
        (Layer.COVER, Hazard.HEAT, TaskKind.VENT, False),
        (Layer.DOWN, Hazard.WIND, TaskKind.LAY_DOWN, True),
        (Layer.DOWN, Hazard.COLD, TaskKind.BRING_IN, False),
    ],
)
def test_what_the_weather_to_come_wants_left_as_it_is(layer: Layer, hazard: Hazard, task: TaskKind, kept: bool) -> None:
    want = Want(1, hazard, task, at(5, 12), at(5, 18))
    assert bool(list(wanting(layer, 1, [want]))) is kept
    assert not list(wanting(layer, 2, [want])), "another place"


def test_a_cover_that_would_not_hold_in_the_gale_may_come_off() -> None:
    assert not list(wanting(Layer.COVER, 1, [Want(1, Hazard.WIND, TaskKind.PIN, at(5, 12), at(5, 18), enough=False)]))


def test_nights_in_a_row_are_one_spell_and_a_gale_joins_it() -> None:
    nights = [(at(day, 20), at(day + 1, 5)) for day in (4, 5, 6)]
    assert kept_until(nights, at(5, 8)) == at(7, 5)
    assert kept_until([*nights, (at(7, 14), at(7, 20))], at(5, 8)) == at(7, 20)
    assert kept_until([nights[0], (at(6, 20), at(7, 5))], at(5, 8)) == at(5, 5), "a mild night lies between"
    assert kept_until(nights, at(4, 12)) is None
    assert at(5, 20) - at(5, 5) < timedelta(hours=24)
