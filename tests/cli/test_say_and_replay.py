"""`gatepost say` and `gatepost replay` on one's own garden: answers as people get them, nobody disturbed."""

from __future__ import annotations

import asyncio
import json
from datetime import datetime
from pathlib import Path

import pytest
from sqlalchemy import select

from bot.chat.calendar import pinned
from bot.storage.models import Errand, Garden, Member
from bot.storage.session import Database
from bot.storage.states import ErrandKind
from tests.cli.conftest import MONDAY_AT, Run

NOW = ("--now", "2026-05-04T10:00")


def test_a_member_asks_for_the_week_and_gets_jobs_with_a_button_each(run: Run, garden: Path, forecast: Path) -> None:
    status, out, _ = run("say", "--as", "Tobias", *NOW, "--forecast", forecast, "what should I do this week?")
    assert status == 0
    assert "Mon 04 May 10:00  Tobias" in out, "a moment without an offset is on the garden's clock"
    assert "frost" in out.lower() or "Bed 1" in out


def test_the_json_of_say_is_a_list_with_the_documented_fields(run: Run, garden: Path, forecast: Path) -> None:
    status, out, _ = run("say", "--as", "tobias", *NOW, "--forecast", forecast, "--json", "/week")
    (message,) = json.loads(out)
    assert status == 0
    assert set(message) == {"time", "chat", "text", "buttons", "edited"}
    assert message["chat"] == "Tobias" and message["edited"] is False
    assert datetime.fromisoformat(message["time"]).utcoffset() is not None
    assert all(isinstance(label, str) for row in message["buttons"] for label in row)


def test_what_was_said_in_the_group_is_answered_in_the_group(run: Run, garden: Path, forecast: Path) -> None:
    _, out, _ = run("say", "--as", "Owen", "--in", "group", *NOW, "--forecast", forecast, "--json", "/weather")
    assert [message["chat"] for message in json.loads(out)] == ["group"]


def test_what_is_told_is_stored_and_known_the_next_time(run: Run, garden: Path, forecast: Path) -> None:
    run("say", "--as", "Owen", *NOW, "--forecast", forecast, "/away 2026-05-04 2026-05-06")
    run("say", "--as", "Owen", *NOW, "--forecast", forecast, "yes")
    status, out, _ = run(
        "replay", "--from", "2026-05-04T10:00", "--to", "2026-05-04T10:30", "--forecast", forecast, "--json"
    )
    assert status == 0
    asked = {message["chat"] for message in json.loads(out)} - {"group"}
    assert asked and "Owen" not in asked


def test_days_are_replayed_with_a_calendar_pinned_and_work_in_hand(
    run: Run, garden: Path, forecast: Path, tmp_path: Path
) -> None:
    async def live() -> None:
        database = Database(f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}")
        async with database.begin() as session:
            row = (await session.scalars(select(Garden))).one()
            member = (await session.scalars(select(Member).order_by(Member.id))).first()
            assert member is not None
            row.chat_id = -100
            await pinned.pin(session, row, MONDAY_AT)
            sheet = Errand(
                garden_id=row.id, member_id=member.id, chat_id=-100, kind=ErrandKind.WALL, asked_at=MONDAY_AT
            )
            session.add(sheet)
        await database.close()

    asyncio.run(live())
    status, out, complaint = run(
        "replay", "--from", "2026-05-04T10:00", "--to", "2026-05-04T10:30", "--forecast", forecast, "--json"
    )
    assert status == 0, complaint
    assert "sheet for the gate" not in out, "the sheet is drawn for whoever asked, not here"


@pytest.mark.parametrize("work", [ErrandKind.WALL, ErrandKind.REHEARSAL])
def test_nothing_is_said_while_the_bot_has_work_in_hand_for_somebody(
    run: Run, garden: Path, forecast: Path, tmp_path: Path, work: ErrandKind
) -> None:
    async def live() -> None:
        database = Database(f"sqlite+aiosqlite:///{tmp_path / 'own.sqlite3'}")
        async with database.begin() as session:
            member = (await session.scalars(select(Member).order_by(Member.id))).first()
            assert member is not None
            member.person.user_id = 7_000_001
            asked = {"garden_id": member.garden_id, "member_id": member.id, "asked_at": MONDAY_AT}
            session.add(Errand(chat_id=7_000_001, kind=work, **asked))
        await database.close()

    asyncio.run(live())
    status, out, complaint = run("say", "--as", "Owen", *NOW, "--forecast", forecast, "/week")
    assert (status, out) == (2, "") and "work for real people is in hand (1)" in complaint


