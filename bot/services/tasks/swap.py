"""A turn handed to another member by name: the giver asks, the taker agrees, and everything is looked up again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden
from bot.core.people.lifting import can
from bot.services.people.membership import reachable
from bot.services.tasks.answers import close_when_enough, take
from bot.services.tasks.rota import asked_kg
from bot.storage.models import Ask, Member, Task, Warning
from bot.storage.states import AskState
from bot.storage.tasks import tasks


class Swap(StrEnum):
    """How a swap was taken. All but MOVED change nothing."""

    MOVED = "moved"
    ALREADY = "already"  # it moved before
    NOTHING = "nothing"  # the giver has nothing there to give
    KEPT = "kept"  # the giver has said yes to it themselves since they asked
    SELF = "self"
    ON_IT = "on it"  # the taker is on it too, so one would be missing
    ADULTS_ONLY = "adults only"
    UNREACHABLE = "unreachable"
    TOO_HEAVY = "too heavy"
    KEY_NEEDED = "key needed"


@dataclass(frozen=True, slots=True)
class _Scene:
    """The giver's open duties of one warning, and every ask for them."""

    duties: tuple[Task, ...]
    asks: tuple[Ask, ...]

    def of(self, member: Member) -> dict[int, Ask]:
        return {ask.task_id: ask for ask in self.asks if ask.member_id == member.id}


async def hindrance(
    session: AsyncSession, garden: Garden, warning: Warning, giver: Member, taker: Member, now: datetime
) -> Swap | None:
    """Why the taker can't have the giver's turns of this warning; None when nothing is in the way."""
    return await _hindrance(session, garden, await _scene(session, warning, giver, now), giver, taker)


async def agree(
    session: AsyncSession,
    garden: Garden,
    warning: Warning,
    giver: Member,
    taker: Member,
    asked_at: datetime,
    now: datetime,
) -> Swap:
    """The taker says yes to what the giver asked at asked_at: all of the giver's turns of this warning move."""
    scene = await _scene(session, warning, giver, now)
    against = await _hindrance(session, garden, scene, giver, taker)
    if against is Swap.NOTHING and await _took(session, warning, taker):
        return Swap.ALREADY
    if against is not None:
        return against
    given, own = scene.of(giver), scene.of(taker)
    if any(_said_yes_since(given[duty.id], asked_at) for duty in scene.duties):
        return Swap.KEPT
    for duty in scene.duties:
        ask = own.get(duty.id)
        if ask is None:
            ask = Ask(task_id=duty.id, member_id=taker.id, asked_at=now)
            session.add(ask)
        ask.why = "SWAPPED"
        given[duty.id].state, given[duty.id].answered_at = AskState.PASSED, now
        take(session, duty, ask, taker, now)
        close_when_enough(duty, scene.asks, taker)
    await session.flush()
    return Swap.MOVED


async def _scene(session: AsyncSession, warning: Warning, giver: Member, now: datetime) -> _Scene:
    duties = [
        duty
        for duty in await tasks.of_warnings(session, [warning.id])
        if duty.state in tasks.LIVE and (now < warning.ends_at or now < duty.due_at)
    ]
    asks = await tasks.asks_of(session, [duty.id for duty in duties])
    theirs = {ask.task_id for ask in asks if ask.member_id == giver.id and ask.state in tasks.KEEPING}
    return _Scene(tuple(duty for duty in duties if duty.id in theirs), tuple(asks))


async def _hindrance(session: AsyncSession, garden: Garden, scene: _Scene, giver: Member, taker: Member) -> Swap | None:
    if giver.id == taker.id:
        return Swap.SELF
    if not scene.duties:
        return Swap.NOTHING
    if not taker.adult:
        return Swap.ADULTS_ONLY
    if not reachable(taker):
        return Swap.UNREACHABLE
    own = scene.of(taker)
    if any(duty.id in own and own[duty.id].state in tasks.KEEPING for duty in scene.duties):
        return Swap.ON_IT
    if not can(taker.lift_kg, max(asked_kg(duty, garden) for duty in scene.duties)):
        return Swap.TOO_HEAVY
    return Swap.KEY_NEEDED if not taker.has_key and await _locked(session, garden, scene, giver) else None


async def _locked(session: AsyncSession, garden: Garden, scene: _Scene, giver: Member) -> bool:
    """Whether one of the places is locked and nobody else on its duty holds a key."""
    for duty in scene.duties:
        if not garden.place_by_id[duty.where_id].needs_key:
            continue
        others = [ask for ask in scene.asks if ask.task_id == duty.id and ask.state in tasks.KEEPING]
        if not await _any_key(session, [ask.member_id for ask in others if ask.member_id != giver.id]):
            return True
    return False


async def _any_key(session: AsyncSession, member_ids: Sequence[int]) -> bool:
    holders = [await session.get(Member, id_) for id_ in member_ids]
    return any(holder is not None and holder.has_key for holder in holders)


async def _took(session: AsyncSession, warning: Warning, taker: Member) -> bool:
    duties = await tasks.of_warnings(session, [warning.id])
    asks = await tasks.asks_of(session, [duty.id for duty in duties])
    return any(ask.member_id == taker.id and ask.why == "SWAPPED" for ask in asks if ask.state is AskState.ACCEPTED)


def _said_yes_since(ask: Ask, asked_at: datetime) -> bool:
    return ask.state is AskState.ACCEPTED and ask.answered_at is not None and ask.answered_at > asked_at
