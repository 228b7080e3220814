"""Reports as people type and dictate them: what each means was written down by hand, before the bot had read it."""

from __future__ import annotations

from datetime import date

import pytest

from bot.chat.language import Known, understand
from bot.core.garden.snapshot import Garden, Place, PlaceKind
from bot.crops import loader
from bot.crops.find import fold
from bot.i18n import say
from tests.understanding.judging import crops_called

#: A Tuesday.
TODAY = date(2026, 5, 5)
PLACES = (
    *(Place(n, f"Bed {n}", PlaceKind.BED, shared=True) for n in range(1, 7)),
    *(Place(n, f"Pot {n - 10}", PlaceKind.CONTAINER, shared=True, movable=True) for n in range(11, 14)),
    Place(20, "Tunnel", PlaceKind.TUNNEL, shared=True),
    Place(21, "Greenhouse", PlaceKind.GREENHOUSE, shared=True),
)
ENGLISH, POLISH, PORTUGUESE = say("en", "Europe/London"), say("pl", "Europe/Warsaw"), say("pt", "Europe/Lisbon")
VOICES = {"en": ENGLISH, "pl": POLISH, "pt": PORTUGUESE}


def _read(text: str, language: str) -> set[tuple[str, str, str, bool]]:
    """(what was done, to which place, whether to a crop and which, whether it is sure)."""
    voice = VOICES[language]
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    known = Known.of(voice, garden, loader.load(), ())
    names = {place.id: place.name for place in PLACES}
    return {
        (one.action.value, names.get(place, ""), ",".join(one.crops), one.sure)
        for one in understand(text, voice, known, TODAY)
        for place in one.places or (0,)
    }


def _part(action: str, place: str = "", crop: str = "", *, sure: bool = True) -> tuple[str, str, str, bool]:
    return action, place, ",".join(sorted(crops_called(crop))) if crop else "", sure


