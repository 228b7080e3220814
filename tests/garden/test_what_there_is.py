"""Plots, places and thermometers by chat: said in words, shown before they are kept, renamed, taken away."""

from __future__ import annotations

import pytest

from bot.chat.language.place_lines import read
from bot.core.garden.snapshot import Garden, PlaceKind
from bot.i18n import say
from bot.storage.garden import gardens
from tests.support.talk import labels
from tests.support.village import AMIRA, JOE, Village

_SAY = say("en", "Europe/London")


async def _garden(village: Village) -> Garden:
    async with village.stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        return await gardens.snapshot(session, row)


async def test_nothing_is_kept_before_the_yes_and_the_yes_counts_once(village: Village) -> None:
    await village.added()
    await village.set_up()
    (shown,) = await village.write(AMIRA, "/places 12 pots in the yard, 30 litres\ntunnel, locked\nnonsense here")
    assert "Yard pot 1 to Yard pot 12" in shown.text and "nonsense here" in shown.text
    assert (await _garden(village)).places == ()
    await village.press(AMIRA, shown, "Save it")
    assert len((await _garden(village)).places) == 13
    (shown,) = await village.write(AMIRA, "/places 2 pots in the yard")
    button = next(row for row in shown.keyboard)
    await village.press(AMIRA, shown, "Save it")
    shown.keyboard = [button]
    (late,) = await village.press(AMIRA, shown, "Save it")
    assert "question is closed" in late.text
    names = [place.name for place in (await _garden(village)).places]
    assert names[-2:] == ["Yard pot 13", "Yard pot 14"]


