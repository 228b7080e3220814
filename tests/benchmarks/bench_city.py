"""A morning of many large gardens before a cold night: `python -m tests.benchmarks.bench_city [N...]` (20 and 100).

Two processes of the bot on one PostgreSQL. Each garden has 40 members and the demo's records four times over: 56 places, 68
plantings. For each number of gardens: the processor time of both processes, from the first look to the last settled
message, and of the database's server; the highest memory of a process, after its imports; and by which exponent the
time grows with the number. From that follows what 10,000 gardens would take two cores that do nothing else.

The weather is invented; names are found by the first who may, not by the solver, which has a process of its own and its
own figure (`bench_rota`); the platform says yes to every message at once, in the process itself. The server does not wait
for the disk, as in the tests.
"""

from __future__ import annotations

import asyncio
import csv
import io
import json
import math
import os
import resource
import sys
import time
from collections.abc import Mapping
from datetime import timedelta
from itertools import count, pairwise
from pathlib import Path
from typing import Any

from sqlalchemy import func, insert, or_, select, text, update
from telegram import Bot
from telegram.request import RequestData

from bot.app import build
from bot.chat.wire.pace import Pace
from bot.chat.wire.platform import NoNetwork
from bot.i18n import say
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.importing import import_records
from bot.services.weather.garden_forecast import Source
from bot.storage.models import Base, Garden, Outbox, Person
from bot.storage.session import Database
from bot.storage.states import SendState
from tests.benchmarks.bench_many import FROST, NOW
from tests.support import postgres
from tests.support.group_messages import GARDEN
from tests.support.invented_weather import calm
from tests.support.same_minutes import issued
from tests.support.talk import first_who_can

MEMBERS, COPIES = 40, 4
GARDENS, SECONDS = 10_000, 300
_APART = 100_000  # between the numbers of one garden's rows and the next one's
_TICKS = os.sysconf("SC_CLK_TCK")
_NAMES = {
    "members.csv": ("name", "plots"),
    "plots.csv": ("name", "holders"),
    "places.csv": ("name", "plot", "inside"),
    "plantings.csv": ("place",),
    "supports.csv": ("place",),
}


class _Yes(NoNetwork):
    """A platform that takes everything."""

    def __init__(self) -> None:
        self.numbers = count(1)

    async def do_request(
        self, url: str, method: str, request_data: RequestData | None = None, *_timeouts: Any, **_more: Any
    ) -> tuple[int, bytes]:
        if url.endswith("/getMe"):
            result: Any = {"id": 1, "is_bot": True, "first_name": "Gatepost", "username": "gatepost_bot"}
        else:
            chat = {"id": int(str(request_data.parameters["chat_id"])) if request_data else 0, "type": "private"}
            result = {"message_id": next(self.numbers), "date": int(NOW.timestamp()), "chat": chat}
        return 200, json.dumps({"ok": True, "result": result}).encode()


def large() -> dict[str, bytes]:
    """The demo's garden four times over as one, with members up to 40."""
    files = read_folder(GARDEN)
    for name, columns in _NAMES.items():
        table = csv.DictReader(io.StringIO(files[name].decode()))
        rows = [
            row | {column: _renamed(row[column], n) for column in columns} for row in list(table) for n in range(COPIES)
        ]
        if name == "members.csv":
            more = next(row for row in rows if row["name"] == "Marcus")
            rows += [more | {"name": f"Neighbour {n}"} for n in range(MEMBERS - len(rows))]
        out = io.StringIO()
        writer = csv.DictWriter(out, table.fieldnames or ())
        writer.writeheader()
        writer.writerows(rows)
        files[name] = out.getvalue().encode()
    return files


def _renamed(names: str, n: int) -> str:
    return ";".join(f"{name} {'abcd'[n]}" if name and n else name for name in names.split(";"))


async def filled(database: Database, gardens_n: int) -> None:
    """One garden as it is imported, and its rows under other numbers for all the others."""
    async with database.engine.begin() as connection:
        await connection.run_sync(Base.metadata.create_all)
    async with database.begin() as session:
        report = await import_records(session, large(), say("en", "Europe/London"), NOW)
        assert not report.problems, report.problems
        await session.execute(update(Person).values(user_id=1_000_000 + Person.id, private_ok_at=NOW))
        await session.execute(update(Garden).values(chat_id=-1_000_000 - Garden.id))
    await issued(database, [calm(), FROST, calm()], NOW - timedelta(minutes=20))
    async with database.engine.begin() as connection:
        for table in Base.metadata.sorted_tables:
            rows = [dict(row) for row in (await connection.execute(select(table))).mappings()]
            if not rows or (not any(column.foreign_keys for column in table.columns) and table.name not in _ROOTS):
                continue
            for n in range(1, gardens_n):
                await connection.execute(insert(table), [_moved(row, table, n) for row in rows])
            if "id" in table.c:
                await connection.execute(
                    text(
                        f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), (SELECT max(id) FROM {table.name}))"
                    )
                )
    async with database.engine.connect() as connection:
        await (await connection.execution_options(isolation_level="AUTOCOMMIT")).execute(text("VACUUM ANALYZE"))