@pytest.mark.parametrize(("text", "parts"), [
    ("carrots thinned, beetroot thinned, kale watered",
     [_part("thinned", crop="carrots"), _part("thinned", crop="beetroot"), _part("watered", crop="kale")]),
    ("bed 1 weeded bed 2 watered", [_part("weeded", "Bed 1"), _part("watered", "Bed 2")]),
    ("watered tunnel and greenhouse weeded bed 2",
     [_part("watered", "Tunnel"), _part("watered", "Greenhouse"), _part("weeded", "Bed 2")]),
    ("watered beds 1 2 and 3", [_part("watered", "Bed 1"), _part("watered", "Bed 2"), _part("watered", "Bed 3")]),
    ("watered beds 1,2,3",
     [_part("watered", "Bed 1"), _part("watered", "Bed 2"), _part("watered", "Bed 3")]),
    ("weeded bed 5, carrots are up", [_part("weeded", "Bed 5"), _part("seen", crop="carrots")]),
    ("watered the greenhouse but not the tunnel", [_part("watered", "Greenhouse")]),
    ("watered bed 2, will do the rest tomorrow", [_part("watered", "Bed 2")]),
    ("watered the tunnel yday", [_part("watered", "Tunnel")]),
    ("wattered bed 3", [_part("watered", "Bed 3")]),
    ("watered pots 1 - 3", [_part("watered", "Pot 1"), _part("watered", "Pot 2"), _part("watered", "Pot 3")]),
    ("weeded beds 2 – 4", [_part("weeded", "Bed 2"), _part("weeded", "Bed 3"), _part("weeded", "Bed 4")]),
    ("sowed two rows of radish in bed 5 and a row of carrots",
     [_part("sowed", "Bed 5", "radishes"), _part("sowed", "Bed 5", "carrots")]),
    ("sowed radish in bed 1 and planted kale in bed 6",
     [_part("sowed", "Bed 1", "radishes"), _part("planted out", "Bed 6", "kale")]),
    ("watered bed 1 n bed 2", [_part("watered", "Bed 1"), _part("watered", "Bed 2")]),
    ("planted 14 runers n 3 pumkins bed 2",
     [_part("planted out", "Bed 2", "runner beans"), _part("planted out", "Bed 2", "pumpkins")]),
    ("planted 6 corgits bed 6", [_part("planted out", "Bed 6", "courgettes", sure=False)]),
    ("mice ate the peas i sowed last week", [_part("lost", crop="peas")]),
    ("slugs got 6 of the kale i planted out", [_part("lost", crop="kale")]),
    ("transplanted 10 kale from bed 3 to bed 6", [_part("moved", "Bed 6", "kale")]),
    ("watered the kale that i had planted", [_part("watered", crop="kale")]),
    ("watered the peas i sowed kale in bed 2", [_part("watered", crop="peas"), _part("sowed", "Bed 2", "kale")]),
    ("popped the basil outside for some sun", [_part("hardening off", crop="basil")]),
    ("put the basil out in the sun", [_part("hardening off", crop="basil")]),
    ("tied the peas to the pea frame", [_part("supported", crop="peas")]),
    ("potatoes in, 20", [_part("planted out", crop="potatoes", sure=False)]),
    ("sprinkled some slug pellets round the lettuces", []), ("rain watered bed 2 for us", []),
    ("whoever watered bed 3 thank you", []),
    ("i had a dream i picked 100 pumpkins", []), ("picked 10 kg of peas. only joking", []),
    ("shut the greenhouse at 8.30", [_part("shut", "Greenhouse")]),
    ("did the weeding in bed 2", [_part("weeded", "Bed 2")]),
    ("did a bit of weeding in bed 2", [_part("weeded", "Bed 2")]),
    ("pulled all the bindweed out of bed 2", [_part("weeded", "Bed 2")]),
    ("please note: watered bed 3", [_part("watered", "Bed 3")]),
    ("forgot to say, watered bed 3", [_part("watered", "Bed 3")]),
    ("1) watered bed 1 2) weeded bed 2", [_part("watered", "Bed 1"), _part("weeded", "Bed 2")]),
    ("watered bed 3 not bed 4", [_part("watered", "Bed 3")]),
    ("watered the tunnel but ran out of time for the greenhouse", [_part("watered", "Tunnel")]),
    ("watered bed 1 and the carrots", [_part("watered", "Bed 1"), _part("watered", crop="carrots")]),
    ("pot 1 is in but pot 2 is too heavy", [_part("brought in", "Pot 1"), _part("brought in", "Pot 2", sure=False)]),
    ("watered bed 1 but bed 2 was wet", [_part("watered", "Bed 1"), _part("watered", "Bed 2", sure=False)]),
    ("picked 200 g peas and 300 g kale", [_part("harvested", crop="peas"), _part("harvested", crop="kale")]),
    ("harvested peas 200g kale 350g", [_part("harvested", crop="peas"), _part("harvested", crop="kale")]),
    ("picked nearly 2 kg of peas", [_part("harvested", crop="peas")]),
    ("picked peas, maybe 200 g", [_part("harvested", crop="peas")]),
    ("picked maybe 5 kale", [_part("harvested", crop="kale", sure=False)]),
    ("5 leeks didn't make it", [_part("lost", crop="leeks")]),
    ("the cat dug up some carrots", [_part("lost", crop="carrots")]),
    ("carrots bolted so pulled the lot and composted them", [_part("cleared", crop="carrots")]),
    ("dropped a tray of kale, lost 12", [_part("lost", crop="kale")]),
    ("kale planted - 30 - bed 4", [_part("planted out", "Bed 4", "kale")]),
    ("watered bed 3 as well", [_part("watered", "Bed 3")]),
    ("well, watered bed 3", [_part("watered", "Bed 3")]),
    ("watered the tunnel when I got there, bone dry it was", [_part("watered", "Tunnel")]),
    ("fed the tomatoes which are looking great", [_part("fed", crop="tomatoes")]),
    ("fleeced bed 6 and 1 just in case", [_part("covered", "Bed 6"), _part("covered", "Bed 1")]),
    ("tunnel watered, all the doors shut", [_part("watered", "Tunnel"), _part("shut", "Tunnel")]),
    ("carrots bolted, pulled them", [_part("harvested", crop="carrots", sure=False)]),
    ("picked 30 slugs off the kale", []),
])  # fmt: skip
def test_each_thing_is_paired_with_its_own_verb(text: str, parts: list[tuple[str, str, str, bool]]) -> None:
    assert _read(text, "en") == set(parts)


