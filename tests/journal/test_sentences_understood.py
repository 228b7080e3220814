"""Plain sentences from the plot, and what each says."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from bot.chat.language import understand
from bot.core.garden.snapshot import Cover, Stage
from bot.i18n import say
from bot.services.journal.note import Action, Cause, Container, Unit, from_row, to_row, weight_kg
from tests.journal.teasel_lane import PLACE_IDS, SHED, TODAY, TUNNEL_AIR, known, one, read

BEANS = ("broad-bean", "climbing-french-bean", "french-bean", "runner-bean")
POTATOES = ("potato-first-early", "potato-maincrop", "potato-second-early")
YESTERDAY, TUESDAY = date(2026, 5, 13), date(2026, 5, 12)


def at(*names: str) -> tuple[int, ...]:
    return tuple(PLACE_IDS[name] for name in names)


# Each sentence with what must be read from it; whatever is not named must be as in a note that says nothing of it.
SURE: list[tuple[str, Action, dict[str, Any]]] = [
    ("sowed 2 trays of peppers in the greenhouse", Action.SOWED,
     {"crops": ("pepper",), "places": at("Greenhouse"), "containers": 2.0, "container": Container.TRAY}),
    ("Sown: peppers, 2 trays, greenhouse", Action.SOWED,
     {"crops": ("pepper",), "places": at("Greenhouse"), "containers": 2.0, "container": Container.TRAY}),
    ("half a tray of basil sown on the windowsill", Action.SOWED,
     {"crops": ("basil",), "places": at("Kitchen windowsill"), "containers": 0.5, "container": Container.TRAY}),
    ("sowed 2 trays of 40 leeks", Action.SOWED,
     {"crops": ("leek",), "containers": 2.0, "container": Container.TRAY, "cells": 40}),
    ("sown 2 x 84 cell trays of leeks", Action.SOWED,
     {"crops": ("leek",), "containers": 2.0, "container": Container.TRAY, "cells": 84}),
    ("Sowing a row of carrots in bed 1 this morning", Action.SOWED,
     {"crops": ("carrot",), "places": at("Bed 1"), "containers": 1.0, "container": Container.ROW}),
    ("sowed parsnips 2 cm deep in bed 1", Action.SOWED, {"crops": ("parsnip",), "places": at("Bed 1")}),
    ("planted carrot seeds in bed 1", Action.SOWED, {"crops": ("carrot",), "places": at("Bed 1")}),
    ("potted on the beans", Action.POTTED_ON, {"crops": BEANS}),
    ("POTTED ON THE RUNNER BEANS!!!", Action.POTTED_ON, {"crops": ("runner-bean",)}),
    ("potted the tomatoes on", Action.POTTED_ON, {"crops": ("tomato",)}),
    ("yesterday I pricked out twelve lettuces", Action.POTTED_ON,
     {"crops": ("lettuce",), "count": 12, "done_on": YESTERDAY}),
    ("potted on 12 runner beans into the greenhouse on 3 May", Action.POTTED_ON,
     {"crops": ("runner-bean",), "count": 12, "places": at("Greenhouse"), "done_on": date(2026, 5, 3)}),
    ("started hardening off the tomatoes on Tuesday", Action.HARDENING, {"crops": ("tomato",), "done_on": TUESDAY}),
    ("the courgettes are hardened off", Action.HARDENED, {"crops": ("courgette",)}),
    ("Planted the leeks out in bed 2 yesterday", Action.PLANTED_OUT,
     {"crops": ("leek",), "places": at("Bed 2"), "done_on": YESTERDAY}),
    ("planted out 6 squash from the greenhouse into bed 2", Action.PLANTED_OUT,
     {"crops": ("winter-squash",), "count": 6, "from_places": at("Greenhouse"), "places": at("Bed 2")}),
    ("planted leeks 20 cm apart in bed 2", Action.PLANTED_OUT, {"crops": ("leek",), "places": at("Bed 2")}),
    ("planted 20 garlic cloves in Farahs bed", Action.PLANTED_OUT,
     {"crops": ("garlic",), "count": 20, "places": at("Farah's bed")}),
    ("covered bed 1 with double fleece", Action.COVERED, {"places": at("Bed 1"), "cover": Cover.DOUBLE_FLEECE}),
    ("put fleece over the potatoes in pot 3", Action.COVERED,
     {"crops": POTATOES, "places": at("Pot 3"), "cover": Cover.FLEECE}),
    ("took the fleece off bed 2", Action.UNCOVERED, {"places": at("Bed 2"), "cover": Cover.FLEECE}),
    ("took the fleece off", Action.UNCOVERED, {"cover": Cover.FLEECE}),
    ("all pots are in", Action.BROUGHT_IN, {"places": at("Pot 3", "Pot 5", "Pot 7"), "share": 1.0}),
    ("pots 3 and 5 are in the greenhouse", Action.BROUGHT_IN,
     {"places": at("Pot 3", "Pot 5"), "into": at("Greenhouse"), "share": 1.0}),
    ("brought pot 7 in last night", Action.BROUGHT_IN, {"places": at("Pot 7"), "share": 1.0, "done_on": YESTERDAY}),
    ("carried pots 3 and 5 into the greenhouse", Action.BROUGHT_IN,
     {"places": at("Pot 3", "Pot 5"), "into": at("Greenhouse"), "share": 1.0}),
    ("pot 3 is still inside", Action.BROUGHT_IN, {"places": at("Pot 3"), "share": 1.0}),
    ("put pot 3 and pot 5 back outside", Action.PUT_BACK, {"places": at("Pot 3", "Pot 5"), "share": 1.0}),
    ("watered Herbs <3 & co", Action.WATERED, {"places": at("Herbs <3 & co")}),
    ("watered the bean bed with 20 litres", Action.WATERED,
     {"places": at("Bean bed"), "amount": 20.0, "unit": Unit.LITRE}),
    ("just watered the tunnel", Action.WATERED, {"places": at("Long tunnel")}),
    ("tomatoes fed", Action.FED, {"crops": ("tomato",)}),
    ("tied in the cordon tomatoes", Action.SUPPORTED, {"crops": ("tomato",)}),
    ("earthed up the first earlies in pot 5", Action.EARTHED_UP,
     {"crops": ("potato-first-early",), "places": at("Pot 5")}),
    ("3 kg potatoes from pot 7", Action.HARVESTED,
     {"crops": POTATOES, "from_places": at("Pot 7"), "amount": 3.0, "unit": Unit.KG}),
    ("3kg new potatoes, pot 7", Action.HARVESTED,
     {"crops": ("potato-first-early",), "places": at("Pot 7"), "amount": 3.0, "unit": Unit.KG}),
    ("1,5 kg of rhubarb", Action.HARVESTED, {"crops": ("rhubarb",), "amount": 1.5, "unit": Unit.KG}),
    ("a bunch of radishes from farahs bed", Action.HARVESTED,
     {"crops": ("radish",), "from_places": at("Farah's bed"), "amount": 1.0, "unit": Unit.BUNCH}),
    ("picked 1 1/2 lb gooseberries", Action.HARVESTED, {"crops": ("gooseberry",), "amount": 1.5, "unit": Unit.LB}),
    ("one and a half kilos of kale", Action.HARVESTED, {"crops": ("kale",), "amount": 1.5, "unit": Unit.KG}),
    ("1 lb 8 oz of strawberries", Action.HARVESTED, {"crops": ("strawberry",), "amount": 1.5, "unit": Unit.LB}),
    ("harvested a dozen courgettes", Action.HARVESTED,
     {"crops": ("courgette",), "amount": 12.0, "unit": Unit.PIECE}),
    ("12 courgettes from bed 2", Action.HARVESTED,
     {"crops": ("courgette",), "from_places": at("Bed 2"), "amount": 12.0, "unit": Unit.PIECE}),
    ("the frost got the courgettes", Action.LOST, {"crops": ("courgette",), "cause": Cause.FROST}),
    ("lost 5 lettuces to slugs", Action.LOST, {"crops": ("lettuce",), "count": 5, "cause": Cause.SLUGS}),
    ("slugs ate half the lettuces in bed 1", Action.LOST,
     {"crops": ("lettuce",), "places": at("Bed 1"), "share": 0.5, "cause": Cause.SLUGS}),
    ("killed by blight: all the tomatoes in the long tunnel", Action.LOST,
     {"crops": ("tomato",), "places": at("Long tunnel"), "share": 1.0, "cause": Cause.BLIGHT}),
    ("wind flattened three sweetcorn", Action.LOST, {"crops": ("sweetcorn",), "count": 3, "cause": Cause.WIND}),
    ("cleared the peas from bed 2", Action.CLEARED, {"crops": ("pea",), "from_places": at("Bed 2")}),
    ("beans are 20 cm", Action.MEASURED, {"crops": BEANS, "amount": 20.0, "unit": Unit.CM}),
    ("the leeks are 10 inches tall", Action.MEASURED, {"crops": ("leek",), "amount": 25.4, "unit": Unit.CM}),
    ("-1 on the shed thermometer", Action.READING, {"thermometers": (SHED,), "amount": -1.0, "unit": Unit.CELSIUS}),
    ("−1 in the shed", Action.READING, {"thermometers": (SHED,), "amount": -1.0, "unit": Unit.CELSIUS}),
    ("-\N{NO-BREAK SPACE}3 on the shed thermometer", Action.READING,
     {"thermometers": (SHED,), "amount": -3.0, "unit": Unit.CELSIUS}),
    ("-\t3 in the shed", Action.READING, {"thermometers": (SHED,), "amount": -3.0, "unit": Unit.CELSIUS}),
    ("minus one", Action.READING, {"amount": -1.0, "unit": Unit.CELSIUS}),
    ("1,5 in the tunnel", Action.READING, {"thermometers": (TUNNEL_AIR,), "amount": 1.5, "unit": Unit.CELSIUS}),
    ("min 2.5 in the shed last night", Action.READING,
     {"thermometers": (SHED,), "amount": 2.5, "unit": Unit.CELSIUS, "done_on": YESTERDAY,
      "evening_on": YESTERDAY}),
    ("23 F on the shed thermometer", Action.READING,
     {"thermometers": (SHED,), "amount": -5.0, "unit": Unit.CELSIUS}),
    ("beans not out before 20 May here", Action.RULE,
     {"crops": BEANS, "rule_key": "planting.out.from", "rule_value": "05-20"}),
    ("no tomatoes outside before June 1st please", Action.RULE,
     {"crops": ("tomato",), "rule_key": "planting.out.from", "rule_value": "06-01"}),
    ("don't sow carrots outdoors before 1/4", Action.RULE,
     {"crops": ("carrot",), "rule_key": "sowing.outdoors.from", "rule_value": "04-01"}),
    ("undo", Action.UNDO, {}),
    ("Take that back!", Action.UNDO, {}),
]  # fmt: skip


@pytest.mark.parametrize(("text", "action", "says"), SURE, ids=[text for text, _, _ in SURE])
def test_a_plain_sentence_is_understood(text: str, action: Action, says: dict[str, Any]) -> None:
    found = to_row(one(text))
    silent = {"crops": (), "places": (), "from_places": (), "into": (), "thermometers": (), "plantings": (), "done_on": TODAY,
              "sure": True, "unit": Unit.NONE, "beside": "", "plant": "", "rule_key": "", "rule_value": "",
              "not_yet": False, "wrong_day": "", "believed": False}  # fmt: skip
    expected = {name: says.get(name, silent.get(name)) for name in found} | {"action": action, "words": found["words"]}
    got = {name: getattr(from_row(found), name) for name in found}
    if isinstance(got["amount"], float):
        got["amount"] = pytest.approx(got["amount"])
    assert expected == got


# Understood, but doubtful: it is asked about before anything is kept.
DOUBTFUL: list[tuple[str, Action, tuple[str, ...]]] = [
    ("sowd peas in bed 1", Action.SOWED, ("pea",)),
    ("potted on the corgetts", Action.POTTED_ON, ("courgette",)),
    ("potted on teh beasn", Action.POTTED_ON, BEANS),
    ("watred the tomatoes", Action.WATERED, ("tomato",)),
    ("watered bed 9", Action.WATERED, ()),
    ("cleared bed 2", Action.CLEARED, ()),
    ("picked 1,200 g of kale", Action.HARVESTED, ("kale",)),
    ("sowed peas in bed 1 on 20 December", Action.SOWED, ("pea",)),
    ("lost 5 lettuces of 20", Action.LOST, ("lettuce",)),
]


@pytest.mark.parametrize(("text", "action", "crops"), DOUBTFUL, ids=[text for text, _, _ in DOUBTFUL])
def test_a_slip_of_the_thumb_is_a_guess(text: str, action: Action, crops: tuple[str, ...]) -> None:
    note = one(text)
    assert (note.action, note.crops, note.sure) == (action, crops, False)


@pytest.mark.parametrize(
    "text",
    [
        "are the beans up yet",
        "the beans should be up soon",
        "when the peas are flowering we eat",
        "the beans are ready to plant out",
        "the beds are ready to sow peas",
        "the beans are up to my knees",
        "we are all up early for the peas",
        "see you on Sunday",
        "3 kg",
        "12",
        "beans?",
        "when did we sow the beans?",
        "I'll water the tomatoes tomorrow",
        "please water pot 7",
        "don't water the beans",
        "thanks for watering pot 7",
        "showed the beans to Callum",
        "the forecast says -3 tonight",
        "the tunnel needs watering",
        "picked slugs off the lettuces",
        "cut back the raspberries",
        "-10% on seeds at the shop",
        "be back in 5 minutes",
        "can I plant out the beans",
        "has anyone watered the tunnel",
        "the planted beans look well",
        "lovely beans in bed 2",
        "lost my gloves in the tunnel",
        "I love the frost on the kale",
        "who got the key",
        "cut the grass",
        "we got 3",
        "",
        "👍",
        "½",
        "tea at 3 in the shed with Callum and Ines and cake for everyone",
    ],
)
def test_what_reports_nothing_is_left_to_others(text: str) -> None:
    assert read(text) == ()


SHOWS: list[tuple[str, Stage, bool, tuple[str, ...], tuple[int, ...]]] = [
    ("the beans are up", Stage.SEEDLING, False, BEANS, ()),
    ("runner beans have come up in bed 2", Stage.SEEDLING, False, ("runner-bean",), at("Bed 2")),
    ("carrots germinated yesterday", Stage.SEEDLING, False, ("carrot",), ()),
    ("the carrots are not up yet", Stage.SEEDLING, True, ("carrot",), ()),
    ("carrots not up yet", Stage.SEEDLING, True, ("carrot",), ()),
    ("the peas are flowering", Stage.FLOWERING, False, ("pea",), ()),
    ("peas in flower in bed 2", Stage.FLOWERING, False, ("pea",), at("Bed 2")),
    ("the peas aren't flowering yet", Stage.FLOWERING, True, ("pea",), ()),
    ("peas not flowering yet", Stage.FLOWERING, True, ("pea",), ()),
    ("the courgettes are ready to pick", Stage.READY, False, ("courgette",), ()),
    ("kale is ready", Stage.READY, False, ("kale",), ()),
    ("kale not ready yet", Stage.READY, True, ("kale",), ()),
]


@pytest.mark.parametrize(("text", "stage", "not_yet", "crops", "places"), SHOWS, ids=[one[0] for one in SHOWS])
def test_how_far_a_crop_has_come_is_understood(
    text: str, stage: Stage, not_yet: bool, crops: tuple[str, ...], places: tuple[int, ...]
) -> None:
    note = one(text)
    assert (note.action, note.stage, note.not_yet) == (Action.SEEN, stage, not_yet)
    assert (note.crops, note.places, note.sure) == (crops, places, True)


def test_several_deeds_in_one_message_are_several_notes() -> None:
    notes = read("picked 12 courgettes from bed 2 and 2 kg of runner beans from the bean bed. Watered pots 3, 5 and 7!")
    assert [(note.action, note.crops, note.amount, note.unit) for note in notes[:2]] == [
        (Action.HARVESTED, ("courgette",), 12.0, Unit.PIECE),
        (Action.HARVESTED, ("runner-bean",), 2.0, Unit.KG),
    ]
    assert [note.from_places for note in notes[:2]] == [at("Bed 2"), at("Bean bed")]
    assert [(note.action, note.places) for note in notes[2:]] == [
        (Action.WATERED, at(name)) for name in ("Pot 3", "Pot 5", "Pot 7")
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("fed and watered the tomatoes", [(Action.FED, ("tomato",)), (Action.WATERED, ("tomato",))]),
        ("sowed peas and carrots in bed 2", [(Action.SOWED, ("pea",)), (Action.SOWED, ("carrot",))]),
        ("planted out leeks, watered them in", [(Action.PLANTED_OUT, ("leek",)), (Action.WATERED, ("leek",))]),
        ("beans and peas in bed 1 eaten by slugs", [(Action.LOST, BEANS), (Action.LOST, ("pea",))]),
    ],
)
def test_listed_deeds_and_crops_share_what_is_said_once(
    text: str, expected: list[tuple[Action, tuple[str, ...]]]
) -> None:
    notes = read(text)
    assert [(note.action, note.crops) for note in notes] == expected
    assert len({note.places for note in notes}) == 1


def test_declined_names_of_crops_and_places_still_match() -> None:
    there = known(
        {"Pomidory": "tomato", "Ogórki": "cucumber-outdoor", "Bób": "broad-bean"}, ("Szklarnia", "Grządka za płotem")
    )
    for text, crop, place in (
        ("watered pomidorów w szklarni", "tomato", 100),
        ("watered ogorka w SZKLARNIĘ", "cucumber-outdoor", 100),
        ("watered bobu grządce za płotem", "broad-bean", 101),
    ):
        (note,) = understand(text, say("en", "Europe/Warsaw"), there, TODAY)
        assert (note.crops, note.places) == ((crop,), (place,)), text


def test_a_long_text_is_cut_to_what_is_kept_and_a_very_long_one_is_not_read() -> None:
    (note,) = read("watered pot 7 " + "and it was very dry " * 20)
    assert len(note.words) == 200
    assert read("watered pot 7 " + "x" * 1000) == ()


def test_weights_are_the_avoirdupois_ones() -> None:
    # International yard and pound agreement, 1959: 1 lb = 0.45359237 kg, 16 oz to the pound.
    assert weight_kg(1, Unit.LB) == 0.45359237
    assert weight_kg(16, Unit.OZ) == pytest.approx(0.45359237, abs=1e-12)
    assert weight_kg(2, Unit.BUNCH) is None
