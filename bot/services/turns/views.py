"""A walk of the day as people will see it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.chores import Chore, ChoreKind, Part
from bot.core.garden import Garden, Place
from bot.core.odds import Step, StepCode
from bot.core.week import finding_key
from bot.services.outlook import Outlook
from bot.services.watering import job_key
from bot.storage import members, turns
from bot.storage.models import DayTurn, DayTurnAsk, Key
from bot.storage.states import AskState, DutyState, KeyState

__all__ = ["Line", "TurnView", "answer_by", "kept", "of_day", "view", "views"]

#: How long an answer is waited for: a third of the time that is left, within these. Common practice, no source.
_SHORTEST, _LONGEST = timedelta(minutes=45), timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to do. place: None for the whole garden. key: of its item in the week, empty where it has none."""

    kind: ChoreKind
    place: Place | None
    due_at: datetime
    litres: float | None
    key: str
    reasons: tuple[Step, ...]


@dataclass(frozen=True, slots=True)
class TurnView:
    """people: (member id, name) of those whose it is. locked: its places behind a lock. holders: who has a key, by
    member id. done_by: a name. answer_by: when the next person is asked, unless whoever was asked says yes.
    """

    id: int
    on: date
    part: Part
    lines: tuple[Line, ...]
    minutes: int
    due_at: datetime
    state: DutyState
    people: tuple[tuple[int, str], ...]
    done_by: str | None
    holders: tuple[tuple[int, str], ...]
    answer_by: datetime | None = None

    @property
    def locked(self) -> tuple[Place, ...]:
        places = (line.place for line in self.lines if line.place is not None and line.place.needs_key)
        return tuple({place.id: place for place in places}.values())

    @property
    def live(self) -> bool:
        return self.state in turns.LIVE

    def is_of(self, member_id: int) -> bool:
        return any(one == member_id for one, _ in self.people)


def answer_by(row: DayTurn, ask: DayTurnAsk) -> datetime:
    """Until when the walk is theirs without a word."""
    dues = [at for one in row.chores if (at := datetime.fromisoformat(one["due_at"])) > ask.asked_at]
    left = min(dues, default=row.due_at) - ask.asked_at
    return ask.asked_at + max(_SHORTEST, min(_LONGEST, left / 3))


def kept(chore: Chore) -> dict[str, Any]:
    """A chore as a row keeps it."""
    key = finding_key(chore.finding) if chore.finding else ""
    return {
        "kind": chore.kind.value,
        "place_id": chore.place_id,
        "due_at": chore.due_at.isoformat(),
        "minutes": chore.minutes,
        "litres": chore.litres,
        "key": job_key(chore.place_id) if chore.kind is ChoreKind.WATER else key,
        "why": [[step.code.value, step.value, step.low, step.high, step.source] for step in chore.reasons],
    }


async def of_day(session: AsyncSession, outlook: Outlook, on: date) -> tuple[TurnView, ...]:
    return await views(session, outlook, await turns.of_days(session, outlook.garden.id, on, on))


async def view(session: AsyncSession, outlook: Outlook, row: DayTurn) -> TurnView:
    (found,) = await views(session, outlook, [row])
    return found


async def views(session: AsyncSession, outlook: Outlook, rows: Sequence[DayTurn]) -> tuple[TurnView, ...]:
    """Walks of one garden with the people on them."""
    if not rows:
        return ()
    garden = outlook.garden
    asked: dict[int, list[DayTurnAsk]] = defaultdict(list)
    for ask in await turns.asks_of(session, [row.id for row in rows]):
        if ask.state in turns.KEEPING:
            asked[ask.turn_id].append(ask)
    names = {one.id: one.person.name for one in await members.in_garden(session, garden.id)}
    holders = await _holders(session, garden, names)
    return tuple(_view(row, garden, asked[row.id], names, holders) for row in rows)


def _view(
    row: DayTurn,
    garden: Garden,
    asked: Collection[DayTurnAsk],
    names: dict[int, str],
    holders: Sequence[tuple[int | None, tuple[int, str]]],
) -> TurnView:
    lines = tuple(_line(one, garden) for one in row.chores)
    locked = {line.place.id for line in lines if line.place is not None and line.place.needs_key}
    opening = dict(person for place_id, person in holders if place_id is None or place_id in locked)
    return TurnView(
        id=row.id,
        on=row.on,
        part=row.part,
        lines=lines,
        minutes=row.minutes,
        due_at=row.due_at,
        state=row.state,
        people=tuple((one.member_id, names[one.member_id]) for one in asked if one.member_id in names),
        done_by=names.get(row.done_by or 0),
        holders=tuple(opening.items()) if locked else (),
        answer_by=min((answer_by(row, one) for one in asked if one.state is AskState.ASKED), default=None),
    )


def _line(one: dict[str, Any], garden: Garden) -> Line:
    return Line(
        kind=ChoreKind(one["kind"]),
        place=garden.place_by_id.get(one["place_id"]),
        due_at=datetime.fromisoformat(one["due_at"]),
        litres=one["litres"],
        key=one["key"],
        reasons=tuple(Step(StepCode(code), *rest) for code, *rest in one["why"]),
    )


async def _holders(
    session: AsyncSession, garden: Garden, names: dict[int, str]
) -> list[tuple[int | None, tuple[int, str]]]:
    """(what it opens, None for everything; who holds it); whom the members' list alone calls a holder comes last."""
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
    listed = [one for one in garden.members if one.has_key and one.id not in known and one.id in names]
    return [*found, *((None, (one.id, names[one.id])) for one in listed)]
