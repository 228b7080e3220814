"""What one member should do this week, the job whose neglect costs most at the head.

Jobs come from `bot.core.growing.jobs`; here they are chosen for the person, said once for many things, and ranked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from bot.core.finding import Finding
from bot.core.garden.snapshot import Garden, Member, Role, Stage
from bot.core.growing.bolting import Bolt
from bot.core.growing.crop import Crop
from bot.core.growing.harvest import Shared
from bot.core.growing.jobs import SUBJECTS
from bot.core.growing.jobs.harvesting import group_needs, harvesting
from bot.core.growing.jobs.job import WEATHER, Ask, Item, Job, JobKind, Mark, View
from bot.core.growing.jobs.weather_ahead import finding_key, weather
from bot.core.growing.outdoors import Advice
from bot.core.growing.spacing import Grown
from bot.core.people.lifting import can
from bot.core.weather.night import Night
from bot.core.weather.odds import Step
from bot.core.weather.timeline import Day

__all__ = ["WEATHER", "Job", "JobKind", "Mark", "Week", "WeekRecords", "finding_key", "week"]

_NEVER_DAYS = 28  # a job without a date is spread over so many days in ranking: common practice, no source
_MATTERS = timedelta(days=1)  # a job put off comes back this long before its deadline
_URGENT = timedelta(days=3)


@dataclass(frozen=True, slots=True)
class WeekRecords:
    """What a week may be drawn from beside the records; whatever is not known stays empty.

    litres: due now, by place id; water_steps: how that came about. wanted: crops that this member means to grow.
    silent: members gone silent, for organisers. shared: harvests from shared places so far, by planting id.
    away: this member is away: nothing but what they were asked for, to hand on.
    """

    findings: tuple[Finding, ...] = ()
    advice: tuple[Advice, ...] = ()
    nights: tuple[Night, ...] = ()
    days: tuple[Day, ...] = ()
    marks: Mapping[str, Mark] = field(default_factory=dict)
    asks: Ask = field(default_factory=dict)
    soil_c: float | None = None
    litres: Mapping[int, float] = field(default_factory=dict)
    water_steps: Mapping[int, tuple[Step, ...]] = field(default_factory=dict)
    wanted: frozenset[str] = frozenset()
    history: Mapping[int, tuple[Grown, ...]] = field(default_factory=dict)
    blight_on: tuple[date, ...] = ()
    bolting: Mapping[int, Bolt] = field(default_factory=dict)
    silent: tuple[int, ...] = ()
    shared: Mapping[int, Shared] = field(default_factory=dict)
    away: bool = False


@dataclass(frozen=True, slots=True)
class Week:
    """jobs: ranked, all of them. nothing_urgent: none has a deadline within three days; the rest is pleasant to do.

    too_heavy: ids of places where the weather asks this member for more than they are glad to lift, so that others are
    asked. with_adult: they are not known to be adult, so that what the weather asks for is left out.
    """

    jobs: tuple[Job, ...]
    nothing_urgent: bool
    too_heavy: tuple[int, ...] = ()
    with_adult: bool = False


def week(garden: Garden, crops: Mapping[str, Crop], member_id: int, known: WeekRecords, now: datetime) -> Week:
    """The week of one member. now: aware, UTC. Raises KeyError for a member who is not of this garden."""
    today = now.astimezone(ZoneInfo(garden.zone)).date()
    member = next((one for one in garden.members if one.id == member_id), None)
    if member is None:
        raise KeyError(f"member {member_id} is not of garden {garden.id}, expected one of its members")
    items = [one for one in _items(garden, crops, member, known, now, today) if member.adult or not _is_duty(one)]
    heavy = [one for one in items if not can(member.lift_kg, one.kg_each)]
    found = _ranked((one for one in items if one not in heavy), known, now, today)
    beyond = (one.place_id for one in heavy if one.place_id is not None and _shown(one, known.marks, now, today))
    return replace(found, too_heavy=tuple(dict.fromkeys(beyond)), with_adult=not member.adult)


def _is_duty(item: Item) -> bool:
    """What the weather asks for by a certain hour; earthing up for its own sake is work like any other."""
    return item.kind in WEATHER and item.due_at is not None


def of_group(garden: Garden, crops: Mapping[str, Crop], known: WeekRecords, now: datetime) -> Week:
    """The week of what is shared, whoever does it; of everything where nothing is shared. now: aware, UTC."""
    today = now.astimezone(ZoneInfo(garden.zone)).date()
    scope = frozenset(place.id for place in garden.places if place.shared) or frozenset(garden.place_by_id)
    every = _of_places(garden, crops, known, now, today, scope)
    return _ranked((one for one in every if one.key in known.asks or _is_mine(one, scope)), known, now, today)


def _ranked(every: Iterable[Item], known: WeekRecords, now: datetime, today: date) -> Week:
    """What is not done or put off, the same job said once, the most pressing first."""
    items = (one for one in every if _shown(one, known.marks, now, today))
    jobs = sorted(_said_once(items), key=_rank(now, today))
    return Week(tuple(jobs), not any(_by_the_clock(job, now) or _days_left(job, today) <= _URGENT.days for job in jobs))


def _items(
    garden: Garden, crops: Mapping[str, Crop], member: Member, known: WeekRecords, now: datetime, today: date
) -> Iterator[Item]:
    member_id = member.id
    own, shared = _places(garden, member_id)
    mine = frozenset() if known.away else own or shared
    for item in _of_places(garden, crops, known, now, today, mine, member_id):
        turn = known.asks.get(item.key)
        if member_id in turn if turn else _is_mine(item, mine):
            yield item
    if own and not known.away:  # whoever has a plot sees of the shared places what there is to take home
        view = _view(garden, crops, known, now, today, shared, member_id)
        yield from (item for item in harvesting(view) if item.share is not None and not known.asks.get(item.key))
    if any(member_id in ids for ids in known.asks.values()):
        for item in _of_places(garden, crops, known, now, today, frozenset(garden.place_by_id) - mine, member_id):
            if member_id in known.asks.get(item.key, ()):
                yield item
    if member.role is Role.ORGANISER and not known.away:
        duties = weather(_view(garden, crops, known, now, today, shared, member_id))
        yield from group_needs(garden, crops, duties, known.asks, known.silent)


def _of_places(
    garden: Garden,
    crops: Mapping[str, Crop],
    known: WeekRecords,
    now: datetime,
    today: date,
    scope: frozenset[int],
    member_id: int | None = None,
) -> Iterator[Item]:
    view = _view(garden, crops, known, now, today, scope, member_id)
    return (item for subject in SUBJECTS for item in subject(view))


def _is_mine(item: Item, mine: frozenset[int]) -> bool:
    """What has no place (sowing) is for anyone who has ground to sow for."""
    return not item.asked_only and (item.place_id in mine if item.place_id is not None else bool(mine))


def _places(garden: Garden, member_id: int) -> tuple[frozenset[int], frozenset[int]]:
    """(places of the member's plots, the group's places)."""
    plots = {plot.id for plot in garden.plots if member_id in plot.holder_ids}
    own = frozenset(place.id for place in garden.places if place.plot_id in plots and not place.shared)
    return own, frozenset(place.id for place in garden.places if place.shared)


def _view(
    garden: Garden,
    crops: Mapping[str, Crop],
    known: WeekRecords,
    now: datetime,
    today: date,
    scope: frozenset[int],
    member_id: int | None,
) -> View:
    here = (one for one in garden.plantings if one.place_id in scope)
    plantings = tuple(one for one in here if one.stage is not Stage.ENDED and one.crop in crops)
    return View(
        garden=garden,
        crops=crops,
        now=now,
        today=today,
        scope=scope,
        plantings=plantings,
        findings=known.findings,
        advice=known.advice,
        nights=known.nights,
        days=known.days,
        marks=known.marks,
        soil_c=known.soil_c,
        litres=known.litres,
        water_steps=known.water_steps,
        wanted=known.wanted,
        history=known.history,
        blight_on=known.blight_on,
        bolting=known.bolting,
        member_id=member_id,
        shared=known.shared,
    )


def _shown(item: Item, marks: Mapping[str, Mark], now: datetime, today: date) -> bool:
    """Not what is done, nor what was put off; but what was put off comes back the day before its deadline."""
    mark = marks.get(item.key)
    if mark is None or mark.until_on <= today:
        return True
    if mark.done:
        return False
    if item.due_at is not None:
        return item.due_at - now <= _MATTERS
    return item.by_on is not None and item.by_on - today <= _MATTERS


def _said_once(items: Iterable[Item]) -> Iterator[Job]:
    groups: dict[tuple[str, ...], list[Item]] = {}
    for item in items:
        groups.setdefault(item.group, []).append(item)
    return (_job(group, tuple(found)) for group, found in groups.items())


def _job(group: tuple[str, ...], items: tuple[Item, ...]) -> Job:
    first = max(items, key=lambda one: one.value_lost)
    crops = {one.crop for one in items}
    due = [one.due_at for one in items if one.due_at is not None]
    by = [one.by_on for one in items if one.by_on is not None]
    counts = {one.planting_id or one.key: one.count for one in items if one.count is not None}
    litres = [one.litres for one in items if one.litres is not None]
    return Job(
        key=":".join(part for part in group if part),
        kind=first.kind,
        crop=first.crop if len(crops) == 1 else None,
        detail=first.detail,
        items=items,
        planting_ids=tuple(dict.fromkeys(one.planting_id for one in items if one.planting_id is not None)),
        place_ids=tuple(dict.fromkeys(one.place_id for one in items if one.place_id is not None)),
        due_at=min(due, default=None),
        by_on=min(by, default=None),
        value_lost=sum(one.value_lost for one in items),
        count=sum(counts.values()) if counts else None,
        litres=sum(litres) if litres else None,
        reasons=first.reasons,
    )


def _rank(now: datetime, today: date) -> Callable[[Job], tuple[bool, float, float, str]]:
    """Deadlines by the clock first, the earliest at the head; then by what is lost for each day that is left."""

    def rank(job: Job) -> tuple[bool, float, float, str]:
        if job.due_at is not None and _by_the_clock(job, now):
            return False, job.due_at.timestamp(), -job.value_lost, job.key
        return True, -job.value_lost / max(1, _days_left(job, today)), 0.0, job.key

    return rank


def _by_the_clock(job: Job, now: datetime) -> bool:
    return job.due_at is not None and job.due_at - now <= _URGENT


def _days_left(job: Job, today: date) -> int:
    return (job.by_on - today).days if job.by_on is not None else _NEVER_DAYS
