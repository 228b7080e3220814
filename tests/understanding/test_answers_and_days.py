"""Answers to a turn, and days of absences: what each means was written down by hand, the days by the calendar of 2026."""

from __future__ import annotations

from datetime import date

import pytest

from bot.chat.language.line_tokens import Wrong
from bot.chat.language.openings import begins_question
from bot.chat.language.replies import Reply, is_of_others, reply, tells_only_of_houses, waits_to_ask
from bot.chat.people.away_days import read_days
from bot.crops.find import fold
from bot.i18n import say

ENGLISH, POLISH = say("en", "Europe/London"), say("pl", "Europe/Warsaw")
#: A Tuesday.
TODAY = date(2026, 5, 5)


@pytest.mark.parametrize(("text", "meant"), [
    ("yes but the bus may be late", Reply.YES), ("no problem", Reply.YES), ("I'll get it covered", Reply.YES),
    ("yes if nobody else can", Reply.IF), ("I can do two of the pots, not three", Reply.UNSURE),
    ("no way, I'm in Spain till Friday", Reply.NO), ("I don't think I can", Reply.NO), ("I would but my back is bad", Reply.NO),
    ("not done yet", Reply.LATER), ("haven't covered it yet", Reply.LATER), ("let me check", Reply.LATER),
    ("done and dusted", Reply.DONE), ("only half done", Reply.PART), ("is it covered", None), ("can you do it?", None),
    ("only if someone helps me", Reply.IF), ("i am busy this evening", Reply.NO), ("i said yes but now i can't", Reply.NO),
    ("not a bother", Reply.YES), ("consider it watered", Reply.YES), ("i'll tell you at 5", Reply.LATER),
    ("will be there", Reply.YES), ("i could if Leila comes", Reply.IF), ("haven't got the time, ask somebody else", Reply.NO),
    ("be there half six", Reply.YES), ("covered it at half seven", Reply.DONE), ("half of it is covered", Reply.PART),
    ("yse", Reply.YES), ("wlil do", Reply.YES), ("dnoe", Reply.DONE), ("finsihed", Reply.DONE), ("cnat", Reply.NO),
    ("n", Reply.NO),    ("yes can someone leave the hose out", Reply.YES), ("ok can someone leave it open", Reply.YES),
    ("can someone else do it", Reply.NO), ("yes but can someone else do it", Reply.UNSURE),
    ("i did it last night", Reply.UNSURE), ("did the last three, someone elses go", Reply.NO),
    ("yes, did it last night", Reply.DONE), ("depends what time i finish", Reply.LATER),
    ("will do once im done here", Reply.YES),
    ("done after i finished work", Reply.DONE),
    ("maybe after ive finished tea", Reply.LATER), ("yes as soon as the kids are sorted", Reply.YES),
    ("can't find the fleece", None), ("ill pop by later", Reply.YES), ("ill maybe do it", Reply.LATER),
    ("will it freeze tonight", None), ("I'm in", Reply.YES), ("I'm in Leeds", None), ("can do, I'm in", Reply.YES),
])  # fmt: skip
def test_an_answer_is_told_by_its_cues(text: str, meant: Reply | None) -> None:
    assert reply(ENGLISH, text) is meant


@pytest.mark.parametrize(("text", "meant"), [
    ("no dobra", Reply.YES), ("nie ma sprawy", Reply.YES), ("nie dam rady", Reply.NO), ("nie", Reply.NO),
    ("zrobinoe", Reply.DONE), ("ok tylko niech ktoś zostawi otwartą furtkę", Reply.YES), ("niech ktoś mnie zastąpi", Reply.NO),
    ("jedynka śpi pod kołderką", Reply.DONE), ("robiłam to wczoraj, zrobione", Reply.UNSURE),
    ("jeszcze nie zrobiłam", Reply.LATER), ("zrobione", Reply.DONE), ("dam znać później", Reply.LATER),
])  # fmt: skip
def test_an_answer_in_polish(text: str, meant: Reply) -> None:
    assert reply(POLISH, text) is meant


@pytest.mark.parametrize(("text", "only"), [
    ("locked up and back indoors safely", True), ("gate is shut", True), ("covered it and locked up", False),
    ("all done, tunnel shut", False), ("zamknięte, jestem już w domu", True), ("przykryte i zamknięte", False),
])  # fmt: skip
def test_what_only_was_locked_is_told_from_what_is_done(text: str, only: bool) -> None:
    assert tells_only_of_houses(POLISH if "zamkn" in text else ENGLISH, text) is only


@pytest.mark.parametrize(("text", "asks"), [
    ("hang on, will it rain tonight", True), ("wait, whats in bed 2", True), ("hang on, covering it now", False),
    ("i'll wait", False), ("will it rain", False),
])  # fmt: skip
def test_a_question_may_follow_a_word_to_wait(text: str, asks: bool) -> None:
    assert waits_to_ask(ENGLISH, fold(text)) is asks


def test_another_persons_yes_is_not_ones_own() -> None:
    assert is_of_others(ENGLISH, "Leila will do it", frozenset({"leila"}))
    assert not is_of_others(ENGLISH, "Leila and I will do it", frozenset({"leila"}))


