"""What is typed in private in answer to a question with buttons works like the button; a report is never an answer."""

from __future__ import annotations

import pytest
from sqlalchemy import select

from bot.core.garden.snapshot import Role, Stage
from bot.storage.models import Entry, Place, Planting
from tests.support.talk import Talk, labels, texts

#: A slip of the thumb, which is asked about.
SLIP = "watred pot 5"


async def _places(lane: Talk) -> set[str]:
    async with lane.stage.app.database.begin() as session:
        return set(await session.scalars(select(Place.name)))


async def _entries(lane: Talk) -> list[str]:
    async with lane.stage.app.database.begin() as session:
        return list(await session.scalars(select(Entry.words).order_by(Entry.id)))


@pytest.mark.parametrize(("name", "word"), [
    ("Miriam", "yes"), ("Miriam", "Yes please!"), ("Kasia", "tak"), ("Kasia", "Tak!"), ("Kasia", "yes"),
])  # fmt: skip
async def test_yes_is_as_good_as_the_button(lane: Talk, name: str, word: str) -> None:
    assert len(labels(await lane.said(name, SLIP))) == 2
    await lane.said(name, word)
    assert await _entries(lane) == [SLIP]


@pytest.mark.parametrize(("name", "word"), [("Miriam", "no"), ("Kasia", "nie")])
async def test_no_is_as_good_as_the_button(lane: Talk, name: str, word: str) -> None:
    await lane.said(name, SLIP)
    await lane.said(name, word)
    assert await _entries(lane) == []


async def test_a_question_that_was_followed_by_another_is_not_answered_by_a_yes(lane: Talk) -> None:
    await lane.said("Miriam", SLIP)
    await lane.said("Miriam", "/hoseban")
    await lane.write("Miriam", "yes")
    assert await _entries(lane) == []


async def test_one_of_several_is_named_in_words(lane: Talk) -> None:
    asked = await lane.said("Tobias", "potted on the beans")
    first = labels(asked)[0]
    for word, chosen in (("the first", first), ("runner beans", next(one for one in labels(asked) if "Runner" in one))):
        if word != "the first":
            await lane.write("Tobias", "undo")
            await lane.said("Tobias", "potted on the beans")
        kept = await lane.said("Tobias", word)
        assert chosen.split(",")[0] in kept.text, word


async def test_all_of_them_in_a_word(lane: Talk) -> None:
    asked = await lane.said("Tobias", "potted on the beans")
    assert "All of them" in labels(asked)
    await lane.said("Tobias", "both")
    assert len(await _entries(lane)) == len(labels(asked)) - 2  # without "All of them" and "Never mind"
    async with lane.stage.app.database.begin() as session:
        moved = await session.scalars(select(Planting.crop).where(Planting.stage == Stage.POTTED_ON))
        assert len(set(moved)) > 1


@pytest.mark.parametrize(("name", "report"), [
    ("Miriam", "sowed leeks in bed 1"), ("Kasia", "posiałam pory w Bed 2"),
])  # fmt: skip
async def test_a_number_that_no_button_bears_is_taken(lane: Talk, name: str, report: str) -> None:
    asked = await lane.said(name, report)
    assert "12" in labels(asked) and "40" not in labels(asked)
    await lane.said(name, "40")
    async with lane.stage.app.database.begin() as session:
        assert await session.scalar(select(Planting.count).order_by(Planting.id.desc()).limit(1)) == 40


async def test_a_preview_is_settled_by_a_word(lane: Talk) -> None:
    await lane.said("Miriam", "/warn cold tonight")
    assert "will not send a warning" in (await lane.said("Miriam", "no")).text
    await lane.write("Miriam", "/places frame by the wall")
    await lane.write("Miriam", "yes")
    assert "Frame by the wall" in await _places(lane)


