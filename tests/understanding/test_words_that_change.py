"""Mutated words and words with an article grown onto them name what they name without.

The forms are those of published grammars, from memory: Welsh mutations after G. King, Modern Welsh (Routledge); the
Arabic article and words of one letter after K. C. Ryding, A Reference Grammar of Modern Standard Arabic (Cambridge, 2005).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.chat.language import Known, understand
from bot.chat.language.word_forms import and_before, radical, two_of
from bot.crops.find import alike, fold
from bot.i18n import say

WELSH = {"moron", "tatws", "pys", "bresych", "cennin", "garlleg", "rhiwbob", "letys", "gellyg"}
ARABIC = {fold(word) for word in ("جزر", "طماطم", "بصل", "فاصوليا", "كرنب", "لفت")}


@pytest.mark.parametrize(("written", "meant"), [
    ("foron", "moron"), ("datws", "tatws"), ("nhatws", "tatws"), ("thatws", "tatws"), ("bys", "pys"), ("phys", "pys"),
    ("mhys", "pys"), ("fresych", "bresych"), ("mresych", "bresych"), ("gennin", "cennin"), ("chennin", "cennin"),
    ("nghennin", "cennin"), ("arlleg", "garlleg"), ("riwbob", "rhiwbob"), ("moron", "moron"), ("gellyg", "gellyg"),
    ("heddiw", "heddiw"),
])  # fmt: skip
def test_a_mutated_word_is_the_word(written: str, meant: str) -> None:
    assert radical(written, "cy", WELSH.__contains__) == meant


@pytest.mark.parametrize(("written", "meant"), [
    ("الجزر", "جزر"), ("والجزر", "جزر"), ("وجزر", "جزر"), ("بالجزر", "جزر"), ("للجزر", "جزر"), ("فالطماطم", "طماطم"),
    ("كالبصل", "بصل"), ("فاصوليا", "فاصوليا"), ("كرنب", "كرنب"), ("لفت", "لفت"), ("اليوم", "اليوم"),
])  # fmt: skip
def test_what_has_grown_onto_a_word_is_taken_off(written: str, meant: str) -> None:
    assert radical(fold(written), "ar", ARABIC.__contains__) == fold(meant)


@pytest.mark.parametrize(
    ("written", "meant"), [("والجزر", "و"), ("وجزر", "و"), ("الجزر", ""), ("بالجزر", ""), ("وردة", "")]
)
def test_an_and_that_has_grown_on_is_told(written: str, meant: str) -> None:
    word = fold(written)
    assert and_before(word, radical(word, "ar", ARABIC.__contains__), "ar") == meant


def test_it_and_them_are_taken_off_a_verb() -> None:
    """Object pronouns of the third person, after Ryding, chapter on personal pronouns."""
    verbs = {fold("سقينا")}
    assert {radical(fold(word), "ar", verbs.__contains__) for word in ("سقيناها", "سقيناه", "وسقيناهم")} == verbs


@pytest.mark.parametrize(("written", "meant"), [("كيلوين", "كيلو"), ("ربطتين", "ربطة"), ("ربطتان", "ربطة")])
def test_a_dual_is_two_of_its_singular(written: str, meant: str) -> None:
    """The dual of nouns in -ayn and -an, those in ta marbuta with t before it, after Ryding, chapter on nouns."""
    assert fold(meant) in two_of(fold(written), "ar")
    assert not two_of(fold(written), "pl")


def test_arabic_has_no_endings_of_declension() -> None:
    assert not alike(fold("الزعتر"), fold("الزعرور"))
    assert alike("marchewka", "marchewki")  # Polish has


def test_ends_that_arabic_is_written_with_in_two_ways_are_one() -> None:
    """As search engines fold them, from memory: ta marbuta and ha, alif maqsura and ya, the stretching stroke."""
    assert (fold("خسة"), fold("على"), fold("جـــزر")) == (fold("خسه"), fold("علي"), fold("جزر"))


def test_other_languages_are_left_alone() -> None:
    assert radical("datws", "en", WELSH.__contains__) == "datws"


def test_a_report_names_its_crop_by_a_mutated_word() -> None:
    """No Welsh catalogue stands here: the verb is English, as people mix them, the name of the crop is one of the garden's."""
    known = Known({"carrot": ("carrots",)}, {"moron": "carrot"}, (), {}, {})
    voice = replace(say("en", "Europe/London"), language="cy")
    (note,) = understand("weeded foron", voice, known, date(2026, 5, 5))
    assert note.crops == ("carrot",)
    assert not understand("weeded foron", say("en", "Europe/London"), known, date(2026, 5, 5))
