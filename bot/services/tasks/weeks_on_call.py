"""The weeks on call: what was shown stays, what is missing is found fairly, and past weeks count."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from datetime import date, datetime, timedelta

from sqlalchemy import delete, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.tasks.on_call import Candidate, Week, standing_rota
from bot.services.people.membership import reachable
from bot.storage.garden import gardens
from bot.storage.models import Garden, OnCall
from bot.storage.people import members

WEEKS = 6
#: Nobody is sent out alone after sunset, so two are on call.
PEOPLE = 2
_WEEK = timedelta(days=7)
_SEASON = timedelta(days=365)

Spans = tuple[tuple[date, date], ...]


async def weeks(session: AsyncSession, garden: Garden, now: datetime) -> tuple[Week, ...]:
    """This week and the five after it. Whoever was shown for a week stays, as long as they can come."""
    today = now.astimezone(garden.tz).date()
    first_on = today - timedelta(days=today.weekday())
    mondays = [first_on + n * _WEEK for n in range(WEEKS)]
    away = await _away(session, garden.id, first_on)
    kept = await _kept(session, garden.id, first_on - _SEASON)
    people = {
        monday: {one for one in those if monday < first_on or (one in away and _is_there(away[one], monday))}
        for monday, those in kept.items()
    }
    for start_on, count in _empty(mondays, people):
        for week in standing_rota(_candidates(away, people), start_on, count, PEOPLE):
            people[week.starts_on] = set(week.people)
    for monday in mondays:
        short = PEOPLE - len(people[monday])
        others = _candidates(away, people, without=people[monday])
        people[monday].update(standing_rota(others, monday, 1, short)[0].people if short else ())
        if people[monday] != kept.get(monday, set()):
            await _keep(session, garden.id, monday, people[monday])
    return tuple(Week(monday, tuple(sorted(people[monday]))) for monday in mondays)


def _empty(mondays: list[date], people: Mapping[date, Collection[int]]) -> list[tuple[date, int]]:
    """Runs of weeks that nobody has yet: the Monday of the first, and how many."""
    runs: list[tuple[date, int]] = []
    for monday in mondays:
        if people.get(monday):
            continue
        if runs and runs[-1][0] + runs[-1][1] * _WEEK == monday:
            runs[-1] = (runs[-1][0], runs[-1][1] + 1)
        else:
            runs.append((monday, 1))
    return runs


def _candidates(
    away: Mapping[int, Spans], people: Mapping[date, Collection[int]], without: Collection[int] = ()
) -> list[Candidate]:
    """Weeks that are still to come count as served too."""
    return [
        Candidate(one, spans, tuple(monday for monday in sorted(people) if one in people[monday]))
        for one, spans in away.items()
        if one not in without
    ]


def _is_there(spans: Spans, monday: date) -> bool:
    return not any(first < monday + _WEEK and monday <= last for first, last in spans)


async def _away(session: AsyncSession, garden_id: int, first_on: date) -> dict[int, Spans]:
    """Absences of everyone who can be on call: adults who can be written to, themselves or through their helper."""
    spans: dict[int, list[tuple[date, date]]] = defaultdict(list)
    for absence in await members.aways(session, garden_id, first_on, first_on + WEEKS * _WEEK):
        spans[absence.member_id].append((absence.from_on, absence.to_on))
    everyone = await members.in_garden(session, garden_id)
    helped = await gardens.helped(session, garden_id)
    there = (
        one for one in everyone if one.adult and (reachable(one) or (one.person.user_id is None and one.id in helped))
    )
    return {one.id: tuple(spans[one.id]) for one in there}


async def _kept(session: AsyncSession, garden_id: int, since_on: date) -> dict[date, set[int]]:
    query = select(OnCall).where(OnCall.garden_id == garden_id, OnCall.starts_on >= since_on)
    found: dict[date, set[int]] = defaultdict(set)
    for row in await session.scalars(query):
        found[row.starts_on].add(row.member_id)
    return dict(found)


async def _keep(session: AsyncSession, garden_id: int, monday: date, people: Collection[int]) -> None:
    await session.execute(delete(OnCall).where(OnCall.garden_id == garden_id, OnCall.starts_on == monday))
    session.add_all(OnCall(garden_id=garden_id, starts_on=monday, member_id=one) for one in sorted(people))
    await session.flush()