async def test_a_change_of_what_is_known_leaves_the_rest_as_it_was(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.write(AMIRA, "/places tunnel, locked")
    await village.tap(AMIRA, "Save it")
    (shown,) = await village.write(AMIRA, "/places tunnel 6 m x 3 m")
    assert "already on the list" in shown.text
    await village.tap(AMIRA, "Save it")
    (tunnel,) = (await _garden(village)).places
    assert (tunnel.length_m, tunnel.width_m, tunnel.needs_key) == (6.0, 3.0, True)


async def test_what_hangs_on_a_thing_is_said_before_it_goes(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.write(AMIRA, "/places bed 2")
    await village.tap(AMIRA, "Save it")
    await village.write(AMIRA, "planted 12 lettuces in Bed 2")
    await village.write(AMIRA, "/places")
    await village.tap(AMIRA, "Bed 2")
    await village.tap(AMIRA, "Rename")
    (card,) = await village.write(AMIRA, "Long bed")
    assert "Long bed" in card.text
    (asked,) = await village.tap(AMIRA, "Remove")
    assert "Lettuces" in asked.text and len((await _garden(village)).places) == 1
    await village.tap(AMIRA, "Remove it")
    left = await _garden(village)
    assert (left.places, left.plantings) == ((), ())


async def test_a_report_from_the_plot_is_no_new_place_even_after_add(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.write(AMIRA, "/places bed 2")
    await village.tap(AMIRA, "Save it")
    await village.tap(AMIRA, "Plots and places")
    await village.tap(AMIRA, "Add to the list")
    (noted,) = await village.write(AMIRA, "planted 12 lettuces in Bed 2")
    assert "Lettuces" in noted.text and "Undo" in labels(noted)


async def test_an_organiser_may_simply_write_what_there_is(village: Village) -> None:
    await village.added()
    await village.set_up()
    (shown,) = await village.write(AMIRA, "12 pots in the yard, 30 litres")
    assert "12 places" in shown.text
    await village.joined(JOE)
    (answer,) = await village.write(JOE, "12 pots in the yard, 30 litres")
    assert "Save it" not in labels(answer)


async def test_members_do_not_change_the_places(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.joined(JOE)
    (shown,) = await village.write(AMIRA, "/places bed 2")
    assert "organisers" in (await village.write(JOE, "/places bed 3"))[0].text
    assert "organisers" in (await village.press(JOE, shown, "Save it"))[0].text
    assert (await _garden(village)).places == ()


@pytest.mark.parametrize(
    ("line", "file", "name", "cells"),
    [
        ("plot 3 Amira and Joe", "plots", "Plot 3", {"holders": "Amira;Joe"}),
        ("Plot 12: Owen, Deepa", "plots", "Plot 12", {"holders": "Owen;Deepa"}),
        # 6 ft is 1.8288 m, 3 ft 0.9144 m (1 ft = 0.3048 m exactly).
        ("bed 2 is 6 ft x 3 ft", "places", "Bed 2", {"kind": "open bed", "length_m": "1.83", "width_m": "0.91"}),
        ("bed 7 in plot 3, 2.4 m x 1.2 m", "places", "Bed 7", {"plot": "Plot 3", "length_m": "2.40"}),
        ("tunnel, locked", "places", "Tunnel", {"kind": "tunnel", "needs_key": "yes"}),
        ("Pot 3, too heavy to move", "places", "Pot 3", {"movable": "no"}),
        ("12 pots in the yard, 30 litres", "places", "Yard pot 1", {"volume_l": "30", "shared": "yes"}),
        ("3 pots in the tunnel", "places", "Pot 1", {"inside": "tunnel"}),
        ("thermometer on the shed, 1.5 m, shaded", "thermometers", "Shed", {"height_m": "1.50", "shaded": "yes"}),
        ("shed thermometer, in the sun", "thermometers", "Shed", {"height_m": "1.5", "shaded": "no"}),
    ],
)
def test_a_line_says_what_there_is(line: str, file: str, name: str, cells: dict[str, str]) -> None:
    item = read(line, _SAY, houses={"tunnel": PlaceKind.TUNNEL})
    assert item is not None
    assert (item.file, item.rows[0]["name"]) == (file, name)
    assert cells.items() <= item.rows[0].items()


@pytest.mark.parametrize(
    "line",
    [
        "what should I do this week",
        "planted 12 lettuces in Bed 1",
        "3 kg of potatoes",
        "-1 on the shed thermometer",
        "",
    ],
)
def test_other_lines_describe_nothing(line: str) -> None:
    assert read(line, _SAY) is None


@pytest.mark.parametrize(
    ("language", "line", "first", "last"),
    [
        ("pl", "12 donic na podwórku, 30 litrów", "Podwórko donica 1", "Podwórko donica 12"),
        ("pl", "3 donice za szopą", "Szopa donica 1", "Szopa donica 3"),
        ("pl", "4 donice na tarasie", "Taras donica 1", "Taras donica 4"),
        ("pl", "2 donice przy furtce", "Furtka donica 1", "Furtka donica 2"),
        ("pl", "2 donice w ogródku", "Ogródek donica 1", "Ogródek donica 2"),
        ("pl", "2 donice w ogrodzie", "Ogród donica 1", "Ogród donica 2"),
        ("pl", "2 donice na balkonie", "Balkon donica 1", "Balkon donica 2"),
        ("pl", "2 donice koło studni", "Studnia donica 1", "Studnia donica 2"),
        ("uk", "3 горщики на подвір'ї", "Подвір’я горщик 1", "Подвір’я горщик 3"),
        ("uk", "2 горщики біля хвіртки", "Хвіртка горщик 1", "Хвіртка горщик 2"),
        # A word that is not listed stays as it was written; the preview offers another name.
        ("pl", "2 donice na przedprożu", "Przedprożu donica 1", "Przedprożu donica 2"),
        ("en", "2 pots in the yard", "Yard pot 1", "Yard pot 2"),
    ],
)
def test_pots_are_called_after_where_they_stand_by_its_own_name(
    language: str, line: str, first: str, last: str
) -> None:
    item = read(line, say(language, "Europe/Warsaw"))
    assert item is not None
    assert (item.rows[0]["name"], item.rows[-1]["name"]) == (first, last)


def test_a_case_is_told_back_by_the_places_that_there_are() -> None:
    polish = say("pl", "Europe/Warsaw")
    item = read("2 donice na wybiegu", polish, ["Wybieg donica 1"])
    assert item is not None
    assert [row["name"] for row in item.rows] == ["Wybieg donica 2", "Wybieg donica 3"]
    item = read("2 donice w tunelu", polish, ["Tunel"], {"tunel": PlaceKind.TUNNEL})
    assert item is not None
    assert (item.rows[0]["name"], item.rows[0]["inside"]) == ("Donica 1", "tunnel")


async def test_what_is_shown_can_get_another_name_before_it_is_kept(village: Village) -> None:
    await village.added()
    await village.set_up()
    await village.write(AMIRA, "/places 3 pots in the yards, 30 litres")
    await village.tap(AMIRA, "Rename")
    (refused,) = await village.write(AMIRA, "watered bed 1")
    assert "does not look like a name" in refused.text
    (shown,) = await village.write(AMIRA, "Yard pot")
    assert "Yard pot 1 to Yard pot 3" in shown.text
    assert (await _garden(village)).places == ()
    await village.press(AMIRA, shown, "Save it")
    places = (await _garden(village)).places
    assert [(place.name, place.volume_l) for place in places] == [(f"Yard pot {n}", 30.0) for n in (1, 2, 3)]
    (shown,) = await village.write(AMIRA, "/places tunnel")
    assert "Rename" in labels(shown)
    (shown,) = await village.write(AMIRA, "/places tunnel\n2 pots")
    assert "Rename" not in labels(shown)
