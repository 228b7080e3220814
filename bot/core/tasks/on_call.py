"""The standing rota: who is on call in each of the coming weeks. Fair, and the same for the same question."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

_WEEK = timedelta(days=7)


@dataclass(frozen=True, slots=True)
class Candidate:
    """A member who takes weeks on call: only such as are adult and reachable.

    away: (first, last) local days. served: Mondays of the weeks on call they have had this season.
    """

    id: int
    away: tuple[tuple[date, date], ...] = ()
    served: tuple[date, ...] = ()


@dataclass(frozen=True, slots=True)
class Week:
    """starts_on: a Monday. people: ids, ascending; fewer than asked for where not enough are there."""

    starts_on: date
    people: tuple[int, ...]


def standing_rota(candidates: Sequence[Candidate], first_on: date, weeks: int, people: int = 1) -> tuple[Week, ...]:
    """The weeks on call from the Monday first_on.

    Each week goes to those there all week who have served least; among them to whoever has the fewest of the coming
    weeks to choose from, then whose last week is longest ago, then the lowest id. Raises ValueError when first_on is
    no Monday or an id comes twice.
    """
    if first_on.weekday() != 0:
        raise ValueError(f"first_on is {first_on:%A %d %B}, expected a Monday")
    if len({candidate.id for candidate in candidates}) != len(candidates):
        raise ValueError("a member stands twice among the candidates, expected each once")
    served = {candidate.id: sorted(candidate.served) for candidate in candidates}
    mondays = [first_on + number * _WEEK for number in range(weeks)]
    rota = []
    for number, monday in enumerate(mondays):
        there = [candidate for candidate in candidates if _is_there(candidate, monday)]
        ranked = sorted(there, key=lambda candidate: _rank(candidate, served[candidate.id], mondays[number:]))
        chosen = sorted(candidate.id for candidate in ranked[:people])
        for each in chosen:
            served[each].append(monday)
        rota.append(Week(monday, tuple(chosen)))
    return tuple(rota)


def _is_there(candidate: Candidate, monday: date) -> bool:
    return not any(first < monday + _WEEK and monday <= last for first, last in candidate.away)


def _rank(candidate: Candidate, served: Sequence[date], coming: Sequence[date]) -> tuple[int, int, date, int]:
    choices = sum(_is_there(candidate, monday) for monday in coming)
    return len(served), choices, max(served, default=date.min), candidate.id
