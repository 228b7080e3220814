"""A walk of the day as people will see it: the tasks of one part of one day, and whose they are.

What the week may say of shared work: it is for whoever has it today, else for whoever is on call that week.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.finding import Severity, TaskKind
from bot.core.garden.snapshot import Garden, Place
from bot.core.growing.jobs.weather_ahead import finding_key
from bot.core.people.lifting import LIGHT_KG, can
from bot.core.tasks.daily_work import Part
from bot.services.growing.watering import job_key
from bot.services.look import Look, part
from bot.services.warnings.views import TaskView, task_views
from bot.storage.models import Garden as GardenRow
from bot.storage.models import Key, OnCall, Task
from bot.storage.states import AskState, KeyState, TaskState
from bot.storage.tasks import tasks

#: How long an answer is waited for: a third of the time that is left, within these. Common practice, no source.
_SHORTEST, _LONGEST = timedelta(minutes=45), timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class WalkView:
    """duties: all of it that still counts, the soonest first. holders: (member id, name) of whoever has a key."""

    on: date
    part: Part
    duties: tuple[TaskView, ...]
    holders: tuple[tuple[int, str], ...] = ()

    @property
    def id(self) -> int:
        """Of the task by which buttons name the walk."""
        return min(duty.id for duty in self.duties)

    @property
    def lines(self) -> tuple[TaskView, ...]:
        """What is still to be done; all of it, when nothing is."""
        return tuple(duty for duty in self.duties if duty.state in tasks.LIVE) or self.duties

    @property
    def live(self) -> bool:
        return any(duty.state in tasks.LIVE for duty in self.duties)

    @property
    def done(self) -> bool:
        return not self.live and any(duty.state is TaskState.DONE for duty in self.duties)

    @property
    def done_by(self) -> str | None:
        return next((duty.done_by for duty in reversed(self.duties) if duty.done_by is not None), None)

    @property
    def minutes(self) -> int:
        return sum(duty.minutes for duty in self.lines)

    @property
    def due_at(self) -> datetime:
        return max(duty.due_at for duty in self.lines)

    @property
    def people(self) -> tuple[tuple[int, str], ...]:
        """(member id, name) of those whose it is."""
        asked = (each for duty in self.lines for each in duty.asked if each.state in tasks.KEEPING)
        return tuple({each.member_id: (each.member_id, each.name) for each in asked}.values())

    @property
    def locked(self) -> tuple[Place, ...]:
        places = (duty.site for duty in self.lines if duty.site is not None and duty.site.needs_key)
        return tuple({place.id: place for place in places}.values())

    @property
    def answer_by(self) -> datetime | None:
        """When the next person is asked, unless whoever was asked says yes."""
        live = (duty for duty in self.duties if duty.state in tasks.LIVE)
        waiting = [each.asked_at for duty in live for each in duty.with_state(AskState.ASKED)]
        dues = [duty.due_at for duty in self.duties]
        return min((answer_by(dues, at) for at in waiting), default=None)

    def is_of(self, member_id: int) -> bool:
        return any(one == member_id for one, _ in self.people)


def answer_by(dues: Sequence[datetime], asked_at: datetime) -> datetime:
    """Until when a walk is theirs who were asked then, without a word. dues: when each part of it is due."""
    left = min((at for at in dues if at > asked_at), default=max(dues)) - asked_at
    return asked_at + max(_SHORTEST, min(_LONGEST, left / 3))


def by_walk(rows: Iterable[Task]) -> list[list[Task]]:
    """Tasks of days, by the walk that does them."""
    found: dict[tuple[date, Part | None], list[Task]] = defaultdict(list)
    for row in rows:
        found[row.on, row.part].append(row)
    return list(found.values())


async def of_day(session: AsyncSession, outlook: Look, on: date) -> tuple[WalkView, ...]:
    async def made() -> tuple[WalkView, ...]:
        return await views(session, outlook, by_walk(await tasks.of_days(session, outlook.garden.id, on, on)))

    return await part(outlook, f"walks {on}", made)


async def view(session: AsyncSession, outlook: Look, walk: Sequence[Task]) -> WalkView:
    (found,) = await views(session, outlook, [walk])
    return found


async def views(session: AsyncSession, outlook: Look, walks: Sequence[Sequence[Task]]) -> tuple[WalkView, ...]:
    """Walks of one garden, the soonest first, with the people on them."""
    if not walks:
        return ()
    rows = [row for walk in walks for row in walk]
    shown = {one.id: one for one in await task_views(session, outlook.garden.id, rows, outlook)}
    holders = await _holders(session, outlook.garden)
    found = [_view(walk, shown, holders) for walk in walks]
    return tuple(sorted(found, key=lambda one: (one.on, one.due_at, one.id)))


def _view(
    walk: Sequence[Task], shown: dict[int, TaskView], holders: Sequence[tuple[int | None, tuple[int, str]]]
) -> WalkView:
    part = walk[0].part
    assert part is not None
    duties = tuple(shown[row.id] for row in sorted(walk, key=lambda one: (one.due_at, one.id)))
    made = WalkView(walk[0].on, part, duties)
    locked = {place.id for place in made.locked}
    opening = dict(person for place_id, person in holders if place_id is None or place_id in locked)
    return replace(made, holders=tuple(opening.items())) if locked else made


async def _holders(session: AsyncSession, garden: Garden) -> list[tuple[int | None, tuple[int, str]]]:
    """(what it opens, None for everything; who holds it); whom the members' list alone calls a holder comes last."""
    names = {one.id: one.name for one in garden.members}
    keys = await session.scalars(
        select(Key)
        .where(Key.garden_id == garden.id, Key.state.in_((KeyState.HELD, KeyState.LENT)))
        .order_by(Key.place_id, Key.id)
    )
    found: list[tuple[int | None, tuple[int, str]]] = [
        (key.place_id, (key.holder_member_id, names[key.holder_member_id]))
        for key in keys
        if key.holder_member_id in names
    ]
    known = {person[0] for _, person in found}
    listed = [one for one in garden.members if one.has_key and one.id not in known]
    return [*found, *((None, (one.id, one.name)) for one in listed)]