def test_an_unknown_name_is_refused_with_the_names_there_are(run: Run, garden: Path, forecast: Path) -> None:
    status, out, complaint = run("say", "--as", "Nobody", *NOW, "--forecast", forecast, "hello")
    assert (status, out) == (2, "")
    assert "nobody is called 'Nobody'" in complaint and "Tobias" in complaint


def test_without_a_garden_it_says_how_to_load_one(run: Run, forecast: Path) -> None:
    status, _, complaint = run("say", "--as", "Owen", *NOW, "--forecast", forecast, "hello")
    assert status == 2 and "gatepost import FOLDER" in complaint
    status, _, complaint = run("replay", "--from", "2026-05-04", "--to", "2026-05-05", "--forecast", forecast)
    assert status == 2 and "gatepost import FOLDER" in complaint


@pytest.mark.parametrize("moment", ["yesterday", "2026-13-01", "2026-05-04T25:00"])
def test_a_moment_that_is_none_is_refused_with_an_example(run: Run, garden: Path, forecast: Path, moment: str) -> None:
    status, _, complaint = run("say", "--as", "Owen", "--now", moment, "--forecast", forecast, "hello")
    assert status == 2
    assert moment in complaint and "2026-05-04T18:00" in complaint


def test_replay_tells_every_message_of_a_cold_day_in_order_of_time(run: Run, garden: Path, forecast: Path) -> None:
    day = ("--from", "2026-05-04T10:00", "--to", "2026-05-04T16:00", "--forecast", forecast)
    status, out, _ = run("replay", *day, "--json")
    said = json.loads(out)
    times = [datetime.fromisoformat(message["time"]) for message in said]
    assert status == 0 and times == sorted(times)
    assert said[0]["chat"] == "group" and "We need this done by 20:36" in said[0]["text"]
    assert {"Leila", "Kasia"} < {message["chat"] for message in said}
    assert any("You have not answered yet" in message["text"] for message in said), "reminders in the afternoon"


def test_a_script_of_answers_is_played_and_disturbs_nothing(
    run: Run, garden: Path, forecast: Path, tmp_path: Path
) -> None:
    script = tmp_path / "answers.csv"
    script.write_text(
        "at,who,where,what\n"
        "2026-05-04T11:00,Leila,private,I'll do it\n"
        "2026-05-04T11:30,Owen,group,what should I do this week?\n",
        encoding="utf-8",
    )
    day = ("--from", "2026-05-04T10:00", "--to", "2026-05-04T12:00", "--forecast", forecast)
    status, out, _ = run("replay", *day, "--answers", script)
    assert status == 0
    assert "Leila in private: I'll do it" in out and "Leila will do it" in out
    _, turns, _ = run("say", "--as", "Leila", *NOW, "--forecast", forecast, "/turns")
    assert "no open jobs" in turns, "it was a rehearsal"
    assert run("replay", *day, "--answers", script)[1] == out, "the same days give the same messages"


@pytest.mark.parametrize(
    ("lines", "complaint"),
    [
        ("at,who,what\n", "expected at,who,where,what"),
        ("at,who,where,what\n2026-05-04T11:00,Leila,shed,hello\n", "line 2: where is 'shed'"),
        ("at,who,where,what\nnoon,Leila,private,hello\n", "the moment is 'noon'"),
        ("at,who,where,what\n2026-05-04T11:00,Nobody,private,hello\n", "nobody is called 'Nobody'"),
    ],
)
def test_a_script_that_can_not_be_played_is_refused_with_its_line(
    run: Run, garden: Path, forecast: Path, tmp_path: Path, lines: str, complaint: str
) -> None:
    script = tmp_path / "answers.csv"
    script.write_text(lines, encoding="utf-8")
    day = ("--from", "2026-05-04T10:00", "--to", "2026-05-04T11:30", "--forecast", forecast)
    status, _, err = run("replay", *day, "--answers", script)
    assert status == 2 and complaint in err


def test_days_that_end_before_they_begin_are_refused(run: Run, garden: Path, forecast: Path) -> None:
    status, _, complaint = run("replay", "--from", "2026-05-05", "--to", "2026-05-04", "--forecast", forecast)
    assert status == 2 and "not after --from" in complaint
