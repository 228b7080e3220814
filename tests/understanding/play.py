"""Sentences as people type them, each played to the bot alone, and how it was taken: `python -m tests.understanding.play`.

Prints counts by set. With --show and names of sets, also each sentence of theirs that was not right. What the sets are
and who wrote them: sentences/README.md. Each sentence is handled in a transaction of its own, which is rolled back.
"""

from __future__ import annotations

import asyncio
import json
import re
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession
from telegram import Update

from bot.chat import questions
from bot.chat.language.topics import Wanted
from bot.chat.request import Request
from bot.cli.demo import _FOLDER
from bot.i18n import say
from bot.services.garden.records.files import read_folder
from bot.services.garden.records.importing import import_records
from bot.services.weather.garden_forecast import Source
from bot.stage import Stage, on_stage
from bot.storage import models
from bot.storage.models import Ask, Garden, Member, Outbox, PendingNote, Person, Place, Planting, Task
from bot.storage.schema import upgrade
from bot.storage.session import Database
from bot.storage.states import AskState, TaskState
from tests.understanding.judging import BATCHES, PLACES, Line, Outcome, place_of, verdict
from tests.understanding.putting import NOW, Put
from tests.understanding.putting import put as put_before

__all__ = ["SETS", "Verdict", "counts", "judged", "on_lane", "read_set"]

HERE = Path(__file__).parent
SETS = (
    "en_tune", "pl_tune", "en_opened", "pl_opened", "ar_opened",
    "en_second", "cy_second", "pt_second", "bn_second", "uk_second", "ar_second",
    "en_kept", "pl_kept", "cy_kept", "uk_kept", "ar_kept", "pt_kept", "bn_kept",
    "cy_third", "bn_third", "ar_third", "en_third", "en_fourth", "en_fifth", "pl_third",
    "cy_fourth", "bn_fourth", "ar_fourth", "pt_third", "uk_third", "cy_fifth", "bn_fifth", "ar_fifth", "pt_fourth", "uk_fourth",
    "en_last", "pl_last", "cy_last", "uk_last", "ar_last", "pt_last", "bn_last",
)  # fmt: skip
#: Who writes in languages that nobody of the garden has chosen is Tobias.
SPEAKERS = {"pl": "Kasia"}


@dataclass(frozen=True, slots=True)
class Verdict:
    """how: right, asked, in part, misunderstood, not understood, wrong, obeyed, or not put."""

    line: Line
    how: str
    outcome: Outcome


def read_set(name: str) -> list[Line]:
    path = HERE / "sentences" / f"{name}.jsonl"
    return [json.loads(line) for line in path.read_text("utf-8").splitlines() if line.strip()] if path.exists() else []


@dataclass(slots=True)
class Lane:
    """The garden on stage."""

    stage: Stage
    database: Database


@asynccontextmanager
async def on_lane(folder: Path) -> AsyncIterator[Lane]:
    database = Database(f"sqlite+aiosqlite:///{folder}/lane.sqlite3")
    await upgrade(database)
    async with database.begin() as session:
        files = await asyncio.to_thread(read_folder, HERE / "garden")
        report = await import_records(session, files, say("en", "Europe/London"), NOW)
        assert not report.problems, report.problems
    async with on_stage(database, Source(f"file:{_FOLDER / 'forecast.json'}"), NOW) as stage:
        yield Lane(stage, database)
    await database.close()


class _Back(Exception):
    """Takes the transaction back."""


async def judged(lane: Lane, line: Line, speaker: str | None = None) -> Verdict:
    named = line["about"].get("name") == "Tobias"  # who is spoken of is somebody else
    outcome = await _play(lane, line, speaker or SPEAKERS.get(line["lang"], "Deepa" if named else "Tobias"))
    return Verdict(line, "not put", Outcome()) if outcome is None else Verdict(line, verdict(line, outcome), outcome)


# -- playing


async def _play(lane: Lane, line: Line, speaker: str) -> Outcome | None:
    stage, found = lane.stage, None
    user_id = stage.user(speaker)
    assert user_id is not None
    chat_id = stage.group_of(user_id) if line["context"].startswith("group") else user_id
    try:
        async with lane.database.begin() as session:
            row = (await session.scalars(select(Garden))).one()
            member = (await session.scalars(select(Member).join(Person).where(Person.name == speaker))).one()
            member.person.language = line["lang"]
            swaps = line["about"]["kind"] == "swap"
            given = {**line, "context": "accepted", "duty": "cover Bed 1"} if swaps and "duty" not in line else line
            put = await put_before(session, row, member, given)
            if put is None:
                raise _Back
            if line["context"] == "private" and line["about"]["kind"] in ("undo", "correct"):
                await _handle(lane, session, user_id, user_id, "sowed 60 lettuces in bed 2")
            await session.flush()
            before = await _state(session)
            last_id = await session.scalar(select(Outbox.id).order_by(Outbox.id.desc()).limit(1)) or 0
            open_before = set(await session.scalars(select(PendingNote.id)))
            wanted = await _handle(lane, session, user_id, chat_id, line["text"])
            await session.flush()
            session.expire_all()
            found = await _seen(session, before, last_id, open_before, put, (user_id, chat_id))
            found.wanted = wanted
            session.expunge_all()
            raise _Back
    except _Back:
        pass
    if found is not None and (found.changed or line["context"] in ("asked", "accepted", "question")):
        lane.database.kept.clear()  # a look at what has been taken back
        lane.database.reads.clear()
    return found


async def _handle(lane: Lane, session: AsyncSession, user_id: int, chat_id: int, text: str) -> list[Wanted]:
    """The topics that were answered."""
    api, app = lane.stage.api, lane.stage.app
    update = Update.de_json(api.write(user_id, chat_id, text), app.bot)
    api.pending.clear()
    found: list[Wanted] = []
    answer = questions.answer

    async def noted(request: Request, wanted: Wanted) -> None:
        found.append(wanted)
        await answer(request, wanted)

    with patch.object(questions, "answer", noted):
        await app.handle(update, session)
    return found


