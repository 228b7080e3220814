"""Whose answer is late, so that somebody else is asked in their place, where there is anybody."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Garden
from bot.core.warnings import alerts
from bot.core.warnings.alerts import Quiet
from bot.core.warnings.hazards import TaskKind
from bot.storage.models import Ask, Task
from bot.storage.states import AskState
from bot.storage.tasks import tasks

#: What one person was asked for that is done on one walk: who, what kind of work, and to which place.
_Job = tuple[int, TaskKind, int | None]


@dataclass(frozen=True, slots=True)
class Late:
    """members: by duty, who was reminded long enough ago. waited_for: by warning, who is asked for nothing more of it until
    they answer, or has answered no to some and yes to nothing of it.
    """

    members: Mapping[int, frozenset[int]]
    waited_for: Mapping[int, frozenset[int]]

    def of(self, duty: Task) -> frozenset[int]:
        return self.members.get(duty.id, frozenset())


async def late(
    session: AsyncSession,
    duties: Sequence[Task],
    asks: Mapping[int, Sequence[Ask]],
    garden: Garden,
    quiet: Quiet,
    now: datetime,
) -> Late:
    """Of duties of warnings: whose answers are late, where somebody is left to ask who is not waited for already.

    So a garden whose people are all at work is not asked around among itself, and each of those who are left is asked in the
    place of one, for one kind of work at a time. And of each duty so many only
    (`alerts.SILENT_N`); what is left is for the open call. Whoever is asked through somebody else is given the time for it.
    """
    found = _late(duties, asks, garden, quiet, now) if quiet.ends_at(now) <= now else {}
    if not found:
        return Late({}, {})
    waited_for = _waited_for(await tasks.told_of(session, {duty.cause_id for duty in duties}, now))
    can_be_asked = frozenset(member.id for member in garden.members if member.adult and member.reachable)
    return Late(_one_for_one(found, duties, asks, waited_for, can_be_asked), waited_for)


def _one_for_one(
    late_members: Mapping[int, frozenset[int]],
    duties: Sequence[Task],
    asks: Mapping[int, Sequence[Ask]],
    waited_for: Mapping[int, frozenset[int]],
    can_be_asked: frozenset[int],
) -> Mapping[int, frozenset[int]]:
    """Of those who are late as many as there are others, for each of whom one kind of work is enough at a time."""
    found: dict[int, frozenset[int]] = {}
    instead = defaultdict[int, set[_Job]](set)
    for duty in (duty for duty in duties if duty.id in late_members):
        free, taken, mine = can_be_asked - waited_for[duty.cause_id], instead[duty.cause_id], set[int]()
        if not free.difference(ask.member_id for ask in asks[duty.id]):
            continue
        for member_id in sorted(late_members[duty.id]):
            job = member_id, duty.kind, duty.target_place_id
            if job in taken or len(taken) < len(free):
                taken.add(job)
                mine.add(member_id)
        if mine:
            found[duty.id] = frozenset(mine)
    return found


def _late(
    duties: Sequence[Task], asks: Mapping[int, Sequence[Ask]], garden: Garden, quiet: Quiet, now: datetime
) -> dict[int, frozenset[int]]:
    by_app = {member.id for member in garden.members if member.helper_id is None}
    due_at = first_due((duty, ask) for duty in duties for ask in asks[duty.id])
    members: dict[int, frozenset[int]] = {}
    for duty in duties:
        told = asks[duty.id]
        passed_by_n = sum(ask.state is AskState.SILENT for ask in told)
        found = [
            ask.member_id
            for ask in told
            if ask.state is AskState.ASKED
            and _is_late(ask, due_at[ask.member_id, ask.asked_at], quiet, now, by_app=ask.member_id in by_app)
        ]
        if found := found[: max(alerts.SILENT_N * duty.people - passed_by_n, 0)]:
            members[duty.id] = frozenset(found)
    return members


def pass_by(asks: Iterable[Ask]) -> Iterator[Ask]:
    """Somebody else is asked: a yes of theirs is as welcome as before."""
    for ask in asks:
        if ask.state is AskState.ASKED:
            ask.state = AskState.SILENT
            yield ask


def wait_over_at(said_at: datetime, due_at: datetime, quiet: Quiet) -> datetime:
    """When somebody who was asked is reminded, and when an answer after the reminder is late."""
    return said_at + alerts.answer_wait(said_at, due_at, quiet)


def _is_late(ask: Ask, due_at: datetime, quiet: Quiet, now: datetime, *, by_app: bool) -> bool:
    """Where the time is short that is as soon as they are reminded: whoever says yes first has the turn."""
    if ask.reminded_at is None or now < wait_over_at(ask.asked_at, due_at, quiet):
        return False
    at_once = by_app and alerts.is_short(ask.reminded_at, due_at, quiet)
    return at_once or now >= wait_over_at(ask.reminded_at, due_at, quiet)


def first_due(asked: Iterable[tuple[Task, Ask]]) -> Mapping[tuple[int, datetime], datetime]:
    """What somebody was asked for at one moment is waited for together, by what of it is due first."""
    first: dict[tuple[int, datetime], datetime] = {}
    for duty, ask in asked:
        together = ask.member_id, ask.asked_at
        first[together] = min(first.get(together, duty.due_at), duty.due_at)
    return first


def _waited_for(told: Iterable[tuple[int, Ask]]) -> Mapping[int, frozenset[int]]:
    """By warning; whoever did not answer for what is not needed any more is waited for, too."""
    found = defaultdict[int, list[Ask]](list)
    for warning_id, ask in told:
        found[warning_id].append(ask)
    waited_for = defaultdict[int, frozenset[int]](frozenset)
    for warning_id, asks in found.items():
        yes = {ask.member_id for ask in asks if ask.state is AskState.ACCEPTED}
        asked = {ask.member_id for ask in asks if ask.state is AskState.ASKED}
        waited_for[warning_id] = frozenset(asked | {ask.member_id for ask in asks if _is_none(ask)} - yes)
    return waited_for


def _is_none(ask: Ask) -> bool:
    """Whether it was answered with no, or not even after the reminder."""
    unanswered = ask.reminded_at is not None and ask.answered_at is None
    return unanswered or ask.state in (AskState.SILENT, AskState.PASSED)
