"""What Polish, Arabic and Welsh members write of beds, amounts and days; what each means was written down by hand first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import pytest

from bot.chat.language import Known, understand
from bot.chat.language.replies import Reply, reply
from bot.chat.people.away import read_days
from bot.core.garden.snapshot import Garden, Place, PlaceKind
from bot.crops import loader
from bot.i18n import say
from bot.services.journal.note import Note

#: A Tuesday.
TODAY = date(2026, 5, 5)
PLACES = (
    *(Place(n, f"Bed {n}", PlaceKind.BED, shared=True) for n in range(1, 7)),
    *(Place(10 + n, f"Pot {n}", PlaceKind.CONTAINER, shared=True) for n in range(1, 9)),
    Place(20, "Tunnel", PlaceKind.TUNNEL, shared=True),
    Place(21, "Greenhouse", PlaceKind.GREENHOUSE, shared=True),
)
NAMES = {place.id: place.name for place in PLACES}


def _notes(language: str, text: str) -> Sequence[Note]:
    voice = say(language, "Europe/Warsaw")
    garden = Garden(1, "Teasel Lane", 52.2, -1.5, 70.0, "Europe/London", places=PLACES)
    return understand(text, voice, Known.of(voice, garden, loader.load(), ()), TODAY)


@pytest.mark.parametrize(("language", "text", "done", "places"), [
    ("pl", "podlałam grządkę piątą i szóstą", "watered", "Bed 5, Bed 6"),
    ("pl", "podlałam trzecią grządkę", "watered", "Bed 3"),
    ("pl", "podlałam trzecią donicę", "watered", "Pot 3"),
    ("pl", "podlane donice od 2 do 4", "watered", "Pot 2, Pot 3, Pot 4"),
    ("pl", "wypieliłam na 4", "weeded", "Bed 4"),
    ("pl", "zielsko z czwórki wyrwane", "weeded", "Bed 4"),
    ("pl", "tunel wywietrzony", "opened", "Tunnel"),
    ("ar", "شلت الحشيش من حوض ٣", "weeded", "Bed 3"),
    ("cy", "dyfriais i wely 2 ond nid gwely 3", "watered", "Bed 2"),
])  # fmt: skip
def test_places_are_told_by_ordinals_and_bare_numbers(language: str, text: str, done: str, places: str) -> None:
    found = _notes(language, text)
    assert {note.action.value for note in found} == {done}
    assert all(note.sure for note in found)
    assert sorted(NAMES[id_] for note in found for id_ in (*note.places, *note.from_places)) == places.split(", ")


@pytest.mark.parametrize(("language", "text", "amount", "unit"), [
    ("pl", "zebrałam kilo truskawek", 1.0, "kg"), ("pl", "zebrałam półtora kilo truskawek", 1.5, "kg"),
    ("pl", "zebrałam kilo i pół truskawek", 1.5, "kg"), ("pl", "zebrałam 2 kilo 30 deko rabarbaru", 2.3, "kg"),
    ("pl", "zebrałam 1 kg 400 g bobu", 1.4, "kg"), ("pl", "zebrałam wiadro ziemniaków", 1.0, "bucket"),
    ("cy", "wedi hel kilo o fefus", 1.0, "kg"), ("cy", "casglais i gilo a hanner o riwbob", 1.5, "kg"),
])  # fmt: skip
def test_a_measure_without_a_number_is_one_and_a_half_is_half_more(
    language: str, text: str, amount: float, unit: str
) -> None:
    (note,) = _notes(language, text)
    assert (note.amount, note.unit.value, note.sure) == (amount, unit, True)


def test_a_number_right_after_a_kilo_is_asked_about() -> None:
    """ "A kilo twenty" is 1.2 kg to some, and a slip to others."""
    (note,) = _notes("pl", "zebrałam bobu kilogram dwadzieścia")
    assert not note.sure


@pytest.mark.parametrize(("text", "done"), [
    ("8 sałat zjadły ślimaki", ["lost"]), ("posadzonych 5 kapust na trójce", ["planted out"]),
    ("cztery jarmuże nie przeżyły mrozu", ["lost"]), ("przerwałam buraki, potem podlałam piątkę", ["thinned", "watered"]),
    ("ogórki 3 szt. posadzone w tunelu", ["planted out"]), ("jarmuż przesadziłam na czwórkę", ["planted out"]),
    ("zdążyłam posadzić 10 kapust na czwórce", ["planted out"]), ("nie zdążyłam posadzić kapust na czwórce", []),
    ("podleję potem piątkę", []), ("zostawiam piątkę na potem, podlana nie jest", []),
])  # fmt: skip
def test_what_polish_members_say_was_done(text: str, done: list[str]) -> None:
    assert [note.action.value for note in _notes("pl", text)] == done


@pytest.mark.parametrize(("language", "text", "first", "last"), [
    ("pl", "nie ma mnie 9., 10. i 11. maja", (5, 9), (5, 11)), ("pl", "wylatuję 14-go, wracam 28-go", (5, 14), (5, 27)),
    ("pl", "nie ma mnie do piętnastego", (5, 5), (5, 15)), ("pl", "od dwudziestego do końca maja mnie nie ma", (5, 20), (5, 31)),
    ("pl", "od środy do końca tygodnia mnie nie ma", (5, 6), (5, 10)),
    ("pl", "od jutra jestem na chorobowym do 14-go", (5, 6), (5, 14)),
    ("pl", "dwa dni mnie nie będzie, czwartek i piątek", (5, 7), (5, 8)),
    ("cy", "ar wyliau tan ddiwedd y mis", (5, 5), (5, 31)), ("ar", "مش موجود السبت والحد", (5, 9), (5, 10)),
    ("en", "away from Wednesday until the end of the week", (5, 6), (5, 10)), ("en", "back on the fifteenth", (5, 5), (5, 14)),
])  # fmt: skip
def test_an_absence_is_read_whole_in_several_languages(
    language: str, text: str, first: tuple[int, int], last: tuple[int, int]
) -> None:
    assert read_days(text, say(language, "Europe/Warsaw"), TODAY) == (date(2026, *first), date(2026, *last))


@pytest.mark.parametrize(("text", "meant"), [
    ("jestem za daleko", Reply.NO), ("jestem za", Reply.YES), ("co dokładnie mam okryć", None), ("dokładnie", Reply.YES),
    ("nie zapomnę", Reply.YES), ("ja nie mogę", Reply.NO), ("da radę", Reply.YES), ("ni hu hu", Reply.NO),
    ("nie widzę problemu", Reply.YES), ("nie martwcie się, okryję", Reply.YES), ("nie, jestem chora", Reply.NO),
    ("nie", Reply.NO),
    ("nie kapuję tego", Reply.UNSURE), ("nie nie dam rady", Reply.NO),
])  # fmt: skip
def test_an_answer_is_told_from_what_only_sounds_like_it(text: str, meant: Reply | None) -> None:
    assert reply(say("pl", "Europe/Warsaw"), text) is meant
