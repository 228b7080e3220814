"""Long texts come a screen at a time, in every language, and nothing of them is lost on the way.

The measure is this project's own promise: twelve lines of forty letters, counted by Python's `textwrap`.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.chat.growing import care_words, crop_words, signs
from bot.chat.screen import pages
from bot.chat.warnings.told import Told
from bot.core.growing.spacing import Bed
from bot.crops.loader import load
from bot.i18n import LANGUAGES, say
from tests.support.rings import lines_of

ROWS = 12
MAY_AT = datetime(2026, 5, 4, 12, tzinfo=UTC)
BED = [(None, Bed(1.83, 0.91))]
WORDS = st.lists(st.text(alphabet="abcdefgh", min_size=1, max_size=30), min_size=1, max_size=40).map(" ".join)


@given(st.lists(WORDS.map(lambda words: f"{words}."), min_size=1, max_size=12))
def test_the_screens_of_a_text_are_the_text(paragraphs: list[str]) -> None:
    text = "\n".join(paragraphs)
    assert " ".join(pages(text)).split() == text.split()


@given(st.lists(st.text(alphabet="abcdefgh ", min_size=1, max_size=300), min_size=1, max_size=30))
def test_every_screen_fits_where_no_sentence_alone_is_longer(sentences: list[str]) -> None:
    for page in pages("\n".join(f"{one}." for one in sentences)):
        assert lines_of(page) <= ROWS


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_crop_s_card_its_parts_and_its_care_fit(language: str) -> None:
    told = Told(say(language, "Europe/London"), load(), MAY_AT)
    for key, rule in load().items():
        shown = [crop_words.crop(told, rule, 20, BED, inches=True)[0]]
        shown += [crop_words.part(told, rule, part, BED, inches=True) for part in crop_words.Part]
        shown += pages(crop_words.crop(told, rule, 20, BED, inches=True, whole=True)[0])
        shown += pages(care_words.care(told, rule))
        assert all(lines_of(text) <= ROWS for text in shown), (key, [one for one in shown if lines_of(one) > ROWS])


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_keeps_fire_out_of_a_closed_house_is_two_screens_with_the_emergency_on_the_first(language: str) -> None:
    speaks = say(language, "Europe/London")
    assert lines_of(signs.heat(speaks)) <= ROWS and lines_of(signs.heat_instead(speaks)) <= ROWS
    assert "112" in signs.heat(speaks)
