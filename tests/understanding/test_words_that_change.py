"""Mutated words and words with an article grown onto them name what they name without.

The forms are those of published grammars, from memory: Welsh mutations after G. King, Modern Welsh (Routledge); the
Arabic article and words of one letter after K. C. Ryding, A Reference Grammar of Modern Standard Arabic (Cambridge, 2005).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from bot.chat.language import Known, understand
from bot.chat.language.beginnings import radical
from bot.crops.find import fold
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


def test_other_languages_are_left_alone() -> None:
    assert radical("datws", "en", WELSH.__contains__) == "datws"


def test_a_report_names_its_crop_by_a_mutated_word() -> None:
    """No Welsh catalogue stands here: the verb is English, as people mix them, the name of the crop is one of the garden's."""
    known = Known({"carrot": ("carrots",)}, {"moron": "carrot"}, (), {}, {})
    voice = replace(say("en", "Europe/London"), language="cy")
    (note,) = understand("weeded foron", voice, known, date(2026, 5, 5))
    assert note.crops == ("carrot",)
    assert not understand("weeded foron", say("en", "Europe/London"), known, date(2026, 5, 5))
