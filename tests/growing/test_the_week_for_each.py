"""The week, clause by clause: short, in order, for this person, remembered; nothing that is done or somebody else's."""

from __future__ import annotations

import re
from datetime import date, datetime, timedelta

from sqlalchemy import select

from bot.core.garden.snapshot import Stage
from bot.core.warnings.hazards import Hazard, Severity, TaskKind
from bot.storage.models import Ask, Garden, Member, Person, Place, Planting, Task, Warning
from bot.storage.states import AskState, TaskState, WarningState
from tests.support.paged import page_with, pages, whole
from tests.support.rings import lines_of
from tests.support.talk import MONDAY_AT, Talk


async def plant(talk: Talk, place: str, **known: object) -> None:
    async with talk.stage.app.database.begin() as session:
        place_id = await session.scalar(select(Place.id).where(Place.name == place))
        garden_id = await session.scalar(select(Garden.id))
        session.add(Planting(garden_id=garden_id, place_id=place_id, **known))


def jobs(text: str) -> list[str]:
    return [line for line in text.splitlines() if re.match(r"\d+\. ", line)]


async def test_a_phone_s_screen_of_jobs_is_shown_and_the_rest_is_one_tap_away(talk: Talk) -> None:
    for crop in ("lettuce", "kale", "leek", "carrot", "turnip", "radish", "spinach"):
        await plant(talk, "Bed 4", crop=crop, count=20, stage=Stage.GROWING, planted_on=date(2026, 4, 10))
    shown = await pages(talk, "Owen", "/week")
    assert len(shown) > 2 and all(lines_of(one.text) <= 12 for one in shown)
    numbers = [line.partition(".")[0] for one in shown for line in jobs(one.text)]
    assert numbers == [str(n) for n in range(1, len(numbers) + 1)]
    named = [line.partition(" ")[2] for one in shown for line in jobs(one.text)]
    assert len(set(named)) == len(named)
    for n, one in enumerate(shown[:-1], 1):
        left = sum(len(jobs(each.text)) for each in shown[n:])
        assert f"And {left} more." in one.text
    assert "more." not in shown[-1].text


async def test_a_deadline_that_weather_sets_is_told_by_the_clock_and_stands_first(talk: Talk) -> None:
    first = jobs((await talk.said("Leila", "/week")).text)[0]
    assert re.search(r"By \d\d:\d\d tomorrow\.", first)


async def test_the_same_job_for_many_plantings_is_said_once_and_names_them(talk: Talk) -> None:
    for crop in ("lettuce", "spinach"):
        await plant(talk, "Bed 4", crop=crop, count=20, stage=Stage.GROWING, planted_on=date(2026, 4, 20))
    (slugs,) = (line for line in jobs(await whole(talk, "Owen", "/week")) if "slugs" in line)
    assert "Summer cabbages" in slugs and "Lettuces" in slugs


async def test_done_and_not_now_are_remembered(talk: Talk) -> None:
    for button, heard in (("Done", "Thank you"), ("Not now", "in a week")):
        week = await talk.said("Owen", "/week")
        line = next(one for one in jobs(week.text) if "Harvest" not in one)  # a shared one has buttons of its own
        (job,) = await talk.press("Owen", week, f"Job {line.split('.')[0]}")
        (answer,) = await talk.press("Owen", job, button)
        assert heard in answer.text
        left = [one.partition(" ")[2] for one in jobs(await whole(talk, "Owen", "/week"))]
        assert line.partition(" ")[2] not in left
        (again,) = await talk.press("Owen", job, button)  # pressed twice
        assert "no longer on your list" in again.text


async def test_nothing_urgent_is_said_honestly_with_what_would_be_pleasant(talk: Talk) -> None:
    week = await talk.said("Owen", "/week")
    assert week.text.startswith("Nothing urgent. Nice jobs for this week:") and jobs(week.text)


async def test_an_organiser_sees_what_the_group_needs_and_a_plot_holder_does_not(talk: Talk) -> None:
    assert "Please find somebody for this." in await whole(talk, "Miriam", "/week")
    assert "For the group" not in await whole(talk, "Tobias", "/week")


async def test_a_member_without_a_plot_sees_where_help_is_wanted_on_what_is_shared(talk: Talk) -> None:
    told = await whole(talk, "Marcus", "/week")
    assert "Pot 1" in told and "Bed 1" not in told


