"""Who may be asked, why, and what is missing. Hours and rules of the trade here are common practice, no source."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from bot.core.tasks.rota import Duty, Helper, Problem, Short, Solution, Why, Window
from bot.core.tasks.rota_rules import too_far, travel_min
from bot.core.tasks.rota_solver import solve

THURSDAY = datetime(2026, 10, 8, 16, tzinfo=UTC)  # 17:00 in London
COVER = Duty(id=1, starts_at=THURSDAY, ends_at=THURSDAY + timedelta(minutes=30), place_id=3, minutes=30)
FARAH, CALLUM, INES = Helper(id=1), Helper(id=2), Helper(id=3)


def _solve(*helpers: Helper, duties: tuple[Duty, ...] = (COVER,)) -> Solution:
    return solve(Problem("Europe/London", duties, helpers))


def _short(solution: Solution) -> list[tuple[Short, int, int]]:
    return [(each.short, each.have, each.need) for each in solution.shortages]


@pytest.mark.parametrize(
    ("helper", "short"),
    [
        (replace(CALLUM, adult=False), Short.PEOPLE),
        (replace(CALLUM, reachable=False), Short.PEOPLE),
        (replace(CALLUM, away=((date(2026, 10, 1), date(2026, 10, 8)),)), Short.FREE),
        (replace(CALLUM, free=()), Short.FREE),
        (replace(CALLUM, free=(Window(3, time(17), time(17, 29)),)), Short.FREE),
        (replace(CALLUM, free=(Window(2, time(8), time(20)),)), Short.FREE),
        (replace(CALLUM, per_week=1, turns_on=(date(2026, 10, 5),)), Short.WEEK),
    ],
)
def test_nobody_is_asked_who_cannot_come(helper: Helper, short: Short) -> None:
    solution = _solve(helper)
    assert solution.assignments == ()
    assert _short(solution) == [(short, 0, 1)]


@pytest.mark.parametrize(
    "helper",
    [
        replace(CALLUM, away=((date(2026, 10, 9), date(2026, 10, 12)),)),
        replace(CALLUM, free=(Window(3, time(17), time(17, 30)),)),
        replace(CALLUM, free=(Window(3, time(12), time(17, 10)), Window(3, time(17, 10), time()))),
        replace(CALLUM, per_week=1, turns_on=(date(2026, 10, 4),)),  # the Sunday before
        replace(CALLUM, mornings_only=True),  # a wish, not a wall
    ],
)
def test_those_who_can_come_are_asked_in_the_gardens_own_hours(helper: Helper) -> None:
    assert _solve(helper).people(1) == (2,)


def test_nobody_new_is_asked_who_could_not_come_and_be_done_in_time() -> None:
    """An hour is left after answering, half of it is work: 30 minutes' way is enough, 31 is not."""
    answered_at, latest_at = THURSDAY, THURSDAY + timedelta(hours=1)
    near, far, unsaid = replace(FARAH, travel_min={3: 30}), replace(CALLUM, travel_min={3: 31}), INES
    assert too_far((near, far, unsaid), 3, 30, answered_at, latest_at) == (CALLUM.id,)
    duty = replace(COVER, too_far=(CALLUM.id,))
    assert _short(_solve(far, duties=(duty,))) == [(Short.NEAR, 0, 1)]
    assert _solve(far, duties=(replace(duty, agreed=(CALLUM.id,)),)).people(1) == (CALLUM.id,), "they have said yes"
    assert _solve(far, duties=(replace(duty, asked=(CALLUM.id,)),)).people(1) == (CALLUM.id,), "they know already"


@pytest.mark.parametrize(
    ("to_garden_min", "walk_min", "minutes"),
    [(None, None, None), (20, None, 20), (20, 5, 25), (0, 0, 0), (None, 5, 20)],
)
def test_the_way_to_a_place_is_the_way_to_the_gate_and_on_from_there(
    to_garden_min: int | None, walk_min: int | None, minutes: int | None
) -> None:
    assert travel_min(to_garden_min, walk_min) == minutes


def test_a_duty_over_midnight_needs_both_days_free() -> None:
    late = replace(COVER, starts_at=THURSDAY + timedelta(hours=6), ends_at=THURSDAY + timedelta(hours=8))
    both = replace(CALLUM, free=(Window(3, time(22), time()), Window(4, time(), time(2))))
    assert _solve(both, duties=(late,)).people(1) == (2,)
    assert _solve(replace(both, free=both.free and both.free[:1]), duties=(late,)).people(1) == ()


def test_whoever_refused_is_not_asked_again_for_that_duty_but_for_another() -> None:
    other = replace(COVER, id=2, starts_at=COVER.ends_at, ends_at=COVER.ends_at + timedelta(hours=1))
    solution = _solve(FARAH, duties=(replace(COVER, refused=(1,)), other))
    assert (solution.people(1), solution.people(2)) == ((), (1,))
    assert _short(solution) == [(Short.NOT_REFUSED, 0, 1)]


def test_nobody_is_twice_at_once_but_may_go_from_one_duty_to_the_next() -> None:
    clash = replace(
        COVER, id=2, starts_at=COVER.starts_at + timedelta(minutes=29), ends_at=THURSDAY + timedelta(hours=1)
    )
    after = replace(COVER, id=3, starts_at=clash.ends_at, ends_at=clash.ends_at + timedelta(minutes=10))
    solution = _solve(FARAH, duties=(COVER, clash, after))
    assert [each.task_id for each in solution.assignments] in ([1, 3], [2, 3])
    assert _short(solution) == [(Short.ELSEWHERE, 0, 1)]


