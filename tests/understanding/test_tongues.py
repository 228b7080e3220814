"""What only some languages need to be told: Welsh verbs that are nouns, words after a day in Bengali, the day as a number's
sign in Portuguese and Arabic, a yes for a day that is too late. What each means was written down by hand first.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, time

import pytest

from bot.chat.language import Known, understand
from bot.chat.language.date_words import plain, words
from bot.chat.language.day import named_on
from bot.chat.language.line_tokens import find_hours
from bot.chat.language.other_letters import heard
from bot.chat.language.replies import Reply, reply
from bot.chat.people.away_days import read_days
from bot.core.garden.snapshot import Garden, Member, Place, PlaceKind
from bot.crops import loader
from bot.i18n import say
from bot.services.journal.note import Note

#: A Tuesday.
TODAY = date(2026, 5, 5)
PLACES = (
    *(Place(n, f"Bed {n}", PlaceKind.BED, shared=True) for n in range(1, 7)),
    Place(20, "Tunnel", PlaceKind.TUNNEL, shared=True),
    Place(21, "Half barrel", PlaceKind.CONTAINER, shared=True),
)


def _notes(language: str, text: str) -> Sequence[Note]:
    voice = say(language, "Europe/London")
    members = (Member(1, "Oskar"), Member(2, "Leila"))
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", members=members, places=PLACES)
    known = Known.of(voice, garden, loader.load(), ())
    return understand(text, voice, heard(known, text, language), TODAY)


@pytest.mark.parametrize(("text", "sure"), [
    ("wedi dyfrio'r twnnel bore ma", True), ("nes i ddyfrio'r twnnel", True), ("dyfrio'r twnnel heddiw", True),
    ("Shwmae, dwi newydd ddyfrio'r twnnel", True), ("haws dyfrio'r twnnel na chwynnu", False),
    ("Oskar sy'n dyfrio'r twnnel", False), ("wedi bod yn meddwl dyfrio'r twnnel", False),
])  # fmt: skip
def test_a_welsh_verbs_noun_reports_only_after_words_that_say_so(text: str, sure: bool) -> None:
    found = _notes("cy", text)
    assert not sure or found
    assert all(note.sure is sure for note in found)


@pytest.mark.parametrize(("language", "text"), [
    ("cy", "wnes i'm dyfrio'r twnnel"), ("cy", "sai wedi dyfrio'r twnnel"), ("cy", "taswn i wedi dyfrio'r twnnel"),
    ("cy", "paid dyfrio'r twnnel"), ("pt", "nem sequer reguei o túnel"), ("pt", "perguntou se reguei o túnel"),
    ("pt", "faz de conta que reguei o túnel"), ("uk", "я б полила тунель"), ("uk", "лінь полити тунель"),
    ("ar", "ليتني سقيت النفق"), ("ar", "تخيلوا اني سقيت النفق"), ("bn", "ধরো টানেলে পানি দিয়েছি"),
])  # fmt: skip
def test_what_is_denied_supposed_or_wished_reports_nothing(language: str, text: str) -> None:
    assert not _notes(language, text)


@pytest.mark.parametrize(("language", "text"), [
    ("cy", "maen nhw wedi dyfrio'r twnnel"), ("pt", "já regaram o túnel"), ("uk", "вони полили тунель"),
    ("ar", "شكلي سقيت النفق"), ("bn", "টানেলে পানি দিয়েছি কি না জানি না"),
])  # fmt: skip
def test_what_others_did_or_is_not_certain_is_asked_about(language: str, text: str) -> None:
    assert all(not note.sure for note in _notes(language, text))


def test_frost_is_no_barrel_and_what_is_counted_ends_no_range() -> None:
    assert [(note.count, note.places) for note in _notes("cy", "collais i 2 tomato i'r barrug")] == [(2, ())]
    (cut,) = _notes("bn", "বেড ৩ থেকে ১২টা লেটুস কেটেছি")
    assert (cut.amount or cut.count, cut.places or cut.from_places) == (12, (3,))


@pytest.mark.parametrize(("language", "text", "first", "last"), [
    ("bn", "শুক্রবার পর্যন্ত ব্যস্ত", 5, 8), ("bn", "২০ তারিখে ফিরব", 5, 19), ("bn", "শনিবার যাচ্ছি মঙ্গলবার ফিরব", 9, 11),
    ("bn", "শনিবার থেকে দুই সপ্তাহ বাইরে", 9, 22), ("bn", "১০ থেকে ১৫ তারিখ নাই", 10, 15), ("bn", "আগামী শনিবার নেই", 9, 9),
    ("pt", "não estou dias 8 e 9", 8, 9), ("pt", "fora no próximo sábado", 9, 9), ("pt", "dia 20 volto", 5, 19),
    ("pt", "fora sábado da próxima semana", 16, 16), ("uk", "мене не буде 8 і 9 числа", 8, 9),
    ("uk", "20 числа повернусь", 5, 19), ("ar", "مسافر من الخميس للاتنين", 7, 11),
    ("ar", "يوم 8 و 9 ما بقدر", 8, 9), ("cy", "ffwrdd o'r 12fed i'r 19eg", 12, 19),
    ("cy", "nôl dydd Mawrth", 5, 11), ("cy", "ffwrdd yr 8fed a'r 9fed", 8, 9),
])  # fmt: skip
def test_days_of_an_absence_as_each_language_says_them(language: str, text: str, first: int, last: int) -> None:
    found = read_days(text, say(language, "Europe/London"), TODAY)
    assert found is not None
    assert (found[0].day, found[1].day) == (first, last)


@pytest.mark.parametrize(("language", "text", "meant"), [
    ("cy", "dwi'm yn siŵr eto", Reply.LATER), ("cy", "methu ffeindio'r fflîs", None), ("cy", "fydda i yno", Reply.YES),
    ("pt", "em princípio sim", Reply.LATER), ("pt", "não encontro a manta", None), ("pt", "não deu tempo", Reply.LATER),
    ("bn", "চেষ্টা করব তবে নিশ্চিত না", Reply.LATER), ("bn", "কোনো ব্যাপার না", Reply.YES), ("bn", "এই শুরু করলাম", Reply.LATER),
    ("uk", "ні ще", Reply.LATER), ("uk", "не можу знайти агроволокно", None), ("ar", "ماشي انا بعملها", Reply.YES),
    ("ar", "مش لاقي القماش", None),
])  # fmt: skip
def test_doubt_and_what_is_not_found_are_no_answers(language: str, text: str, meant: Reply | None) -> None:
    assert reply(say(language, "Europe/London"), text) is meant


@pytest.mark.parametrize(("language", "text", "day"), [
    ("uk", "так але аж завтра", 6), ("pt", "sim mas só na sexta", 8), ("en", "yes but tomorrow", 6), ("en", "yes, will do", None),
])  # fmt: skip
def test_the_day_that_an_answer_names(language: str, text: str, day: int | None) -> None:
    found = named_on(text, say(language, "Europe/London"), TODAY)
    assert found == (None if day is None else date(2026, 5, day))


@pytest.mark.parametrize(("language", "text", "places"), [
    ("uk", "полив першу і другу грядку", [1, 2]), ("pl", "podlałam pierwszą i drugą grządkę", [1, 2]),
    ("en", "watered the first, second and third beds", [1, 2, 3]), ("uk", "полив 3 грядку", [3]),
    ("pl", "podlałam 3 grządkę", [3]),
    ("uk", "полив 3 грядки", []), ("pl", "podlałam 3 grządki", []),  # three beds, nobody knows which
])  # fmt: skip
def test_ordinals_of_beds_are_joined_and_counted_beds_are_none(language: str, text: str, places: list[int]) -> None:
    assert [note.places[0] for note in _notes(language, text)] == places


@pytest.mark.parametrize(("text", "on"), [
    ("কাল বেড ২ এ পানি দিয়েছি", date(2026, 5, 4)), ("পরশু বেড ২ এ পানি দিয়েছিলাম", date(2026, 5, 3)),
    ("গতকাল বেড ২ এ পানি দিয়েছি", date(2026, 5, 4)),
])  # fmt: skip
def test_one_bengali_word_is_yesterday_of_what_was_done(text: str, on: date) -> None:
    (note,) = _notes("bn", text)
    assert note.done_on == on


def test_the_same_word_is_tomorrow_of_what_is_to_come() -> None:
    assert named_on("কাল পারব", say("bn", "Europe/London"), TODAY) == date(2026, 5, 6)
    assert not _notes("bn", "কাল বেড ২ এ পানি দেব")


@pytest.mark.parametrize(("language", "text", "clock"), [
    ("bn", "সকাল ৭টায় মনে করিয়ে দিও", time(7)), ("bn", "সন্ধ্যা সাড়ে ৬টায়", time(6, 30)), ("pl", "przypomnij o wpół do 6", time(5, 30)),
    ("cy", "am hanner awr wedi 6", time(6, 30)), ("en", "at quarter to 1", time(12, 45)),
])  # fmt: skip
def test_hours_as_each_language_writes_them(language: str, text: str, clock: time) -> None:
    found = find_hours(plain(text), 0, words(say(language, "Europe/London")))
    assert found is not None and found[0].starts == clock


def test_six_plants_are_no_hour() -> None:
    assert find_hours(plain("৬টা লেটুস"), 0, words(say("bn", "Europe/London"))) is None


def test_an_english_word_that_is_another_in_the_language_means_nothing_of_its_own() -> None:
    """ "Todo" is all of it in Portuguese, and still to do in English."""
    (note,) = _notes("pt", "reguei o túnel todo")
    assert note.places == (20,) and note.sure


@pytest.mark.parametrize(("language", "text", "place"), [
    ("cy", "dyfriais y twnnal", 20), ("bn", "টানেলে জল দিলুম", 20), ("bn", "টানেলে পানি দিছি", 20),
])  # fmt: skip
def test_words_as_they_are_spoken_in_a_part_of_the_country(language: str, text: str, place: int) -> None:
    (note,) = _notes(language, text)
    assert note.places == (place,)


@pytest.mark.parametrize(("language", "text"), [
    ("uk", "перець полив Оскар"), ("uk", "Оскар полив перець"), ("en", "Oskar watered the tunnel"), ("ar", "سقى اوسكار النفق"),
])  # fmt: skip
def test_what_somebody_who_is_named_did_is_never_noted_unasked(language: str, text: str) -> None:
    assert all(not note.sure for note in _notes(language, text))
