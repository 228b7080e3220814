"""Who has today's walks: those on call, then whoever has done least lately of those who can, then everybody is asked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import partial

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden
from bot.core.people import lifting
from bot.core.tasks import rota as core
from bot.core.tasks.daily_work import NOTICE, Part
from bot.core.tasks.rota_rules import eligible, turn_weight
from bot.services.growing.watering import job_key
from bot.services.journal.note import Action
from bot.services.look import Look, quiet
from bot.services.tasks import answers, rota, weeks_on_call
from bot.services.tasks.answers import take
from bot.services.tasks.daily import planning, walk_views
from bot.services.tasks.daily.walk_views import WalkView, by_walk
from bot.storage.models import Ask, Entry, JobMark, Member, Task
from bot.storage.models import Garden as GardenRow
from bot.storage.states import AskState, MarkKind, TaskState
from bot.storage.tasks import tasks

Walk = Sequence[Task]
Asks = Mapping[int, Sequence[Ask]]

#: Fetching a key from somebody counts as one turn in the choice: common practice, no source.
_FETCH_KEY = 1.0
_SLOT = timedelta(minutes=30)
#: So many who were asked for a walk and said nothing: then everybody is asked openly.
_SILENT_N = weeks_on_call.PEOPLE
#: Without any answer for so long, with walks on so many days of it, organisers are told.
_UNHEARD, _UNHEARD_N = timedelta(days=7), 3


@dataclass(frozen=True, slots=True)
class Yours:
    """These walks are this member's now. others: names of whoever else is on call today."""

    member_id: int
    walks: tuple[WalkView, ...]
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NobodyLeft:
    """Since when nobody is left who could be asked by name."""

    walk: WalkView
    at: datetime


@dataclass(frozen=True, slots=True)
class NotNeeded:
    """A warning's task sees to it: this member is free of it."""

    member_id: int
    walk: WalkView


@dataclass(frozen=True, slots=True)
class Unheard:
    """Nobody has answered about any walk for a week. since: of the last answer, None where there has been none."""

    since: datetime | None


Event = Yours | NobodyLeft | NotNeeded | Unheard


async def look(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime) -> list[Event]:
    """Bring the walks of a garden up to `now`; returns what has to be said. May be repeated at any moment."""
    today = now.astimezone(row.tz).date()
    await planning.plan(session, row, outlook, now)
    events = await _settle(session, row, outlook, today)
    if quiet(row).ends_at(now) > now:
        return events
    given = await _give(session, row, outlook, now, today)
    return [*events, *given, *await _unheard(session, row, today)]


async def _settle(session: AsyncSession, row: GardenRow, outlook: Look, today: date) -> list[Event]:
    """What is over, what was reported done elsewhere, and what a task of a warning has taken over."""
    week = await tasks.of_days(session, row.id, today - timedelta(days=7), today)
    live = [duty for duty in week if duty.state in tasks.LIVE]
    for duty in live:
        if duty.on < today:
            duty.state = TaskState.MISSED
    open_ = [duty for duty in live if duty.on == today]
    await _done_elsewhere(session, row, open_, today)
    covered = await planning.covered(session, row, today) if open_ else frozenset()
    events: list[Event] = []
    for walk in by_walk([duty for duty in open_ if duty.state in tasks.LIVE]):
        gone = [duty for duty in walk if (duty.place_id, duty.kind) in covered]
        if gone == walk:
            shown = await walk_views.view(session, outlook, walk)
            events += [NotNeeded(member_id, shown) for member_id, _ in shown.people]
        for duty in gone:
            duty.state = TaskState.DROPPED
        for ask in await tasks.asks_of(session, [duty.id for duty in gone]):
            ask.state = AskState.RELEASED if ask.state in tasks.KEEPING else ask.state
    await session.flush()
    return events


