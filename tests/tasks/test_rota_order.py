"""What goes before what: whole duties, whoever accepted or was asked, whoever refused elsewhere, evenness, trouble."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from bot.core.tasks.rota import Duty, Helper, Problem, Solution
from bot.core.tasks.rota_solver import solve

THURSDAY = datetime(2026, 10, 8, 12, tzinfo=UTC)
HALF_HOUR = timedelta(minutes=30)
COVER = Duty(id=1, starts_at=THURSDAY, ends_at=THURSDAY + HALF_HOUR, place_id=3, minutes=30)  # one turn
VENT = replace(COVER, id=2, starts_at=COVER.ends_at, ends_at=COVER.ends_at + HALF_HOUR)
WATER = replace(COVER, id=3, starts_at=VENT.ends_at, ends_at=VENT.ends_at + HALF_HOUR)
FARAH, CALLUM, INES = Helper(id=1), Helper(id=2), Helper(id=3)
AWAY = ((date(2026, 10, 8), date(2026, 10, 8)),)


def _solve(*helpers: Helper, duties: tuple[Duty, ...] = (COVER,)) -> Solution:
    return solve(Problem("Europe/London", duties, helpers))


def test_whoever_refused_another_walk_of_the_event_comes_last_though_they_have_done_least() -> None:
    rested, weary = FARAH, replace(CALLUM, burden=5.0, travel_min={3: 90}, mornings_only=True)
    assert _solve(rested, weary).people(1) == (FARAH.id,)
    assert _solve(rested, weary, duties=(replace(COVER, last=(FARAH.id,)),)).people(1) == (CALLUM.id,)


def test_whoever_refused_another_walk_is_asked_where_nobody_else_can() -> None:
    duty = replace(COVER, people=2, last=(FARAH.id, CALLUM.id))
    assert _solve(FARAH, CALLUM, INES, duties=(duty,)).people(1) == (FARAH.id, INES.id)
    assert _solve(FARAH, replace(INES, away=AWAY), duties=(replace(duty, people=1),)).people(1) == (FARAH.id,)


def test_as_few_as_possible_are_named_who_refused_another_walk_whatever_the_burdens() -> None:
    """Ines takes one turn a week: were it the first walk, one who refused something else would have the second."""
    duties = (replace(COVER, last=(FARAH.id,)), replace(VENT, last=(FARAH.id, CALLUM.id)))
    solution = _solve(FARAH, replace(CALLUM, burden=4.0), replace(INES, burden=8.0, per_week=1), duties=duties)
    assert (solution.people(1), solution.people(2)) == ((CALLUM.id,), (INES.id,))


@pytest.mark.parametrize("agreed", [True, False])
def test_a_refusal_of_another_walk_does_not_count_against_whoever_has_this_one(agreed: bool) -> None:
    """Farah has two walks at once and keeps one: the nearer, though she refused something else of its event."""
    near, far = COVER, replace(COVER, id=2, place_id=4)
    agreed_by, asked_of = ((FARAH.id,), ()) if agreed else ((), (FARAH.id,))
    near, far = (replace(each, agreed=agreed_by, asked=asked_of) for each in (near, far))
    solution = _solve(replace(FARAH, own_places=frozenset({3})), CALLUM, duties=(replace(near, last=(FARAH.id,)), far))
    assert (solution.people(1), solution.people(2)) == ((FARAH.id,), (CALLUM.id,))


@pytest.mark.parametrize(
    "farah",
    [
        replace(FARAH, burden=9.0),
        replace(FARAH, travel_min={3: 120}, mornings_only=True),
    ],
)
def test_whoever_was_asked_stays_though_another_has_done_less_or_lives_nearer(farah: Helper) -> None:
    assert _solve(farah, CALLUM).people(1) == (CALLUM.id,)
    assert _solve(farah, CALLUM, duties=(replace(COVER, asked=(FARAH.id,)),)).people(1) == (FARAH.id,)


def test_whoever_was_asked_gives_way_to_whoever_accepted() -> None:
    duty = replace(COVER, agreed=(CALLUM.id,), asked=(FARAH.id,))
    assert _solve(FARAH, replace(CALLUM, burden=9.0), duties=(duty,)).people(1) == (CALLUM.id,)


@pytest.mark.parametrize(
    "farah",
    [
        replace(FARAH, away=AWAY),
        replace(FARAH, per_week=0),
        replace(FARAH, per_week=1, turns_on=(date(2026, 10, 5),)),
        replace(FARAH, free=()),
        replace(FARAH, adult=False),
        replace(FARAH, reachable=False),
        replace(FARAH, lift_kg=0.0),
    ],
)
def test_having_been_asked_holds_nobody_against_a_hard_rule(farah: Helper) -> None:
    duty = replace(COVER, asked=(FARAH.id,), kg_each=5.0)
    assert _solve(farah, CALLUM, duties=(duty,)).people(1) == (CALLUM.id,)
    assert _solve(farah, duties=(duty,)).assignments == ()


def test_having_been_asked_puts_nobody_in_two_places_at_once() -> None:
    at_once = replace(COVER, id=2, asked=(FARAH.id,))
    solution = _solve(FARAH, CALLUM, duties=(replace(COVER, asked=(FARAH.id,)), at_once))
    assert sorted((solution.people(1), solution.people(2))) == [(FARAH.id,), (CALLUM.id,)]


def test_having_been_asked_twice_gives_nobody_more_turns_than_they_wish() -> None:
    duties = tuple(replace(duty, asked=(FARAH.id,)) for duty in (COVER, VENT))
    solution = _solve(replace(FARAH, per_week=1), CALLUM, duties=duties)
    assert sorted((solution.people(1), solution.people(2))) == [(FARAH.id,), (CALLUM.id,)]
    alone = _solve(replace(FARAH, per_week=1), duties=duties)
    assert len(alone.assignments) == 1


def test_whoever_was_asked_moves_where_else_a_duty_would_go_undone() -> None:
    locked = replace(COVER, id=2, needs_key=True)
    solution = _solve(replace(FARAH, has_key=True), CALLUM, duties=(replace(COVER, asked=(FARAH.id,)), locked))
    assert (solution.people(1), solution.people(2)) == ((CALLUM.id,), (FARAH.id,))


def test_what_is_not_given_out_yet_goes_evenly_around_what_is() -> None:
    """Farah keeps the two that she was asked for; the third is one turn for either of the others."""
    duties = (replace(COVER, asked=(FARAH.id,)), replace(VENT, asked=(FARAH.id,)), WATER)
    solution = _solve(FARAH, replace(CALLUM, burden=0.5), replace(INES, burden=0.4), duties=duties)
    assert [solution.people(duty.id) for duty in duties] == [(FARAH.id,), (FARAH.id,), (INES.id,)]


def test_one_whose_heavy_turns_cannot_be_spared_leaves_the_others_shares_even() -> None:
    """Nobody but Farah has a key: her burden is the heaviest whatever else, and the others' are still made even."""
    locked = replace(COVER, needs_key=True)
    solution = _solve(
        replace(FARAH, has_key=True, burden=9.0),
        replace(CALLUM, burden=3.0),
        replace(INES, burden=1.5),
        duties=(locked, VENT, WATER),
    )  # 3.0 and 1.5+1+1 = 3.5: the squares 21.25, against 22.25 when they have one each
    assert [solution.people(number) for number in (1, 2, 3)] == [(FARAH.id,), (INES.id,), (INES.id,)]