_WARM = (TaskKind.VENT, TaskKind.SHADE)


async def whose(
    session: AsyncSession, row: GardenRow, outlook: Look, dry_ids: Iterable[int], now: datetime
) -> dict[str, frozenset[int]]:
    """Members by the key of an item. dry_ids: places that want water now. Nobody where nobody is on call."""
    today = now.astimezone(row.tz).date()
    on_call = await _on_call(session, row.id, today)
    lifts = {one.id for one in outlook.garden.members if can(one.lift_kg, LIGHT_KG)}
    places = outlook.garden.place_by_id
    found: dict[str, frozenset[int]] = {}
    for one in outlook.findings:
        mild = one.task in _WARM and one.severity is Severity.SLIGHT and places[one.place_id].shared
        if mild and (people := on_call.get(_monday(one.window_on))):
            found[finding_key(one)] = frozenset(people)
    for place_id in dry_ids:
        if places[place_id].shared and (people := on_call.get(_monday(today), set()) & lifts):
            found[job_key(place_id)] = frozenset(people)
    for turn in await of_day(session, outlook, today):
        if turn.live and turn.people:
            found |= {line.item: frozenset(one for one, _ in turn.people) for line in turn.lines if line.item}
    return found


async def _on_call(session: AsyncSession, garden_id: int, today: date) -> dict[date, set[int]]:
    query = select(OnCall).where(OnCall.garden_id == garden_id, OnCall.starts_on >= _monday(today))
    found: dict[date, set[int]] = defaultdict(set)
    for one in await session.scalars(query):
        found[one.starts_on].add(one.member_id)
    return found


def _monday(on: date) -> date:
    return on - timedelta(days=on.weekday())