async def _state(session: AsyncSession) -> dict[str, set[tuple[Any, ...]]]:
    """Every row that tells something, but what is only written beside."""
    left_out = {"outbox", "inbox", "pending_notes", "last_moments", "people", "on_call", "keys"}
    found = {}
    for table in Garden.metadata.sorted_tables:
        if table.name not in left_out:
            columns = [one for one in table.columns if one.name not in ("heard_at", "revision")]
            found[table.name] = {tuple(map(repr, row)) for row in await session.execute(select(*columns))}
    return found


async def _seen(
    session: AsyncSession,
    before: dict[str, set[tuple[Any, ...]]],
    last_id: int,
    open_before: set[int],
    put: Put,
    here: tuple[int, int],
) -> Outcome:
    outcome = Outcome()
    for row in await session.scalars(select(Outbox).where(Outbox.id > last_id).order_by(Outbox.id)):
        if row.send_at > NOW:
            outcome.changed.add("reminder")
            continue
        if row.chat_id not in here:
            outcome.changed.add("others")
            continue
        outcome.texts.append(str(row.payload.get("text") or row.payload.get("caption") or ""))
        for line in (row.payload.get("reply_markup") or {}).get("inline_keyboard") or []:
            outcome.keys += [key.get("callback_data", "") for key in line]
            outcome.labels += [key["text"] for key in line]
    after = await _state(session)
    outcome.changed |= {name for name in after if after[name] != before[name]}
    BATCHES.update({one.id: one.crop for one in await session.scalars(select(Planting))})
    known = {row[0] for row in before["journal"]}
    entries = (await session.scalars(select(models.Entry).order_by(models.Entry.id))).all()
    outcome.records = [one for one in entries if repr(one.id) not in known]
    outcome.open_notes = len(set(await session.scalars(select(PendingNote.id))) - open_before)
    asks = (await session.scalars(select(Ask).where(Ask.task_id.in_(put.task_ids)))).all()
    tasks = (await session.scalars(select(Task).where(Task.id.in_(put.task_ids)))).all()
    if any(one.state is TaskState.DONE for one in tasks) or "task_reports" in outcome.changed:
        outcome.answered = "done"
    elif put.accepted is False and any(one.state is AskState.ACCEPTED for one in asks):
        outcome.answered = "yes"
    elif any(one.state is AskState.PASSED for one in asks):
        outcome.answered = "no"
    days = next((found for key in outcome.keys if (found := re.match(r"away:\d+:yes:(\d{8}):(\d{8})", key))), None)
    if days is not None:
        outcome.away = (
            _iso(days[1]),
            _iso(days[2]),
        )
    return outcome


def _iso(digits: str) -> str:
    return f"{digits[:4]}-{digits[4:6]}-{digits[6:]}"


# -- counting


def counts(verdicts: Iterable[Verdict]) -> dict[str, Counter[str]]:
    """By group of the set (the word in its id), and "all"."""
    found: dict[str, Counter[str]] = defaultdict(Counter)
    for one in verdicts:
        found["all"][one.how] += 1
        found[one.line["id"].split("_")[2]][one.how] += 1
    return found


_HOWS = ("right", "asked", "in part", "not understood", "misunderstood", "wrong", "obeyed", "not put")


def table(name: str, verdicts: list[Verdict]) -> str:
    lines = [f"{name}: " + ", ".join(_HOWS)]
    for group, found in counts(verdicts).items():
        total = sum(found.values()) - found["not put"]
        share = f"{100 * found['right'] / total:.0f} %" if total else "-"
        lines.append(f"  {group:<9} {share:>5} of {total:>3}: " + "  ".join(f"{found[how]:>3}" for how in _HOWS))
    return "\n".join(lines)


async def play(names: Iterable[str], show: bool, speaker: str | None = None) -> None:
    with tempfile.TemporaryDirectory(prefix="gatepost-") as folder:
        async with on_lane(Path(folder)) as lane:
            await learn(lane)
            for name in names:
                verdicts = [await judged(lane, line, speaker) for line in read_set(name)]
                if show and not name.endswith(("_kept", "_last")):
                    for one in verdicts:
                        if one.how != "right":
                            _print(one)
                print(table(name, verdicts))


async def learn(lane: Lane) -> None:
    """Names of places, and crops of batches, by their ids."""
    async with lane.database.begin() as session:
        PLACES.update({one.id: one.name for one in await session.scalars(select(Place))})
        BATCHES.update({one.id: one.crop for one in await session.scalars(select(Planting))})


def _print(one: Verdict) -> None:
    print(f"{one.how.upper():<14} {one.line['id']} [{one.line['context']}] {one.line['text']!r}")
    print(f"    wants {one.line['expect']} {json.dumps(one.line['about'], ensure_ascii=False)}")
    records = [
        f"{each.action} {BATCHES.get(each.planting_id or 0, '')} {place_of(each)} {each.amount}"
        for each in one.outcome.records
    ]
    said = " / ".join(one.outcome.said.splitlines())[:170]
    did = (records or "", one.outcome.answered, one.outcome.away or "", sorted(one.outcome.changed))
    print(f"    did {did} said {said!r} {one.outcome.labels[:4]}")


def main() -> None:
    args = [one for one in sys.argv[1:] if not one.startswith("--")]
    speaker = next((one.removeprefix("--as=") for one in sys.argv if one.startswith("--as=")), None)
    asyncio.run(play(args or SETS, "--show" in sys.argv, speaker))


if __name__ == "__main__":
    main()