async def _done_elsewhere(session: AsyncSession, row: GardenRow, open_: Walk, today: date) -> None:
    """What the week's Done, or the journal, has reported today is done, by whoever said so."""
    items = {duty.item: duty for duty in open_ if duty.item}
    if not items:
        return
    marks = await session.scalars(
        select(JobMark).where(JobMark.garden_id == row.id, JobMark.kind == MarkKind.DONE, JobMark.job.in_(items))
    )
    told = [(mark.marked_at, mark.job, mark.member_id) for mark in marks]
    notes = await session.scalars(
        select(Entry).where(
            Entry.garden_id == row.id,
            Entry.action == Action.WATERED,
            Entry.done_on == today,
            Entry.undone_at.is_(None),
        )
    )
    told += [(note.written_at, job_key(note.place_id or 0), note.member_id) for note in notes if note.member_id]
    for at, item, member_id in sorted(told):
        duty, member = items.get(item), await session.get(Member, member_id)
        if duty is None or member is None or at.astimezone(row.tz).date() != today or duty.state not in tasks.LIVE:
            continue
        duty.state, duty.done_at, duty.done_by = TaskState.DONE, at, member_id
        asks = await tasks.asks_of(session, [duty.id])
        take(session, duty, next((ask for ask in asks if ask.member_id == member_id), None), member, at)
        for ask in asks:
            if ask.member_id != member_id and ask.state in tasks.KEEPING:
                ask.state = AskState.RELEASED


async def _give(session: AsyncSession, row: GardenRow, outlook: Look, now: datetime, today: date) -> list[Event]:
    """Find somebody for all that is nobody's, and that everybody has not been asked for."""
    rows = [one for one in await tasks.of_days(session, row.id, today, today) if one.state in tasks.LIVE]
    asks: dict[int, list[Ask]] = defaultdict(list)
    for ask in await tasks.asks_of(session, [one.id for one in rows]):
        asks[ask.task_id].append(ask)
    for walk in by_walk(rows):
        _pass_by(walk, asks, now)
    wanting = by_walk([one for one in rows if _is_wanting(one, asks[one.id], now)])
    if not wanting:
        return []
    # Whoever is asked through somebody else is asked a day ahead at least, which a walk of today is not.
    helped = {one.id for one in outlook.garden.members if one.helper_id is not None}
    helpers = [one for one in await rota.helpers(session, outlook.garden, now) if one.id not in helped]
    on_call = (await weeks_on_call.weeks(session, row, now))[0].people
    given = await _lately(session, row, today)
    silent = await answers.often_silent(session, row.id, now)
    fresh: dict[int, list[Walk]] = defaultdict(list)
    nobody: list[Walk] = []
    for walk in wanting:
        told = [ask for duty in walk for ask in asks[duty.id]]
        able = _able(walk, {ask.member_id for ask in told}, helpers, row, now)
        if not able or len({ask.member_id for ask in told if ask.state is AskState.SILENT}) >= _SILENT_N:
            for duty in walk:
                duty.escalated_at = now
            nobody.append(walk)
            continue
        able = [one for one in able if one.id not in silent] or able
        chosen = min(able, key=partial(_rank, walk=walk, garden=outlook.garden, on_call=on_call, given=given))
        given[chosen.id] += _weight(walk)
        session.add_all([Ask(task_id=duty.id, member_id=chosen.id, asked_at=now) for duty in walk])
        fresh[chosen.id].append(walk)
    await session.flush()
    names = {one.id: one.name for one in outlook.garden.members}
    events: list[Event] = []
    for member_id, theirs in fresh.items():
        others = tuple(names[one] for one in on_call if one != member_id and one in names)
        events.append(Yours(member_id, await walk_views.views(session, outlook, theirs), others))
    return [*events, *[NobodyLeft(await walk_views.view(session, outlook, walk), now) for walk in nobody]]


async def _lately(session: AsyncSession, row: GardenRow, today: date) -> dict[int, float]:
    """What each was given in the last days and has not said yes to, or not done, in turns: so that it goes to and fro.

    What is done or promised counts by `rota.helpers` already.
    """
    given: dict[int, float] = defaultdict(float)
    for (member_id, *_), those in (await _asked(session, row, today - timedelta(days=7), today)).items():
        left = [
            duty
            for ask, duty in those
            if (ask.state is AskState.ASKED and duty.state is not TaskState.DONE)
            or (ask.state is AskState.ACCEPTED and duty.state is TaskState.MISSED)
        ]
        given[member_id] += _weight(left) if left else 0.0
    return given


