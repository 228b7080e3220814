"""A rehearsal plays a cold night on a copy of the garden, for one organiser, and disturbs nobody."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import func, select, update

from bot import rehearsal
from bot.chat.warnings import rehearse as telling
from bot.chat.wire import errand_work
from bot.chat.wire.errand_work import RETRY_AFTER
from bot.chat.wire.errands import Desk
from bot.core.garden.snapshot import Stage
from bot.services.warnings import rehearsing
from bot.services.warnings.rehearsing import Deed, Played, Scene, SceneKind, Script
from bot.services.weather import garden_forecast
from bot.services.weather.garden_forecast import Source
from bot.storage.garden import gardens
from bot.storage.models import Ask, Errand, Garden, Outbox, Person, Place, Planting, Warning
from bot.storage.session import Database
from bot.storage.states import ErrandKind, ErrandState
from bot.worker import WorkerFailed
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels

AT = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
SHORT = Played(
    AT.date(),
    -1.0,
    ("Owen",),
    (
        Scene(AT, SceneKind.GROUP, (), "<b>Tonight</b>: cold."),
        Scene(AT, SceneKind.ASKED, ("Kasia",), "<b>Can you help?</b>\n• Cover: Bed 1.\nAbout 5 minutes."),
        Scene(AT + timedelta(minutes=30), SceneKind.DEED, ("Kasia",), Deed.YES),
    ),
)


@pytest.fixture
def scripts(monkeypatch: pytest.MonkeyPatch) -> list[Script]:
    """What was asked to be played, each answered by the same short play."""
    asked: list[Script] = []

    async def play(script: Script) -> Played:
        asked.append(script)
        return SHORT

    monkeypatch.setattr(telling, "play", play)
    return asked


async def _growing(lane: Talk, *crops: str) -> None:
    """Only these still grow."""
    async with lane.stage.app.database.begin() as session:
        await session.execute(update(Planting).where(Planting.crop.not_in(crops)).values(stage=Stage.ENDED))


async def _beans_in_bed_2(lane: Talk) -> None:
    """Only a bed of what no frost spares still grows."""
    await _growing(lane, "beetroot")
    async with lane.stage.app.database.begin() as session:
        beans = {"crop": "french-bean", "stage": Stage.GROWING}
        await session.execute(update(Planting).where(Planting.crop == "beetroot").values(**beans))


async def _script(lane: Talk, *, answering: bool = True) -> Script:
    stage = lane.stage
    async with stage.app.database.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        rows = await rehearsing.copy_of(session, garden.id)
        forecast = await garden_forecast.current(session, garden, stage.app.source, stage.clock.at)
    return Script(garden.id, rows, forecast, stage.clock.at, "en", answering)


async def _weather(script: Script, folder: Path) -> tuple[date, Source | None, float | None]:
    database = Database(f"sqlite+aiosqlite:///{folder / 'copy.sqlite3'}")
    await rehearsal._furnish(database, script)
    found = await rehearsal._weather(database, script)
    await database.close()
    return found


async def test_a_bed_without_containers_is_played_from_the_first_word_to_the_uncovering(lane: Talk) -> None:
    await _beans_in_bed_2(lane)
    played = await rehearsal._play(await _script(lane))
    assert played.invented_c is not None and played.invented_c < 0, "no cold is in a calm forecast, so it is invented"
    kinds = [scene.kind for scene in played.scenes]
    assert kinds[0] is SceneKind.GROUP and SceneKind.ASKED in kinds
    deeds = [(scene.text, scene.who) for scene in played.scenes if scene.kind is SceneKind.DEED]
    assert [deed for deed, _ in deeds[:2]] == [Deed.YES, Deed.DONE], "the first who is asked says yes"
    said = [scene.text for scene in played.scenes if scene.kind is SceneKind.GROUP]
    assert any("The cold night is over." in text and deeds[1][1][0] in text for text in said), "thanked by name"
    async with lane.stage.app.database.begin() as session:
        assert await session.scalar(select(func.count()).select_from(Warning)) == 0, "the garden itself knows nothing"


async def test_with_nobody_answering_the_group_and_the_organisers_are_called(lane: Talk) -> None:
    await _beans_in_bed_2(lane)
    played = await rehearsal._play(await _script(lane, answering=False))
    assert not [scene for scene in played.scenes if scene.kind is SceneKind.DEED]
    assert any("We still need help" in scene.text for scene in played.scenes if scene.kind is SceneKind.GROUP)


async def test_the_forecasts_own_cold_is_played_as_it_is(lane: Talk, tmp_path: Path) -> None:
    await _beans_in_bed_2(lane)
    lane.weather([calm(), calm(), COLD])
    evening_on, _, invented_c = await _weather(await _script(lane), tmp_path)
    assert invented_c is None and evening_on.isoformat() == "2026-05-05"


async def test_nothing_that_grows_comes_to_harm_is_said_and_nobody_is_asked(lane: Talk) -> None:
    await _growing(lane)
    (first, told) = await lane.write("Miriam", "/rehearse")  # in a process of its own
    assert "copy of your garden" in first.text
    assert told.text.startswith("Rehearsal, 1 of 1. Nobody else reads this.")
    assert "Even on an invented night of −8\N{NO-BREAK SPACE}°C, there would be no job for anybody" in told.text
    assert not told.keyboard


async def test_without_a_forecast_mild_days_are_invented_around_the_night(lane: Talk, tmp_path: Path) -> None:
    await _beans_in_bed_2(lane)
    _, source, invented_c = await _weather(replace(await _script(lane), forecast=None), tmp_path)
    assert source is not None and source.given is not None and invented_c is not None
    coldest = min(source.given.hours, key=lambda hour: hour.air_c or 99.0)
    assert coldest.air_c == pytest.approx(invented_c) and coldest.at == datetime(2026, 5, 7, 4, 0, tzinfo=UTC), (
        "at five"
    )


async def test_every_page_is_marked_and_turned_by_its_buttons_and_nobody_else_hears(
    lane: Talk, scripts: list[Script]
) -> None:
    _, page = await lane.write("Miriam", "/rehearse")
    assert page.text.startswith("Rehearsal, 1 of 3.") and "Not yet in real life: Owen." in page.text
    (page,) = await lane.press("Miriam", page, "Next")
    assert page.text.startswith("Rehearsal, 2 of 3.") and "Kasia reads privately:" in page.text
    assert await lane.press("Miriam", page, "Back") and await lane.press("Miriam", page, "Next")
    (page,) = await lane.press("Miriam", page, "Next")
    assert "Kasia taps I'll do it." in page.text
    assert labels(page) == ["Back", "Play with no answers"]
    await lane.press("Miriam", page, "Play with no answers")
    assert [script.answering for script in scripts] == [True, False]
    assert lane.group() == [] and lane.private("Kasia") == [] and lane.private("Owen") == []


async def test_asked_twice_at_once_it_is_played_once_and_two_organisers_have_each_their_own(
    lane: Talk, scripts: list[Script]
) -> None:
    await lane.change("Tobias", role="organiser")
    api = lane.stage.api
    for name in ("Miriam", "Tobias", "Miriam"):
        api.write(lane.user(name), lane.user(name), "/rehearse")
    await lane.settled()
    assert len(scripts) == 2
    said = [message.text for message in lane.private("Miriam")]
    assert any(text.startswith("Your rehearsal is on its way.") for text in said)
    assert sum(text.startswith("Rehearsal, 1 of 3.") for text in said) == 1


async def test_only_organisers_ask_privately_and_only_for_themselves(lane: Talk, scripts: list[Script]) -> None:
    await lane.said("Tobias", "/rehearse")
    assert "one of the organisers" in lane.private("Tobias")[-1].text
    (refused,) = await lane.write("Miriam", "/rehearse", group=True)
    assert "privately" in refused.text and scripts == []
    _, page = await lane.write("Miriam", "/rehearse")
    forged = f"played:{await _last_id(lane)}:1"
    said = await lane.forge("Miriam", "played:99:0", page)
    assert "no longer works" in said[-1].text
    await lane.write("Owen", "/help")
    user = lane.user("Owen")
    update_ = lane.stage.api.press(user, page, "Next")
    update_["callback_query"]["data"] = forged
    assert "for somebody else" in (await lane.settled())[-1].text


async def test_what_is_cut_off_is_played_again_and_in_the_end_said_to_be_lost(
    lane: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    tries: list[Script] = []

    async def play(script: Script) -> Played:
        tries.append(script)
        raise WorkerFailed("it was killed")

    monkeypatch.setattr(telling, "play", play)
    await lane.write("Miriam", "/rehearse")
    for _ in RETRY_AFTER:
        lane.stage.clock.at += timedelta(minutes=2)
        await lane.settled()
    assert len(tries) == 1 + len(RETRY_AFTER)
    assert "something went wrong with that on my side" in lane.private("Miriam")[-1].text
    assert "copy of your garden" in (await lane.write("Miriam", "/rehearse"))[0].text, "and it can be asked for anew"


async def test_of_two_that_wait_one_is_played_and_a_picture_is_not_kept_waiting(
    lane: Talk, monkeypatch: pytest.MonkeyPatch
) -> None:
    playing, most = 0, 0
    drawn = asyncio.Event()
    action, draw = errand_work.WORK[ErrandKind.OUTLOOK]

    async def drawing(desk: Desk, row: Errand) -> None:
        await draw(desk, row)
        drawn.set()

    async def play(script: Script) -> Played:
        nonlocal playing, most
        playing += 1
        most = max(most, playing)
        await drawn.wait()
        playing -= 1
        return SHORT

    monkeypatch.setattr(telling, "play", play)
    monkeypatch.setitem(errand_work.WORK, ErrandKind.OUTLOOK, (action, drawing))
    await lane.change("Tobias", role="organiser")
    for name, text in (("Miriam", "/rehearse"), ("Tobias", "/rehearse"), ("Kasia", "/picture")):
        lane.stage.api.write(lane.user(name), lane.user(name), text)
    async with asyncio.timeout(60):
        await lane.settled()
    assert most == 1
    for name in ("Miriam", "Tobias"):
        assert sum(message.text.startswith("Rehearsal, 1 of 3.") for message in lane.private(name)) == 1


async def test_one_whose_process_was_killed_is_told_by_the_next(lane: Talk, scripts: list[Script]) -> None:
    member_id, now = await lane.member("Miriam"), lane.stage.clock.at
    async with lane.stage.app.database.begin() as session:
        garden_id = await session.scalar(select(Garden.id))
        row = Errand(
            garden_id=garden_id, member_id=member_id, chat_id=lane.user("Miriam"), kind=ErrandKind.REHEARSAL,
            asked={"answering": "yes"}, asked_at=now, state=ErrandState.WORKING, claimed_at=now,
        )  # fmt: skip
        session.add(row)
    assert await lane.settled() == [], "it may still be at work"
    lane.stage.clock.at += timedelta(minutes=11)
    (told,) = await lane.settled()
    assert told.text.startswith("Rehearsal, 1 of 3.") and len(scripts) == 1


async def test_a_copy_has_every_row_of_its_garden_and_none_of_another(lane: Talk) -> None:
    async with lane.stage.app.database.begin() as session:
        first = (await gardens.all_gardens(session))[0]
        other = Garden(name="Sorrel Yard", latitude=52.0, longitude=-1.0, zone="Europe/London")
        session.add(other)
        await session.flush()
        session.add(Place(garden_id=other.id, name="Their bed", kind="open bed"))
        session.add(Person(name="Ivo"))
        await session.flush()
        rows = await rehearsing.copy_of(session, first.id)
        places = await session.scalar(select(func.count()).select_from(Place).where(Place.garden_id == first.id))
    assert len(rows["places"]) == places and len(rows["gardens"]) == 1
    assert "Ivo" not in {row["name"] for row in rows["people"]}
    assert Outbox.__tablename__ not in rows and Ask.__tablename__ in rows


async def _last_id(lane: Talk) -> int:
    async with lane.stage.app.database.begin() as session:
        return await session.scalar(select(func.max(Errand.id))) or 0


async def test_work_in_hand_and_files_that_were_sent_stay_out_of_a_rehearsal(lane: Talk) -> None:
    miriam = await lane.member("Miriam")
    async with lane.stage.app.database.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        asked = Errand(
            garden_id=garden.id, member_id=miriam, chat_id=lane.group_id, data=b"name,plots",
            kind=ErrandKind.REPORT_TO_GROUP, asked={"year": "2026"}, asked_at=AT,
        )  # fmt: skip
        session.add(asked)
        await session.flush()
        rows = await rehearsing.copy_of(session, garden.id)
    assert "errands" not in rows
