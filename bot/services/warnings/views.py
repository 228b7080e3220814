"""A warning as people will see it: its duties, who was asked and who has answered, ready to be put into words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.place_state import UNDOES, Layer, Sure, doubtful, less
from bot.core.garden.snapshot import Cover, Place
from bot.core.warnings.hazards import AFTERWARDS, Hazard, Severity, TaskKind
from bot.core.weather.odds import Step, StepCode
from bot.services.look import Look
from bot.services.warnings import aftermath, spells
from bot.services.warnings.settling import want_of
from bot.services.weather import how_cold
from bot.services.weather.how_cold import HowCold
from bot.storage.models import Ask, Member, Task, Warning
from bot.storage.people import members as member_store
from bot.storage.states import AskState, TaskState, WarningState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as warning_store


@dataclass(frozen=True, slots=True)
class Asked:
    """One member asked for a duty. user_id: None when they have never written to the bot."""

    member_id: int
    name: str
    user_id: int | None
    state: AskState
    asked_at: datetime
    why: tuple[str, ...]
    answered_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class TaskView:
    """crops: keys of what is at risk there. target: the place to bring it to. cover: what to put over it.

    site: None for the whole garden. litres: of water. item: of the week, empty where it has none. why: of a day's work.

    perhaps: what is perhaps there still from an earlier time, and would answer it; perhaps_less: the cover that it is,
    where more is asked for. if_on: the wind asks for it only if
    the cover that was put on for a night still lies there.
    """

    id: int
    kind: TaskKind
    site: Place | None
    crops: tuple[str, ...]
    target: Place | None
    cover: Cover | None
    people: int
    minutes: int
    starts_at: datetime
    due_at: datetime
    state: TaskState
    asked: tuple[Asked, ...]
    done_by: str | None
    perhaps: Layer | None = None
    perhaps_less: Cover | None = None
    if_on: bool = False
    litres: float | None = None
    item: str = ""
    why: tuple[Step, ...] = ()
    done_at: datetime | None = None

    @property
    def place(self) -> Place:
        """Where it is; only the work of a day can be the whole garden's (`site`)."""
        assert self.site is not None, f"task {self.id} is the whole garden's"
        return self.site

    def with_state(self, state: AskState) -> tuple[Asked, ...]:
        return tuple(each for each in self.asked if each.state is state)

    @property
    def helped(self) -> tuple[str, ...]:
        """Who has the credit of what is done: whoever reported it alone, else all who had said yes."""
        return (
            (self.done_by,)
            if self.done_by is not None
            else tuple(each.name for each in self.with_state(AskState.ACCEPTED))
        )

    @property
    def wanting(self) -> int:
        """How many have still to say yes."""
        return max(0, self.people - len(self.with_state(AskState.ACCEPTED))) if self.state is TaskState.OPEN else 0

    @property
    def lacking(self) -> int:
        """How many people are still to be found, those who have not answered yet counted as found."""
        if self.state is not TaskState.OPEN:
            return 0
        waiting = [each for each in self.asked if each.state in tasks.KEEPING]
        return max(0, self.people - len(waiting))


@dataclass(frozen=True, slots=True)
class Kept:
    """What is to be left as it is until until_at, since the weather to come wants it so. layer: on, inside or lying."""

    place: Place
    layer: Layer
    crops: tuple[str, ...]
    until_at: datetime