_ROOTS = frozenset({Garden.__tablename__, Person.__tablename__})


def _moved(row: Mapping[str, Any], table: Any, n: int) -> dict[str, Any]:
    moved = dict(row)
    for column in table.columns:
        is_number = column.name == "id" or bool(column.foreign_keys)
        if is_number and isinstance(moved[column.name], int):
            moved[column.name] += n * _APART
    if table.name == Person.__tablename__:
        moved["user_id"] += n * _APART
    if table.name == Garden.__tablename__:
        moved["chat_id"] -= n * _APART
    return moved


async def worked(url: str) -> None:
    """One process: look at whatever is due and send whatever is queued, until there is nothing left."""
    began_mb = _peak_mb()
    database = Database(url)
    bot = Bot("1:city", request=_Yes(), get_updates_request=_Yes())
    app = build(database, bot, now=lambda: NOW, source=Source("open-meteo"), pace=Pace.off(), solve=first_who_can)
    async with app.application:
        began_s, sent_n = time.process_time(), 0
        while await _left(database):
            await app.watch()
            sent_n += await app.send_due()
        used_s = time.process_time() - began_s
    await database.close()
    print(json.dumps({"used_s": used_s, "sent_n": sent_n, "began_mb": began_mb, "peak_mb": _peak_mb()}))


async def _left(database: Database) -> bool:
    async with database.read() as session:
        due = select(Garden.id).where(or_(Garden.next_look_at.is_(None), Garden.next_look_at <= NOW)).limit(1)
        pending = select(Outbox.id).where(Outbox.state == SendState.PENDING).limit(1)
        return await session.scalar(due) is not None or await session.scalar(pending) is not None


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


async def morning(server: Any, gardens_n: int) -> float:
    """Says what it found; gives all processor time, s."""
    async with postgres.empty_database(server) as url:
        database = Database(url)
        await filled(database, gardens_n)
        await database.close()
        before_s, began_s = _servers_s(), time.monotonic()
        launched = [
            await asyncio.create_subprocess_exec(
                sys.executable, "-m", "tests.benchmarks.bench_city", "--work", url, stdout=asyncio.subprocess.PIPE
            )
            for _ in range(2)
        ]
        found = [json.loads((await one.communicate())[0]) for one in launched]
        took_s, server_s = time.monotonic() - began_s, _servers_s() - before_s
        database = Database(url)
        async with database.read() as session:
            sent_n = await session.scalar(select(func.count()).where(Outbox.state == SendState.SENT)) or 0
        await database.close()
    assert sent_n == sum(one["sent_n"] for one in found), "as many were sent as calls were made"
    used_s = float(sum(one["used_s"] for one in found))
    each = " and ".join(f"{one['used_s']:.1f}" for one in found)
    print(
        f"{gardens_n} gardens of {MEMBERS}: {sent_n} messages; processes {each} s, "
        f"server {server_s:.1f} s of processor time, {1000 * (used_s + server_s) / gardens_n:.0f} ms a garden; "
        f"{took_s:.0f} s by the clock; memory {max(one['began_mb'] for one in found):.0f} MB at first, "
        f"{max(one['peak_mb'] for one in found):.0f} MB at most",
        flush=True,
    )  # fmt: skip
    return used_s + server_s


def _servers_s() -> float:
    """Processor time of the server so far: its own, its children's, and of those that have ended."""
    ours = {pid for pid in _pids() if _parent(pid) == os.getpid() and "postgres" in _stat(pid)[0]}
    theirs = {pid for pid in _pids() if _parent(pid) in ours}
    ended_s = sum(int(_stat(pid)[1][13]) + int(_stat(pid)[1][14]) for pid in ours) / _TICKS
    return ended_s + sum(int(_stat(pid)[1][11]) + int(_stat(pid)[1][12]) for pid in ours | theirs) / _TICKS


def _pids() -> list[int]:
    return [int(one.name) for one in Path("/proc").iterdir() if one.name.isdecimal()]


def _parent(pid: int) -> int:
    return int(_stat(pid)[1][1])


def _stat(pid: int) -> tuple[str, list[str]]:
    try:
        name, _, rest = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace").rpartition(")")
    except OSError:
        return "", ["0"] * 40
    return name, rest.split()


async def mornings(numbers: list[int]) -> None:
    with postgres.server() as server:
        found = [(gardens_n, await morning(server, gardens_n)) for gardens_n in numbers]
    for (few, before_s), (many, after_s) in pairwise(found):
        print(f"from {few} to {many}: exponent {math.log(after_s / before_s) / math.log(many / few):.2f}")
    gardens_n, used_s = found[-1]
    minutes = used_s / gardens_n * GARDENS / 2 / 60
    print(
        f"{GARDENS} such gardens would take two cores {minutes:.0f} min by the last of these; {SECONDS // 60} are wanted"
    )


if __name__ == "__main__":
    if sys.argv[1:2] == ["--work"]:
        asyncio.run(worked(sys.argv[2]))
    else:
        asyncio.run(mornings([int(one) for one in sys.argv[1:]] or [20, 100]))
