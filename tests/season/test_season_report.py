"""The season's end: seen privately first, posted to the group by one tap and once, whoever taps."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy import select

from bot.core.garden.snapshot import Role
from bot.core.warnings.hazards import Hazard, Severity
from bot.storage.models import Entry, Garden, Member, Person, Planting, Reading, Task, Thermometer, Warning
from bot.storage.states import TaskState, WarningState
from tests.support.rings import lines_of
from tests.support.talk import MONDAY_AT, Talk


@pytest.fixture
async def season(talk: Talk) -> Talk:
    """A cold night in April that people were called for; courgettes lost after it, and some picked."""
    async with talk.stage.app.database.begin() as session:
        garden = (await session.scalars(select(Garden))).one()
        batch = (await session.scalars(select(Planting).where(Planting.crop == "courgette"))).first()
        miriam = (await session.scalars(select(Member).join(Person).where(Person.name == "Miriam"))).one()
        assert batch is not None
        evening = date(2026, 4, 20)
        at = MONDAY_AT - timedelta(days=14)
        warning = Warning(
            garden_id=garden.id, hazard=Hazard.COLD, window_on=evening, state=WarningState.OVER,
            severity=Severity.SEVERE, starts_at=at, ends_at=at, due_at=at, probability=0.8, detected_at=at,
            called_at=at, over_at=at,
        )  # fmt: skip
        meter = Thermometer(garden_id=garden.id, name="Shed", height_m=1.5, shaded=True)
        session.add_all([warning, meter])
        await session.flush()
        session.add(Reading(thermometer_id=meter.id, read_at=at, night_on=evening, value_c=-2.0, accepted=True))
        session.add(
            Task(
                garden_id=warning.garden_id, on=warning.window_on, warning_id=warning.id, place_id=batch.place_id, kind="cover",
                minutes=10, starts_at=at, due_at=at,
                state=TaskState.DONE, done_by=miriam.id,
            )
        )  # fmt: skip
        for action, on, amount, unit in (("lost", 22, 6.0, "piece"), ("harvested", 25, 2500.0, "g")):
            session.add(
                Entry(
                    garden_id=garden.id, member_id=miriam.id, planting_id=batch.id, written_at=at,
                    done_on=date(2026, 4, on), action=action, amount=amount, unit=unit,
                )
            )  # fmt: skip
    return talk


async def test_the_preview_says_weather_harvest_losses_work_and_what_to_change(season: Talk) -> None:
    said = await season.write("Miriam", "/report")
    text = "\n".join(one.text for one in said if one.kind == "text")
    assert all(lines_of(one.text) <= 12 for one in said)
    assert said[0].edits == ["I am looking at the year. One moment …"]
    assert "showed frost on 1 night" in text and "−2\N{NO-BREAK SPACE}°C" in text
    assert "Harvest: 2.5\N{NO-BREAK SPACE}kg" in text
    assert "Plants lost: Courgettes 6" in text
    assert "Courgettes: wait until after Wed 22 Apr" in text
    assert not season.group()


async def test_nobody_is_named_anywhere_in_it(season: Talk) -> None:
    said = await season.write("Miriam", "/report")
    files = [season.stage.api.files[one.file_id or ""].decode("utf-8-sig") for one in said if one.kind == "document"]
    for name in ("Miriam", "Owen", "Wanda", "Kasia"):
        assert all(name not in one.text for one in said)
        assert all(name not in data for data in files)


async def test_the_table_opens_in_any_spreadsheet(season: Talk) -> None:
    (file,) = [one for one in await season.write("Miriam", "/report") if one.kind == "document"]
    rows = list(csv.DictReader(io.StringIO(season.stage.api.files[file.file_id or ""].decode("utf-8-sig"))))
    assert {"what": "harvest", "of": "Courgettes", "amount": "2.5", "unit": "kg"} in rows
    assert {"what": "lost to cold", "of": "Courgettes", "amount": "6", "unit": "plants"} in rows


async def test_one_tap_posts_it_to_the_group_once_whoever_taps_twice(season: Talk) -> None:
    preview = (await season.write("Miriam", "/report"))[-1]
    shown = replace(preview)
    await season.press("Miriam", preview, "Show it to the group")
    await season.press("Miriam", shown, "Show it to the group")
    async with season.stage.app.database.begin() as session:
        owen = (await session.scalars(select(Member).join(Person).where(Person.name == "Owen"))).one()
        owen.role = Role.ORGANISER
    theirs = (await season.write("Owen", "/report"))[-1]
    await season.press("Owen", theirs, "Show it to the group")
    kinds = [one.kind for one in season.group()]
    assert sorted(kinds) == ["document", "photo", "text", "text"]
    assert all(lines_of(one.text) <= 12 for one in season.group())


@pytest.mark.parametrize("made_up", ["0000", "99999", "abcd", "2027"])
async def test_a_button_of_somebody_s_own_making_posts_nothing(season: Talk, made_up: str) -> None:
    preview = (await season.write("Miriam", "/report"))[-1]
    day = MONDAY_AT.date().isoformat()
    forged = replace(preview, keyboard=[[{"text": "x", "callback_data": f"report:1:{made_up}:{day}"}]])
    await season.press("Miriam", forged, "x")
    assert not season.group()


async def test_a_member_is_told_that_organisers_do_this(season: Talk) -> None:
    assert "one of the organisers" in (await season.said("Owen", "/report")).text


async def test_a_year_without_records_says_so_and_offers_nothing(talk: Talk) -> None:
    said = await talk.said("Miriam", "/report")
    assert "I know nothing about this year" in said.text and not said.keyboard


async def test_a_year_that_is_named_is_counted_by_itself_and_one_to_come_is_refused(season: Talk) -> None:
    assert "I know nothing about this year" in (await season.said("Miriam", "/report 2025")).text
    assert "Harvest: 2.5\N{NO-BREAK SPACE}kg" in (await season.write("Miriam", "/report 2026"))[0].text
    assert "I know nothing about that year" in (await season.said("Miriam", "/report 2027")).text


async def test_yesterday_s_preview_posts_nothing(season: Talk) -> None:
    preview = (await season.write("Miriam", "/report"))[-1]
    season.stage.clock.at += timedelta(days=1)
    said = await season.press("Miriam", preview, "Show it to the group")
    assert "another day" in said[-1].text and not season.group()


async def test_south_of_the_equator_a_season_runs_from_july_and_is_not_cut_at_new_year(season: Talk) -> None:
    """April's harvest there belongs to the summer before it; the next season begins in winter, as in the north."""
    async with season.stage.app.database.begin() as session:
        (await session.scalars(select(Garden))).one().latitude = -43.5
        first = (await session.scalars(select(Entry).where(Entry.action == "harvested"))).one()
        kept = {"garden_id": first.garden_id, "member_id": first.member_id, "planting_id": first.planting_id}
        for on in (date(2025, 12, 20), date(2025, 6, 20)):
            more = Entry(**kept, written_at=first.written_at, done_on=on, action="harvested", amount=1000.0, unit="g")
            session.add(more)
    said = await season.write("Miriam", "/report")
    text = "\n".join(one.text for one in said)
    assert "The season 2025/26 in" in text
    assert (
        "3.5\N{NO-BREAK SPACE}kg" in text and "4.5\N{NO-BREAK SPACE}kg" not in text
    )  # December's and April's, without last June's
    (file,) = [one for one in said if one.kind == "document"]
    assert "season-2025-26.csv" in str(file)
    named = "\n".join(one.text for one in await season.write("Miriam", "/report 2026"))
    assert "The season 2025/26 in" in named  # it runs in 2026
    before = "\n".join(one.text for one in await season.write("Miriam", "/report 2024"))
    assert "The season 2024/25 in" in before
