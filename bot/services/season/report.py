"""The season of one garden, gathered from its records: weather, warnings, saved and lost, harvest, work shared."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.seasons import growing_days, growing_name, growing_year
from bot.core.season.lessons import Lesson, Loss, Picked, Shares, lessons, shares, taken_by_cold
from bot.core.warnings.hazards import AFTERWARDS, Hazard
from bot.core.weather import verification
from bot.services.journal.note import Action, Unit, weight_kg
from bot.services.weather import score
from bot.storage.models import Ask, Entry, Garden, Planting, Task, Warning
from bot.storage.people import members
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks

_Days = tuple[date, date]  # the first and the last

_UNDOING = frozenset(AFTERWARDS.values())


@dataclass(frozen=True, slots=True)
class Cold:
    """By the garden's own thermometer, air in the shade: nights read, frosty evenings, the coldest. table: calls against
    frosts, None without a night that has both."""

    nights_n: int
    frosts: tuple[date, ...]
    coldest: tuple[date, float] | None
    table: verification.Table | None


@dataclass(frozen=True, slots=True)
class Season:
    """One season up to a day: the calendar's year, south of the equator from July on. called: warnings that people were
    called for, by hazard. done_n, late_n, undone_n: of what people were asked to do and what was not dropped, what was
    done by its latest safe time, later, and not.

    harvest: kg by crop, most first; counted: other amounts by (crop, unit). lost: plants by crop; cold_lost: of these.
    """

    year: int
    until_on: date
    cold: Cold
    called: Mapping[Hazard, int]
    done_n: int
    late_n: int
    undone_n: int
    harvest: tuple[tuple[str, float], ...]
    counted: tuple[tuple[str, Unit, float], ...]
    lost: tuple[tuple[str, int], ...]
    cold_lost: Mapping[str, int]
    work: Shares
    lessons: tuple[Lesson, ...]
    south: bool = False

    @property
    def name(self) -> str:
        return growing_name(self.year, south=self.south)

    @property
    def is_empty(self) -> bool:
        return not (self.cold.nights_n or self.called or self.harvest or self.counted or self.lost or self.work.turns_n)


async def gather(session: AsyncSession, row: Garden, now: datetime, year: int | None = None) -> Season:
    """A season of the garden by its own calendar, this one so far when no year is named."""
    today, south = now.astimezone(row.tz).date(), row.latitude < 0
    year = growing_year(today, south=south) if year is None else year
    days = growing_days(year, south=south)
    entries = await _entries(session, row.id, days)
    picked, counted = _harvest(entries)
    losses = [Loss(crop, round(entry.amount or 0), entry.done_on) for entry, crop in _of(entries, Action.LOST)]
    warnings = await _warnings(session, row.id, days)
    cold, uncalled = await _cold(session, row, days)
    nights = {one.window_on for one in warnings if one.hazard is Hazard.COLD} | set(cold.frosts)
    cold_losses = taken_by_cold(losses, nights)
    duties = await _duties(session, [one.id for one in warnings])
    done = [one for one in duties if one.state is TaskState.DONE]
    late_n = sum(one.done_at is not None and one.done_at > one.due_at for one in done)
    undone_n = sum(one.state is TaskState.MISSED for one in duties)
    people = await members.in_garden(session, row.id)
    turns = await _turns(session, [one.id for one in warnings]) + await _walks(session, row.id, days)
    work = shares(turns, sum(one.adult for one in people))
    table = cold.table
    return Season(
        year=year,
        until_on=min(today, days[1]),
        cold=cold,
        called=Counter(one.hazard for one in warnings if one.called_at is not None),
        done_n=len(done) - late_n,
        late_n=late_n,
        undone_n=undone_n,
        harvest=_by_crop(picked),
        counted=counted,
        lost=tuple(_plants(losses).most_common()),
        cold_lost=_plants(cold_losses),
        work=work,
        lessons=lessons(
            cold_losses=cold_losses,
            uncalled=uncalled,
            needless_n=table.false_alarms if table else 0,
            calls_n=table.hits + table.false_alarms if table else 0,
            undone_n=undone_n + late_n,
            duties_n=undone_n + len(done),
            work=work,
            picked=picked,
            south=south,
        ),
        south=south,
    )


async def _entries(session: AsyncSession, garden_id: int, days: _Days) -> Sequence[tuple[Entry, str | None]]:
    """The journal of a season without what was undone, with the crop of each line."""
    rows = await session.execute(
        select(Entry, Planting.crop)
        .outerjoin(Planting, Planting.id == Entry.planting_id)
        .where(
            Entry.garden_id == garden_id,
            Entry.undone_at.is_(None),
            Entry.done_on.between(*days),
        )
        .order_by(Entry.done_on, Entry.id)
    )
    return [(entry, crop) for entry, crop in rows]


def _of(entries: Sequence[tuple[Entry, str | None]], action: Action) -> list[tuple[Entry, str]]:
    return [(entry, crop) for entry, crop in entries if entry.action == action.value and crop is not None]


def _harvest(
    entries: Sequence[tuple[Entry, str | None]],
) -> tuple[list[Picked], tuple[tuple[str, Unit, float], ...]]:
    """What was weighed, and what was counted otherwise."""
    picked: list[Picked] = []
    other: dict[tuple[str, Unit], float] = defaultdict(float)
    for entry, crop in _of(entries, Action.HARVESTED):
        unit = Unit(entry.unit) if entry.unit in [one.value for one in Unit] else Unit.NONE
        kg = weight_kg(entry.amount or 0.0, unit)
        if kg is not None:
            picked.append(Picked(crop, kg, entry.done_on))
        elif entry.amount and unit is not Unit.NONE:
            other[crop, unit] += entry.amount
    return picked, tuple((crop, unit, amount) for (crop, unit), amount in sorted(other.items()))


def _by_crop(picked: Sequence[Picked]) -> tuple[tuple[str, float], ...]:
    found: dict[str, float] = defaultdict(float)
    for one in picked:
        found[one.crop] += one.kg
    return tuple(sorted(found.items(), key=lambda pair: (-pair[1], pair[0])))


def _plants(losses: Sequence[Loss]) -> Counter[str]:
    found: Counter[str] = Counter()
    for one in losses:
        found[one.crop] += one.count
    return found


async def _warnings(session: AsyncSession, garden_id: int, days: _Days) -> Sequence[Warning]:
    query = select(Warning).where(Warning.garden_id == garden_id, Warning.window_on.between(*days))
    return (await session.scalars(query.order_by(Warning.id))).all()


async def _duties(session: AsyncSession, warning_ids: Sequence[int]) -> list[Task]:
    """What somebody was asked to do against harm, or did unasked; undoing it afterwards is work, and counts as no saving.

    What the work for one night did for the next was asked for once.
    """
    asked = select(Ask.task_id).where(Ask.task_id == Task.id).exists()
    rows = await session.scalars(
        select(Task).where(Task.warning_id.in_(warning_ids), Task.state != TaskState.DROPPED, asked).order_by(Task.id)
    )
    return [one for one in rows if one.kind not in _UNDOING]


async def _turns(session: AsyncSession, warning_ids: Sequence[int]) -> Counter[int]:
    """Walks by member: whoever had said yes to what is done, whoever of them tapped and however many places it was."""
    rows = await session.execute(
        select(Ask.member_id, Task.warning_id, Task.kind, Task.target_place_id)
        .join(Task, Task.id == Ask.task_id)
        .where(Task.warning_id.in_(warning_ids), Task.state == TaskState.DONE, Ask.state == AskState.ACCEPTED)
        .distinct()
    )
    return Counter(member_id for member_id, *_ in rows)


async def _walks(session: AsyncSession, garden_id: int, days: _Days) -> Counter[int]:
    """Daily work by turns that was done, by member."""
    done = [one for one in await tasks.of_days(session, garden_id, *days) if one.state is TaskState.DONE]
    walks = {(one.on, one.part, one.done_by) for one in done if one.done_by is not None}
    return Counter(member_id for *_, member_id in walks)


async def _cold(session: AsyncSession, row: Garden, days: _Days) -> tuple[Cold, tuple[date, ...]]:
    """The season's cold by the thermometers, and the frosts for which nobody was called."""
    first_on, last_on = days
    read = await score.observed(session, row)
    observed = {on: value_c for on, value_c in read.items() if first_on <= on <= last_on}
    frosts = tuple(sorted(on for on, value_c in observed.items() if value_c < score.FROST_C))
    coldest = min(observed.items(), key=lambda pair: (pair[1], pair[0]), default=None)
    scored = await score.scores(session, row)
    nights = [night for night in scored.nights if first_on <= night[0] <= last_on] if scored else []
    table = verification.tabulate([(float(called), frost) for _, _, frost, called in nights], 0.5) if nights else None
    uncalled = tuple(evening for evening, _, frost, called in nights if frost and not called)
    return Cold(len(observed), frosts, coldest, table), uncalled
