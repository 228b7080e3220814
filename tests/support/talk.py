"""The one way in which tests talk with the bot: people write and press, its weather is made to order, its clock runs on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.wire.world import Json, Message
from bot.core.garden import snapshot
from bot.core.tasks.rota import Assignment, Problem, Shortage, Solution, Why
from bot.core.tasks.rota_rules import eligible, missing
from bot.demo.weather import Day
from bot.stage import Stage
from bot.storage.models import Ask, Member, Person, Place, Planting, Task, Warning
from tests.support.invented_weather import calm, write
from tests.support.paged import pressed

ZONE = ZoneInfo("Europe/London")
ADULTS = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana")
#: Monday 4 May 2026, 10:00 on the garden's clocks (summer time); sunset there is at about 20:35.
MONDAY_AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
#: A day whose early morning freezes under a clear sky, and one with a gale after midday: invented.
COLD: Day = (-1.3, 12.5, 5.0, 1.0, 4.0, 0.0)
GALE: Day = (7.0, 14.0, 90.0, 11.0, 24.0, 0.0)


async def first_who_can(problem: Problem) -> Solution:
    """A solver for stories in which the fairness of the rota is not the point: the first who may, one walk each."""
    zone, busy = ZoneInfo(problem.zone), dict[int, int]()
    named: list[Assignment] = []
    short: list[Shortage] = []
    for duty in sorted(problem.duties, key=lambda one: one.id):
        able = eligible(duty, problem.helpers, zone)
        kept = [one for one in able if one.id in (*duty.agreed, *duty.asked)]
        others = sorted(
            (one for one in able if one not in kept), key=lambda one: (one.id in duty.last, busy.get(one.id, 0), one.id)
        )
        keyed = [one for one in (*kept, *others) if one.has_key][:1] if duty.needs_key else []
        chosen = list(dict.fromkeys(one.id for one in (*keyed, *kept, *others)))[: duty.need]
        if len(chosen) < duty.need or (duty.needs_key and not keyed):
            short += missing(duty, problem, len(chosen))
            chosen = [] if duty.together else chosen
        for id_ in chosen:
            busy[id_] = busy.get(id_, 0) + 1
            named.append(Assignment(duty.id, id_, (Why.FREE_THEN,), 0.0, 1))
    return Solution(tuple(named), tuple(short), proven=False)


async def nobody(problem: Problem) -> Solution:
    """A solver that names nobody, for dialogues that are not about the rota."""
    return Solution((), (), proven=True)


def labels(message: Message) -> list[str]:
    """What stands on a message's buttons."""
    return [key["text"] for row in message.keyboard for key in row]


def texts(messages: Iterable[Message]) -> str:
    return "\n".join(message.text for message in messages)


