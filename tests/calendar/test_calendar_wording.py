"""The calendar in words: whole, harmless and within one message."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, time, timedelta

import pytest

from bot.chat.calendar import calendar_words, proposal
from bot.chat.calendar.entry_lines import MOST_LINES, read_lines
from bot.core.calendar.entry import Entry, EntryKind, Occurrence, occurrences
from bot.core.calendar.proposal import Because, propose
from bot.crops.loader import load
from bot.i18n import say
from bot.services.calendar.entries import Compared
from bot.services.calendar.remarks import Remark, Remarked
from tests.support.rings import lines_of

ENGLISH, CROPS, TODAY = say("en", "Europe/London"), load(), date(2026, 4, 20)
PLATFORM_N = 4096  # UTF-16 units of a message: Telegram Bot API, sendMessage


def entry(title: str = "Plant out", first: int = 12, last: int = 20, **more: object) -> Entry:
    return Entry(title, EntryKind.OTHER, date(2026, 5, first), date(2026, 5, last), uid=title, **more)  # type: ignore[arg-type]


def once(one: Entry) -> Occurrence:
    return Occurrence(one, one.first_on, one.last_on)


def fits(text: str) -> bool:
    return len(text.encode("utf-16-le")) // 2 <= PLATFORM_N


@pytest.mark.parametrize(
    ("one", "words"),
    [
        (entry(), "Tue 12 May to Wed 20 May"),
        (entry(last=12), "Tue 12 May"),
        (entry(first=2, last=2, starts=time(10), ends=time(12)), "Sat 2 May, 10:00–12:00"),
        (entry(first=2, last=3, starts=time(20), ends=time(2)), "Sat 2 May, 20:00–02:00"),
        (entry(first=2, last=2, starts=time(10)), "Sat 2 May, 10:00"),
    ],
)
def test_when_it_is(one: Entry, words: str) -> None:
    assert calendar_words.when(ENGLISH, once(one), TODAY).replace(",", "") == words.replace(",", "")


def test_another_year_is_named() -> None:
    assert "2027" in calendar_words.when(
        ENGLISH, once(replace(entry(), first_on=date(2027, 5, 12), last_on=date(2027, 5, 12))), TODAY
    )


def test_titles_cannot_be_markup() -> None:
    bad = entry("<b>Sow</b> & <a href='x'>reap</a>")
    for text in (
        calendar_words.pinned(ENGLISH, "Teasel <Lane>", [once(bad)], TODAY),
        calendar_words.reminder(ENGLISH, once(bad), TODAY),
        calendar_words.changes(ENGLISH, Compared((bad,), (), ()), TODAY),
        calendar_words.preview(ENGLISH, read_lines("3 May <i>sow</i>\n<script> no day", ENGLISH, CROPS, TODAY), TODAY),
    ):
        assert "<" not in text.replace("<b>", "").replace("</b>", "")


def test_the_pinned_calendar_stands_by_month() -> None:
    found = occurrences(
        [entry(), entry("Work day", 2, 2, rrule="FREQ=MONTHLY;BYDAY=1SA")], TODAY, TODAY + timedelta(61)
    )
    text = calendar_words.pinned(ENGLISH, "Teasel Lane", found, TODAY).splitlines()
    assert [line for line in text if line.startswith("<b>")][1:] == ["<b>May 2026</b>", "<b>June 2026</b>"]
    assert [line.split(": ")[1] for line in text if line.startswith("•")] == ["Work day", "Plant out", "Work day"]


def test_what_repeats_every_day_is_one_line() -> None:
    daily = entry("Water", 1, 1, rrule="FREQ=DAILY;COUNT=30")
    text = calendar_words.pinned(ENGLISH, "Teasel Lane", occurrences([daily], TODAY, TODAY + timedelta(61)), TODAY)
    assert text.count("Water") == 1
    assert "Fri 1 May to Sat 30 May" in text.replace(",", "")


@pytest.mark.parametrize("letter", ["x", "ż", "🌱", "<"])
def test_a_long_season_stays_within_one_message_and_counts_the_rest(letter: str) -> None:
    found = [once(entry(f"{n}{letter * 110}", 1 + n % 28, 28)) for n in range(200)]
    text = calendar_words.pinned(ENGLISH, "Teasel Lane", found, TODAY)
    assert fits(text)
    assert text.splitlines()[-1].startswith("And ")


def test_a_long_preview_and_a_long_proposal_stay_within_one_message() -> None:
    many = "\n".join(["3 May " + "x" * 110, "no day " + "y" * 300] * (MOST_LINES // 2))
    assert fits(calendar_words.preview(ENGLISH, read_lines(many, ENGLISH, CROPS, TODAY), TODAY))
    given = propose(CROPS.values(), None, TODAY)
    for start in range(0, len(given.entries), proposal.SHOWN):
        assert fits(proposal.reasons(ENGLISH, CROPS, given, start, start + proposal.SHOWN))


@pytest.mark.parametrize("language", ["en", "pl"])
def test_a_proposed_season_is_shown_screen_by_screen_and_its_caution_once_on_each(language: str) -> None:
    """Twelve lines of 40 letters: one screen of a phone (common practice, no source)."""
    voice = say(language, "Europe/London")
    given = propose(CROPS.values(), None, TODAY)
    unsure = {
        n for n, one in enumerate(given.entries, 1) if Because.FROSTS_UNKNOWN in {why.code for why in one.reasons}
    }
    start, named = 0, set[int]()
    while start < len(given.entries):
        text, shown_n = proposal.proposed(voice, CROPS, given, start=start)
        assert lines_of(text) <= 12, text
        numbers = [int(line.partition(".")[0]) for line in text.splitlines() if line[0].isdecimal()]
        assert numbers == list(range(start + 1, start + shown_n + 1))
        if shown_unsure := [n for n in numbers if n in unsure]:
            assert text.count(proposal.caution(voice, shown_unsure)) == 1
        named |= set(numbers)
        start += shown_n
    assert len(named) == len(given.entries) > 40 and unsure


def test_every_proposed_entry_has_a_title_and_every_reason_words() -> None:
    for one in propose(CROPS.values(), None, TODAY).entries:
        assert len(proposal.title(ENGLISH, CROPS, one)) <= 120
        assert all(proposal.one_reason(ENGLISH, reason) for reason in one.reasons)


def test_a_mistake_names_its_line_and_what_to_write() -> None:
    text = calendar_words.preview(ENGLISH, read_lines("3 May swap\n5/13 sow peas", ENGLISH, CROPS, TODAY), TODAY)
    assert "Line 2" in text
    assert "13/5" in text


def test_a_repetition_shows_the_next_times() -> None:
    text = calendar_words.preview(ENGLISH, read_lines("every Tuesday in June watering", ENGLISH, CROPS, TODAY), TODAY)
    assert all(day in text for day in ("2 Jun", "9 Jun", "16 Jun", "23 Jun"))


@pytest.mark.parametrize("code", list(Remarked))
def test_every_remark_on_a_file_has_words_without_gaps(code: Remarked) -> None:
    text = calendar_words.remark(ENGLISH, Remark(code, "Seed swap", "LOCATION"))
    assert text
    assert "{" not in text
