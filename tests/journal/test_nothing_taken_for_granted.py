"""Nothing is noted from a wish, a no, hearsay, another year or garden, or a figure that can hardly be, without asking."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.journal import journal_words as wording
from bot.chat.language import understand
from bot.core.garden.snapshot import Stage
from bot.i18n import say
from bot.services.journal.note import Action
from bot.services.journal.outcome import Outcome, QuestionKind, Reason, Recorded, Refused
from bot.storage.models import Entry, Reading
from tests.journal.teasel_lane import ENGLISH, INES, RULES, TODAY, grow, known
from tests.journal.telling import Telling

POLISH = say("pl", "Europe/London")
LOCAL = {POLISH.pgettext("crop", crop.name): key for key, crop in RULES.items()}


def _notes(text: str) -> tuple[Any, ...]:
    voice = POLISH if text.startswith("pl: ") else ENGLISH
    return understand(text.removeprefix("pl: "), voice, known(LOCAL if voice is POLISH else None), TODAY)


@pytest.mark.parametrize("text", [
    "last year we planted beans in bed 1", "pl: w zeszłym roku posadziliśmy pory",
    "two years ago we sowed leeks", "pl: dwa lata temu posialiśmy pory",
    "we always sowed peas in bed 2", "pl: zwykle sialiśmy marchew",
    "next week I will sow peas", "pl: w przyszłym tygodniu posieję marchew",
    "I'd love to have planted leeks", "I wish I had sowed carrots", "pl: oby wzeszła marchew",
    "we hope the beans are up", "pl: mam nadzieję że marchew wzeszła",
    "didn't water bed 1", "I didnt water bed 1", "pl: nie podlałam grządki 1",
    "haven't planted the leeks", "pl: jeszcze nie posadziłam pory", "nobody watered the tunnel", "pl: nikt nie podlał tunelu",
    "if it rained we watered bed 1 for nothing", "pl: jeśli pada to podlałam na darmo",
    "watered bed 1?", "watered bed 1?!", "watered bed 1 (?)", "pl: podlane?", "pl: pory posadzone?!",
    "I planted 3 tomatoes on my balcony at home", "pl: posadziłam 3 pomidory na balkonie",
    "2 kg potatoes from the supermarket", "pl: 2 kg marchew ze sklepu",
    "bought 2 kg of potatoes", "pl: kupiłam 2 kg marchew",
    "picked 3 kg of apples at my mum's", "pl: zebrałam 3 kg marchew u mamy",
])  # fmt: skip
def test_what_was_not_done_here_and_now_is_no_note(text: str) -> None:
    assert _notes(text) == ()


@pytest.mark.parametrize("text", [
    "Ola says the beans are planted", "pl: Ola mówi że posadziła pory",
    "Callum said he watered bed 1", "pl: podobno podlane, grządka 1, pomidory podlane",
    "apparently the carrots are up", "pl: podobno marchew wzeszła",
    "planted 3 tomatoes at home on the windowsill", "pl: posadziłam 3 pomidory na balkonie w domu",
    "planted leeks maybe 12", "I think I sowed 12 leeks", "pl: chyba posiałam pory",
    "planted beans last week", "pl: posadziłam pory w zeszłym tygodniu",
    "sowed peas on 20 December", "pl: posiałam marchew 20 grudnia",
    "planted leeks on 12 May 2025", "pl: posadziłam pory 12 maja 2025",
])  # fmt: skip
def test_what_is_doubtful_is_asked_about(text: str) -> None:
    notes = _notes(text)
    assert notes and not any(note.sure for note in notes)


@pytest.mark.parametrize(("text", "done_on"), [
    ("planted leeks two days ago", date(2026, 5, 12)), ("pl: posadziłam pory dwa dni temu", date(2026, 5, 12)),
    ("planted leeks the day before yesterday", date(2026, 5, 12)), ("pl: posadziłam pory przedwczoraj", date(2026, 5, 12)),
    ("planted leeks on Monday", date(2026, 5, 11)), ("pl: posadziłam pory w poniedziałek", date(2026, 5, 11)),
    ("planted leeks on the 12th of May", date(2026, 5, 12)), ("pl: posadziłam pory 12 maja", date(2026, 5, 12)),
    ("planted leeks this morning", TODAY), ("pl: posadziłam pory dziś rano", TODAY),
])  # fmt: skip
def test_the_day_is_read_wherever_it_stands(text: str, done_on: date) -> None:
    (note,) = _notes(text)
    assert (note.action, note.done_on, note.sure) == (Action.PLANTED_OUT, done_on, True)


def test_a_month_in_an_unknown_sorts_name_is_no_day() -> None:
    (note,) = _notes("planted 50 May Queen lettuces")
    assert (note.action, note.done_on, note.sure) == (Action.PLANTED_OUT, TODAY, False)


@pytest.fixture
def telling(session: AsyncSession) -> Telling:
    return Telling(session)


def _said(outcome: Outcome) -> str:
    ((text, _),) = wording.replies(ENGLISH, RULES, [outcome])
    return text


@pytest.mark.parametrize(("text", "reason", "said"), [
    ("sowed peas in bed 1 on the 35th of April", Reason.NO_SUCH_DAY, "35/4"),
    ("sowed peas in bed 1 on 31 April", Reason.NO_SUCH_DAY, "31/4"),
    ("sowed 20 peas 35 April in bed 1", Reason.NO_SUCH_DAY, "35/4"),
    ("sowed peas in bed 1 on 20 May", Reason.TO_COME, "20 May 2026 is in the future"),
    ("sowed peas in bed 1 on 20 May 2027", Reason.TO_COME, "20 May 2027 is in the future"),
    ("picked 5000 kg of rhubarb", Reason.OUT_OF_RANGE, "5000\N{NO-BREAK SPACE}kg"),
])  # fmt: skip
async def test_days_and_amounts_that_can_not_be_are_said_back(
    telling: Telling, text: str, reason: Reason, said: str
) -> None:
    (outcome,) = await telling.tell(INES, text)
    assert isinstance(outcome, Refused) and outcome.reason is reason
    assert said in _said(outcome)
    assert await telling.entries() == []


@pytest.mark.parametrize(("text", "said"), [
    ("300 kg of rhubarb", "Really 300\u00a0kg at one time?"), ("picked 600 courgettes", "Really 600 at one time?"),
    ("picked 100 bags of kale", "Really 100 bags at one time?"),
])  # fmt: skip
async def test_much_is_asked_about_with_the_figure_and_kept_on_a_yes(
    session: AsyncSession, telling: Telling, text: str, said: str
) -> None:
    for crop in ("rhubarb", "courgette", "kale"):
        await grow(session, crop, "Herbs <3 & co", Stage.READY, 5, None)
    asked = await telling.asked(INES, text)
    assert asked.kind is QuestionKind.MUCH and said in _said(asked)
    assert await telling.entries() == []
    assert isinstance(await telling.press(INES, asked, 0), Recorded)


async def test_ten_thousand_lettuces_are_asked_about(telling: Telling) -> None:
    asked = await telling.asked(INES, "sowed 10000 lettuces in bed 1")
    assert asked.kind is QuestionKind.MUCH and "Really 10,000 plants at one time?" in _said(asked)


async def test_what_a_crop_gives_decides_what_is_much(session: AsyncSession, telling: Telling) -> None:
    # rhubarb.toml: a fair crop is some kilograms a plant and season; of two plants nobody picks 25 kg in one go.
    await grow(session, "rhubarb", "Herbs <3 & co", Stage.READY, 2, None)
    own_kg = RULES["rhubarb"].harvest.yield_kg
    assert own_kg is not None and own_kg * 2 * 1.5 < 25 < 30
    assert (await telling.asked(INES, "25 kg of rhubarb")).kind is QuestionKind.MUCH
    await telling.told(INES, "3 kg of rhubarb")


async def test_another_year_is_shown_with_its_year(telling: Telling) -> None:
    asked = await telling.asked(INES, "sowed peas in bed 1 on 20 December")
    assert asked.kind is QuestionKind.CONFIRM and "20 December 2025" in _said(asked)


@pytest.mark.parametrize(("text", "evening"), [
    ("shed thermometer -1 yesterday morning", date(2026, 5, 12)),
    ("shed thermometer -1 this morning", date(2026, 5, 13)),
    ("shed thermometer -1 last night", date(2026, 5, 13)),
    ("shed thermometer -1 on Tuesday morning", date(2026, 5, 11)),
    ("shed thermometer -1 on Monday night", date(2026, 5, 11)),
    ("shed thermometer -1", date(2026, 5, 13)),
])  # fmt: skip
async def test_a_reading_is_of_the_night_that_was_meant(telling: Telling, text: str, evening: date) -> None:
    await telling.told(INES, text)
    assert await telling.session.scalar(select(Reading.night_on)) == evening


@pytest.mark.parametrize(("text", "evening"), [
    ("wczoraj rano -1, Shed", date(2026, 5, 12)), ("Shed -1 dziś rano", date(2026, 5, 13)),
    ("Shed -1 ostatniej nocy", date(2026, 5, 13)), ("Shed -1 we wtorek rano", date(2026, 5, 11)),
])  # fmt: skip
def test_a_reading_is_of_the_night_that_was_meant_in_polish(text: str, evening: date) -> None:
    (note,) = understand(text, POLISH, known(LOCAL), TODAY)
    assert (note.action, note.amount, note.evening_on) == (Action.READING, -1.0, evening)


async def test_yesterday_alone_may_be_either_night_and_is_asked(telling: Telling) -> None:
    asked = await telling.asked(INES, "-1 on the shed thermometer yesterday")
    assert asked.kind is QuestionKind.NIGHT
    ((_, buttons),) = wording.replies(ENGLISH, RULES, [asked])
    assert [label for row in buttons for label, _ in row] == [
        "Night before Wed 13 May",
        "Night before Thu 14 May",
        "Never mind",
    ]
    assert await telling.session.scalar(select(Entry.id)) is None
    await telling.press(INES, asked, 0)
    assert await telling.session.scalar(select(Reading.night_on)) == date(2026, 5, 12)


def test_metres_are_no_degrees() -> None:
    assert _notes("thermometer on the shed, 1.5 m, shaded") == ()
