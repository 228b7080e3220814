"""Which crop a person means by what they write."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.crops.find import Found, company, fold, match
from bot.crops.loader import load
from bot.i18n import LANGUAGES, say

CROPS = load()
NAMES = {key: (crop.name, *crop.aliases) for key, crop in CROPS.items()}
POTATOES = ("potato-first-early", "potato-maincrop", "potato-second-early")
LOCAL = {
    "ffa dringo": "runner-bean",
    "pomidory": "tomato",
    "Ziemniaki wczesne": "potato-first-early",
    "خيار": "cucumber-outdoor",
}


def keys(text: str) -> tuple[str, ...]:
    found = match(text, NAMES, LOCAL)
    return found.keys if found else ()


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("sowed 2 trays of peppers", "pepper"),
        ("potted on the runner beans today", "runner-bean"),
        ("a French bean", "french-bean"),
        ("Climbing French beans, 12", "climbing-french-bean"),
        ("SPRING-ONIONS", "spring-onion"),
        ("sweet corn", "sweetcorn"),
        ("purple sprouting", "broccoli-sprouting"),
        ("picked the mange tout", "mangetout"),
        ("lifted 3 kg of second earlies", "potato-second-early"),
        ("set out the leeks", "leek"),
        ("aubérgine", "aubergine"),
        ("plannu ffa dringo", "runner-bean"),
        ("posadziłem pomidory", "tomato"),
    ],
)
def test_one_crop_is_found_in_a_phrase(text: str, key: str) -> None:
    assert keys(text) == (key,)


def test_plain_beans_may_be_any_bean() -> None:
    assert keys("potted on the beans") == ("broad-bean", "climbing-french-bean", "french-bean", "runner-bean")


def test_plain_potatoes_onions_and_cabbages_are_ambiguous_too() -> None:
    assert keys("3 kg of potatoes from pot 7") == POTATOES
    assert set(keys("onions")) >= {"onion-set", "onion-seed"}
    assert keys("cabbage") == ("cabbage-spring", "cabbage-summer", "cabbage-winter")


def test_a_whole_name_wins_over_the_end_of_others() -> None:
    assert keys("peas") == ("pea",)  # not also sugar snap peas


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ("planted 6 sweet potatoes", "sweet-potato"),
        ("sowed sweet peas", "sweet-pea"),
        ("cherry tomatoes", "tomato"),
        ("plum tomatoes", "tomato"),
        ("cherries from the tree", "cherry"),
        ("karela in the tunnel", "bitter-gourd"),
        ("dudhi", "bottle-gourd"),
        ("bhindi", "okra"),
        ("methi", "fenugreek"),
        ("callaloo", "amaranth"),
        ("daikon", "mooli"),
        ("chinese leaves", "chinese-cabbage"),
        ("field beans", "field-bean"),
        ("cobnuts", "hazel"),
    ],
)
def test_a_crop_is_known_by_the_names_of_those_who_grow_it(text: str, key: str) -> None:
    assert keys(text) == (key,)


def test_hazel_poles_and_vine_weevils_are_no_crops() -> None:
    assert keys("put up hazel poles") == () and keys("vine weevil in pot 3") == ()


def test_the_longest_name_wins_and_then_the_earliest() -> None:
    assert keys("carrots next to the runner beans") == ("runner-bean",)
    assert keys("carrots and parsnips") == ("carrot",)


@pytest.mark.parametrize(
    ("text", "key"),
    [("curgettes", "courgette"), ("brocoli", "calabrese"), ("aubergenes", "aubergine"), ("carots", "carrot")],
)
def test_a_misspelling_is_a_guess_to_be_asked_about(text: str, key: str) -> None:
    found = match(f"picked {text}", NAMES)
    assert found == Found((key,), text, sure=False)


@pytest.mark.parametrize(
    "text", ["", "-1 on the shed thermometer", "who has the key?", "planted the seed in a set", "😀"]
)
def test_words_that_name_no_crop_find_none(text: str) -> None:
    assert match(text, NAMES) is None


def test_arabic_vowel_signs_do_not_matter() -> None:
    assert keys("خِيَار") == ("cucumber-outdoor",)


def test_every_name_and_alias_leads_to_its_crop() -> None:
    for key, names in NAMES.items():
        for name in names:
            found = match(name, NAMES)
            assert found is not None and found.sure and found.keys == (key,), name


@given(st.text(max_size=60))
def test_any_text_is_taken_and_folds_once(text: str) -> None:
    match(text, {"pea": ["Peas"], "leek": ["Leeks"]}, {"groch": "pea"})
    assert fold(fold(text)) == fold(text)


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_crop_has_a_name_that_is_kept_for_another_plant(language: str) -> None:
    voice, beside = say(language, "UTC"), company(language)
    local = {voice.pgettext("crop", crop.name): key for key, crop in CROPS.items()}
    for key, crop in CROPS.items():
        for name in (crop.name, *crop.aliases, voice.pgettext("crop", crop.name)):
            found = match(name, NAMES, local, beside.others)
            assert found is not None and key in found.keys, name


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_ordinary_word_is_one_that_makes_another_plant(language: str) -> None:
    beside = company(language)
    assert not [word for word in beside.plain | beside.bounds if beside.is_elsewhere([word])]


def test_a_plant_by_a_crops_name_hides_the_crop() -> None:
    others = company("en").others
    assert match("everlasting peas", NAMES, None, others) == Found((), "everlasting peas")
    assert match("everlasting pea seedlings", NAMES, None, others) == Found((), "everlasting pea")
    assert match("sugar snap peas", NAMES, None, others) == Found(("mangetout",), "sugar snap peas")