async def test_someone_away_has_nothing_to_do(talk: Talk) -> None:
    await talk.write("Tobias", "/away 7")
    await talk.write("Tobias", "yes")
    assert "Nothing to do now" in await whole(talk, "Tobias", "/week")


async def test_what_was_lost_is_to_be_sown_again_while_there_is_time(talk: Talk) -> None:
    assert "Sow: " not in await whole(talk, "Owen", "/week")
    asked = await talk.said("Owen", "slugs ate all the summer cabbages")
    assert "still time to sow again" in asked.text
    assert "Sow: Summer cabbages" in await whole(talk, "Owen", "/week")


async def test_what_grew_here_last_year_is_to_be_sown_in_its_season(talk: Talk) -> None:
    await plant(talk, "Bed 4", crop="beetroot", count=40, stage=Stage.ENDED, sown_on=date(2025, 5, 1))
    assert "Sow: Beetroot, outdoors." in await whole(talk, "Owen", "/week")


async def _members(talk: Talk) -> dict[str, int]:
    async with talk.stage.app.database.begin() as session:
        rows = await session.execute(select(Person.name, Member.id).join(Member, Member.person_id == Person.id))
        return {row.name: row.id for row in rows}


async def test_an_organiser_is_told_who_has_gone_silent_and_one_answer_ends_it(talk: Talk) -> None:
    ids = await _members(talk)

    async def asked(hours_ago: int, state: AskState) -> None:
        async with talk.stage.app.database.begin() as session:
            garden_id = await session.scalar(select(Garden.id))
            at: datetime = MONDAY_AT - timedelta(hours=hours_ago)
            warning = Warning(
                garden_id=garden_id, hazard=Hazard.WIND, window_on=at.date() - timedelta(days=hours_ago),
                state=WarningState.OVER, severity=Severity.SLIGHT, starts_at=at, ends_at=at, due_at=at, probability=0.5,
                detected_at=at,
            )  # fmt: skip
            session.add(warning)
            await session.flush()
            place_id = await session.scalar(select(Place.id).where(Place.name == "Tunnel"))
            duty = Task(
                garden_id=warning.garden_id, on=warning.window_on, warning_id=warning.id, place_id=place_id,
                support_id=0, kind=TaskKind.PIN, state=TaskState.MISSED,
                due_at=at, people=1, minutes=10, starts_at=at,
            )  # fmt: skip
            session.add(duty)
            await session.flush()
            session.add(Ask(task_id=duty.id, member_id=ids["Owen"], state=state, asked_at=at))

    await asked(200, AskState.SILENT)
    assert "have not answered" not in await whole(talk, "Miriam", "/week")
    await asked(100, AskState.SILENT)
    assert "Please talk to Owen. They have not answered for some time." in await whole(talk, "Miriam", "/week")
    assert "have not answered" not in await whole(talk, "Tobias", "/week")
    await asked(50, AskState.ACCEPTED)
    assert "have not answered" not in await whole(talk, "Miriam", "/week")


async def test_one_members_sowing_done_leaves_the_neighbours_sowing_on_their_list(talk: Talk) -> None:
    for bed in ("Bed 4", "Bed 5"):
        await plant(talk, bed, crop="beetroot", count=40, stage=Stage.ENDED, sown_on=date(2025, 5, 1))
    week = await page_with(talk, "Owen", "/week", "Sow: Beetroot")
    number = next(line.split(".")[0] for line in jobs(week.text) if "Sow: Beetroot" in line)
    (job,) = await talk.press("Owen", week, f"Job {number}")
    await talk.press("Owen", job, "Done")
    assert "Sow: Beetroot" not in await whole(talk, "Owen", "/week")
    assert "Sow: Beetroot" in await whole(talk, "Leila", "/week")


async def test_what_was_written_from_the_plot_need_not_be_pressed_as_done(talk: Talk) -> None:
    await plant(talk, "Bed 4", crop="tomato", count=6, stage=Stage.FLOWERING, planted_on=date(2026, 4, 20))
    assert "Feed: Tomatoes" in await whole(talk, "Owen", "/week")
    fed = await talk.said("Owen", "fed the tomatoes in bed 4")
    assert "Feed: Tomatoes" not in await whole(talk, "Owen", "/week")
    await talk.press("Owen", fed, "Undo")
    assert "Feed: Tomatoes" in await whole(talk, "Owen", "/week")
