"""An absence is read whole, shown before it counts, and can be taken back; what can't be is refused with what to do."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sqlalchemy import select

from bot.chat.language.line_tokens import Mistaken, Wrong
from bot.chat.people.away_days import read_days
from bot.i18n import say
from bot.storage.models import Ask, Away, Task
from bot.storage.session import Database
from bot.storage.states import AskState, TaskState
from tests.support.talk import Talk, labels

ENGLISH, POLISH = say("en", "Europe/London"), say("pl", "Europe/Warsaw")
TODAY = date(2026, 5, 4)  # a Monday


def _may(first: int, last: int) -> tuple[date, date]:
    return date(2026, 5, first), date(2026, 5, last)


@pytest.mark.parametrize(
    ("english", "polish", "days"),
    [
        ("9 May to 12 May", "9 maja do 12 maja", _may(9, 12)),
        ("9-12 May", "9-12 maja", _may(9, 12)),
        ("8-15 May", "8-15 maja", _may(8, 15)),
        ("from 9 to 12 May", "od 9 do 12 maja", _may(9, 12)),
        ("8 May until the 15th", "8 maja do 15", _may(8, 15)),
        ("until 12 May", "do 12 maja", _may(4, 12)),
        ("until Friday", "do piątku", _may(4, 8)),
        ("from Friday till the 10th", "od piątku do 10", _may(8, 10)),
        ("tomorrow to Sunday", "od jutra do niedzieli", _may(5, 10)),
        ("Friday for 3 days", "od piątku na 3 dni", _may(8, 10)),
        ("next week", "w przyszłym tygodniu", _may(11, 17)),
        ("this weekend", "w ten weekend", _may(9, 10)),
        ("tomorrow", "jutro", _may(5, 5)),
        ("the day after tomorrow", "pojutrze", _may(6, 6)),
        ("for 3 days", "przez 3 dni", _may(4, 6)),
        ("3 days", "3 dni", _may(4, 6)),
        ("a week", "tydzień", _may(4, 10)),
        ("two weeks", "dwa tygodnie", _may(4, 17)),
        ("Saturday", "w sobotę", _may(9, 9)),
        ("on holiday 8-15 May", "na urlopie 8-15 maja", _may(8, 15)),
        ("8/5-15/5", "8/5-15/5", _may(8, 15)),
        ("2026-05-08 2026-05-15", "2026-05-08 2026-05-15", _may(8, 15)),
        ("2026-05-08 to 2026-05-15", "2026-05-08 do 2026-05-15", _may(8, 15)),
        ("1-6 May", "1-6 maja", _may(4, 6)),
        ("5", "5", _may(4, 8)),
        ("28 December to 3 January", "28 grudnia do 3 stycznia", None),
    ],
)
def test_an_absence_is_read_whole(english: str, polish: str, days: tuple[date, date] | None) -> None:
    if days is None:
        with pytest.raises(Wrong):  # seven months and more ahead, without a year: shown to be too vague
            read_days("1-3 April", ENGLISH, TODAY)
        days = date(2026, 12, 28), date(2027, 1, 3)
    assert read_days(english, ENGLISH, TODAY) == days
    assert read_days(polish, POLISH, TODAY) == days
    assert read_days(english, POLISH, TODAY) == days, "people mix their own language with English"


@pytest.mark.parametrize(
    ("english", "polish", "mistake"),
    [
        ("35 April", "35 kwietnia", Mistaken.NO_SUCH_DAY),
        ("31 June", "31 czerwca", Mistaken.NO_SUCH_DAY),
        ("8-35 May", "8-35 maja", Mistaken.NO_SUCH_DAY),
        ("1 April", "1 kwietnia", Mistaken.PAST),
        ("1-3 April", "1-3 kwietnia", Mistaken.PAST),
        ("2026-04-01", "2026-04-01", Mistaken.PAST),
        ("15-8 May", "15-8 maja", Mistaken.BACKWARDS),
        ("from Friday", "od piątku", Mistaken.NO_LAST),
        ("8-10 May and 15 May", "8-10 maja i 15 maja", Mistaken.TWO_DATES),
        ("8 May 12", "8 maja 12", Mistaken.TWO_DATES),
        ("tomorrow and Friday", "jutro i w piątek", Mistaken.TWO_DATES),
        ("400", "400", Mistaken.TOO_LONG),
        ("9" * 40, "9" * 40, Mistaken.TOO_LONG),
    ],
)
def test_days_that_can_not_be_are_refused(english: str, polish: str, mistake: Mistaken) -> None:
    for words, voice in ((english, ENGLISH), (polish, POLISH)):
        with pytest.raises(Wrong) as caught:
            read_days(words, voice, TODAY)
        assert caught.value.code is mistake


async def _absences(two_gardens: Database) -> list[tuple[date, date]]:
    async with two_gardens.begin() as session:
        return [(row.from_on, row.to_on) for row in await session.scalars(select(Away).order_by(Away.from_on))]


@pytest.mark.parametrize(("who", "words", "yes"), [
    ("Owen", "/away 8-15 May", "yes"), ("Kasia", "/away 8-15 maja", "tak"),
])  # fmt: skip
async def test_nothing_is_noted_before_a_yes(
    street: Talk, two_gardens: Database, who: str, words: str, yes: str
) -> None:
    (asked,) = await street.write(who, words)
    assert "8" in asked.text and "15" in asked.text and asked.text.splitlines()[0].endswith("?")
    assert await _absences(two_gardens) == []
    (noted,) = await street.write(who, yes)
    assert await _absences(two_gardens) == [_may(8, 15)]
    (back,) = await street.press(who, noted, labels(noted)[0])
    assert await _absences(two_gardens) == [] and back.text


async def test_the_days_are_shown_with_their_weekdays(street: Talk) -> None:
    (asked,) = await street.write("Owen", "/away 8-15 May")
    assert "from Fri 8 May to Fri 15 May (8 days)?" in asked.text


async def test_a_bare_number_is_asked_about_as_days_from_today(street: Talk, two_gardens: Database) -> None:
    (asked,) = await street.write("Owen", "/away 5")
    assert "5 days from today, until Thu 7 May: are you away then?" in asked.text
    await street.write("Owen", "no")
    assert await _absences(two_gardens) == []


@pytest.mark.parametrize(("words", "said"), [
    ("35 April", "no such day as 35/4"), ("1 April", "1 April 2026 is in the past"),
    ("400", "400 days"), ("soon", "/away 8-15 May"),
])  # fmt: skip
async def test_a_refusal_says_what_and_what_to_do(street: Talk, two_gardens: Database, words: str, said: str) -> None:
    (refused,) = await street.write("Owen", f"/away {words}")
    assert said in refused.text and not labels(refused)
    assert await _absences(two_gardens) == []


async def test_turns_are_given_on_by_the_yes_and_come_back_with_it(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/warn cold tonight")
    await street.tap("Miriam", "Send the warning")
    await street.look()
    who = next(name for name in ("Tobias", "Leila", "Owen", "Hana", "Deepa") if any(
        "Can you help" in line for line in street.said_to(name)))  # fmt: skip

    async def asks() -> list[tuple[AskState, TaskState]]:
        async with two_gardens.begin() as session:
            member = await street.row_of(session, who)
            rows = await session.execute(
                select(Ask.state, Task.state).join(Task, Task.id == Ask.task_id).where(Ask.member_id == member.id)
            )
            return [(ask, duty) for ask, duty in rows]

    before = await asks()
    assert AskState.ASKED in {ask for ask, _ in before}
    (shown,) = await street.write(who, "/away today")
    assert "If you say yes, I ask other people" in shown.text and "Pot" in shown.text
    assert await asks() == before
    (noted,) = await street.write(who, "yes")
    assert {ask for ask, _ in await asks()} == {AskState.PASSED}
    (back,) = await street.press(who, noted, "I am not away")
    assert await asks() == before and "again" in back.text


async def test_absences_are_listed_and_removed_one_by_one(street: Talk, two_gardens: Database) -> None:
    for words in ("8-10 May", "20-22 May"):
        await street.write("Owen", f"/away {words}")
        await street.write("Owen", "yes")
    (listed,) = await street.write("Owen", "/away")
    assert "Fri 8 May" in listed.text and "Wed 20 May" in listed.text
    kept = street.under("Owen", "Remove absence 1")
    await street.press("Owen", kept, "Remove absence 1")
    assert await _absences(two_gardens) == [_may(20, 22)]
    (gone,) = await street.press("Owen", kept, "Remove absence 1")
    assert "already" in gone.text


async def test_nobody_else_answers_or_takes_back(street: Talk, two_gardens: Database) -> None:
    await street.write("Tobias", "/help")
    (asked,) = await street.write("Owen", "/away 8-15 May")
    yes = next(key["callback_data"] for row in asked.keyboard for key in row)
    await street.forge("Tobias", yes)
    assert await _absences(two_gardens) == []
    await street.write("Owen", "yes")
    await street.write("Owen", "/away")
    async with two_gardens.begin() as session:
        row = (await session.scalars(select(Away))).one()
    await street.forge("Tobias", f"away:{row.member_id}:back:{row.id}")
    assert len(await _absences(two_gardens)) == 1


async def test_a_yes_that_comes_after_the_days_notes_nothing(street: Talk, two_gardens: Database) -> None:
    (asked,) = await street.write("Owen", "/away tomorrow")
    street.stage.clock.at += timedelta(days=3)
    (late,) = await street.press("Owen", asked, "Yes")
    assert "is in the past" in late.text and await _absences(two_gardens) == []
