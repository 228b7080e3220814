"""Teasel Lane on stage: its people write and press, its weather is made to order, its clock is run forward."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from sqlalchemy import select

from bot.chat.wire.world import Json, Message
from bot.core.garden import snapshot
from bot.core.tasks.rota import Assignment, Problem, Shortage, Solution, Why
from bot.core.tasks.rota_rules import eligible, missing
from bot.demo.weather import Day
from bot.stage import Stage
from bot.storage.models import Ask, Member, Person, Place, Planting, Task, Warning
from tests.support.invented_weather import calm, write
from tests.support.paged import pressed

__all__ = ["COLD", "GALE", "MONDAY_AT", "Lane", "calm", "first_who_can", "keys", "planted", "texts"]

ZONE = ZoneInfo("Europe/London")
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


def keys(message: Message) -> list[str]:
    """The labels of a message's buttons."""
    return [key["text"] for row in message.keyboard for key in row]


@dataclass(slots=True)
class Lane:
    """Each deed gives what the bot said or changed because of it. path: where the forecast at hand is recorded."""

    stage: Stage
    path: Path

    # -- people

    async def write(self, name: str, text: str, *, group: bool = False) -> list[Message]:
        user = self.user(name)
        self.stage.api.write(user, self.stage.group_of(user) if group else user, text)
        return await self.settled()

    async def said(self, name: str, text: str) -> Message:
        """The one answer to a private message."""
        (message,) = await self.write(name, text)
        return message

    async def press(self, name: str, message: Message, button: str) -> list[Message]:
        self.stage.api.press(self.user(name), message, button)
        return await self.settled()

    async def forge(self, name: str, data: str, message: Message) -> list[Message]:
        """A press whose data no button of ours ever bore."""
        update = self.stage.api.press(self.user(name), message, keys(message)[0])
        update["callback_query"]["data"] = data
        return await self.settled()

    async def give(self, *updates: Json) -> list[Message]:
        """Updates put in line as they are, such as one that the platform delivers once more."""
        self.stage.api.pending += updates
        return await self.settled()

    async def settled(self) -> list[Message]:
        list(self.stage.fresh())
        await self.stage.settle()
        return list(self.stage.fresh())

    def user(self, name: str) -> int:
        user = self.stage.user(name)
        assert user is not None, name
        return user

    @property
    def group_id(self) -> int:
        return next(iter(self.stage.groups.values()))

    def group(self) -> list[Message]:
        """What the bot has said in the group, oldest first."""
        return self.stage.api.said(self.group_id)

    def private(self, name: str) -> list[Message]:
        return self.stage.api.said(self.user(name))

    def standing(self) -> Message:
        """The newest message of the group under which one can say yes or ask why."""
        return next(message for message in reversed(self.group()) if message.keyboard)

    async def whole(self) -> str:
        """All that the group's standing message stands for, as whoever taps for it reads it."""
        standing = self.standing()
        return await pressed(self, "Robin", standing, "Show all") if "Show all" in keys(standing) else standing.text

    # -- weather and time

    def weather(self, days: Sequence[Day], issued_at: datetime | None = None) -> None:
        """A forecast from today on, its last day going on; issued just now unless it is older."""
        at = self.stage.clock.at
        write(self.path, [*days, *[calm()] * (10 - len(days))], issued_at or at)

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
            found = await session.scalar(select(Member.id).join(Person).where(Person.name == name))
        assert found is not None
        return found

    async def change(self, name: str, **values: object) -> None:
        """A member's own record as an organiser would change it."""
        member_id = await self.member(name)
        async with self.stage.app.database.begin() as session:
            row = await session.get_one(Member, member_id)
            for key, value in values.items():
                setattr(row, key, value)


def texts(messages: Iterable[Message]) -> str:
    return "\n".join(message.text for message in messages)


async def planted(lane: Lane, crop: str, place: str, stage: snapshot.Stage, *, seen: bool = False) -> None:
    """A batch that was planted last spring, in place of everything that stands there. seen: at that stage, today."""
    async with lane.stage.app.database.begin() as session:
        row = (await session.scalars(select(Place).where(Place.name == place))).one()
        for old in await session.scalars(select(Planting).where(Planting.place_id == row.id)):
            await session.delete(old)
        at = lane.stage.clock.at.date()
        session.add(
            Planting(
                garden_id=row.garden_id, place_id=row.id, crop=crop, stage=stage, count=12,
                stage_on=at if seen else None, planted_on=at - timedelta(days=60), sown_on=at - timedelta(days=100),
            )
        )  # fmt: skip
