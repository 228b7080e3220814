"""From open duties to names: the rota problem of a garden, and its answer turned into asks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden, Member, Place
from bot.core.people import lifting
from bot.core.tasks import rota, rota_rules
from bot.core.tasks.rota_rules import burden
from bot.core.warnings.alerts import ANSWER_TIME, Quiet
from bot.services.people.proxy import untellable
from bot.services.tasks import answers, late_answers, safely_home
from bot.services.tasks.late_answers import Late
from bot.services.tasks.walks import Taken, after_sunset, parted, taken
from bot.storage.models import Ask, FreeTime, Task
from bot.storage.models import Member as MemberRow
from bot.storage.people import members as member_store
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks

#: Walks are reckoned one after the other within this time before the latest safe moment.
SPREAD_MIN = 150

_REFUSED = (AskState.PASSED, AskState.SILENT)


@dataclass(frozen=True, slots=True)
class Walks:
    """The rota problem, each of its duties a walk; walks: the ids of the duties that one walk does, by its own id.

    late: by walk, whose answer is late; somebody else is asked in their place, where there is anybody.
    """

    problem: rota.Problem
    walks: Mapping[int, tuple[int, ...]]
    late: Mapping[int, frozenset[int]]


async def problem(
    session: AsyncSession,
    garden: Garden,
    quiet: Quiet,
    warning_ids: Collection[int],
    now: datetime,
    but: Collection[int] = (),
) -> Walks | None:
    """Who could do what is open in these warnings and still lacks people, or an answer; None when nothing does. but: duties
    of later nights that an earlier night's work sees to.
    """
    every = [duty for duty in await tasks.of_warnings(session, warning_ids) if duty.id not in but]
    asks = await _asks_by_duty(session, every)
    duties = [duty for duty in every if _callable(duty, now)]
    crying = await safely_home.crying(session, now)
    late = await late_answers.late(session, duties, asks, garden, quiet, now)
    if not any(_lacking(duty, asks[duty.id], crying, late.of(duty)) for duty in duties):
        return None
    people = await helpers(session, garden, now, besides={duty.id for duty in duties})
    walks = _walks(duties, asks, late, garden)
    silent = await answers.often_silent(session, garden.id, now)
    last = _last(every, asks)
    slots = _slots(walks)
    found = tuple(
        _walk(walk, asks, last[walk[0].cause_id], silent, late, garden, slot, people, crying, now)
        for walk, slot in zip(walks, slots, strict=True)
    )
    return Walks(
        rota.Problem(garden.zone, found, people),
        {walk[0].id: tuple(one.id for one in walk) for walk in walks},
        {walk[0].id: late.of(walk[0]) for walk in walks},
    )


async def ask(session: AsyncSession, walks: Walks, solution: rota.Solution, now: datetime) -> list[Ask]:
    """Store a solution as a whole: its new names, and whoever it no longer names is free again. Returns the new asks, and
    those that were passed by: others are asked in their place.

    Kept beside it, an ask could send somebody to two places at once, or out more often a week than they wish. What was
    answered or asked since the problem was taken stays as it is. Whoever was freed is asked anew when needed again.
    """
    rows = await session.scalars(
        select(Task).where(Task.id.in_({id_ for walk in walks.walks.values() for id_ in walk}))
    )
    duties = {duty.id: duty for duty in rows if duty.state in tasks.LIVE}
    known = await _asks_by_duty(session, list(duties.values()))
    fresh = list[Ask]()
    for walk in walks.problem.duties:
        gone = {*_unnamed(walk, solution), *_elsewhere(walk, walks.problem, solution)}
        others = set(solution.people(walk.id))
        late = walks.late[walk.id] - others if len(others) == walk.need else set()
        for duty in (duties[id_] for id_ in walks.walks[walk.id] if id_ in duties):
            _free(duty, [row for row in known[duty.id] if row.member_id in gone])
            fresh += late_answers.pass_by(row for row in known[duty.id] if row.member_id in late)
    named = [(task_id, each) for each in solution.assignments for task_id in walks.walks[each.task_id]]
    for task_id, each in named:
        wanted = duties.get(task_id)
        if wanted is None or not _lacking(wanted, known[task_id]):
            continue
        row = next((row for row in known[task_id] if row.member_id == each.helper_id), None)
        if row is None:
            row = Ask(task_id=task_id, member_id=each.helper_id)
            session.add(row)
            known[task_id].append(row)
        elif row.state not in (AskState.RELEASED, AskState.FREED):
            continue
        row.state, row.asked_at, row.told_at, row.reminded_at, row.answered_at = AskState.ASKED, now, None, None, None
        row.why = " ".join(why.name for why in each.why)
        fresh.append(row)
    await session.flush()
    return fresh


def _unnamed(walk: rota.Duty, solution: rota.Solution) -> set[int]:
    """Who was asked for the walk, has not answered, and is not named for it any more."""
    return set(walk.asked) - set(solution.people(walk.id))


def _elsewhere(walk: rota.Duty, problem: rota.Problem, solution: rota.Solution) -> set[int]:
    """Who had said yes to the walk and is named for another of that time, which else would go undone."""
    others = [one for one in problem.duties if one.starts_at < walk.ends_at and walk.starts_at < one.ends_at]
    named = {id_ for one in others if one.id != walk.id for id_ in solution.people(one.id)}
    return (set(walk.agreed) - set(solution.people(walk.id))) & named


def _free(duty: Task, asks: Sequence[Ask]) -> None:
    for row in asks:
        if row.state is AskState.ACCEPTED:
            duty.state = TaskState.OPEN
        if row.state in tasks.KEEPING:
            row.state = AskState.FREED


def _walks(duties: Sequence[Task], asks: Mapping[int, Sequence[Ask]], late: Late, garden: Garden) -> list[list[Task]]:
    """Duties that one walk does: the same task, to the same target, for the same people."""
    groups: dict[tuple[object, ...], list[Task]] = defaultdict(list)
    for duty in duties:
        place = garden.place_by_id[duty.where_id]
        told = frozenset((row.member_id, row.state, row.member_id in late.of(duty)) for row in asks[duty.id])
        whose = None if place.shared else place.plot_id
        key = (duty.warning_id, duty.kind, duty.target_place_id, duty.people, place.needs_key, whose, duty.due_at, told)
        groups[key].append(duty)
    return [walk for alike in groups.values() for walk in parted(alike)]


def _last(duties: Sequence[Task], asks: Mapping[int, Sequence[Ask]]) -> Mapping[int, frozenset[int]]:
    """By warning, who refused something of it or let it pass: they come last for the rest of it."""
    found: dict[int, set[int]] = defaultdict(set)
    for duty in duties:
        found[duty.cause_id].update(_ids(asks[duty.id], _REFUSED))
    return {duty.cause_id: frozenset(found[duty.cause_id]) for duty in duties}


def _slots(walks: Sequence[Sequence[Task]]) -> list[int]:
    """Minutes before its latest safe time at which each walk ends: one after the other, so that a person may do two."""
    slots, used = [], 0
    for walk in walks:
        slots.append(used % SPREAD_MIN)
        used += sum(one.minutes for one in walk)
    return slots


def _lacking(
    duty: Task, asks: Sequence[Ask], crying: Collection[int] = (), late: Collection[int] = frozenset()
) -> bool:
    """crying: who needs help themselves, so that their answer is not waited for. late: whose answer is."""
    unanswered = {*crying, *late}
    kept = [
        row
        for row in asks
        if row.state in tasks.KEEPING and not (row.state is AskState.ASKED and row.member_id in unanswered)
    ]
    return duty.state is TaskState.OPEN and len(kept) < duty.people


def _callable(duty: Task, now: datetime) -> bool:
    """Whether there is time to ask somebody by name, for them to answer, and to do it."""
    return duty.state in tasks.LIVE and duty.due_at - now >= ANSWER_TIME + timedelta(minutes=duty.minutes)


async def _asks_by_duty(session: AsyncSession, duties: Sequence[Task]) -> dict[int, list[Ask]]:
    found: dict[int, list[Ask]] = defaultdict(list)
    for row in await tasks.asks_of(session, [duty.id for duty in duties]):
        found[row.task_id].append(row)
    return found


def _walk(
    walk: Sequence[Task],
    asks: Mapping[int, Sequence[Ask]],
    last: frozenset[int],
    silent: frozenset[int],
    late: Late,
    garden: Garden,
    slot_min: int,
    helpers: Sequence[rota.Helper],
    crying: Collection[int],
    now: datetime,
) -> rota.Duty:
    first = walk[0]
    latest_at = min(duty.due_at for duty in walk)
    places = [garden.place_by_id[duty.where_id] for duty in walk]
    minutes = sum(duty.minutes for duty in walk)
    ends_at = latest_at - timedelta(minutes=slot_min)
    told = asks[first.id]
    each_kg = max((asked_kg(duty, garden) for duty in walk), default=0.0)
    agreed = _ids(told, (AskState.ACCEPTED,))
    unwell = set(crying).difference(agreed)  # of a yes, the organisers who hear the cry decide
    mine = late.of(first)
    busy = late.waited_for[first.cause_id].difference(_ids(told, tasks.KEEPING)) if mine else ()
    out = (*_ids(told, _REFUSED), *unwell, *busy, *untellable(garden, told, ends_at - timedelta(minutes=minutes), now))
    duty = rota.Duty(
        id=first.id,
        starts_at=ends_at - timedelta(minutes=minutes),
        ends_at=ends_at,
        place_id=first.where_id,
        minutes=minutes,
        people=first.people,
        kg_each=each_kg,
        needs_key=any(place.needs_key for place in places),
        after_sunset=after_sunset(garden, ends_at),
        agreed=agreed,
        asked=tuple(id_ for id_ in _ids(told, (AskState.ASKED,)) if id_ not in mine),
        refused=out,
        last=tuple(sorted(last | silent | mine)),
        too_far=rota_rules.too_far(helpers, first.where_id, minutes, now + ANSWER_TIME, latest_at),
    )
    return replace(duty, refused=(*out, *_not_theirs(duty, places[0], told, last | mine, helpers, garden)))


def asked_kg(duty: Task, garden: Garden) -> float:
    """What each person on a duty must be glad to lift."""
    return lifting.asked_kg(duty.kind, garden.place_by_id[duty.where_id], duty.people)


def _not_theirs(
    duty: rota.Duty,
    place: Place,
    told: Sequence[Ask],
    last: frozenset[int],
    helpers: Sequence[rota.Helper],
    garden: Garden,
) -> tuple[int, ...]:
    """A plot's own things are its holders', as long as enough of them can be asked; then anybody's."""
    holders = {id_ for plot in garden.plots if plot.id == place.plot_id for id_ in plot.holder_ids}
    theirs = [helper for helper in helpers if helper.id in holders]
    able = {helper.id for helper in rota_rules.eligible(duty, theirs, ZoneInfo(garden.zone))}
    if place.shared or len(able - last) < duty.need:
        return ()
    kept = holders | set(_ids(told, tasks.KEEPING))
    return tuple(member.id for member in garden.members if member.id not in kept)