@pytest.mark.parametrize("text", [
    "should've watered bed 3", "no one's watered bed 3", "will water bed 3, promise",
    "off to weed bed 4", "if it rains I watered bed 3 for nothing", "haven't weeded bed 1 or bed 2",
])  # fmt: skip
def test_what_is_not_so_is_no_report(text: str) -> None:
    assert _read(text, "en") == set()


@pytest.mark.parametrize("text", [
    "Oskar watered bed 3", "watered bed 3 in my dreams", "planned bed 3 with kale", "took the tops off bed 3",
    "weeded beds 1 and 2, watered 5",
])  # fmt: skip
def test_what_is_doubtful_is_never_sure_of_all(text: str) -> None:
    known_people = Known({}, {}, PLACES, {}, {}, people=frozenset({fold("Oskar")}))
    found = understand(text, ENGLISH, known_people, TODAY)
    assert not found or not all(one.sure for one in found)


def test_several_declined_crops_in_polish() -> None:
    assert _read("podlałem pomidory, przerwałam marchewkę i wypieliłam cebulę", "pl") == {
        _part("watered", crop="tomatoes"),
        _part("thinned", crop="carrots"),
        _part("weeded", crop="onions"),
    }


def test_a_quarter_and_ten_grams_are_weighed() -> None:
    known = Known({"pea": ("peas", "pea")}, {"groszek": "pea"}, (), {}, {}, own=frozenset({"groszek"}))
    (quarter,) = understand("picked a quarter of a kilo of peas", ENGLISH, known, TODAY)
    (dag,) = understand("zebrałam 20 dag groszku", POLISH, known, TODAY)
    assert (quarter.amount, quarter.unit.value) == (0.25, "kg")
    assert (dag.amount, dag.unit.value) == (200.0, "g")


@pytest.mark.parametrize(("language", "text", "beds"), [
    ("en", "watered raised beds 1 to 3", "123"), ("en", "watered raised beds 2-4 and 6", "2346"),
    ("pl", "podlałem grządki 1 do 3", "123"), ("pl", "podlałem grządki 1 i 3", "13"),
    ("pt", "reguei os canteiros 1 a 3", "123"), ("pt", "reguei o canteiro 1 e o 4", "14"),
    ("pt", "reguei os canteiros 1 ao 3 e o 5", "1235"), ("pt", "reguei do canteiro 1 ao 3", "123"),
    ("en", "watered from bed 1 to bed 3", "123"), ("pt", "reguei o canteiro 1 am", "1"),
])  # fmt: skip
def test_beds_from_a_number_to_another_by_their_kind(language: str, text: str, beds: str) -> None:
    """Their names begin with another word than what was written."""
    assert _read(text, language) == {_part("watered", f"Bed {n}") for n in beds}


@pytest.mark.parametrize(("language", "text"), [
    ("en", "moved the beetroot from bed 3 to 6"), ("pt", "mudei as beterrabas do canteiro 3 para o 6"),
])  # fmt: skip
def test_what_moves_from_a_bed_to_another_passes_none_between(language: str, text: str) -> None:
    assert _read(text, language) == {_part("moved", "Bed 6", "beetroot")}


