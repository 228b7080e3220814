"""Who has today's walks: those on call, then whoever has done least lately of those who can, then everybody is asked."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import partial

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import rota as core
from bot.core.chores import NOTICE, ChoreKind, Part
from bot.core.fairness import turn_weight
from bot.core.garden import Garden
from bot.core.rota_rules import eligible
from bot.services import oncall, rota
from bot.services.outlook import Outlook, quiet
from bot.services.turns import answers, planning, views
from bot.services.turns.views import TurnView
from bot.storage import turns
from bot.storage.models import DayTurn, DayTurnAsk
from bot.storage.models import Garden as GardenRow
from bot.storage.states import AskState, DutyState

__all__ = ["Event", "NobodyLeft", "NotNeeded", "Unheard", "Yours", "look"]

#: Fetching a key from somebody counts as one turn in the choice: common practice, no source.
_FETCH_KEY = 1.0
_SLOT = timedelta(minutes=30)
#: So many who were asked for a walk and said nothing: then everybody is asked openly.
_SILENT_N = oncall.PEOPLE
#: Whoever has let so many walks of a fortnight pass without a word comes after everybody else: common practice, no source.
_OFTEN, _FOR_A_WHILE = 2, timedelta(days=14)
#: Without any answer for so long, with walks on so many days of it, organisers are told.
_UNHEARD, _UNHEARD_N = timedelta(days=7), 3


@dataclass(frozen=True, slots=True)
class Yours:
    """These walks are this member's now. others: names of whoever else is on call today."""

    member_id: int
    turns: tuple[TurnView, ...]
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NobodyLeft:
    """Since when nobody is left who could be asked by name."""

    turn: TurnView
    at: datetime


@dataclass(frozen=True, slots=True)
class NotNeeded:
    """A warning's duty sees to it: this member is free of it."""

    member_id: int
    turn: TurnView


@dataclass(frozen=True, slots=True)
class Unheard:
    """Nobody has answered about any walk for a week. since: of the last answer, None where there has been none."""

    since: datetime | None


Event = Yours | NobodyLeft | NotNeeded | Unheard


async def look(session: AsyncSession, row: GardenRow, outlook: Outlook, now: datetime) -> list[Event]:
    """Bring the walks of a garden up to `now`; returns what has to be said. May be repeated at any moment."""
    today = now.astimezone(row.tz).date()
    await planning.plan(session, row, outlook, now)
    events = await _settle(session, row, outlook, now, today)
    if quiet(row).ends_at(now) > now:
        return events
    given = await _give(session, row, outlook, now, today)
    return [*events, *given, *await _unheard(session, row, today)]


async def _settle(session: AsyncSession, row: GardenRow, outlook: Outlook, now: datetime, today: date) -> list[Event]:
    """What is over, what was reported done elsewhere, and what a warning's duty has taken over."""
    week = await turns.of_days(session, row.id, today - timedelta(days=7), today)
    live = [turn for turn in week if turn.state in turns.LIVE]
    covered = await planning.covered(session, row, today) if live else frozenset()
    events: list[Event] = []
    for turn in live:
        if turn.on < today:
            turn.state = DutyState.MISSED
            continue
        if await answers.done_elsewhere(session, turn, row):
            continue
        left = [one for one in turn.chores if (one["place_id"], ChoreKind(one["kind"])) not in covered]
        if left and len(left) < len(turn.chores):
            turn.chores, turn.minutes = left, sum(one["minutes"] for one in left)
        elif not left:
            shown = await views.view(session, outlook, turn)
            turn.state = DutyState.DROPPED
            events += [NotNeeded(member_id, shown) for member_id, _ in shown.people]
    await session.flush()
    return events


async def _give(session: AsyncSession, row: GardenRow, outlook: Outlook, now: datetime, today: date) -> list[Event]:
    """Find somebody for every walk that is nobody's, and that everybody has not been asked for."""
    rows = [one for one in await turns.of_days(session, row.id, today, today) if one.state in turns.LIVE]
    asks: dict[int, list[DayTurnAsk]] = defaultdict(list)
    for ask in await turns.asks_of(session, [one.id for one in rows]):
        asks[ask.turn_id].append(ask)
    for turn in rows:
        _pass_by(turn, asks[turn.id], now)
    wanting = [turn for turn in rows if _is_wanting(turn, asks[turn.id], now)]
    if not wanting:
        return []
    # Whoever is asked through somebody else is asked a day ahead at least, which a walk of today is not.
    helped = {one.id for one in outlook.garden.members if one.helper_id is not None}
    helpers = [one for one in await rota.helpers(session, outlook.garden, now) if one.id not in helped]
    on_call = (await oncall.weeks(session, row, now))[0].people
    given = await _lately(session, row, today)
    silent = await _often_silent(session, row, today)
    fresh: dict[int, list[DayTurn]] = defaultdict(list)
    nobody: list[DayTurn] = []
    for turn in wanting:
        able = _able(turn, asks[turn.id], helpers, row, now)
        if not able or sum(ask.state is AskState.SILENT for ask in asks[turn.id]) >= _SILENT_N:
            turn.escalated_at = now
            nobody.append(turn)
            continue
        able = [one for one in able if one.id not in silent] or able
        chosen = min(able, key=partial(_rank, turn=turn, garden=outlook.garden, on_call=on_call, given=given))
        given[chosen.id] += _weight(turn)
        session.add(DayTurnAsk(turn_id=turn.id, member_id=chosen.id, state=AskState.ASKED, asked_at=now))
        fresh[chosen.id].append(turn)
    await session.flush()
    names = {one.id: one.name for one in outlook.garden.members}
    events: list[Event] = []
    for member_id, theirs in fresh.items():
        others = tuple(names[one] for one in on_call if one != member_id and one in names)
        events.append(Yours(member_id, await views.views(session, outlook, theirs), others))
    return [*events, *[NobodyLeft(await views.view(session, outlook, turn), now) for turn in nobody]]