@dataclass(frozen=True, slots=True)
class WarningView:
    """facts: the numbers of what was last said (see services.warnings.facts). detected_at: when this round began.

    lost: crops that an earlier frost has killed, with its day, where no warning said so before. too_late: no safe time
    was left when it was found; cut_short: or is left any more. cleared: it was called off. by_hand: an organiser called
    it. severe: from and to of an official warning. reason: why an organiser called it off, None when none has.
    how_cold: what is asked of the thermometer after the night. announced_at: of the heads-up, None before or without
    one. safe: the hours left in which it is safe to be out, where dangerous weather takes the others.
    kept: what is not to be undone yet. spell: the evenings right after this one that are cold as well.
    cold_on: evenings of other nights that are expected to be cold. spared: it was
    called off since the records changed; it stays as cold.
    """

    id: int
    hazard: Hazard
    window_on: date
    state: WarningState
    severity: Severity
    probability: float
    detected_at: datetime
    starts_at: datetime
    ends_at: datetime
    due_at: datetime
    facts: dict[str, float | None]
    stay: tuple[str, ...]
    lost: tuple[tuple[str, date], ...]
    too_late: bool
    cut_short: bool
    cleared: bool
    by_hand: bool
    severe: tuple[datetime, datetime] | None
    reason: str | None
    how_cold: HowCold | None
    announced_at: datetime | None
    safe: tuple[tuple[datetime, datetime], ...]
    duties: tuple[TaskView, ...]
    kept: tuple[Kept, ...] = ()
    cold_on: tuple[date, ...] = ()
    spell: tuple[date, ...] = ()
    spared: bool = False

    @property
    def doubtful(self) -> tuple[TaskView, ...]:
        """What is still to be done, unless it is there still from an earlier night."""
        return tuple(duty for duty in self.open_duties if duty.perhaps is not None)

    @property
    def open_duties(self) -> tuple[TaskView, ...]:
        return tuple(duty for duty in self.duties if duty.state in tasks.LIVE)

    @property
    def reopenable(self) -> tuple[TaskView, ...]:
        """What is done, and would still be worth doing if it were not; after the hazard, only what undoes things."""
        over = self.state is WarningState.OVER
        return tuple(
            duty for duty in self.duties if duty.state is TaskState.DONE and (not over or duty.kind in aftermath.TASKS)
        )

    def open_duties_of(self, member_id: int) -> tuple[TaskView, ...]:
        """Of these, what is still to be done."""
        return tuple(duty for duty in self.duties_of(member_id) if duty.state in tasks.LIVE)

    def unanswered_by(self, member_id: int) -> tuple[TaskView, ...]:
        """What this member has been asked for and has not said yes or no to."""
        asked = (duty for duty in self.duties if duty.state is TaskState.OPEN)
        return tuple(
            duty
            for duty in asked
            if any(each.member_id == member_id and each.state is AskState.ASKED for each in duty.asked)
        )

    def duties_of(self, member_id: int) -> tuple[TaskView, ...]:
        """The duties that this member was asked for and has not passed on."""
        return tuple(
            duty
            for duty in self.duties
            if any(each.member_id == member_id and each.state in tasks.KEEPING for each in duty.asked)
        )


async def view(session: AsyncSession, warning: Warning, outlook: Look) -> WarningView:
    """Everything there is to say of one warning."""
    in_spell = warning.hazard is Hazard.COLD and warning.state is not WarningState.OVER
    seen_to = await spells.waiting(session, warning.garden_id) if in_spell else frozenset()
    duties = [duty for duty in await tasks.of_warnings(session, [warning.id]) if duty.id not in seen_to]
    return WarningView(
        id=warning.id,
        hazard=warning.hazard,
        window_on=warning.window_on,
        state=warning.state,
        severity=warning.severity,
        probability=warning.probability,
        detected_at=warning.detected_at,
        starts_at=warning.starts_at,
        ends_at=warning.ends_at,
        due_at=warning.due_at,
        facts=warning.facts,
        stay=tuple(warning.stay),
        lost=tuple((crop, date.fromisoformat(on)) for _, crop, on in warning.lost),
        too_late=warning.too_late,
        cut_short=warning.cut_short,
        cleared=warning.cleared or warning.off_by_hand,
        by_hand=warning.called_plant_c is not None or warning.called_gust_ms is not None,
        severe=warning.severe,
        reason=warning.off_reason,
        how_cold=await how_cold.question(session, warning),
        announced_at=warning.announced_at,
        safe=tuple((datetime.fromisoformat(start), datetime.fromisoformat(end)) for start, end in warning.safe),
        duties=await task_views(session, warning.garden_id, duties, outlook),
        kept=_kept(duties, outlook),
        cold_on=await _cold_on(session, warning, outlook),
        spell=spells.following(outlook, warning.window_on) if in_spell else (),
        spared=warning.spared,
    )