@pytest.mark.parametrize(("name", "report"), [
    ("Miriam", "watered bed 1"), ("Miriam", "3 kg potatoes from pot 1"), ("Kasia", "podlałam Bed 2"),
    ("Kasia", "okryłam Bed 2 włókniną"),
])  # fmt: skip
async def test_a_report_while_lines_of_places_are_awaited_stays_a_report(lane: Talk, name: str, report: str) -> None:
    await lane.change(name, role=Role.ORGANISER)
    before = await _places(lane)
    await _asked_for_lines(lane, name)
    answers = await lane.write(name, report)
    assert await _entries(lane) == [report]
    assert ("I am still waiting" if name == "Miriam" else "Nadal czekam") in texts(answers)
    await lane.write(name, "frame by the wall")
    await lane.write(name, "yes")
    assert await _places(lane) == before | {"Frame by the wall"}, "the question had stayed open"


async def _asked_for_lines(lane: Talk, name: str) -> None:
    shown = (await lane.write(name, "/places"))[-1]
    add = next(key["text"] for row in shown.keyboard for key in row if key["callback_data"].endswith(":add"))
    await lane.press(name, shown, add)


async def test_a_reading_makes_no_thermometer(lane: Talk) -> None:
    await _asked_for_lines(lane, "Miriam")
    answers = await lane.write("Miriam", "shed thermometer -1")
    assert "Save it" not in [label for one in answers for label in labels(one)]
    assert "I am still waiting" in texts(answers)


async def test_a_thermometer_with_its_height_is_no_reading(lane: Talk) -> None:
    await _asked_for_lines(lane, "Miriam")
    answers = await lane.write("Miriam", "thermometer on the shed, 1.5 m, shaded")
    assert "Save it" in [label for one in answers for label in labels(one)]


@pytest.mark.parametrize(("name", "said"), [
    ("Miriam", "bed 1 has slugs"), ("Miriam", "Bed 1 slugs everywhere"), ("Miriam", "the tunnel is dry"),
    ("Miriam", "my pots look well"), ("Miriam", "watered bed 1"), ("Kasia", "Bed 1 ma ślimaki"),
    ("Kasia", "tunel jest suchy"), ("Kasia", "podlałam grządkę 1"), ("Kasia", "Bed 1 pełno ślimaków"),
])  # fmt: skip
async def test_what_is_seen_of_a_place_makes_no_place(lane: Talk, name: str, said: str) -> None:
    await lane.change(name, role=Role.ORGANISER)
    before = await _places(lane)
    for words in (f"/places {said}", "yes", said, "yes"):
        await lane.write(name, words)
    assert await _places(lane) == before


@pytest.mark.parametrize(("name", "said"), [
    ("Miriam", "watered bed 1"), ("Miriam", "bed 2 has slugs"), ("Kasia", "podlałam Bed 2"), ("Kasia", "Bed 2 ma ślimaki"),
])  # fmt: skip
async def test_a_report_is_no_new_name(lane: Talk, name: str, said: str) -> None:
    await lane.change(name, role=Role.ORGANISER)
    before = await _places(lane)
    shown = (await lane.write(name, "/places"))[-1]
    (card,) = await lane.press(name, shown, "Bed 1")
    await lane.press(name, card, labels(card)[0])
    await lane.write(name, said)
    assert await _places(lane) == before
    await lane.write(name, "Long bed")
    assert await _places(lane) == before - {"Bed 1"} | {"Long bed"}


async def test_a_report_is_no_reason_to_call_a_warning_off(lane: Talk) -> None:
    await lane.write("Miriam", "/warn cold tonight -3")
    await lane.write("Miriam", "yes")
    await lane.look()
    await lane.write("Miriam", "/calloff")
    listed = lane.private("Miriam")[-1]
    (asked,) = await lane.press("Miriam", listed, labels(listed)[0])
    answers = await lane.write("Miriam", "watered bed 1")
    assert "still open" in texts(answers) and await _entries(lane) == ["watered bed 1"]
    assert "Cancelled" not in texts(answers)
    lane.stage.api.write(lane.user("Miriam"), lane.user("Miriam"), "mild after all", reply_to=asked.id)
    assert "Cancelled" in texts(await lane.settled())