def _ids(asks: Sequence[Ask], states: tuple[AskState, ...]) -> tuple[int, ...]:
    return tuple(row.member_id for row in asks if row.state in states)


async def helpers(
    session: AsyncSession, garden: Garden, now: datetime, besides: Collection[int] = ()
) -> tuple[rota.Helper, ...]:
    """Every member as the rota sees them now. besides: the duties of the problem, which weigh by themselves."""
    today = now.astimezone(ZoneInfo(garden.zone)).date()
    rows = {row.id: row for row in await member_store.in_garden(session, garden.id)}
    away: dict[int, list[tuple[date, date]]] = defaultdict(list)
    for absence in await member_store.aways(session, garden.id, today, today + timedelta(days=14)):
        away[absence.member_id].append((absence.from_on, absence.to_on))
    free = await _free_times(session, list(rows))
    turns = await taken(session, garden, now, besides)
    return tuple(
        _helper(
            member, rows[member.id], garden, tuple(away[member.id]), free.get(member.id), turns.get(member.id, []), now
        )
        for member in garden.members
    )


def _helper(
    member: Member,
    row: MemberRow,
    garden: Garden,
    away: tuple[tuple[date, date], ...],
    free: tuple[rota.Window, ...] | None,
    turns: list[Taken],
    now: datetime,
) -> rota.Helper:
    plots = {plot.id for plot in garden.plots if member.id in plot.holder_ids}
    own_min = row.travel_min
    return rota.Helper(
        id=member.id,
        adult=member.adult,
        reachable=member.reachable,
        lift_kg=member.lift_kg,
        has_key=member.has_key,
        skills=frozenset(row.skills.split()),
        free=free,
        away=away,
        mornings_only=row.mornings_only,
        per_week=row.per_week,
        turns_on=tuple(one.on for one in turns if now - one.turn.at < timedelta(days=8)),
        burden=burden((one.turn for one in turns), now),
        own_places=frozenset(place.id for place in garden.places if place.plot_id in plots),
        travel_min={
            place.id: minutes
            for place in garden.places
            if (minutes := rota_rules.travel_min(own_min, place.walk_min)) is not None
        },
    )


async def _free_times(session: AsyncSession, member_ids: Sequence[int]) -> dict[int, tuple[rota.Window, ...]]:
    found: dict[int, list[rota.Window]] = defaultdict(list)
    for row in await session.scalars(select(FreeTime).where(FreeTime.member_id.in_(member_ids)).order_by(FreeTime.id)):
        found[row.member_id].append(rota.Window(row.weekday, time(row.from_h), time(row.to_h % 24)))
    return {member_id: tuple(windows) for member_id, windows in found.items()}