def test_burdens_are_squared_with_each_duty_at_its_own_weight() -> None:
    """Turns of 1.5, 1 and 0.75 for two: 1.75 and 1.5, not two heavy ones for one of them."""
    duties = (replace(COVER, minutes=60), VENT, replace(WATER, minutes=15))
    solution = _solve(FARAH, CALLUM, duties=duties)
    assert solution.people(2) == solution.people(3) != solution.people(1)


def test_a_wish_for_one_turn_a_week_lets_stay_what_was_accepted_beyond_it() -> None:
    duties = (replace(COVER, agreed=(FARAH.id,)), replace(VENT, agreed=(FARAH.id,)), WATER)
    solution = _solve(replace(FARAH, per_week=1), replace(CALLUM, burden=9.0), duties=duties)
    assert [solution.people(duty.id) for duty in duties] == [(FARAH.id,), (FARAH.id,), (CALLUM.id,)]


def test_nothing_new_beyond_the_wish_comes_in_place_of_what_was_accepted_and_can_not_be_done() -> None:
    """Farah wishes for one turn a week and accepted two, of which one needs two people and has only her."""
    shared = replace(VENT, people=2, kg_each=10.0, agreed=(FARAH.id,))
    duties = (replace(COVER, agreed=(FARAH.id,)), shared, WATER)
    solution = _solve(replace(FARAH, per_week=1), duties=duties)
    assert [(each.task_id, each.helper_id) for each in solution.assignments] == [(COVER.id, FARAH.id)]
