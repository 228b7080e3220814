"""A cold snap played on a copy of one garden: what is said, who is asked, who answers what. Run by `bot.worker`.

Its people answer by a rule, in the order in which they are first asked: yes, yes, no, not at all, and again.
"""

from __future__ import annotations

import asyncio
import os
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy import delete, select, update

from bot.core.tasks.rota import Problem, Solution
from bot.core.tasks.rota_solver import solve
from bot.core.warnings.alerts import Quiet
from bot.core.warnings.hazards import Hazard
from bot.core.warnings.rehearsal import DEPTHS_C, mild, with_cold_night
from bot.services.look import look, quiet
from bot.services.people.membership import reachable
from bot.services.warnings.events import What
from bot.services.warnings.rehearsing import Deed, Played, Scene, SceneKind, Script
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage.garden import gardens
from bot.storage.models import Base, Garden, Member, Outbox, Person, PlaceReport, Warning
from bot.storage.people import members
from bot.storage.session import Database
from bot.storage.states import WarningState

#: Below the bot itself, which must stay quick on a small machine meanwhile.
_NICE = 10
_STEP = timedelta(minutes=30)
_NIGHT_STEP = timedelta(hours=2)
_ANSWERED_AFTER = timedelta(minutes=30)
_DONE_BEFORE = timedelta(minutes=90)
#: Nearer than this to its latest safe time a night shows little of how the group is told.
_NEAREST = timedelta(hours=12)
_AHEAD_DAYS = 2
#: The afternoon after the night: by then everything is uncovered and put back.
_UNTIL = time(14)
_RULE = (Deed.YES, Deed.YES, Deed.NO, None)


def play(script: Script) -> Played:
    """The whole rehearsal, in the process that calls it."""
    with suppress(AttributeError, OSError):  # where processes have no ranks
        os.nice(_NICE)
    return asyncio.run(_play(script))


async def _play(script: Script) -> Played:
    with tempfile.TemporaryDirectory(prefix="gatepost-rehearsal-") as folder:
        database = Database(f"sqlite+aiosqlite:///{folder}/copy.sqlite3")
        try:
            unreached = await _furnish(database, script)
            evening_on, source, invented_c = await _weather(database, script)
            scenes: Sequence[Scene] = ()
            if source is not None:
                async with on_stage(database, source, script.now, _solve_here) as stage:
                    hours = await _quiet_hours(database)
                    scenes = await _Show(stage, evening_on, hours, script.answering).run()
        finally:
            await database.close()
    return Played(evening_on, invented_c, unreached, tuple(scenes))


async def _quiet_hours(database: Database) -> Quiet:
    async with database.begin() as session:
        return quiet((await gardens.all_gardens(session))[0])


async def _solve_here(problem: Problem) -> Solution:
    """This process is there for nothing else, and ends soon."""
    return solve(problem)


async def _furnish(database: Database, script: Script) -> tuple[str, ...]:
    """The copy, as it stands when no warning is in force, and everybody within reach; returns who in truth is not."""
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
        for table in Base.metadata.sorted_tables:
            if rows := script.rows.get(table.name):
                await connection.execute(table.insert(), [dict(row) for row in rows])
    async with database.begin() as session:
        # What is on for a night, or perhaps still, would be asked about; a rehearsal begins with a bare garden.
        await session.execute(delete(PlaceReport).where(PlaceReport.until_at.is_not(None)))
        recent = Warning.window_on >= script.now.date() - timedelta(days=1)
        await session.execute(delete(Warning).where((Warning.state != WarningState.OVER) | recent))
        everyone = await members.in_garden(session, script.garden_id)
        unreached = tuple(one.person.name for one in everyone if one.adult and not reachable(one))
        # Each private message is read by one organiser, so it is in their language.
        values = {"language": script.language, "private_ok_at": script.now, "blocked_at": None}
        await session.execute(update(Person).values(values))
        await session.execute(
            update(Garden).values(weather_missing_since_at=None, weather_missing_said_at=None, shut="")
        )
    return unreached


async def _weather(database: Database, script: Script) -> tuple[date, Source | None, float | None]:
    """(the evening, the weather to play, the invented minimum): the forecast's own cold, else an invented night.

    No weather where even the coldest invented night harms nothing that grows here.
    """
    async with database.begin() as session:
        row = await session.get_one(Garden, script.garden_id)
        if script.forecast is not None:
            source = Source("", given=script.forecast)
            threats = (await look(session, row, source, script.now)).threats
            cold = (one for one in threats if one.hazard is Hazard.COLD and one.due_at - script.now >= _NEAREST)
            if (first := next(cold, None)) is not None:
                return first.window_on, source, None
        evening_on = script.now.astimezone(row.tz).date() + timedelta(days=_AHEAD_DAYS)
        under = script.forecast or mild(row.latitude, row.longitude, row.altitude_m, script.now, _AHEAD_DAYS + 3)
        for depth_c in DEPTHS_C:
            source = Source("", given=with_cold_night(under, evening_on, row.tz, depth_c))
            threats = (await look(session, row, source, script.now)).threats
            if any((one.hazard, one.window_on) == (Hazard.COLD, evening_on) for one in threats):
                return evening_on, source, depth_c
    return evening_on, None, DEPTHS_C[-1]