@pytest.mark.parametrize(("text", "first", "last"), [
    ("away Thurs and Fri", (5, 7), (5, 8)), ("not around sat or sun", (5, 9), (5, 10)),
    ("away all of June", (6, 1), (6, 30)), ("the rest of May", (5, 5), (5, 31)),
    ("the week after next", (5, 18), (5, 24)), ("the first week of June", (6, 1), (6, 7)),
    ("for 2 weeks from Monday", (5, 11), (5, 24)), ("a fortnight from the 11th", (5, 11), (5, 24)),
    ("between 10 and 14 May", (5, 10), (5, 14)), ("16-23", (5, 16), (5, 23)), ("Sat 16th to Sun 17th", (5, 16), (5, 17)),
    ("back on the 20th", (5, 5), (5, 19)), ("from Friday evening until Monday morning", (5, 8), (5, 11)),
    ("the weekend of the 16th", (5, 16), (5, 17)), ("until June", (5, 5), (5, 31)), ("Mon to Wed next week", (5, 11), (5, 13)),
    ("until the end of the month", (5, 5), (5, 31)), ("the 8th, 9th and 10th", (5, 8), (5, 10)), ("in June", (6, 1), (6, 30)),
    ("the week of the 18th", (5, 18), (5, 24)), ("July and August", (7, 1), (8, 31)), ("20.05 to 2.06", (5, 20), (6, 2)),
    ("8 to 10", (5, 8), (5, 10)), ("back in a week", (5, 5), (5, 11)), ("tomorrow and the day after tomorrow", (5, 6), (5, 7)),
    ("leaving Thursday, returning Monday", (5, 7), (5, 10)), ("a week off from the 25th", (5, 25), (5, 31)),
    ("my op is on the 18th, out till July", (5, 18), (6, 30)), ("next month", (6, 1), (6, 30)),
    ("a wedding on 30 May so not free 28 to 31", (5, 28), (5, 31)), ("wont be there tomorow", (5, 6), (5, 6)),
    ("absent between the 11th and the 15th of May", (5, 11), (5, 15)), ("19, 20 and 21 May", (5, 19), (5, 21)),
    ("away tomorrow, back a week on Sunday", (5, 6), (5, 16)), ("the first two weeks of June", (6, 1), (6, 14)),
    ("no me next Tues or Wed", (5, 12), (5, 13)), ("not here Sat/Sun", (5, 9), (5, 10)),
    ("on hols from Sunday, home again the following Saturday", (5, 10), (5, 15)),
    ("from Saturday I am at my sister's for a week", (5, 9), (5, 15)),
    ("on holiday next wk", (5, 11), (5, 17)), ("not around this wkend", (5, 9), (5, 10)), ("away nxt week", (5, 11), (5, 17)),
    ("leaving tomorrow, back on Sunday night", (5, 6), (5, 10)), ("leaving Friday, back Sunday morning", (5, 8), (5, 9)),
    ("off Friday, back late on Sunday", (5, 8), (5, 10)), ("away until Sunday night", (5, 5), (5, 10)),
    ("away Thursday week", (5, 14), (5, 14)), ("away a week on Thursday", (5, 14), (5, 14)),
    ("off tomorrow week", (5, 13), (5, 13)),
    ("from Monday week for 3 days", (5, 18), (5, 20)), ("from Friday week till the Sunday", (5, 15), (5, 17)),
    ("away for Easter, Friday to Monday", (5, 8), (5, 11)), ("can't do Thurs or Fri this week", (5, 7), (5, 8)),
    ("camping this weekend, back Monday night", (5, 9), (5, 11)),
])  # fmt: skip
def test_an_absence_is_read_whole(text: str, first: tuple[int, int], last: tuple[int, int]) -> None:
    assert read_days(text, ENGLISH, TODAY) == (date(2026, *first), date(2026, *last))


@pytest.mark.parametrize(
    "text", ["away the bank holiday weekend", "gone the bank hol weekend end of may", "away over half term"]
)
def test_days_that_are_others_in_each_country_are_asked_for(text: str) -> None:
    assert read_days(text, ENGLISH, TODAY) is None


def test_late_on_a_day_is_told_in_polish() -> None:
    assert read_days("jutro jadę, wracam w niedzielę wieczorem", POLISH, TODAY) == (date(2026, 5, 6), date(2026, 5, 10))
    assert read_days("nie ma mnie w czwartek za tydzień", POLISH, TODAY) == (date(2026, 5, 14), date(2026, 5, 14))


@pytest.mark.parametrize(
    "text", ["not here this weekend or next", "away Thursday, also next week", "still here Monday, away Tuesday"]
)
def test_two_absences_are_not_made_one(text: str) -> None:
    with pytest.raises(Wrong):
        read_days(text, ENGLISH, TODAY)


@pytest.mark.parametrize(("text", "asks"), [
    ("am i on call", True), ("am away on friday", False), ("will it rain", True), ("will be there", False),
    ("has bed 3 been watered", True), ("have watered bed 3", False), ("was the tunnel shut", True), ("can do", False),
])  # fmt: skip
def test_a_question_begins_with_its_verb_and_a_subject(text: str, asks: bool) -> None:
    assert begins_question(text.split(), "en") is asks
