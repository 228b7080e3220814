"""What is typed in private in answer to a question with buttons works like the button; a report is never an answer."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from bot.core.garden import Stage
from bot.storage.models import Entry, Garden, Place, Planting
from tests.chat.lane import Lane, keys, texts


async def _places(lane: Lane) -> set[str]:
    async with lane.stage.app.database.begin() as session:
        return set(await session.scalars(select(Place.name)))


async def _entries(lane: Lane) -> list[str]:
    async with lane.stage.app.database.begin() as session:
        return list(await session.scalars(select(Entry.words).order_by(Entry.id)))


@pytest.mark.parametrize(("name", "report", "word"), [
    ("Miriam", "watred bed 1", "yes"), ("Miriam", "watred bed 1", "Yes please"), ("Kasia", "podlalm grządkę 1", "tak"),
    ("Kasia", "watred bed 1", "Tak!"),
])  # fmt: skip
async def test_yes_is_as_good_as_the_button(lane: Lane, name: str, report: str, word: str) -> None:
    asked = await lane.said(name, report)
    if not asked.keyboard:
        pytest.skip("not taken for a slip of the thumb")
    await lane.said(name, word)
    assert await _entries(lane) == [report]


@pytest.mark.parametrize(("name", "word"), [("Miriam", "no"), ("Kasia", "nie")])
async def test_no_is_as_good_as_the_button(lane: Lane, name: str, word: str) -> None:
    await lane.said(name, "watred bed 1")
    await lane.said(name, word)
    assert await _entries(lane) == []


@pytest.mark.parametrize("word", ["runner beans", "The first", "1st", "first one"])
async def test_one_of_several_is_named_in_words(lane: Lane, word: str) -> None:
    asked = await lane.said("Tobias", "potted on the beans")
    if word != "runner beans" and "Runner" not in keys(asked)[0]:
        word = "second"
    await lane.said("Tobias", word)
    async with lane.stage.app.database.begin() as session:
        moved = await session.scalars(select(Planting.crop).where(Planting.stage == Stage.POTTED_ON))
        assert "runner-bean" in set(moved)


async def test_all_of_them_in_a_word(lane: Lane) -> None:
    asked = await lane.said("Tobias", "potted on the beans")
    assert "All of them" in keys(asked)
    await lane.said("Tobias", "both")
    assert len(await _entries(lane)) == len(keys(asked)) - 2  # without "All of them" and "Never mind"


@pytest.mark.parametrize(("name", "report"), [("Miriam", "sowed kale in bed 1"), ("Kasia", "posiałam kale w bed 1")])
async def test_a_number_that_no_button_bears_is_taken(lane: Lane, name: str, report: str) -> None:
    asked = await lane.said(name, report)
    assert "12" in keys(asked) and "40" not in keys(asked)
    await lane.said(name, "40")
    async with lane.stage.app.database.begin() as session:
        assert await session.scalar(select(Planting.count).where(Planting.crop == "kale").order_by(-Planting.id)) == 40


async def test_a_preview_is_settled_by_a_word(lane: Lane) -> None:
    await lane.said("Miriam", "/warn cold tonight")
    assert "nothing is called" in (await lane.said("Miriam", "no")).text
    await lane.write("Miriam", "/places frame by the wall")
    await lane.write("Miriam", "yes")
    assert "Frame by the wall" in await _places(lane)


@pytest.mark.parametrize(("name", "report"), [
    ("Miriam", "watered bed 1"), ("Miriam", "3 kg potatoes from pot 1"), ("Miriam", "-1 on the shed thermometer"),
    ("Miriam", "podlałam bed 1"),
])  # fmt: skip
async def test_a_report_while_lines_of_places_are_awaited_stays_a_report(lane: Lane, name: str, report: str) -> None:
    before = await _places(lane)
    async with lane.stage.app.database.begin() as session:
        (await session.scalars(select(Garden))).one()
    shown = (await lane.write(name, "/places"))[-1]
    await lane.press(name, shown, "Add")
    answers = await lane.write(name, report)
    assert await _entries(lane) == [report] or "Which" in texts(answers)
    assert "I still wait" in texts(answers)
    await lane.write(name, "frame by the wall")
    await lane.write(name, "keep it")
    assert await _places(lane) == before | {"Frame by the wall"}, "the question had stayed open"


@pytest.mark.parametrize(
    "said", ["bed 1 has slugs", "Bed 1 slugs everywhere", "the tunnel is dry", "my pots look well"]
)
async def test_what_is_seen_of_a_place_makes_no_place(lane: Lane, said: str) -> None:
    before = await _places(lane)
    answers = await lane.write("Miriam", f"/places {said}")
    assert "Keep it" not in [label for one in answers for label in keys(one)]
    await lane.write("Miriam", said)
    await lane.write("Miriam", "yes")
    assert await _places(lane) == before


@pytest.mark.parametrize("said", ["bed 1 ma ślimaki", "grządka 1 jest sucha"])
async def test_what_is_seen_of_a_place_makes_no_place_in_polish(lane: Lane, said: str) -> None:
    await lane.change("Miriam")
    async with lane.stage.app.database.begin() as session:
        before = set(await session.scalars(select(Place.name)))
    await lane.write("Miriam", "/language")
    await lane.press("Miriam", lane.private("Miriam")[-1], "Polski")
    answers = await lane.write("Miriam", f"/places {said}")
    assert not any(label == "Zapisz" for one in answers for label in keys(one))
    await lane.write("Miriam", "tak")
    assert await _places(lane) == before


@pytest.mark.parametrize("said", ["watered bed 1", "bed 2 has slugs"])
async def test_a_report_is_no_new_name(lane: Lane, said: str) -> None:
    before = await _places(lane)
    shown = (await lane.write("Miriam", "/places"))[-1]
    (card,) = await lane.press("Miriam", shown, "Bed 1")
    await lane.press("Miriam", card, "Rename")
    await lane.write("Miriam", said)
    assert await _places(lane) == before
    await lane.write("Miriam", "Long bed")
    assert await _places(lane) == before - {"Bed 1"} | {"Long bed"}


async def test_a_report_is_no_reason_to_call_a_warning_off(lane: Lane) -> None:
    await lane.write("Miriam", "/warn cold tonight -3")
    await lane.write("Miriam", "yes")
    await lane.look()
    await lane.write("Miriam", "/calloff")
    (asked,) = await lane.press("Miriam", lane.private("Miriam")[-1], keys(lane.private("Miriam")[-1])[0])
    answers = await lane.write("Miriam", "watered bed 1")
    assert "still open" in texts(answers) and await _entries(lane) == ["watered bed 1"]
    assert all(warning.said.get("reason") is None for warning in await lane.warnings())
    lane.stage.api.write(lane.user("Miriam"), lane.user("Miriam"), "mild after all", reply_to=asked.id)
    assert "Called off" in texts(await lane.settled())
