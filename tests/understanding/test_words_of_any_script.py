"""Words are not cut within a grapheme cluster (Unicode Standard Annex #29, sections 3 and 4), whatever their script.

The texts are written with spaces between words, so that the segments of the annex are what stands between the spaces.
"""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from bot.chat.language import called, spans
from bot.chat.language.line_tokens import Tokens
from bot.chat.language.other_letters import in_other_letters
from bot.chat.language.phrases import stands_in
from bot.chat.language.tokens import tokens
from bot.core.warnings.assumed import ColdNight
from bot.crops.find import fold
from bot.i18n import say

TEXTS = (
    "আমি আজ টমেটো লাগিয়েছি",  # Bengali: vowel signs, a nukta
    "मैंने आज टमाटर लगाए",  # Devanagari: vowel signs, anusvara
    "زرعت الجزر اليوم",  # Arabic
    "heuais foron heddiw",  # Welsh, mutated
    "trồng cà chua hôm nay",  # Vietnamese: two marks on one letter
)


@pytest.mark.parametrize("text", TEXTS)
def test_a_word_stays_whole(text: str) -> None:
    assert [token.raw for token in tokens(text)] == text.split()
    assert len(Tokens(text).all) == len(text.split())
    assert len(fold(text).split()) == len(text.split())


def test_vowel_signs_tell_words_apart_and_accents_do_not() -> None:
    assert fold("কি") != fold("কা")  # what; one of the case endings
    assert fold("ŻÓŁĆ") == fold("zolc")
    assert fold("كَتَبَ") == fold("كتب")  # vowel points are seldom written


@pytest.mark.parametrize(("written", "otherwise"), [
    ("ثوم", "توم"), ("قالوا", "قالو"), ("تمااام", "تمام"), ("سگيت", "سقيت"), ("بذرت", "بدرت"), ("ظهري", "ضهري"),
])  # fmt: skip
def test_arabic_is_read_in_the_spellings_of_its_dialects(written: str, otherwise: str) -> None:
    assert fold(written) == fold(otherwise)


@pytest.mark.parametrize(("one", "other"), [
    ("ثم", "تم"), ("ثلث", "تلت"), ("روث", "روت"), ("هوا", "هو"), ("جوا", "جو"), ("الهوا", "الهو"),
])  # fmt: skip
def test_arabic_words_that_only_look_alike_stay_apart(one: str, other: str) -> None:
    """Then and done, a third and three, dung and she watered, wind and he, inside and weather."""
    assert fold(one) != fold(other)


def test_a_phrase_that_ends_in_a_vowel_sign_is_found() -> None:
    assert stands_in(fold("আজ জল দিয়েছি না"), "দিয়েছি")
    assert not stands_in(fold("আজ জল দিয়েছিলাম"), "দিয়েছি")


def test_a_day_is_read_in_the_digits_of_its_script() -> None:
    # Unicode: U+09EB is BENGALI DIGIT FIVE; CLDR bn: "মে" is May.
    found = spans.coming("৫ মে", say("bn", "Europe/London"), date(2026, 4, 1))
    assert found is not None and found.first_on == date(2026, 5, 5)


def test_a_warning_by_hand_is_read_in_words_that_end_with_a_vowel_sign() -> None:
    now = datetime(2026, 5, 1, 9, 0, tzinfo=UTC)
    read = called.called("ঠান্ডা ৫ মে -3", say("bn", "Europe/London"), now)
    assert isinstance(read, ColdNight) and read.evening_on == date(2026, 5, 5)


@pytest.mark.parametrize(("language", "text", "names"), [
    ("uk", "віддав Оскару ключ від тунелю", {"oskar"}), ("uk", "Кася прикриє", {"kasia"}), ("uk", "Діпа каже так", {"deepa"}),
    ("uk", "Лейла поїхала", {"leila"}), ("bn", "কাসিয়াকে বলুন", {"kasia"}), ("bn", "চাবি দীপার কাছে", {"deepa"}),
    ("bn", "মিরিয়াম করবে", {"miriam"}), ("bn", "টোবিয়াস আর আমি", {"tobias"}), ("ar", "اوسكار قفل النفق", {"oskar"}),
    ("ar", "اعطيت المفتاح لكاسيا", {"kasia"}), ("ar", "ميريام مسافره", {"miriam"}), ("ar", "ديبا هتغطي", {"deepa"}),
    ("uk", "полив тунель і огірки", set()), ("uk", "накрив лілії", set()), ("ar", "سقيت الطماطم والخيار الليله", set()),
    ("bn", "আলু আর টমেটোতে পানি দিয়েছি", set()), ("en", "oskar has the key", set()), ("pl", "Kasia ma klucz", set()),
])  # fmt: skip
def test_names_are_known_in_the_letters_of_another_script(language: str, text: str, names: set[str]) -> None:
    """How the names are written was put down by hand; forms with cases and small words grown onto them among them."""
    people = ["miriam", "tobias", "kasia", "deepa", "leila", "oskar", "owen", "hana", "marcus"]
    assert set(in_other_letters(text, people, language).values()) == names


def test_latin_letters_for_a_name_that_the_records_hold_in_another_script() -> None:
    assert in_other_letters("oskar has the key", ["оскар", "марта"], "en") == {"oskar": "оскар"}
