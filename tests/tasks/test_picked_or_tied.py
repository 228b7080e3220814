"""What is told as picked while a cold night asks for it, or as tied before a gale: done where all of it was, asked about
where nobody said so.
"""

from __future__ import annotations

import pytest

from bot.core.garden.snapshot import Stage
from bot.core.warnings.hazards import TaskKind
from bot.demo.weather import Day
from bot.storage.models import Task
from bot.storage.states import AskState, TaskState
from tests.support.invented_weather import calm
from tests.support.talk import ADULTS, Talk, labels, texts

#: A clear, still night that kills what is tender, and a gale: invented.
FROST: Day = (-4.0, 12.0, 5.0, 1.0, 4.0, 0.0)
GALE: Day = (7.0, 14.0, 90.0, 12.0, 26.0, 0.0)

pytestmark = pytest.mark.usefixtures("whole_messages")


@pytest.fixture
async def ripe(lane: Talk) -> Talk:
    """Owen's runner beans on their canes are ready, and the coming night will kill them."""
    await lane.planted("runner-bean", "Bed 4", Stage.READY, seen=True)
    lane.weather([calm(), FROST])
    await lane.look()
    return lane


async def picking(lane: Talk) -> Task:
    return next(duty for duty, _ in await lane.duties() if duty.kind is TaskKind.PICK)


async def test_picked_in_words_is_asked_about_and_a_tap_closes_the_job(ripe: Talk) -> None:
    said = [one for one in await ripe.write("Owen", "picked the runner beans") if one.chat_id == ripe.user("Owen")]
    noted, question = said
    assert "Harvested: Runner beans (Bed 4), today." in noted.text
    assert "Is all of it picked? Then tap Done." in question.text and labels(question) == ["Done"]
    assert (await picking(ripe)).state is not TaskState.DONE
    await ripe.press("Owen", question, "Done")
    assert (await picking(ripe)).state is TaskState.DONE
    assert "Done, thank you Owen." in await ripe.whole()


async def test_all_of_it_in_words_closes_the_job_and_undo_opens_it(ripe: Talk) -> None:
    said = [one for one in await ripe.write("Owen", "picked all the runner beans") if one.chat_id == ripe.user("Owen")]
    assert "Noted as done:" in said[-1].text and (await picking(ripe)).state is TaskState.DONE
    await ripe.press("Owen", said[-1], "Undo")
    assert (await picking(ripe)).state is not TaskState.DONE


async def test_half_of_it_is_a_note_and_no_more(ripe: Talk) -> None:
    said = await ripe.write("Owen", "picked half of the runner beans")
    assert "Is all of it picked?" not in texts(said)
    assert (await picking(ripe)).state is not TaskState.DONE


async def test_what_the_frost_has_ended_is_neither_tied_up_in_a_gale_nor_picked_in_the_week(ripe: Talk) -> None:
    await ripe.until(5, "09:00", every_min=180)
    ripe.weather([calm(), GALE, calm()])
    await ripe.until(5, "20:00", every_min=120)
    tied = {duty.place_id for duty, _ in await ripe.duties() if duty.kind is TaskKind.TIE}
    assert (await picking(ripe)).place_id not in tied
    assert "Harvest: Runner beans" not in texts(await ripe.write("Owen", "/week"))


async def test_beans_that_no_frost_has_reached_are_tied_up(lane: Talk) -> None:
    await lane.planted("runner-bean", "Bed 4", Stage.READY, seen=True)
    lane.weather([calm(), GALE, calm()])
    await lane.until(4, "20:00", every_min=120)
    assert [duty for duty, _ in await lane.duties() if duty.kind is TaskKind.TIE and "runner-bean" in duty.crops]


async def test_beans_that_were_tied_are_those_that_they_were_asked_for_whoevers_the_plot_is(lane: Talk) -> None:
    await lane.planted("runner-bean", "Bed 4", Stage.READY, seen=True)
    lane.weather([calm(), GALE, calm()])
    await lane.until(4, "20:00", every_min=120)
    asked = [
        (duty.id, ask.member_id)
        for duty, asks in await lane.duties()
        for ask in asks
        if duty.kind is TaskKind.TIE and "runner-bean" in duty.crops and ask.state is AskState.ASKED
    ]
    (duty_id, member_id), *_ = asked
    (name,) = [one for one in ADULTS if await lane.member(one) == member_id]
    assert name != "Owen", "whose bed it is"
    said = texts(await lane.write(name, "tied the runner beans"))
    assert "Bed 4 is done" in said, "to the group"
    done = {duty.id for duty, _ in await lane.duties() if duty.state is TaskState.DONE}
    assert done == {duty_id}, "nothing but theirs"


async def test_a_gale_that_grows_surer_rings_no_phone_again(lane: Talk) -> None:
    await lane.planted("runner-bean", "Bed 4", Stage.READY, seen=True)
    lane.weather([calm(), calm(), calm(), calm(), GALE, calm()])
    for hour in ("16:00", "22:00"):
        await lane.until(4, hour, every_min=180)
        lane.weather([calm(), calm(), calm(), calm(), GALE, calm()])
    for day in (5, 6):
        for hour in ("10:00", "16:00", "22:00"):
            await lane.until(day, hour, every_min=180)
            lane.weather([*[calm()] * (8 - day), GALE, calm()])
    assert not [one.text for one in lane.group() if "worse than I said" in one.text]
