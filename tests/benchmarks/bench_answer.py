"""The week's answer inside the process, for a garden of 60 plots and 400 plantings: `python -m tests.benchmarks.bench_answer`.

Prints the median and the slowest of 30 answers, from the update to the committed reply (who speaks, records, forecast,
core, wording, outbox row), the statements of the first and of the last, and the peak resident memory of this process.
The garden and its weather are invented.
"""

from __future__ import annotations

import asyncio
import resource
import statistics
import tempfile
import time
from datetime import UTC, datetime

from sqlalchemy import event, select
from telegram import Update

from bot.chat.wire import inbox
from bot.cli.demo import _FOLDER
from bot.core.garden.snapshot import PlaceKind, Stage
from bot.crops import loader
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.models import Garden, Member, Person, Place, Planting, Plot, PlotHolder
from bot.storage.schema import upgrade
from bot.storage.session import Database

PLOTS, PLANTINGS, ANSWERS = 60, 400, 30
NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


async def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        database = Database(f"sqlite+aiosqlite:///{folder}/bench.sqlite3")
        await upgrade(database)
        await _fill(database)
        statements: list[str] = []
        event.listen(
            database.engine.sync_engine, "before_cursor_execute", lambda *given: statements.append(str(given[2]))
        )
        source = Source(f"file:{_FOLDER / 'forecast.json'}")
        async with on_stage(database, source, NOW) as stage:
            user = stage.user("Member 1")
            assert user is not None
            took_ms, statements_n = [], []
            for _ in range(ANSWERS):
                update = Update.de_json(stage.api.write(user, user, "what should I do this week?"), stage.app.bot)
                stage.api.pending.clear()
                statements.clear()
                began = time.perf_counter()
                async with database.begin() as session:
                    await stage.app.handle(update, session)
                took_ms.append(1000 * (time.perf_counter() - began))
                statements_n.append(len(statements))
                await stage.settle()
            said = list(stage.fresh())
            statements.clear()
            stage.api.write(user, user, "what should I do this week?")
            async with database.begin() as session:
                await inbox.store_all(session, stage.api.pending, NOW)
            stage.api.pending.clear()
            await stage.app.workers().work_off()
            await stage.app.send_due()
            own = [one for one in statements if not one.startswith("BEGIN")]
        await database.close()
    assert len(said) == ANSWERS
    print(f"answers: median {statistics.median(took_ms):.1f} ms, slowest {max(took_ms):.1f} ms")
    print(
        f"statements of an answer: {statements_n[0]} when all is reckoned anew, {statements_n[-1]} when nothing has changed"
    )
    print(f"from the update that is stored to the answer that is settled: {len(own)} statements of the bot's own")
    print(f"peak resident memory: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


async def _fill(database: Database) -> None:
    keys = sorted(loader.load())
    async with database.begin() as session:
        garden = Garden(name="Bench", latitude=52.21, longitude=-1.52, altitude_m=74.0, zone="Europe/London")
        session.add(garden)
        await session.flush()
        for n in range(1, PLOTS + 1):
            member = Member(garden_id=garden.id, person=Person(name=f"Member {n}"), joined_at=NOW)
            plot = Plot(garden_id=garden.id, name=f"Plot {n}")
            session.add_all([member, plot])
            await session.flush()
            session.add(PlotHolder(plot_id=plot.id, member_id=member.id))
            place = Place(garden_id=garden.id, plot_id=plot.id, name=f"Bed {n}", kind=PlaceKind.BED)
            place.length_m, place.width_m = 4.0, 1.2
            session.add(place)
        await session.flush()
        places = (await session.scalars(select(Place).order_by(Place.id))).all()
        for n in range(PLANTINGS):
            stage = (Stage.SEEDLING, Stage.GROWING, Stage.FLOWERING)[n % 3]
            session.add(
                Planting(
                    garden_id=garden.id,
                    place_id=places[n % PLOTS].id,
                    crop=keys[n % len(keys)],
                    count=10,
                    stage=stage,
                    sown_on=NOW.date().replace(month=3, day=1 + n % 28),
                )
            )


if __name__ == "__main__":
    asyncio.run(main())