async def _lately(session: AsyncSession, row: GardenRow, today: date) -> dict[int, float]:
    """What each was given in the last days and has not reported done, in turns: so that it goes to and fro.

    What is done counts by `rota.helpers` already.
    """
    week = await turns.of_days(session, row.id, today - timedelta(days=7), today)
    weights = {turn.id: _weight(turn) for turn in week if turn.state is not DutyState.DONE}
    given: dict[int, float] = defaultdict(float)
    for ask in await turns.asks_of(session, list(weights)):
        if ask.state in turns.KEEPING:
            given[ask.member_id] += weights[ask.turn_id]
    return given


def _pass_by(turn: DayTurn, asks: Sequence[DayTurnAsk], now: datetime) -> None:
    """Whoever has not answered in time leaves the walk to others, while these have time to see to it."""
    for ask in asks:
        if ask.state is AskState.ASKED and now >= views.answer_by(turn, ask) and turn.due_at - now >= NOTICE:
            ask.state = AskState.SILENT


async def _often_silent(session: AsyncSession, row: GardenRow, today: date) -> frozenset[int]:
    """Who has let walks pass without a word lately, and has answered nothing since."""
    states = {turn.id: turn.state for turn in await turns.of_days(session, row.id, today - _FOR_A_WHILE, today)}
    running: dict[int, int] = defaultdict(int)
    for ask in await turns.asks_of(session, list(states)):
        if ask.state in (AskState.ACCEPTED, AskState.PASSED):
            running[ask.member_id] = 0
        elif ask.state is AskState.SILENT or (ask.state is AskState.ASKED and states[ask.turn_id] is DutyState.MISSED):
            running[ask.member_id] += 1
    return frozenset(member_id for member_id, n in running.items() if n >= _OFTEN)


async def _unheard(session: AsyncSession, row: GardenRow, today: date) -> list[Event]:
    week = await turns.of_days(session, row.id, today - _UNHEARD, today - timedelta(days=1))
    asks = await turns.asks_of(session, [turn.id for turn in week])
    heard = any(turn.state is DutyState.DONE for turn in week) or any(ask.answered_at is not None for ask in asks)
    if heard or not asks or len({turn.on for turn in week}) < _UNHEARD_N:
        return []
    since = await turns.last_answer(session, row.id)
    return [] if since is not None and today - since.astimezone(row.tz).date() < _UNHEARD else [Unheard(since)]


def _weight(turn: DayTurn) -> float:
    """All walks are due by day, and lift a can at most."""
    return turn_weight(turn.minutes, 0.0, time(12), after_sunset=False)


def _is_wanting(turn: DayTurn, asks: Sequence[DayTurnAsk], now: datetime) -> bool:
    """Whether there is time to ask somebody by name, and nobody has it."""
    has_somebody = any(ask.state in turns.KEEPING for ask in asks)
    return not has_somebody and turn.escalated_at is None and turn.due_at - now >= NOTICE


def _able(
    turn: DayTurn,
    asks: Sequence[DayTurnAsk],
    helpers: Sequence[core.Helper],
    row: GardenRow,
    now: datetime,
) -> list[core.Helper]:
    """Who may be named, by the rules of the rota, for some time of the walk's window; nobody twice for one walk."""
    told = {ask.member_id for ask in asks}
    able: dict[int, core.Helper] = {}
    for duty in _slots(turn, now):
        able |= {one.id: one for one in eligible(duty, helpers, row.tz) if one.id not in told}
    return list(able.values())


def _slots(turn: DayTurn, now: datetime) -> Iterator[core.Duty]:
    """The walk at every half hour at which it could still end in time for what is due first."""
    coming = [at for one in turn.chores if (at := datetime.fromisoformat(one["due_at"])) > now]
    ends_at = min(coming, default=turn.due_at)
    work = timedelta(minutes=max(1, min(turn.minutes, int((ends_at - now) / timedelta(minutes=1)))))
    while ends_at - work >= now:
        yield core.Duty(
            id=turn.id,
            starts_at=ends_at - work,
            ends_at=ends_at,
            place_id=turn.chores[0]["place_id"] if turn.chores else 0,
            minutes=turn.minutes,
            kg_each=answers.lifted_kg(turn),
        )
        ends_at -= _SLOT


def _rank(
    helper: core.Helper, turn: DayTurn, garden: Garden, on_call: Sequence[int], given: dict[int, float]
) -> tuple[bool, bool, float, int]:
    """On call first; then within their wishes, and with the least done lately, a key to be fetched counted in."""
    places = [garden.place_by_id.get(one["place_id"]) for one in turn.chores]
    locked = any(place is not None and place.needs_key for place in places)
    against = helper.mornings_only and turn.part is Part.EVENING
    fetch = _FETCH_KEY if locked and not helper.has_key else 0.0
    return helper.id not in on_call, against, helper.burden + given[helper.id] + fetch, helper.id