@pytest.mark.parametrize(("lift_kg", "asked"), [(None, False), (0.0, False), (17.9, False), (18.0, True), (40.0, True)])
def test_a_heavy_pot_goes_to_those_who_say_they_are_glad_to_lift_it(lift_kg: float | None, asked: bool) -> None:
    solution = _solve(replace(CALLUM, lift_kg=lift_kg), duties=(replace(COVER, kg_each=18.0),))
    assert solution.people(1) == ((2,) if asked else ())
    if not asked:
        (shortage,) = solution.shortages
        assert (shortage.short, shortage.have, shortage.kg_each) == (Short.LIFT, 0, 18.0)


def test_a_shared_load_is_for_all_of_them_or_nobody() -> None:
    pot = replace(COVER, people=2, kg_each=12.0)
    assert _solve(FARAH, CALLUM, duties=(pot,)).people(1) == (1, 2)
    alone = _solve(FARAH, replace(CALLUM, lift_kg=0.0), duties=(pot,))
    assert alone.assignments == ()
    assert _short(alone) == [(Short.LIFT, 1, 2)]


def test_after_sunset_two_are_sent_or_none() -> None:
    dark = replace(COVER, after_sunset=True)
    assert _solve(FARAH, CALLUM, duties=(dark,)).people(1) == (1, 2)
    assert _solve(FARAH, duties=(dark,)).assignments == ()
    assert _short(_solve(FARAH, duties=(dark,))) == [(Short.PEOPLE, 1, 2)]


def test_one_of_the_people_holds_a_key_and_one_knows_how() -> None:
    glass = replace(COVER, people=2, needs_key=True, skill="glass")
    keeper, glazier = replace(INES, has_key=True, burden=4.0), replace(CALLUM, skills=frozenset({"glass"}), burden=2.0)
    solution = _solve(FARAH, glazier, keeper, duties=(glass,))
    assert solution.people(1) == (2, 3)
    assert {each.helper_id: each.why[0] for each in solution.assignments} == {2: Why.HAS_SKILL, 3: Why.HAS_KEY}


def test_no_key_holder_free_on_thursday_evening_is_said_in_so_many_words() -> None:
    keeper = replace(INES, has_key=True, free=(Window(3, time(8), time(12)),))
    solution = _solve(FARAH, CALLUM, keeper, duties=(replace(COVER, needs_key=True),))
    assert solution.assignments == ()
    assert _short(solution) == [(Short.KEY, 0, 1)]


def test_whole_duties_come_before_halves() -> None:
    pair = replace(COVER, id=1, people=2)
    solution = _solve(FARAH, CALLUM, duties=(pair, replace(COVER, id=2, people=2)))
    assert sorted({each.task_id for each in solution.assignments}) in ([1], [2])


def test_the_turn_goes_to_whoever_has_borne_least_though_another_lives_nearer() -> None:
    near, due = replace(FARAH, burden=1.0, own_places=frozenset({3})), replace(CALLUM, burden=0.2)
    solution = _solve(near, due, replace(INES, burden=2.0))
    (asked,) = solution.assignments
    assert (asked.helper_id, asked.burden, asked.others) == (2, 0.2, 2)
    assert asked.why == (Why.TURN_DUE, Why.FREE_THEN)


def test_among_equals_it_goes_to_whoever_tends_the_place_and_not_against_a_wish() -> None:
    assert _solve(FARAH, replace(CALLUM, own_places=frozenset({3}))).people(1) == (2,)
    assert _solve(replace(FARAH, mornings_only=True), replace(CALLUM, travel_min={3: 40})).people(1) == (2,)


def test_among_equals_the_names_last_given_out_stay() -> None:
    assert _solve(FARAH, CALLUM, INES, duties=(replace(COVER, asked=(3,)),)).people(1) == (3,)


def test_whoever_accepted_stays_though_others_have_borne_less_and_beyond_hours_and_number() -> None:
    kept = replace(INES, burden=5.0, free=(), per_week=0)
    solution = _solve(FARAH, kept, duties=(replace(COVER, agreed=(3,)),))
    assert solution.people(1) == (3,)
    assert solution.assignments[0].why[0] is Why.AGREED


def test_whoever_accepted_but_is_now_away_is_replaced() -> None:
    gone = replace(INES, away=((date(2026, 10, 8), date(2026, 10, 8)),))
    assert _solve(FARAH, gone, duties=(replace(COVER, agreed=(3,)),)).people(1) == (1,)


def test_whoever_accepted_moves_only_where_else_a_duty_would_go_undone() -> None:
    locked = replace(COVER, id=2, needs_key=True)
    solution = _solve(FARAH, replace(INES, has_key=True), duties=(replace(COVER, agreed=(3,)), locked))
    assert (solution.people(1), solution.people(2)) == ((1,), (3,))


def test_the_only_one_who_could_is_told_so() -> None:
    solution = _solve(FARAH, replace(INES, has_key=True), duties=(replace(COVER, needs_key=True),))
    assert solution.assignments[0].why == (Why.ONLY_ONE, Why.HAS_KEY, Why.FREE_THEN)


def test_an_empty_garden_and_an_empty_week_have_an_answer() -> None:
    assert _solve(duties=()) == Solution((), (), proven=True)
    assert _short(_solve()) == [(Short.PEOPLE, 0, 1)]


def test_without_work_allowed_the_rota_is_said_to_be_unproven() -> None:
    problem = Problem("Europe/London", (COVER,), (FARAH, CALLUM))
    assert not solve(problem, work_limit=0.0).proven


def test_what_makes_no_sense_is_refused() -> None:
    with pytest.raises(ValueError, match="expected after"):
        replace(COVER, ends_at=COVER.starts_at)
    with pytest.raises(ValueError, match="needs 0 people"):
        replace(COVER, people=0)
    with pytest.raises(ValueError, match=r"helper ids \[1, 1\] are not unique"):
        _solve(FARAH, FARAH)