@dataclass(slots=True)
class _Show:
    """The run of one rehearsal. planned: deeds to come: when, of whom. rule: what each member asked so far does.

    standing: what the group's message has come to say since it was last told.
    """

    stage: Stage
    evening_on: date
    quiet: Quiet
    answering: bool
    scenes: list[Scene] = field(default_factory=list)
    planned: list[tuple[datetime, int, Deed]] = field(default_factory=list)
    rule: dict[int, Deed | None] = field(default_factory=dict)
    standing: str = ""
    due_told: bool = False
    last_id: int = 0

    async def run(self) -> list[Scene]:
        clock = self.stage.clock
        noon_after = datetime.combine(self.evening_on + timedelta(days=1), _UNTIL, ZoneInfo(self.quiet.zone))
        ends_at = noon_after.astimezone(clock.at.tzinfo)
        await self._look()
        while clock.at < ends_at:
            clock.at = self._next(clock.at)
            await self._act()
            await self._look()
        self._tell_standing()
        return self.scenes

    def _next(self, at: datetime) -> datetime:
        """When to look again: seldom while everybody sleeps."""
        awake_at = self.quiet.ends_at(at)
        return at + _STEP if awake_at <= at else min(at + _NIGHT_STEP, awake_at)

    async def _look(self) -> None:
        """One look of the watch, and what it makes the bot say about this night."""
        await self.stage.tick()
        now = self.stage.clock.at
        async with self.stage.app.database.begin() as session:
            warning = await session.scalar(
                select(Warning).where(Warning.hazard == Hazard.COLD, Warning.window_on == self.evening_on)
            )
            rows = (await session.scalars(select(Outbox).where(Outbox.id > self.last_id).order_by(Outbox.id))).all()
            found = await session.execute(select(Member.id, Person.name).join(Person))
            names: dict[int, str] = dict(found.all())
        if rows:
            self.last_id = rows[-1].id
        if warning is None:
            return
        for row in rows:
            kind, _, rest = row.key.partition(":")
            if rest.startswith(f"{warning.id}:"):
                self._heard(kind, rest.split(":"), row.payload.get("text", ""), names, warning)
        if now >= warning.due_at and not self.due_told:
            self._tell_standing()
            self.due_told = True

    def _heard(self, kind: str, parts: list[str], text: str, names: Mapping[int, str], warning: Warning) -> None:
        now = self.stage.clock.at
        if kind == "warning" and parts[1] == What.EDIT:
            self.standing = text
        elif kind == "warning":
            if parts[1] != What.OPEN_CALL:  # which stands beside the standing message
                self.standing = ""
            self.scenes.append(Scene(now, SceneKind.GROUP, (), text))
        elif kind == "short":
            scene = Scene(now, SceneKind.ORGANISERS, (), text)
            if scene not in self.scenes:
                self.scenes.append(scene)
        elif kind == "ask":
            member_id = int(parts[1])
            self.scenes.append(Scene(now, SceneKind.ASKED, (names[member_id],), text))
            if self.answering and parts[2] == What.ASK:
                self._plan(member_id, warning)

    def _tell_standing(self) -> None:
        if self.standing:
            self.scenes.append(Scene(self.stage.clock.at, SceneKind.STANDING, (), self.standing))
        self.standing = ""

    def _plan(self, member_id: int, warning: Warning) -> None:
        """What this member is going to answer, and when they have done it."""
        now = self.stage.clock.at
        deed = self.rule.setdefault(member_id, _RULE[len(self.rule) % len(_RULE)])
        if deed is None:
            return
        self.planned.append((now + _ANSWERED_AFTER, member_id, deed))
        if deed is Deed.YES:
            at = now + 2 * _ANSWERED_AFTER
            if warning.state is not WarningState.OVER:
                at = max(at, warning.due_at - _DONE_BEFORE)
            self.planned.append((at, member_id, Deed.DONE))

    async def _act(self) -> None:
        """Whoever was to press a button by now does so."""
        now = self.stage.clock.at
        due = [(member_id, deed) for at, member_id, deed in self.planned if at <= now]
        self.planned = [one for one in self.planned if one[0] > now]
        async with self.stage.app.database.begin() as session:
            rows = await session.execute(select(Member.id, Person.user_id, Person.name).join(Person))
            people = {id_: (user_id or 0, name) for id_, user_id, name in rows}
        for deed in Deed:
            did = dict.fromkeys(
                people[id_][1] for id_, what in due if what is deed and self._press(people[id_][0], deed)
            )
            if did:
                self.scenes.append(Scene(now, SceneKind.DEED, tuple(did), deed.value))
        await self.stage.settle()

    def _press(self, user_id: int, deed: Deed) -> bool:
        """The newest button of that meaning in their private chat; False where there is none."""
        for message in reversed(self.stage.api.said(user_id)):
            for key in (key for row in message.keyboard for key in row):
                if key.get("callback_data", "").startswith(f"{deed}:"):
                    self.stage.api.press(user_id, message, key["text"])
                    return True
        return False
