"""The standing rota: its promises, over many gardens."""

from __future__ import annotations

import random
from collections import Counter
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.tasks.on_call import Candidate, standing_rota

MONDAY = date(2026, 4, 6)
days = st.integers(0, 150).map(lambda offset: MONDAY + timedelta(days=offset))
spans = st.tuples(days, st.integers(0, 20)).map(lambda span: (span[0], span[0] + timedelta(days=span[1])))
gardens = st.lists(st.lists(spans, max_size=3), max_size=8).map(
    lambda aways: [Candidate(id=number, away=tuple(away)) for number, away in enumerate(aways)]
)


def _is_away(candidate: Candidate, monday: date) -> bool:
    week = {monday + timedelta(days=offset) for offset in range(7)}
    return any(first <= day <= last for first, last in candidate.away for day in week)


@settings(max_examples=60)
@given(gardens, st.integers(1, 2))
def test_nobody_away_is_on_call_and_no_week_stays_empty_that_could_be_filled(
    candidates: list[Candidate], people: int
) -> None:
    by_id = {candidate.id: candidate for candidate in candidates}
    for week in standing_rota(candidates, MONDAY, 20, people):
        there = [candidate for candidate in candidates if not _is_away(candidate, week.starts_on)]
        assert len(week.people) == len(set(week.people)) == min(people, len(there))
        assert not any(_is_away(by_id[each], week.starts_on) for each in week.people)


@settings(max_examples=40)
@given(st.integers(1, 9), st.integers(1, 3), st.integers(0, 40))
def test_those_always_there_take_equal_turns(members: int, people: int, weeks: int) -> None:
    rota = standing_rota([Candidate(id=number) for number in range(members)], MONDAY, weeks, people)
    served = Counter(each for week in rota for each in week.people)
    counts = [served[number] for number in range(members)]
    assert max(counts) - min(counts) <= 1


@settings(max_examples=40)
@given(gardens, st.randoms(use_true_random=False))
def test_the_order_of_the_members_does_not_matter(candidates: list[Candidate], dice: random.Random) -> None:
    shuffled = dice.sample(candidates, len(candidates))
    assert standing_rota(shuffled, MONDAY, 12) == standing_rota(candidates, MONDAY, 12)


def test_weeks_already_served_this_season_count() -> None:
    served = (MONDAY - timedelta(days=14), MONDAY - timedelta(days=7))
    rota = standing_rota([Candidate(1, served=served), Candidate(2)], MONDAY, 3)
    assert [week.people for week in rota] == [(2,), (2,), (1,)]


def test_a_member_who_can_only_come_in_the_first_week_gets_it() -> None:
    later = ((MONDAY + timedelta(days=7), MONDAY + timedelta(days=60)),)
    rota = standing_rota([Candidate(1), Candidate(2, away=later)], MONDAY, 2)
    assert [week.people for week in rota] == [(2,), (1,)]


def test_weeks_start_on_a_monday_and_ids_are_unique() -> None:
    with pytest.raises(ValueError, match="Tuesday 07 April, expected a Monday"):
        standing_rota([], MONDAY + timedelta(days=1), 1)
    with pytest.raises(ValueError, match="twice among the candidates"):
        standing_rota([Candidate(1), Candidate(1)], MONDAY, 1)