@pytest.mark.parametrize(("text", "share"), [
    ("um quarto das alfaces morreu", 0.25), ("três quartos das alfaces morreram", 0.75),
    ("perdi dois terços das alfaces", 2 / 3), ("metade das alfaces morreu", 0.5),
])  # fmt: skip
def test_a_share_may_begin_with_a_number(text: str, share: float) -> None:
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    (note,) = understand(text, PORTUGUESE, Known.of(PORTUGUESE, garden, loader.load(), ()), TODAY)
    assert (note.share, note.count) == (share, None)


@pytest.mark.parametrize(("language", "text", "amount"), [
    ("en", "picked a kilo and a half of tomatoes", 1.5), ("pt", "colhi 2 quilos e meio de tomate", 2.5),
])  # fmt: skip
def test_a_half_may_stand_after_the_unit(language: str, text: str, amount: float) -> None:
    voice, garden = VOICES[language], Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    (note,) = understand(text, voice, Known.of(voice, garden, loader.load(), ()), TODAY)
    assert (note.amount, note.unit.value) == (amount, "kg")


def test_a_garden_is_no_mint_in_portuguese() -> None:
    assert _read("colhi tomate na horta", "pt") == {_part("harvested", crop="tomatoes")}


@pytest.mark.parametrize("text", [
    "I stopped watering bed 4", "pretend I planted 100 pumpkins", "has bed 3 been watered", "have the peas been picked",
    "was the tunnel watered", "please note to water bed 3",
])  # fmt: skip
def test_what_was_not_done_is_no_report(text: str) -> None:
    assert not _read(text, "en")


@pytest.mark.parametrize(
    ("text", "amount"), [("picked 1 kg 200 of peas", 1.2), ("picked 1kg 200g peas", 1.2), ("picked peas 2 kg", 2.0)]
)
def test_kilograms_and_grams_are_one_weight(text: str, amount: float) -> None:
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    (note,) = understand(text, ENGLISH, Known.of(ENGLISH, garden, loader.load(), ()), TODAY)
    assert note.amount == pytest.approx(amount) and note.sure


def test_what_is_left_is_not_what_was_lost() -> None:
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    (note,) = understand("slugs ate the kale, 10 left", ENGLISH, Known.of(ENGLISH, garden, loader.load(), ()), TODAY)
    assert note.action.value == "lost" and note.count is None


@pytest.mark.parametrize(
    ("text", "count"), [("planted 8 kale out of the 20 in bed 4", 8), ("5 out of 6 pumpkins have died", 5)]
)
def test_of_so_many_the_first_counts(text: str, count: int) -> None:
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    (note,) = understand(text, ENGLISH, Known.of(ENGLISH, garden, loader.load(), ()), TODAY)
    assert note.count == count


def test_crops_stay_in_the_place_that_stands_before_them() -> None:
    assert _read("podlałam w tunelu ogórki i paprykę, w szklarni tylko pomidory", "pl") == {
        _part("watered", "Tunnel", "cucumbers"),
        ("watered", "Tunnel", "pepper", True),
        _part("watered", "Greenhouse", "tomatoes"),
    }


@pytest.mark.parametrize(
    ("text", "cm"),
    [("tomatoes 1.2 m tall", 120.0), ("peas are about 1.5 metres high now", 150.0), ("peas 1m 10", 110.0),
     ("kale about a metre tall now", 100.0), ("peas 3 ft tall", 91.44)],
)  # fmt: skip
def test_heights_are_told_in_metres_and_feet(text: str, cm: float) -> None:
    """A foot is 30.48 cm by definition."""
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    (note,) = understand(text, ENGLISH, Known.of(ENGLISH, garden, loader.load(), ()), TODAY)
    assert note.action.value == "measured" and note.amount == pytest.approx(cm)


@pytest.mark.parametrize(("text", "count"), [
    ("sown 30 modules of beetroot in the greenhouse", 30), ("planted the kale along the fence in bed 5 x 24", 24),
])  # fmt: skip
def test_modules_and_times_count_plants(text: str, count: int) -> None:
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    (note,) = understand(text, ENGLISH, Known.of(ENGLISH, garden, loader.load(), ()), TODAY)
    assert note.count == count and note.containers is None
