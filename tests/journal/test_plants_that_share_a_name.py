"""Which plant a sentence speaks of: a word beside a crop's name may make it a poisonous one.

POISONOUS and OTHERS are common names out of floras and lists of poisonous plants, written down before the bot's own list
was, and not out of it: the Tokyo Metropolitan Government's list of poisonous plants that are easily mistaken, the NSW DPI
list "Garden plants poisonous to people", the English names of the Botanical Society of Britain and Ireland, the Polish
sanitary inspectorate's lists; the rest from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import pytest

from bot.chat.language import Known, understand
from bot.core.garden.snapshot import Garden
from bot.crops.loader import load
from bot.i18n import Say, say
from bot.services.journal.note import Note
from tests.journal.teasel_lane import ENGLISH, TODAY, garden

CROPS = load()
POLISH = say("pl", "Europe/Warsaw")
BEANS = ("broad-bean", "climbing-french-bean", "french-bean", "runner-bean")
CABBAGES = ("cabbage-spring", "cabbage-summer", "cabbage-winter")
ONIONS = ("onion-seed", "onion-set", "spring-onion")
POTATOES = ("potato-first-early", "potato-maincrop", "potato-second-early")

#: What was planted, and the keys that it can be.
FINE: Mapping[str, str | tuple[str, ...]] = {
    "20 tomatoes": "tomato",
    "20 Sungold tomatoes": "tomato",
    "6 Gardener's Delight tomatoes": "tomato",
    "4 Moneymaker tomato plants": "tomato",
    "3 Black Krim tomatoes": "tomato",
    "some plum tomatoes": "tomato",
    "12 beefsteak tomatoes": "tomato",
    "my little tomato plants": "tomato",
    "20 tomatoes (Sungold)": "tomato",
    "the last few tomatoes": "tomato",
    "10 yellow cherry tomatoes": "tomato",
    "twenty healthy tomato seedlings": "tomato",
    "40 red onions": ONIONS,
    "our red onion sets": "onion-set",
    "50 Sturon onion sets": "onion-set",
    "20 purple sprouting broccoli": "broccoli-sprouting",
    "8 early purple sprouting broccoli plants": "broccoli-sprouting",
    "12 climbing french beans": "climbing-french-bean",
    "12 purple climbing french beans": "climbing-french-bean",
    "10 dwarf french beans": "french-bean",
    "16 Scarlet Emperor runner beans": "runner-bean",
    "16 white runner beans": "runner-bean",
    "some more runner beans": "runner-bean",
    "30 Aquadulce broad beans": "broad-bean",
    "30 new broad bean plants": "broad-bean",
    "overwintering broad beans": "broad-bean",
    "24 beans": BEANS,
    "24 young beans": BEANS,
    "24 purple beans": BEANS,
    "40 peas": "pea",
    "40 Kelvedon Wonder peas": "pea",
    "the first early peas": "pea",
    "another 40 peas": "pea",
    "a dozen strong peas": "pea",
    "40 pea plants": "pea",
    "20 sugar snap peas": "mangetout",
    "20 tall mangetout": "mangetout",
    "30 Musselburgh leeks": "leek",
    "30 thin leeks": "leek",
    "200 leek seedlings": "leek",
    "8 green courgettes": "courgette",
    "2 yellow courgettes": "courgette",
    "2 round courgettes": "courgette",
    "3 big courgette plants": "courgette",
    "3 spare courgettes": "courgette",
    "4 Crown Prince squash": "winter-squash",
    "4 butternut squash": "winter-squash",
    "1 giant pumpkin": "pumpkin",
    "2 small orange pumpkins": "pumpkin",
    "6 Musquee pumpkins": "pumpkin",
    "12 pointed peppers": "pepper",
    "12 red peppers": "pepper",
    "6 long red sweet peppers": "pepper",
    "4 Cayenne chillies": "chilli",
    "4 hot chillies": "chilli",
    "6 ridge cucumbers": "cucumber-outdoor",
    "6 mini cucumbers": ("cucumber-greenhouse", "cucumber-outdoor"),
    "1 grafted aubergine": "aubergine",
    "2 stripy aubergines": "aubergine",
    "60 Little Gem lettuces": "lettuce",
    "60 red lettuces": "lettuce",
    "60 mixed lettuces": "lettuce",
    "a row of tasty lettuce": "lettuce",
    "10 Savoy cabbages": "cabbage-winter",
    "10 pointed cabbages": CABBAGES,
    "12 Nero kale": "kale",
    "12 red curly kale": "kale",
    "12 kale plugs": "kale",
    "6 red brussels sprouts": "brussels-sprouts",
    "8 Romanesco cauliflowers": "cauliflower",
    "8 white cauliflowers": "cauliflower",
    "50 fennel bulbs": "fennel-bulb",
    "24 golden beetroot": "beetroot",
    "24 Boltardy beetroots": "beetroot",
    "24 cylindrical beetroot": "beetroot",
    "2 rows of Nantes carrots": "carrot",
    "2 rows of rainbow carrots": "carrot",
    "2 rows of late carrots": "carrot",
    "1 row of Tender and True parsnips": "parsnip",
    "1 row of French Breakfast radishes": "radish",
    "1 row of black radishes": "radish",
    "30 rainbow chard": "chard",
    "30 baby spinach": "spinach",
    "3 rows of maincrop potatoes": "potato-maincrop",
    "8 Charlotte potatoes": POTATOES,
    "8 chitted potatoes": POTATOES,
    "8 Desiree potatoes": POTATOES,
    "8 of my own potatoes": POTATOES,
    "8 seed potatoes": POTATOES,
    "60 garlic cloves": "garlic",
    "60 Solent Wight garlic": "garlic",
    "60 hardneck garlic": "garlic",
    "20 autumn raspberries": "raspberry-autumn",
    "20 raspberry canes": "raspberry-summer",
    "20 bare-root strawberries": "strawberry",
    "20 Cambridge Favourite strawberries": "strawberry",
    "20 strawberry runners": "strawberry",
    "1 old rhubarb crown": "rhubarb",
    "1 Timperley Early rhubarb": "rhubarb",
    "1 blackcurrant bush": "blackcurrant",
    "1 thornless gooseberry": "gooseberry",
    "an old gooseberry bush": "gooseberry",
    "3 blueberry bushes": "blueberry",
    "6 bushy basil plants": "basil",
    "6 purple basil": "basil",
    "2 purple sage": "sage",
    "2 potted rosemary": "rosemary",
    "2 creeping thyme": "thyme",
    "4 flat-leaved parsley": "parsley",
    "4 curly parsley plants": "parsley",
    "30 sweetcorn": "sweetcorn",
    "30 Swift sweetcorn": "sweetcorn",
    "10 celery plants": "celery",
    "10 self-blanching celery": "celery",
    "10 celeriac": "celeriac",
    "Callum's leeks": "leek",
    "Farah's spare tomatoes": "tomato",
    "these lovely tomatoes": "tomato",
    "two of the spindly tomatoes": "tomato",
    "20 chives today": "chives",
    "kale again": "kale",
    "garlic and shallots": "garlic",
    "12 Ildi tomatoes": "tomato",  # as in the garden's own records, see `known`
}
FINE_POLISH: Mapping[str, str] = {
    "20 pomidorów": "tomato",
    "20 pomidorów koktajlowych": "tomato",
    "czerwone pomidory": "tomato",
    "pomidory malinowe": "tomato",
    "żółte pomidory": "tomato",
    "6 małych pomidorów": "tomato",
    "nasze pomidory": "tomato",
    "nowe pomidory": "tomato",
    "pomidory Bawole Serce": "tomato",
    "pomidory karłowe": "tomato",
    "słodka papryka": "pepper",
    "czerwona papryka": "pepper",
    "papryka żółta": "pepper",
    "paprykę słodką": "pepper",
    "młode pory": "leek",
    "nowe pory": "leek",
    "20 sadzonek truskawek": "strawberry",
    "wczesne truskawki": "strawberry",
    "groszek": "pea",
    "wczesny groszek": "pea",
    "groszek cukrowy": "mangetout",
    "groszek zielony": "pea",
    "czosnek": "garlic",
    "czosnek zimowy": "garlic",
    "60 ząbków czosnku": "garlic",
    "bób": "broad-bean",
    "wczesny bób": "broad-bean",
    "jarmuż kędzierzawy": "kale",
    "czerwony jarmuż": "kale",
    "cukinie": "courgette",
    "żółte cukinie": "courgette",
    "3 duże dynie": "pumpkin",
    "dynie olbrzymie": "pumpkin",
    "rabarbar": "rhubarb",
    "sałata masłowa": "lettuce",
    "sałatę lodową": "lettuce",
    "czerwona sałata": "lettuce",
    "marchew wczesna": "carrot",
    "2 rzędy marchwi": "carrot",
    "rzodkiewki": "radish",
    "bakłażany": "aubergine",
    "fioletowa bazylia": "basil",
    "koper": "dill",
    "mięta pieprzowa": "mint",
    "pietruszka naciowa": "parsley",
    "fasola szparagowa": "french-bean",
    "żółta fasola szparagowa": "french-bean",
    "brukselka": "brussels-sprouts",
    "słodkie melony": "melon",
}

#: Poisonous, or never to be taken for food on a name's word: neither kept nor offered as a crop.
POISONOUS: tuple[str, ...] = (
    "everlasting peas", "perennial peas", "broad-leaved everlasting pea", "rosary peas", "crab's eye peas",
    "golden peas", "wild peas", "castor beans", "castor bean plants", "castor oil beans", "jequirity beans", "jack beans",
    "calabar beans", "mescal beans", "coral beans", "lucky beans", "cow parsley", "fool's parsley", "hemlock parsley",
    "poison parsley", "wild parsley", "hedge parsley", "cow parsnips", "wild parsnips", "water parsnips", "wild carrots",
    "wild celery", "water celery", "wild lettuce", "prickly lettuce", "opium lettuce", "wild garlic",
    "crow garlic", "false garlic", "wild onions", "sea onion", "wild cucumbers", "squirting cucumber", "skunk cabbage",
    "bog rosemary", "potato vines", "potato tree", "potato bush", "wild potatoes", "yam beans", "corn cockle", "corn lily",
    "yellow rocket", "Indian turnip", "devil's turnips", "Jerusalem sage", "red sage", "giant rhubarb", "giant fennel",
    "ornamental peppers", "ornamental gourds", "ornamental cabbages", "Jerusalem cherries", "deadly nightshade",
    "black nightshade", "lily of the valley", "autumn crocus", "monkshood", "foxgloves",
    "hemlock", "water hemlock", "hemlock water dropwort", "laburnum", "yew", "giant hogweed", "thorn apple", "angel's trumpet",
    "lords and ladies", "oleander", "pea shrub", "false hellebore", "white bryony",
)  # fmt: skip
#: Other plants by a crop's name, of no harm or of some: not kept without a question.
OTHERS: tuple[str, ...] = (
    "pepper dulse", "strawberry trees", "mock strawberries", "barren strawberry", "duck potatoes",
    "air potato", "Russian sage", "wood sage", "asparagus fern", "asparagus peas", "pigeon peas", "butterfly peas",
    "black-eyed peas", "lablab beans", "soya beans", "tonka beans", "sword beans", "velvet beans", "New Zealand spinach",
    "water spinach", "Malabar spinach", "sea kale", "garlic mustard", "garlic chives", "society garlic", "house leeks",
    "horse radish", "wall pepper", "Szechuan pepper", "pepper tree", "tree onions", "sea rocket", "dame's rocket",
    "cape gooseberries", "Chinese artichokes", "cucumber tree", "mint bush", "Vietnamese coriander", "parsley fern",
    "corn marigolds", "hog's fennel", "cat thyme", "water lettuce", "Welsh onions", "flowering currant",
)  # fmt: skip
POISONOUS_POLISH: tuple[str, ...] = (
    "groszek szerokolistny", "groszek leśny", "dziki groszek",
    "czosnek niedźwiedzi", "dziki czosnek", "czosnek ozdobny", "dzika marchew", "ogórek tryskający", "papryka ozdobna",
    "dynie ozdobne", "bób kalabarski", "rycynus", "rącznik", "szczwół plamisty", "szczwół", "konwalie", "konwalia majowa",
    "zimowit jesienny", "tojad", "naparstnica", "wilcza jagoda", "pokrzyk wilcza jagoda", "cis", "złotokap", "cykuta",
    "szalej jadowity", "blekot pospolity", "bieluń", "lulek czarny", "barszcz Sosnowskiego",
    "przestęp biały", "ciemiernik", "łubin trwały", "oleander", "psianka czarna", "trujący bób",
)  # fmt: skip
OTHERS_POLISH: tuple[str, ...] = (
    "szpinak nowozelandzki", "szałwia omszona", "mięta wodna", "rabarbar dłoniasty", "pomidory drzewiaste", "papryka wodna",
    "koper włoski", "melony gorzkie", "tymianek koci", "szczypiorek czosnkowy", "rukola morska", "kolendra wietnamska",
)  # fmt: skip


def known(voice: Say) -> Known:
    there: Garden = replace(garden({"tomato": "Ildi"}), places=())
    return Known.of(voice, there, CROPS, ())


def said(text: str, voice: Say) -> Note:
    verb = "planted" if voice is ENGLISH else "posadzono"
    (note, *_) = understand(f"{verb} {text}", voice, known(voice), TODAY)
    return note


@pytest.mark.parametrize("text", FINE)
def test_an_ordinary_word_beside_a_crop_changes_nothing(text: str) -> None:
    note, keys = said(text, ENGLISH), FINE[text]
    assert (note.crops, note.sure) == ((keys,) if isinstance(keys, str) else keys, True)


@pytest.mark.parametrize("text", FINE_POLISH)
def test_an_ordinary_polish_word_before_or_after_changes_nothing(text: str) -> None:
    note = said(text, POLISH)
    assert (note.crops, note.sure) == ((FINE_POLISH[text],), True)


@pytest.mark.parametrize("text", POISONOUS)
def test_a_poisonous_namesake_is_neither_kept_nor_offered(text: str) -> None:
    note = said(text, ENGLISH)
    assert note.crops == () and note.beside


@pytest.mark.parametrize("text", POISONOUS_POLISH)
def test_a_poisonous_polish_namesake_is_neither_kept_nor_offered(text: str) -> None:
    note = said(text, POLISH)
    assert note.crops == () and note.beside


@pytest.mark.parametrize("text", OTHERS)
def test_a_word_that_no_crop_has_is_asked_about(text: str) -> None:
    note = said(text, ENGLISH)
    assert note.beside and not (note.sure and note.crops)


@pytest.mark.parametrize("text", OTHERS_POLISH)
def test_a_polish_word_that_no_crop_has_is_asked_about(text: str) -> None:
    note = said(text, POLISH)
    assert note.beside and not (note.sure and note.crops)


@pytest.mark.parametrize("key", CROPS)
def test_every_crop_by_its_own_name_is_itself(key: str) -> None:
    crop = CROPS[key]
    for name in (crop.name, *crop.aliases, *(f"{variety} {crop.name}" for variety in crop.varieties)):
        note = said(name, ENGLISH)
        assert key in note.crops and note.sure, name
    note = said(POLISH.pgettext("crop", crop.name), POLISH)
    assert (note.crops, note.sure) == ((key,), True)


def test_the_lists_are_long_enough_to_mean_something() -> None:
    assert len(FINE) + len(FINE_POLISH) >= 120
    assert len(POISONOUS) + len(OTHERS) + len(POISONOUS_POLISH) + len(OTHERS_POLISH) >= 80