def _kept(duties: Sequence[Task], outlook: Look) -> tuple[Kept, ...]:
    return tuple(
        Kept(
            outlook.garden.place_by_id[duty.where_id],
            UNDOES[AFTERWARDS[duty.kind]],
            tuple(duty.crops.split()),
            duty.kept_until_at,
        )
        for duty in duties
        if duty.kept_until_at is not None
    )


async def _cold_on(session: AsyncSession, warning: Warning, outlook: Look) -> tuple[date, ...]:
    """Other nights that the forecast calls cold, or an organiser does; not those that one has called off."""
    if warning.hazard is not Hazard.COLD or warning.state is not WarningState.OVER:
        return ()
    rows = await session.scalars(
        select(Warning.window_on).where(
            Warning.garden_id == warning.garden_id,
            Warning.hazard == Hazard.COLD,
            Warning.state == WarningState.OVER,
            Warning.off_reason.is_not(None),
            Warning.window_on >= warning.window_on - timedelta(days=1),
        )
    )
    off = set(rows)
    cold = (one.window_on for one in outlook.threats if one.hazard is Hazard.COLD)
    return tuple(on for on in cold if on != warning.window_on and on not in off)


async def task_views(
    session: AsyncSession, garden_id: int, duties: Sequence[Task], outlook: Look
) -> tuple[TaskView, ...]:
    """Duties of one garden, of warnings or of days, with the people on them."""
    asks: dict[int, list[Ask]] = defaultdict(list)
    for ask in await tasks.asks_of(session, [duty.id for duty in duties]):
        asks[ask.task_id].append(ask)
    people = {member.id: member for member in await member_store.in_garden(session, garden_id)}
    of = {duty.warning_id for duty in duties if duty.warning_id is not None}
    warnings = {id_: await warning_store.by_id(session, id_) for id_ in of}
    return tuple(_duty(duty, warnings.get(duty.cause_id), asks[duty.id], outlook, people) for duty in duties)


def _duty(
    duty: Task,
    warning: Warning | None,
    asks: Sequence[Ask],
    outlook: Look,
    people: Mapping[int, Member],
) -> TaskView:
    garden = outlook.garden
    stands = outlook.states.get(duty.where_id)
    want = want_of(warning, duty) if warning is not None else None
    done_by = people.get(duty.done_by or 0)
    doubt = doubtful(stands, want) if want is not None and duty.state in tasks.LIVE else None
    return TaskView(
        id=duty.id,
        kind=duty.kind,
        site=garden.place_by_id.get(duty.where_id),
        crops=tuple(duty.crops.split()),
        target=garden.place_by_id.get(duty.target_place_id or 0),
        cover=duty.cover,
        people=duty.people,
        minutes=duty.minutes,
        starts_at=duty.starts_at,
        due_at=duty.due_at,
        state=duty.state,
        asked=tuple(
            Asked(
                one.id,
                one.person.name,
                one.person.user_id,
                ask.state,
                ask.asked_at,
                tuple(ask.why.split()),
                ask.answered_at,
            )
            for ask in asks
            if (one := people.get(ask.member_id)) is not None
        ),
        done_by=done_by.person.name if done_by is not None else None,
        perhaps=doubt.layer if doubt is not None else None,
        perhaps_less=doubt.report.cover if doubt is not None and want is not None and less(doubt, want) else None,
        if_on=duty.kind is TaskKind.PIN and stands is not None and stands.lies_over[1] is Sure.PERHAPS,
        litres=duty.litres,
        item=duty.item,
        why=tuple(Step(StepCode(code), *rest) for code, *rest in duty.why),
        done_at=duty.done_at,
    )