@dataclass(slots=True)
class Talk:
    """Each deed gives what the bot said or changed because of it.

    Who: a name on the list, or the number of an account. forecast: where the weather that is made to order is recorded.
    """

    stage: Stage
    forecast: Path = Path()

    # -- people

    async def write(
        self, who: str | int, text: str, *, group: bool = False, chat: int | None = None, thread: int | None = None
    ) -> list[Message]:
        user = self.user(who)
        self.stage.api.write(user, self._chat(user, group, chat), text, thread_id=thread)
        return await self.settled()

    async def said(self, who: str | int, text: str) -> Message:
        """The one answer to a private message."""
        (message,) = await self.write(who, text)
        return message

    async def send_file(self, who: str | int, file: str, data: bytes) -> list[Message]:
        """A document in the private chat."""
        user = self.user(who)
        self.stage.api.send_file(user, user, file, data)
        return await self.settled()

    async def press(self, who: str | int, message: Message, label: str) -> list[Message]:
        """Tap a button of one message, as it was shown."""
        self.stage.api.press(self.user(who), message, label)
        return await self.settled()

    async def tap(self, who: str | int, label: str, *, group: bool = False, chat: int | None = None) -> list[Message]:
        """Tap the newest button of that label in the chat."""
        return await self.press(who, self.under(who, label, group=group, chat=chat), label)

    async def forge(self, who: str | int, data: str, message: Message | None = None) -> list[Message]:
        """A press whose data no button of ours ever bore, under a message; by default the last of their private chat."""
        message = message or self.stage.api.said(self.user(who))[-1]
        return await self.press(who, replace(message, keyboard=[[{"text": "x", "callback_data": data}]]), "x")

    async def agree(self, *, but: str = "") -> None:
        """Everybody but one person says yes to what they were asked for last."""
        for name in ADULTS:
            asks = [one for one in self.private(name) if {"I'll do it", "Zrobię to"} & {*labels(one)}]
            if asks and name != but:
                await self.press(name, asks[-1], labels(asks[-1])[0])

    async def give(self, *updates: Json) -> list[Message]:
        """Updates put in line as they are, such as one that the platform delivers once more."""
        self.stage.api.pending += updates
        return await self.settled()

    async def settled(self) -> list[Message]:
        list(self.stage.fresh())
        await self.stage.settle()
        return list(self.stage.fresh())

    # -- what was said

    def user(self, who: str | int) -> int:
        user = who if isinstance(who, int) else self.stage.user(who)
        assert user is not None, who
        return user

    @property
    def group_id(self) -> int:
        return next(iter(self.stage.groups.values()))

    def group(self) -> list[Message]:
        """What the bot has said in the first garden's group, oldest first."""
        return self.stage.api.said(self.group_id)

    def private(self, who: str | int) -> list[Message]:
        return self.stage.api.said(self.user(who))

    def said_to(self, who: str | int) -> list[str]:
        return [message.text for message in self.private(who)]

    def said_in_group(self, who: str | int) -> list[str]:
        """In the group of somebody's garden."""
        return [message.text for message in self.stage.api.said(self.stage.group_of(self.user(who)))]

    def under(self, who: str | int, label: str, *, group: bool = False, chat: int | None = None) -> Message:
        """The newest message of a chat with that button, kept as it is now."""
        for message in reversed(self.stage.api.said(self._chat(self.user(who), group, chat))):
            if label in labels(message):
                return replace(message)
        raise LookupError(f"no button {label!r} for {who}")

    def standing(self) -> Message:
        """The newest message of the group under which one can say yes or ask why."""
        return next(message for message in reversed(self.group()) if message.keyboard)

    async def whole(self) -> str:
        """All that the group's standing message stands for, as whoever taps for it reads it."""
        standing = self.standing()
        return await pressed(self, "Robin", standing, "Show all") if "Show all" in labels(standing) else standing.text

    @contextmanager
    def silent(self, *who: str) -> Iterator[None]:
        """Nothing new is said to these people meanwhile."""
        before = {name: self.said_to(name) for name in who}
        yield
        assert before == {name: self.said_to(name) for name in who}

    def _chat(self, user: int, group: bool, chat: int | None) -> int:
        return chat if chat is not None else self.stage.group_of(user) if group else user

    # -- weather and time

    def weather(self, days: Sequence[Day], issued_at: datetime | None = None) -> None:
        """A forecast from today on, its last day going on; issued just now unless it is older."""
        assert self.forecast.name, "the weather of this story is not made to order"
        write(self.forecast, [*days, *[calm()] * (10 - len(days))], issued_at or self.stage.clock.at)

    async def until(self, day: int, clock: str, *, every_min: int = 60, stay: bool = False) -> list[Message]:
        """Let the time of May 2026 pass on the garden's clock, the watch looking every so often; gives what was said."""
        hour, minute = (int(part) for part in clock.split(":"))
        to = datetime(2026, 5, day, hour, minute, tzinfo=ZONE).astimezone(UTC)
        said: list[Message] = []
        while self.stage.clock.at < to:
            self.stage.clock.at = min(self.stage.clock.at + timedelta(minutes=every_min), to)
            said += await self.look()
        return said

    async def look(self) -> list[Message]:
        """One look of the watch, and what it makes the bot say or change."""
        list(self.stage.fresh())
        await self.stage.tick()
        return list(self.stage.fresh())

    # -- what is stored

    async def duties(self) -> list[tuple[Task, list[Ask]]]:
        async with self.stage.app.database.begin() as session:
            asks = (await session.scalars(select(Ask).order_by(Ask.id))).all()
            rows = (await session.scalars(select(Task).order_by(Task.id))).all()
            return [(duty, [ask for ask in asks if ask.task_id == duty.id]) for duty in rows]

    async def warnings(self) -> list[Warning]:
        async with self.stage.app.database.begin() as session:
            return list((await session.scalars(select(Warning).order_by(Warning.id))).all())

    async def member(self, name: str) -> int:
        async with self.stage.app.database.begin() as session:
            return (await self.row_of(session, name)).id

    async def row_of(self, session: AsyncSession, name: str) -> Member:
        """Their row in the one garden they belong to, whether they have left or not."""
        return (await session.scalars(select(Member).join(Person).where(Person.name == name).order_by(Member.id))).one()

    async def change(self, name: str, **values: object) -> None:
        """A member's own record as an organiser would change it."""
        async with self.stage.app.database.begin() as session:
            row = await self.row_of(session, name)
            for key, value in values.items():
                setattr(row, key, value)

    async def planted(self, crop: str, place: str, stage: snapshot.Stage, *, seen: bool = False) -> None:
        """A batch that was planted last spring, in place of everything that stands there. seen: at that stage, today."""
        async with self.stage.app.database.begin() as session:
            row = (await session.scalars(select(Place).where(Place.name == place))).one()
            for old in await session.scalars(select(Planting).where(Planting.place_id == row.id)):
                await session.delete(old)
            at = self.stage.clock.at.date()
            session.add(
                Planting(
                    garden_id=row.garden_id, place_id=row.id, crop=crop, stage=stage, count=12,
                    stage_on=at if seen else None, planted_on=at - timedelta(days=60), sown_on=at - timedelta(days=100),
                )
            )  # fmt: skip
