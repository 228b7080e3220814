"""Long work on PostgreSQL: claimed by rows, done once, and two processes share it."""

from __future__ import annotations

import asyncio

from sqlalchemy import URL, func, select

from bot.chat.wire import inbox
from bot.cli.demo import _FOLDER, _furnish
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.models import Errand, Place
from bot.storage.schema import upgrade
from bot.storage.session import Database
from bot.storage.states import ErrandState
from tests.support import postgres
from tests.support.talk import MONDAY_AT, Talk, nobody

PLACES = b"name,kind,shared\nNorth bed,bed,yes\n"


async def test_a_file_is_read_applied_and_an_export_made_once_by_two_workers(postgres_server: URL) -> None:
    async with postgres.empty_database(postgres_server) as url:
        database = Database(url)
        await upgrade(database)
        await _furnish(database)
        source = Source(f"file:{await asyncio.to_thread(lambda: _FOLDER / 'forecast.json')}")
        async with on_stage(database, source, MONDAY_AT) as stage:
            stage.app.solve = nobody
            talk = Talk(stage)
            (preview,) = await talk.send_file("Miriam", "places.csv", PLACES)
            await talk.press("Miriam", preview, "Save the changes")
            stage.api.write(talk.user("Miriam"), talk.user("Miriam"), "/export")
            pushed, stage.api.pending = stage.api.pending, []
            async with database.begin() as session:
                for update in pushed:
                    await inbox.store(session, update, now=MONDAY_AT)
            await stage.app.workers().work_off()
            await asyncio.gather(stage.app.do_errands(), stage.app.do_errands())
            await stage.settle()
            sent = [one for one in stage.api.said(talk.user("Miriam")) if one.kind == "document"]
            assert len(sent) == 1
        async with database.begin() as session:
            beds = select(func.count()).select_from(Place).where(Place.name == "North bed")
            assert await session.scalar(beds) == 1
            assert set(await session.scalars(select(Errand.state))) == {ErrandState.DONE}
        await database.close()
