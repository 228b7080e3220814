"""The running bot, put together: database, chat, sender, watch. Time comes in from outside."""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Awaitable, Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

import httpx
from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Bot, Update
from telegram.ext import Application, ApplicationBuilder, ContextTypes

from bot.chat import routes
from bot.chat.calendar import pinned, proposal
from bot.chat.garden import failing, group_role, shut
from bot.chat.people import departures, helpers, unreachable
from bot.chat.request import Context, Request, begin
from bot.chat.tasks import daily, safely_home
from bot.chat.warnings.announce import tell
from bot.chat.wire import errand_work, outbox
from bot.chat.wire.errands import Desk
from bot.chat.wire.flood import Flood
from bot.chat.wire.inbox import Workers
from bot.chat.wire.outbox import Hooks
from bot.chat.wire.pace import Pace
from bot.core.clock import Clock
from bot.core.tasks.rota import Problem, Solution
from bot.forecasts import past_nights
from bot.services import due
from bot.services.garden import backups
from bot.services.look import Look, look
from bot.services.people import retention
from bot.services.tasks import solving
from bot.services.tasks.solving import remembering
from bot.services.warnings import official
from bot.services.warnings.events import Event
from bot.services.warnings.watch import Solver, watch
from bot.services.weather import frost_dates, past_days
from bot.services.weather.garden_forecast import Source, refresh
from bot.storage import moments, revision
from bot.storage.garden import gardens
from bot.storage.models import Garden, Outbox
from bot.storage.session import TO_DO, TO_SEND, Database
from bot.storage.trouble import Trouble, trouble
from bot.storage.wire.outbox_rows import Fate

_LOG = logging.getLogger(__name__)
#: Answers are told apart by their update and a number; those to one handled a second time are numbered from here.
SECOND_FROM = 100
#: So many gardens are claimed at once.
CLAIMED_N = 20
#: And so many to ask the weather services for.
ASKED_N = 5
#: What a session notes of itself (`info`): a message that it has claimed for the sender.
CLAIMED = "claimed"
#: For one garden; given the revision that all deeds before it began with, None where one of them was not done.
Deed = Callable[[int, int | None], Awaitable[None]]


@dataclass(slots=True)
class Tally:
    """Of this process, for whoever watches it. looked_at: when a garden was last looked at."""

    looked_at: datetime | None = None
    solver_n: int = 0
    solver_s: float = 0.0

    def timed(self, solve: Solver) -> Solver:
        async def counted(problem: Problem) -> Solution:
            began_s = time.monotonic()
            try:
                return await solve(problem)
            finally:
                self.solver_n += 1
                self.solver_s += time.monotonic() - began_s

        return counted


