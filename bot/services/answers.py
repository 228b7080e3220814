"""What members answer: I'll do it, I can't, done, not done. Every answer may come twice, late or in the wrong order."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import lifting
from bot.services import afterwards, reported
from bot.storage import gardens
from bot.storage import warnings as store
from bot.storage.models import Ask, Duty, DutyReport, Member, Place, Warning
from bot.storage.states import AskState, DutyState, WarningState

__all__ = [
    "Answer", "Reply", "Reportable", "Share", "accept", "all_seen_to", "close_when_enough", "done", "hands", "left",
    "not_done", "pass_on", "reportable", "reports", "spare", "take", "take_back",
]  # fmt: skip

_KEEPING = (AskState.ASKED, AskState.ACCEPTED)


class Reply(StrEnum):
    """How an answer was taken."""

    THANKS = "thanks"
    ALREADY = "already"  # the same answer had come before
    NOT_NEEDED = "not needed"  # done, dropped or taken by others
    TOO_LATE = "too late"
    ADULTS_ONLY = "adults only"
    TOO_HEAVY = "too heavy"  # for what the member has said they are glad to lift
    PASSED = "passed"
    NOT_ASKED = "not asked"
    REOPENED = "reopened"
    TAKEN_BACK = "taken back"  # their own Done, by Undo
    WHOLE = "whole"  # it wants several people: is the whole of it done?
    PART = "part"  # their part of it is noted, others' are still to come
    HANDS = "hands"  # one more person is looked for
    LEFT = "left"  # it was not done, they say afterwards
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Answer:
    """duty_ids: the duties that the answer changed. shared: those that want several people, so that it is asked of each
    whether the whole of it is done. report_ids: first and last of what was noted, for Undo.
    """

    reply: Reply
    duty_ids: tuple[int, ...] = ()
    shared: tuple[int, ...] = ()
    report_ids: tuple[int, int] | None = None


class Share(StrEnum):
    """How much of what wants several people a Done is about."""

    UNSAID = "unsaid"  # so nothing of it is taken: it is asked
    PART = "part"  # the speaker's own
    WHOLE = "whole"  # all of it, said plainly


@dataclass(frozen=True, slots=True)
class Reportable:
    """What may be reported done now. mine: what the member has accepted, or where there is none of it, was asked for;
    every: with it, all that is due now. before: whether they have reported something already. Ids, in a fixed order.
    """

    mine: tuple[int, ...]
    every: tuple[int, ...]
    before: bool


async def accept(
    session: AsyncSession, warning: Warning, member: Member, now: datetime, shown: Collection[int] | None = None
) -> Answer:
    """A member takes what they were asked for, or, not asked, the first duty that still lacks somebody.

    shown: the duties that the message named under which they say so, and only these; None for all of the warning.
    """
    if not member.adult:
        return Answer(Reply.ADULTS_ONLY)
    duties = [duty for duty in await _live(session, warning, now) if shown is None or duty.id in shown]
    if not duties:
        late = warning.state is WarningState.OVER or now >= warning.due_at
        return Answer(Reply.TOO_LATE if late else Reply.NOT_NEEDED)
    asks = await store.asks_of(session, [duty.id for duty in duties])
    mine = {ask.duty_id: ask for ask in asks if ask.member_id == member.id}
    heavy = await _too_heavy(session, duties, member)
    named = [duty for duty in duties if duty.id in mine and mine[duty.id].state in _KEEPING]
    fresh = [duty for duty in named if mine[duty.id].state is AskState.ASKED and duty.id not in heavy]
    if named and not fresh and not any(duty.id in heavy for duty in named):
        return Answer(Reply.ALREADY)
    chosen = fresh or _volunteer([duty for duty in duties if duty.id not in heavy], asks, member)
    for duty in chosen:
        take(session, duty, mine.get(duty.id), member, now)
        close_when_enough(duty, [*asks], member)
    _pass_on([(mine[duty.id], duty) for duty in named if duty.id in heavy], now)
    await session.flush()
    none = Reply.TOO_HEAVY if _volunteer(duties, asks, member) else Reply.NOT_NEEDED
    return Answer(Reply.THANKS if chosen else none, tuple(duty.id for duty in chosen))


async def spare(session: AsyncSession, member: Member, now: datetime) -> tuple[int, ...]:
    """They lift less than before: what is too heavy now goes to others. Ids of the places."""
    open_ = await store.open_asks_of_member(session, member.id)
    heavy = await _too_heavy(session, [duty for _, duty in open_], member)
    given = [(ask, duty) for ask, duty in open_ if duty.id in heavy]
    _pass_on(given, now)
    await session.flush()
    return tuple(dict.fromkeys(duty.place_id for _, duty in given))


def _pass_on(given: Sequence[tuple[Ask, Duty]], now: datetime) -> None:
    for ask, duty in given:
        ask.state, ask.answered_at, duty.state = AskState.PASSED, now, DutyState.OPEN


async def _too_heavy(session: AsyncSession, duties: Sequence[Duty], member: Member) -> set[int]:
    """Ids of the duties that lift more than the member has said they are glad to, however they came to be asked."""
    rows = await session.scalars(select(Place).where(Place.id.in_({duty.place_id for duty in duties})))
    places = {place.id: place for place in rows}
    asked = {duty.id: lifting.asked_kg(duty.task, places[duty.place_id], duty.people) for duty in duties}
    return {duty_id for duty_id, kg in asked.items() if not lifting.can(member.lift_kg, kg)}


async def pass_on(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Answer:
    """A member can't: somebody else is found. Said after an accept it frees the duty again."""
    duties = {duty.id: duty for duty in await _live(session, warning, now)}
    mine = [ask for ask in await store.asks_of(session, list(duties)) if ask.member_id == member.id]
    passed_before = any(ask.state is AskState.PASSED for ask in mine)
    given = [(ask, duties[ask.duty_id]) for ask in mine if ask.state in _KEEPING]
    _pass_on(given, now)
    if given:
        return Answer(Reply.PASSED, tuple(duty.id for _, duty in given))
    return Answer(Reply.ALREADY if passed_before else Reply.NOT_ASKED if duties else Reply.TOO_LATE)