async def _asked(
    session: AsyncSession, row: GardenRow, first_on: date, last_on: date
) -> dict[tuple[int, date, Part | None], list[tuple[Ask, Task]]]:
    """Whom each walk of these days was asked of, in the order of asking: by member, day and part."""
    duties = {one.id: one for one in await tasks.of_days(session, row.id, first_on, last_on)}
    found: dict[tuple[int, date, Part | None], list[tuple[Ask, Task]]] = defaultdict(list)
    for ask in await tasks.asks_of(session, list(duties)):
        duty = duties[ask.task_id]
        found[ask.member_id, duty.on, duty.part].append((ask, duty))
    return found


def _pass_by(walk: Walk, asks: Asks, now: datetime) -> None:
    """Whoever has not answered in time leaves the walk to others, while these have time to see to it."""
    dues = [duty.due_at for duty in walk]
    if max(dues) - now < NOTICE:
        return
    for ask in (ask for duty in walk for ask in asks[duty.id]):
        if ask.state is AskState.ASKED and now >= walk_views.answer_by(dues, ask.asked_at):
            ask.state = AskState.SILENT


async def _unheard(session: AsyncSession, row: GardenRow, today: date) -> list[Event]:
    week = await tasks.of_days(session, row.id, today - _UNHEARD, today - timedelta(days=1))
    asks = await tasks.asks_of(session, [duty.id for duty in week])
    heard = any(duty.state is TaskState.DONE for duty in week) or any(ask.answered_at is not None for ask in asks)
    if heard or not asks or len({duty.on for duty in week}) < _UNHEARD_N:
        return []
    since = await tasks.last_answer(session, row.id)
    return [] if since is not None and today - since.astimezone(row.tz).date() < _UNHEARD else [Unheard(since)]


def _weight(walk: Walk) -> float:
    """All of it is due by day, and lifts a can at most."""
    return turn_weight(sum(duty.minutes for duty in walk), 0.0, time(12), after_sunset=False)


def _is_wanting(duty: Task, asks: Sequence[Ask], now: datetime) -> bool:
    """Whether there is time to ask somebody by name, and nobody has it."""
    has_somebody = any(ask.state in tasks.KEEPING for ask in asks)
    return not has_somebody and duty.escalated_at is None and duty.due_at - now >= NOTICE


def _able(
    walk: Walk, told: Collection[int], helpers: Sequence[core.Helper], row: GardenRow, now: datetime
) -> list[core.Helper]:
    """Who may be named, by the rules of the rota, for some time of the walk's window; nobody twice for one walk."""
    able: dict[int, core.Helper] = {}
    for slot in _slots(walk, now):
        able |= {one.id: one for one in eligible(slot, helpers, row.tz) if one.id not in told}
    return list(able.values())


def _slots(walk: Walk, now: datetime) -> Iterator[core.Duty]:
    """The walk at every half hour at which it could still end in time for what is due first."""
    ends_at = min(duty.due_at for duty in walk)
    minutes = sum(duty.minutes for duty in walk)
    work = timedelta(minutes=max(1, min(minutes, int((ends_at - now) / timedelta(minutes=1)))))
    while ends_at - work >= now:
        yield core.Duty(
            id=walk[0].id,
            starts_at=ends_at - work,
            ends_at=ends_at,
            place_id=walk[0].where_id,
            minutes=minutes,
            kg_each=max(lifting.asked_kg(duty.kind, None, 1) for duty in walk),
        )
        ends_at -= _SLOT


def _rank(
    helper: core.Helper, walk: Walk, garden: Garden, on_call: Sequence[int], given: dict[int, float]
) -> tuple[bool, bool, float, int]:
    """On call first; then within their wishes, and with the least done lately, a key to be fetched counted in."""
    places = [garden.place_by_id.get(duty.where_id) for duty in walk]
    locked = any(place is not None and place.needs_key for place in places)
    against = helper.mornings_only and walk[0].part is Part.EVENING
    fetch = _FETCH_KEY if locked and not helper.has_key else 0.0
    return helper.id not in on_call, against, helper.burden + given[helper.id] + fetch, helper.id