@dataclass(slots=True)
class App:
    """now: aware, UTC. clock: the same where it may be in doubt, None where it is set by hand.

    wake_inbox, wake_outbox, wake_errands: set after a commit that left something to do. every_look: gardens are looked at
    each time, whether or not they are due. alive: told who is at work, and within which time they say so again, s.
    """

    database: Database
    bot: Bot
    now: Callable[[], datetime]
    source: Source
    solve: Solver
    pace: Pace
    application: Application[Any, Any, Any, Any, Any, Any]
    backups: backups.Plan | None = None
    flood: Flood = field(default_factory=Flood)
    clock: Clock | None = None
    every_look: bool = False
    alive: Callable[[str, float], None] = lambda _name, _for_s: None
    tally: Tally = field(default_factory=Tally)
    ahead: outbox.Ahead = field(default_factory=outbox.Ahead)
    wake_inbox: asyncio.Event = field(default_factory=asyncio.Event)
    wake_outbox: asyncio.Event = field(default_factory=asyncio.Event)
    wake_errands: asyncio.Event = field(default_factory=asyncio.Event)
    _waits: failing.Waits = field(default_factory=failing.Waits)
    _well: set[int] = field(default_factory=set)
    _unsolved: set[int] = field(default_factory=set)

    @property
    def is_sure_of_time(self) -> bool:
        """Whether what depends on the time may be done."""
        return self.clock is None or self.clock.is_sure

    @property
    def hooks(self) -> Hooks:
        return Hooks(self._refused, self._arrived, self._moved)

    def workers(self) -> Workers:
        return Workers(
            self.bot, self.database, self.handle, self.give_up, self.now, self._committed, before=self.look_up
        )

    @property
    def desk(self) -> Desk:
        return Desk(self.database, self.bot, self.source, self.now)

    def _committed(self, left: Mapping[str, Any]) -> None:
        self.ahead.hand_over(left.get(CLAIMED))
        if left.get(TO_SEND):
            self.wake_outbox.set()
        if left.get(TO_DO):
            self.wake_errands.set()

    async def do_errands(self) -> int:
        """All the long work that waits; gives how much there was."""
        return await errand_work.work_off(self.desk)

    async def handle(self, update: Update, session: AsyncSession) -> None:
        """One update, within the transaction that also marks it done. What a handler raises undoes all of it."""
        request = await begin(update, session, self.source, self.now(), self.bot.username)
        request.standing = self.application.bot_data.pop(("standing", update.update_id), None)
        await self._process(request)
        if request.again is not None:
            second = await begin(request.again, session, self.source, self.now(), self.bot.username)
            second.answers = SECOND_FROM
            await self._process(second)
        session.info[CLAIMED] = await self.ahead.claim(session, self.now())

    async def _process(self, request: Request) -> None:
        kept, number = self.application.bot_data, request.update.update_id
        request.flood = self.flood
        kept[number] = request
        try:
            await self.application.process_update(request.update)
            error = kept.pop(("error", number), None)
            if error is not None:
                raise error
        finally:
            kept.pop(number, None)

    async def look_up(self, update: Update) -> None:
        """What has to be asked of the platform before an update is handled: the standing of who presses in a group."""
        found = await group_role.of_presser(self.bot, update)
        if found is not None:
            self.application.bot_data["standing", update.update_id] = found

    async def give_up(self, update: Update, session: AsyncSession) -> None:
        """An update that could not be handled is not met with silence."""
        request = await begin(update, session, self.source, self.now(), self.bot.username)
        if request.private or update.callback_query is not None:
            await request.whisper(
                request.say.gettext("Sorry, something went wrong with that on my side. Please try again.")
            )

    async def send_due(self) -> int:
        return await outbox.send_due(self.bot, self.database, self.now, pace=self.pace, hooks=self.hooks)

    async def watch(self) -> None:
        """Bring every garden that is due up to now, a few at a time; see `services.due`."""
        self._is_at_work()
        last_id, failed, are_more = 0, list[Exception](), True
        try:
            while are_more:
                found = await self._due(last_id)
                last_id, are_more = max(found, default=0), len(found) == CLAIMED_N
                for garden_id, revision_n in found.items():
                    failed += await self._bring_up(garden_id, revision_n)
        finally:
            self.wake_outbox.set()
        if failed:
            raise failed[0]

    def _is_at_work(self) -> None:
        self.alive("the watch over gardens", 3 * gardens.LONGEST_LOOK.total_seconds())

    async def _due(self, after_id: int) -> dict[int, int]:
        # On SQLite there is one process, and nothing is written down of what it has begun.
        async with self.database.read() if self.database.is_sqlite else self.database.begin() as session:
            return await gardens.due(session, self.now(), after_id, CLAIMED_N, every=self.every_look)

    async def _bring_up(self, garden_id: int, revision_n: int) -> list[Exception]:
        """Each deed is tried though another has failed; but then the garden stays due."""
        self._is_at_work()
        failed, is_whole = list[Exception](), True
        for deed in (self._warn, self._see_home, self._tend):
            if self._waits.is_due(garden_id, deed.__name__, self.now()):
                failed += await self._attempt(garden_id, deed, revision_n if is_whole and not failed else None)
            else:
                is_whole = False
        await self._say_whether_it_fails(garden_id)
        self.tally.looked_at = self.now()
        return failed

    async def _warn(self, garden_id: int, _revision_n: int | None) -> None:
        solved = await watch(self.database, garden_id, self.source, self.now(), self.solve, self._tell)
        (self._unsolved.discard if solved else self._unsolved.add)(garden_id)

    async def _see_home(self, garden_id: int, _revision_n: int | None) -> None:
        """Apart from all else, since it is about people."""
        async with self.database.begin() as session:
            garden = await gardens.lock(session, garden_id)
            if garden is not None:
                await safely_home.see_home(session, garden, self.now())

    async def _tend(self, garden_id: int, revision_n: int | None) -> None:
        """All else; and in the end when to look again, unless something has changed since that revision."""
        async with self.database.begin() as session:
            garden = await gardens.lock(session, garden_id)
            now = self.now()
            if garden is not None:
                await shut.probe(session, garden, now)
                await failing.about_feed(session, garden, now)
                await helpers.ask_helpers(session, garden, now)
                await departures.ask(session, garden, now)
                await pinned.remind(session, garden, now)
                seen = await look(session, garden, self.source, now)
                await proposal.flag(session, garden, seen, now)
                await past_days.note(session, garden, seen.forecast, now)
                await daily.tick(session, garden, seen, now)
                if garden.revision == revision_n and garden_id not in self._unsolved:
                    at = await due.next_look(session, garden, seen, self.source, now)
                    await revision.look_again(session, garden_id, revision_n, at)

    async def refresh_weather(self, http: httpx.AsyncClient) -> None:
        """Ask the weather services for every garden, where their terms allow it by now."""

        async def ask(garden_id: int, _revision_n: int | None) -> None:
            for error in await refresh(self.database, garden_id, self.source, self.now(), http):
                _LOG.warning("weather for garden %d: %s", garden_id, error)

        last_id, failed = 0, list[Exception]()
        while ids := await self._without_weather(last_id):
            last_id = max(ids)
            failed += await self._for_each(ids, ask)
        if failed:
            raise failed[0]

    async def _without_weather(self, after_id: int) -> Sequence[int]:
        async with self.database.read() if self.database.is_sqlite else self.database.begin() as session:
            return await gardens.without_weather(session, self.now(), after_id, ASKED_N)

    async def refresh_official(self, http: httpx.AsyncClient) -> None:
        """Ask the feeds of official warnings that may be asked by now."""
        for error in await official.refresh(self.database, self.now(), http, self.source.contact):
            _LOG.warning("%s", error)

    async def fetch_past_nights(self, http: httpx.AsyncClient) -> None:
        """Ask the archive for the nights of gardens that have none on record."""

        async def ask_archive(garden_id: int, _revision_n: int | None) -> None:
            if failed := await frost_dates.fetch(self.database, garden_id, self.source, self.now(), http):
                _LOG.warning("past nights for garden %d: %s", garden_id, failed)

        async with self.database.read() as session:
            ids = await gardens.without_past_nights(session, past_nights.SOURCE)
        if failed := await self._for_each(ids, ask_archive):
            raise failed[0]

    async def _for_each(self, garden_ids: Sequence[int], deed: Deed) -> list[Exception]:
        """One deed for some gardens, and what it raised."""
        failed = list[Exception]()
        for garden_id in garden_ids:
            if self._waits.is_due(garden_id, deed.__name__, self.now()):
                failed += await self._attempt(garden_id, deed, None)
            await self._say_whether_it_fails(garden_id)
        return failed

    async def _refused(self, session: AsyncSession, row: Outbox, why: Fate, now: datetime) -> None:
        """Writing was refused: a person counts as having said no, for a group others are told."""
        if row.chat_id < 0:
            await shut.refused(session, row, why, self.source, now)
        elif why in (Fate.FORBIDDEN, Fate.GONE):
            await unreachable.lost(session, row.chat_id, now)

    async def _arrived(self, session: AsyncSession, row: Outbox, now: datetime) -> None:
        await shut.arrived(session, row, self.source, now)

    async def _moved(self, session: AsyncSession, old: int, new: int) -> None:
        await shut.moved(session, old, new, self.source, self.now())

    async def _attempt(self, garden_id: int, deed: Deed, revision_n: int | None) -> list[Exception]:
        """What it raised, if anything. What fails for one garden keeps nothing from the others, and is tried ever later."""
        name = deed.__name__
        try:
            async with asyncio.timeout(gardens.LONGEST_LOOK.total_seconds()):
                await deed(garden_id, revision_n)
        except Exception as error:
            # Without the error's text, which may hold what a person wrote.
            _LOG.error("garden %d, %s: %s", garden_id, name, type(error).__name__)
            if trouble(error) is not Trouble.PASSING or isinstance(error, TimeoutError):
                self._waits.failed(garden_id, name, self.now())
            return [error]
        self._waits.went_well(garden_id, name)
        return []

    async def _say_whether_it_fails(self, garden_id: int) -> None:
        """To its organisers, once each way; looked up only where there may be something to say."""
        fails = self._waits.has(garden_id)
        if not fails and garden_id in self._well:
            return
        try:
            async with self.database.begin() as session:
                garden = await gardens.lock(session, garden_id)
                if garden is not None:
                    await failing.note(session, garden, self.now(), fails=fails)
            settled = garden is None or garden.trouble_since_at is None
        except Exception as error:
            _LOG.error("garden %d, telling that it fails: %s", garden_id, type(error).__name__)
            settled = False
        (self._well.add if settled else self._well.discard)(garden_id)

    async def say_of_the_clock(self, since_at: datetime, *, over: bool) -> None:
        """To every garden's organisers: that the machine's clock is wrong, or right again."""
        for garden_id in await self._garden_ids():
            try:
                async with self.database.begin() as session:
                    garden = await gardens.lock(session, garden_id)
                    if garden is not None:
                        await failing.about_clock(session, garden, since_at, self.now(), over=over)
            except Exception as error:
                _LOG.error("garden %d, telling of the clock: %s", garden_id, type(error).__name__)
        self.wake_outbox.set()

    async def note_moment(self) -> None:
        """Keep that the bot lived now, for the next start to hold its clock against."""
        async with self.database.begin() as session:
            await moments.note(session, self.now())

    async def tidy(self) -> None:
        """Remove messages that have been kept long enough."""
        async with self.database.begin() as session:
            await retention.tidy(session, self.now())

    async def back_up(self) -> None:
        """A copy of the database, once a day; a copy that cannot be made is logged, and tried again in an hour."""
        if self.backups is not None:
            await backups.daily(self.database, self.backups, self.now())

    async def _garden_ids(self) -> list[int]:
        async with self.database.read() as session:
            return list(await gardens.all_ids(session))

    async def _tell(self, session: AsyncSession, garden: Garden, outlook: Look, events: Sequence[Event]) -> None:
        await tell(session, garden, outlook, events, self.now())


def build(
    database: Database,
    bot: Bot,
    *,
    now: Callable[[], datetime],
    source: Source,
    pace: Pace,
    solve: Solver = solving.solve,
) -> App:
    """The application around a bot; its own polling stays off, since updates come from the inbox."""
    builder = ApplicationBuilder().bot(bot).updater(None).job_queue(None)
    application = builder.context_types(ContextTypes(context=Context)).build()
    routes.register(application)
    application.add_error_handler(_keep_error)
    tally = Tally()
    return App(database, bot, now, source, remembering(tally.timed(solve), now), pace, application, tally=tally)


async def _keep_error(update: object, context: Context) -> None:
    """Handlers' errors go to the inbox worker, which undoes the request and tries again."""
    if isinstance(update, Update):
        context.application.bot_data["error", update.update_id] = context.error