async def reportable(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Reportable:
    """What a member's Done may be about: theirs, however late, and all else that is due now."""
    duties = [duty for duty in await store.duties_of(session, [warning.id]) if duty.starts_at <= now]
    ids = [duty.id for duty in duties]
    asks = [ask for ask in await store.asks_of(session, ids) if _keeps(ask, member)]
    said = {report.duty_id for report in await _done_reports(session, ids) if report.member_id == member.id}
    open_ = [duty for duty in duties if duty.state in (*store.LIVE, DutyState.MISSED)]
    still = {duty.id for duty in open_}
    accepted = {ask.duty_id for ask in asks if ask.state is AskState.ACCEPTED} & still
    theirs = accepted or {ask.duty_id for ask in asks} & still
    mine = tuple(duty.id for duty in open_ if duty.id in theirs and duty.id not in said)
    over = warning.state is WarningState.OVER
    every = tuple(duty.id for duty in open_ if duty.id in theirs or (duty.task in afterwards.TASKS) is over)
    return Reportable(mine, every, before=bool(said))


async def all_seen_to(session: AsyncSession, warning: Warning, member: Member) -> bool:
    """Whether the member keeps something, and all of it is done, whoever reported it."""
    duties = {duty.id: duty for duty in await store.duties_of(session, [warning.id])}
    kept = [ask.duty_id for ask in await store.asks_of(session, list(duties)) if _keeps(ask, member)]
    return bool(kept) and all(duties[duty_id].state is DutyState.DONE for duty_id in kept)


async def done(
    session: AsyncSession,
    warning: Warning,
    member: Member,
    now: datetime,
    duty_ids: Collection[int] | None = None,
    share: Share = Share.UNSAID,
) -> Answer:
    """A member reports what is done: theirs, or what they say. What wants several people is done when so many have
    reported their part, or when somebody says that the whole of it is.

    Late is as good as in time: what was missed is done all the same, and is to be undone like the rest. What was
    others' names nobody: they have the credit, and whoever only says so has not.
    """
    if not member.adult:
        return Answer(Reply.ADULTS_ONLY)
    may = await reportable(session, warning, member, now)
    wanted = may.mine if duty_ids is None else [one for one in may.every if one in duty_ids]
    duties = [duty for duty in await store.duties_of(session, [warning.id]) if duty.id in wanted]
    if not duties:
        return Answer(Reply.ALREADY if may.every or may.before else Reply.UNKNOWN)
    asks = await store.asks_of(session, [duty.id for duty in duties])
    asked = [duty.id for duty in duties if duty.people > 1 and share is Share.UNSAID]
    late = any(duty.state is DutyState.MISSED for duty in duties)
    noted = [await _note(session, warning, duty, asks, member, now, share) for duty in duties if duty.id not in asked]
    garden = await gardens.by_id(session, warning.garden_id)
    if late and garden is not None:
        await afterwards.plan(session, garden, warning, now)
    if not noted:
        return Answer(Reply.WHOLE, shared=tuple(asked))
    closed = any(duty.state is DutyState.DONE for duty in duties)
    changed = tuple(report.duty_id for report in noted)
    return Answer(Reply.THANKS if closed else Reply.PART, changed, tuple(asked), (noted[0].id, noted[-1].id))


async def _note(
    session: AsyncSession,
    warning: Warning,
    duty: Duty,
    asks: Sequence[Ask],
    member: Member,
    now: datetime,
    share: Share,
) -> DutyReport:
    """Note one report, with what stood before it so that it can be taken back; the duty is done when that is enough."""
    here = [ask for ask in asks if ask.duty_id == duty.id]
    before = {"state": duty.state.value, "asks": {str(ask.id): ask.state.value for ask in here}}
    told = {report.member_id for report in await _done_reports(session, [duty.id])} | {member.id}
    theirs = any(_keeps(ask, member) for ask in here)
    others = any(ask.state is AskState.ACCEPTED and ask.member_id != member.id for ask in here)
    if share is Share.PART or theirs or not (others or share is Share.WHOLE):
        take(session, duty, next((ask for ask in here if ask.member_id == member.id), None), member, now)
    if duty.people == 1 or share is Share.WHOLE or len(told) >= duty.people:
        named = member.id if duty.people == 1 and (theirs or not (others or share is Share.WHOLE)) else None
        duty.state, duty.done_at, duty.done_by = DutyState.DONE, now, named
        for ask in here:
            ask.state = AskState.RELEASED if ask.state is AskState.ASKED else ask.state
        await reported.by_duty(session, warning, duty, member.id, now)
    elif duty.state in store.LIVE:
        close_when_enough(duty, here, member)
    report = DutyReport(duty_id=duty.id, member_id=member.id, done=True, reported_at=now, before=before)
    session.add(report)
    await session.flush()
    return report


async def take_back(
    session: AsyncSession, warning: Warning, member: Member, report_ids: tuple[int, int], now: datetime
) -> Answer:
    """Undo under a member's own Done: everything of it stands as it stood before, as long as nothing has come of it."""
    first, last = report_ids
    query = (
        select(DutyReport, Duty)
        .join(Duty, Duty.id == DutyReport.duty_id)
        .where(
            DutyReport.id.between(first, last),
            DutyReport.member_id == member.id,
            DutyReport.done,
            Duty.warning_id == warning.id,
        )
    )
    found = [(report, duty) for report, duty in await session.execute(query.order_by(DutyReport.id))]
    changed = [duty.id for report, duty in found if await _taken_back(session, warning, report, duty, member, now)]
    await session.flush()
    if changed:
        return Answer(Reply.TAKEN_BACK, tuple(changed))
    return Answer(Reply.TOO_LATE if found else Reply.ALREADY)


async def _taken_back(
    session: AsyncSession, warning: Warning, report: DutyReport, duty: Duty, member: Member, now: datetime
) -> bool:
    """Put one duty back; False where something has come of it since: the night, or what another has said."""
    before = report.before or {"state": duty.state.value, "asks": {}}
    closed, was = duty.state is DutyState.DONE, DutyState(before["state"])
    if closed:
        newest = (await _done_reports(session, [duty.id]))[-1:]
        over = warning.state is WarningState.OVER and duty.task not in afterwards.TASKS
        if newest != [report] or (over and not (was is DutyState.MISSED and await afterwards.unplan(session, duty))):
            return False
        await reported.taken_back(session, duty, now)
        duty.done_at = duty.done_by = None
    if closed or duty.state is DutyState.ACCEPTED:
        duty.state = was
    for ask in await store.asks_of(session, [duty.id]):
        was_ask = before["asks"].get(str(ask.id))  # None for whoever was asked since
        if ask.member_id == member.id and was_ask is None:
            await session.delete(ask)
        elif was_ask is not None and (closed or ask.member_id == member.id):
            ask.state = AskState(was_ask)
    await session.delete(report)
    return True


def _keeps(ask: Ask, member: Member) -> bool:
    return ask.member_id == member.id and ask.state in _KEEPING


async def _done_reports(session: AsyncSession, duty_ids: Collection[int]) -> list[DutyReport]:
    """Of each duty, who has said done since it was last said that it is not, in order."""
    query = select(DutyReport).where(DutyReport.duty_id.in_(duty_ids)).order_by(DutyReport.id)
    since: dict[int, list[DutyReport]] = {}
    for report in await session.scalars(query):
        since[report.duty_id] = [*since.get(report.duty_id, []), report] if report.done else []
    return sorted((report for those in since.values() for report in those), key=lambda report: report.id)


async def not_done(session: AsyncSession, warning: Warning, duty: Duty, now: datetime) -> Answer:
    """Somebody saw that it is not done: it is open again, people are asked anew, and nobody is named."""
    undoes = duty.task in afterwards.TASKS
    if duty.state is not DutyState.DONE:
        return Answer(Reply.ALREADY)
    if (warning.state is WarningState.OVER) is not undoes or now >= duty.due_at:
        return Answer(Reply.TOO_LATE)
    duty.state, duty.done_at, duty.done_by, duty.escalated_at = DutyState.OPEN, None, None, None
    session.add(DutyReport(duty_id=duty.id, member_id=None, done=False, reported_at=now))
    await reported.not_so(session, duty, now)
    for ask in await store.asks_of(session, [duty.id]):
        if ask.state is AskState.ACCEPTED:
            ask.state = AskState.RELEASED
    await session.flush()
    return Answer(Reply.REOPENED, (duty.id,))


async def left(session: AsyncSession, warning: Warning, member: Member) -> Answer:
    """Asked the morning after, they say that it was not done: it is not theirs any more, whoever reports it later."""
    missed = [one.id for one in await store.duties_of(session, [warning.id]) if one.state is DutyState.MISSED]
    mine = [one for one in await store.asks_of(session, missed) if _keeps(one, member)]
    for ask in mine:
        ask.state = AskState.RELEASED
    await session.flush()
    return Answer(Reply.LEFT if mine else Reply.ALREADY, tuple(ask.duty_id for ask in mine))


async def hands(session: AsyncSession, warning: Warning, member: Member, now: datetime) -> Answer:
    """A member who has said yes asks for one more person: one more person is wanted for theirs, once."""
    duties = {duty.id: duty for duty in await _live(session, warning, now)}
    asks = await store.asks_of(session, list(duties))
    mine = [duties[ask.duty_id] for ask in asks if ask.member_id == member.id and ask.state is AskState.ACCEPTED]
    more: dict[str, int] = dict(warning.said.get("more", {}))
    fresh = [duty for duty in mine if str(duty.id) not in more]
    if not fresh:
        return Answer(Reply.ALREADY if mine else Reply.NOT_ASKED if duties else Reply.TOO_LATE)
    for duty in fresh:
        more[str(duty.id)] = 1
        duty.people, duty.state = duty.people + 1, DutyState.OPEN
    warning.said = {**warning.said, "more": more}
    await session.flush()
    return Answer(Reply.HANDS, tuple(duty.id for duty in fresh))


async def reports(session: AsyncSession, duty: Duty) -> tuple[tuple[DutyReport, str | None], ...]:
    """What was said of a duty, in order, with the name of whoever said done; not done names nobody."""
    rows = await session.scalars(select(DutyReport).where(DutyReport.duty_id == duty.id).order_by(DutyReport.id))
    found = []
    for row in rows:
        member = await session.get(Member, row.member_id) if row.member_id is not None else None
        found.append((row, member.person.name if member is not None else None))
    return tuple(found)


async def _live(session: AsyncSession, warning: Warning, now: datetime) -> list[Duty]:
    """Duties that can still be taken: open or accepted, and not after their latest safe time."""
    duties = await store.duties_of(session, [warning.id])
    return [duty for duty in duties if duty.state in store.LIVE and now < duty.due_at]


def _volunteer(duties: list[Duty], asks: Sequence[Ask], member: Member) -> list[Duty]:
    """The first duty for which too few have accepted and that this member has not passed on."""
    for duty in duties:
        accepted = [ask for ask in asks if ask.duty_id == duty.id and ask.state is AskState.ACCEPTED]
        if len(accepted) < duty.people:
            return [duty]
    return []


def take(session: AsyncSession, duty: Duty, ask: Ask | None, member: Member, now: datetime) -> None:
    """The member's yes. ask: their own for this duty, None when they were never asked."""
    if ask is None:
        ask = Ask(duty_id=duty.id, member_id=member.id, asked_at=now, why="OFFERED")
        session.add(ask)
    ask.state, ask.answered_at = AskState.ACCEPTED, now


def close_when_enough(duty: Duty, asks: Sequence[Ask], member: Member) -> None:
    """When enough have accepted the duty is closed, and those who have not answered need not."""
    others = [ask for ask in asks if ask.duty_id == duty.id and ask.member_id != member.id]
    if 1 + sum(ask.state is AskState.ACCEPTED for ask in others) >= duty.people:
        duty.state = DutyState.ACCEPTED
        for ask in others:
            if ask.state is AskState.ASKED:
                ask.state = AskState.RELEASED
