"""Two bots on one PostgreSQL share the work by row claims: nothing is said twice, and every press counts once."""

from __future__ import annotations

import asyncio
from collections import Counter
from collections.abc import AsyncIterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import URL, func, select
from telegram import Bot

from bot.app import App, build
from bot.chat.warnings import rehearse
from bot.chat.wire import inbox
from bot.chat.wire.pace import Pace
from bot.chat.wire.platform import MemoryRequest
from bot.services.warnings.rehearsing import Played, Script
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage.garden import gardens
from bot.storage.models import Ask, Inbox, Member, Outbox, Person, Task, TaskReport, Warning
from bot.storage.session import Database
from bot.storage.states import AskState, SendState, TaskState
from tests.support import postgres
from tests.support.group_messages import furnished
from tests.support.invented_weather import calm, write
from tests.support.talk import COLD, MONDAY_AT, first_who_can


class Pair:
    """One platform, one database, two bots that do everything at the same moment."""

    def __init__(self, stage: Stage, other: App) -> None:
        self.stage, self.apps = stage, (stage.app, other)

    async def look(self) -> None:
        await asyncio.gather(*(app.watch() for app in self.apps))
        await self.settle()

    async def settle(self) -> None:
        busy = True
        while busy:
            pushed, self.stage.api.pending = self.stage.api.pending, []
            for app in self.apps:  # each is handed every update
                async with app.database.begin() as session:
                    for update in pushed:
                        await inbox.store(session, update, now=self.stage.clock.at)
            done = await asyncio.gather(*(app.workers().work_off() for app in self.apps))
            played = await asyncio.gather(*(app.do_errands() for app in self.apps))
            sent = await asyncio.gather(*(app.send_due() for app in self.apps))
            async with self.stage.app.database.begin() as session:
                left = await session.scalar(select(func.count()).where(Inbox.done_at.is_(None)))
            busy = bool(sum(done) + sum(played) + sum(sent) + (left or 0))


@pytest.fixture
async def pair(postgres_server: URL, tmp_path: Path) -> AsyncIterator[Pair]:
    async with postgres.database_copy(postgres_server) as url:
        first, second = Database(url), Database(url)
        await furnished(first, MONDAY_AT)
        path = tmp_path / "forecast.json"
        write(path, [calm(), calm(), COLD, *[calm()] * 7], MONDAY_AT)
        source = Source(f"file:{path}")
        async with on_stage(first, source, MONDAY_AT, first_who_can) as stage:
            request = MemoryRequest(stage.api)
            other = build(
                second,
                Bot("1:stage", request=request, get_updates_request=request),
                now=stage.clock,
                source=source,
                pace=Pace.off(),
                solve=first_who_can,
            )
            async with other.application:
                yield Pair(stage, other)
        await second.close()
        await first.close()


async def test_a_cold_night_with_two_bots_is_told_once_and_answered_once(
    pair: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    stage, played = pair.stage, []

    async def play(script: Script) -> Played:
        played.append(script)
        return Played(datetime(2026, 5, 5).date(), None, (), ())

    monkeypatch.setattr(rehearse, "play", play)
    api = stage.api
    miriam = stage.user("Miriam")
    assert miriam is not None
    api.write(miriam, miriam, "/rehearse")
    while stage.clock.at < MONDAY_AT + timedelta(hours=50):
        stage.clock.at += timedelta(hours=2)
        await pair.look()
        for user in [one.id for one in stage.people()]:
            said = api.said(user)
            if said and any(
                key.get("callback_data", "").startswith("yes:") for row in said[-1].keyboard for key in row
            ):
                api.press(user, said[-1], "Zrobię to" if "Zrobię to" in str(said[-1].keyboard) else "I'll do it")
        await pair.settle()
    assert len(played) == 1, "a rehearsal is played by one of them"
    async with stage.app.database.begin() as session:
        rows = (await session.scalars(select(Outbox).where(Outbox.method == "sendMessage"))).all()
        warnings = (await session.scalars(select(Warning))).all()
        accepted = await session.scalar(select(func.count()).where(Ask.state == AskState.ACCEPTED))
        updates = (await session.scalars(select(Inbox))).all()
    assert {row.state for row in rows} == {SendState.SENT}
    assert len({(row.chat_id, row.message_id) for row in rows}) == len(rows), "each call made a message of its own"
    ours = [message for message in api.messages.values() if message.sender is api.bot]
    assert len(ours) == len(rows), "and no message is there that no row knows"
    kinds = Counter(row.key.split(":")[2] for row in rows if row.key.startswith("warning:"))
    assert len(warnings) == 1 and kinds["call"] == 1 and kinds["after"] == 1
    assert accepted and updates and all(row.done_at is not None for row in updates)
    replies = Counter(row.key.split(":")[1] for row in rows if row.key.startswith("reply:"))
    assert set(replies.values()) == {1}, "every press has one answer"


async def test_whoever_presses_done_while_a_look_closes_the_same_job_waits_and_is_told_that_it_is_done(
    pair: Pair,
) -> None:
    """Else both would have reported it, by what stood before either."""
    stage, api = pair.stage, pair.stage.api
    stage.clock.at += timedelta(hours=26)
    await pair.look()
    database = stage.app.database
    async with database.begin() as session:
        query = (
            select(Person.user_id, Member.id, Task.id)
            .join(Member, Member.person_id == Person.id)
            .join(Ask, Ask.member_id == Member.id)
            .join(Task, Task.id == Ask.task_id)
            .where(Person.language == "en", Ask.state == AskState.ASKED)
        )
        user, member_id, task_id = next(iter(await session.execute(query.order_by(Task.id))), (None, 0, 0))
    assert user is not None
    api.press(user, api.said(user)[-1], "I'll do it")
    await pair.settle()
    async with database.begin() as looking:
        await gardens.lock(looking, 1)
        row = await looking.get_one(Task, task_id)
        row.state, row.done_at, row.done_by = TaskState.DONE, stage.clock.at, member_id
        looking.add(TaskReport(task_id=task_id, member_id=member_id, done=True, reported_at=stage.clock.at))
        await looking.flush()
        api.press(user, api.said(user)[-1], "Done")
        answering = asyncio.create_task(pair.settle())
        done, _ = await asyncio.wait({answering}, timeout=0.5)
        assert not done, "it waits for the look"
    await answering
    async with database.begin() as session:
        reports = (await session.scalars(select(TaskReport).where(TaskReport.task_id == task_id))).all()
    assert [report.member_id for report in reports] == [member_id]
    assert "I already have your answer" in api.said(user)[-1].text
