"""What members report changes the records, and says what comes next."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.place_state import Sure
from bot.core.garden.snapshot import Cover, Stage
from bot.core.growing.stages import Basis, Reached
from bot.services.journal.outcome import Question, QuestionKind, Reason, Recorded, Refused
from bot.storage.models import Place, Planting
from tests.journal.teasel_lane import CALLUM, FARAH, INES, PLACE_IDS, TODAY, grow
from tests.journal.telling import Telling

APRIL = date(2026, 4, 10)


async def test_two_trays_of_peppers_are_a_batch_of_48_and_the_reply_can_say_so(session: AsyncSession) -> None:
    telling = Telling(session)
    kept = await telling.told(CALLUM, "sowed 2 trays of peppers in the greenhouse")
    assert await telling.growing("pepper") == [(PLACE_IDS["Greenhouse"], Stage.SOWN, 48)]
    assert kept.cells == 24
    (change,) = kept.changes
    assert change.planting is not None and change.planting.sown_on == TODAY
    # Peppers: 25 days at 15 C, the slowest of the table (Harrington & Minges 1954); no warmth of past days is known.
    assert change.coming == Reached(Stage.SEEDLING, Basis.DAYS, TODAY + timedelta(days=25))


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("sowed 2 trays of 40 leeks in the greenhouse", 80),
        ("sowed half a tray of leeks in the greenhouse", 12),
        ("sowed 3 pots of leeks in the greenhouse", 3),
        ("sowed 30 leeks in the greenhouse", 30),
    ],
)
async def test_plants_are_counted_by_what_was_said(session: AsyncSession, text: str, count: int) -> None:
    telling = Telling(session)
    await telling.told(CALLUM, text)
    assert [plants for _, _, plants in await telling.growing("leek")] == [count]


async def test_a_row_is_as_long_as_its_bed(session: AsyncSession) -> None:
    telling = Telling(session)
    await telling.told(INES, "sowed 2 rows of leeks in bed 1")
    in_row_cm = 15  # leeks, from the shared rule's file
    assert [plants for _, _, plants in await telling.growing("leek")] == [round(2 * 240 / in_row_cm)]


async def test_what_is_not_said_is_asked_and_the_answer_is_one_tap(session: AsyncSession) -> None:
    telling = Telling(session)
    where = await telling.asked(INES, "sowed carrots")
    assert where.kind is QuestionKind.PLACE
    assert where.options[0] == PLACE_IDS["Bed 1"], "her own bed comes first"
    assert PLACE_IDS["Bed 2"] not in where.options, "Callum's bed is not hers to sow"
    how_many = await telling.press(INES, where, 0)
    assert isinstance(how_many, Question) and how_many.kind is QuestionKind.COUNT
    kept = await telling.press(INES, how_many, how_many.options.index(48))
    assert isinstance(kept, Recorded)
    assert await telling.growing("carrot") == [(PLACE_IDS["Bed 1"], Stage.SOWN, 48)]


async def test_a_question_is_answered_once_and_only_by_whom_it_asked(session: AsyncSession) -> None:
    telling = Telling(session)
    question = await telling.asked(INES, "sowd 12 peas in bed 1")
    assert question.kind is QuestionKind.CONFIRM
    assert await telling.press(CALLUM, question, 0) == Refused(Reason.GONE)
    assert isinstance(await telling.press(INES, question, 0), Recorded)
    assert await telling.press(INES, question, 0) == Refused(Reason.GONE)
    assert len(await telling.growing("pea")) == 1


async def test_never_mind_keeps_nothing(session: AsyncSession) -> None:
    telling = Telling(session)
    question = await telling.asked(INES, "sowd 12 peas in bed 1")
    assert await telling.press(INES, question, -1) == Refused(Reason.NEVER_MIND)
    assert await telling.growing("pea") == []
    assert await telling.entries() == []


async def test_of_two_bean_batches_the_right_one_is_asked_for(session: AsyncSession) -> None:
    runners = await grow(session, "runner-bean", "Greenhouse", Stage.SEEDLING, 12, APRIL)
    french = await grow(session, "french-bean", "Kitchen windowsill", Stage.SEEDLING, 9, APRIL)
    telling = Telling(session)
    question = await telling.asked(CALLUM, "potted on the beans")
    assert (question.kind, question.options) == (QuestionKind.PLANTING, (runners, french, 0))
    kept = await telling.press(CALLUM, question, 1)
    assert isinstance(kept, Recorded)
    assert [stage for _, stage, _ in await telling.growing("french-bean")] == [Stage.POTTED_ON]
    assert [stage for _, stage, _ in await telling.growing("runner-bean")] == [Stage.SEEDLING]


async def test_all_of_them_changes_every_batch_and_undo_takes_all_back(session: AsyncSession) -> None:
    await grow(session, "runner-bean", "Greenhouse", Stage.SEEDLING, 12, APRIL)
    await grow(session, "french-bean", "Greenhouse", Stage.SEEDLING, 9, APRIL)
    telling = Telling(session)
    question = await telling.asked(CALLUM, "potted on the beans")
    kept = await telling.press(CALLUM, question, question.options.index(0))
    assert isinstance(kept, Recorded) and len(kept.entries) == 2
    await telling.undo(CALLUM, kept.entries[0].id)
    for crop in ("runner-bean", "french-bean"):
        assert [stage for _, stage, _ in await telling.growing(crop)] == [Stage.SEEDLING]


async def test_the_only_batch_that_fits_is_meant(session: AsyncSession) -> None:
    await grow(session, "runner-bean", "Bean bed", Stage.GROWING, 20, APRIL)
    await grow(session, "french-bean", "Greenhouse", Stage.SEEDLING, 9, APRIL)
    telling = Telling(session)
    await telling.told(CALLUM, "potted on the beans")
    assert [stage for _, stage, _ in await telling.growing("french-bean")] == [Stage.POTTED_ON]


async def test_planting_out_some_of_a_batch_leaves_the_rest_where_it_was(session: AsyncSession) -> None:
    await grow(session, "winter-squash", "Greenhouse", Stage.HARDENED, 10, APRIL)
    telling = Telling(session)
    kept = await telling.told(CALLUM, "planted out 6 squash from the greenhouse into bed 2")
    assert await telling.growing("winter-squash") == [
        (PLACE_IDS["Greenhouse"], Stage.HARDENED, 4),
        (PLACE_IDS["Bed 2"], Stage.GROWING, 6),
    ]
    (change,) = kept.changes
    assert change.made and change.coming is not None
    assert (change.coming.stage, change.coming.basis) == (Stage.READY, Basis.DAYS)


async def test_plants_that_were_bought_start_a_batch(session: AsyncSession) -> None:
    telling = Telling(session)
    await telling.told(CALLUM, "planted out 12 leeks in bed 2")
    assert await telling.growing("leek") == [(PLACE_IDS["Bed 2"], Stage.GROWING, 12)]


async def test_a_windowsill_batch_that_goes_out_is_asked_whither(session: AsyncSession) -> None:
    await grow(session, "courgette", "Kitchen windowsill", Stage.HARDENED, 3, APRIL)
    question = await Telling(session).asked(CALLUM, "planted out the courgettes")
    assert question.kind is QuestionKind.PLACE
    assert PLACE_IDS["Kitchen windowsill"] not in question.options


async def test_potatoes_from_pot_7_are_those_that_grow_there(session: AsyncSession) -> None:
    await grow(session, "potato-first-early", "Pot 3", Stage.GROWING, 2, APRIL)
    pot_7 = await grow(session, "potato-maincrop", "Pot 7", Stage.GROWING, 2, APRIL)
    telling = Telling(session)
    kept = await telling.told(CALLUM, "3 kg potatoes from pot 7")
    (entry,) = kept.entries
    assert (entry.planting_id, entry.amount, entry.unit, entry.words) == (
        pot_7, 3.0, "kg", "3 kg potatoes from pot 7",
    )  # fmt: skip
    assert await telling.growing("potato-maincrop") == [(PLACE_IDS["Pot 7"], Stage.READY, 2)]


async def test_losses_count_down_and_the_last_ends_the_batch(session: AsyncSession) -> None:
    await grow(session, "lettuce", "Bed 1", Stage.GROWING, 12, APRIL)
    telling = Telling(session)
    some = await telling.told(INES, "lost 5 lettuces to slugs")
    assert await telling.growing("lettuce") == [(PLACE_IDS["Bed 1"], Stage.GROWING, 7)]
    assert some.changes[0].planting is not None and some.changes[0].planting.count == 7
    rest = await telling.told(INES, "the slugs ate all the lettuces")
    assert await telling.growing("lettuce") == [(PLACE_IDS["Bed 1"], Stage.ENDED, 0)]
    assert rest.changes[0].planting is not None and rest.changes[0].planting.stage is Stage.ENDED
    assert rest.resow_until is not None and rest.resow_until > TODAY, "lettuces can be sown again in May"


async def test_how_many_the_frost_took_is_asked(session: AsyncSession) -> None:
    await grow(session, "courgette", "Bed 1", Stage.GROWING, 4, APRIL)
    telling = Telling(session)
    question = await telling.asked(INES, "the frost got the courgettes")
    assert (question.kind, question.options) == (QuestionKind.COUNT, (4, 3, 2, 1))
    kept = await telling.press(INES, question, 0)
    assert isinstance(kept, Recorded)
    assert await telling.growing("courgette") == [(PLACE_IDS["Bed 1"], Stage.ENDED, 0)]


async def test_covering_asks_with_what_and_uncovering_takes_it_off(session: AsyncSession) -> None:
    telling = Telling(session)
    question = await telling.asked(INES, "covered bed 1")
    assert question.kind is QuestionKind.COVER
    await telling.press(INES, question, question.options.index("cloche"))
    assert await telling.lies_over("Bed 1") == (Cover.CLOCHE, Sure.SURE)
    assert await telling.lies_over("Bed 1", days=1) == (Cover.CLOCHE, Sure.PERHAPS)
    telling.now += timedelta(hours=1)
    await telling.told(INES, "uncovered bed 1")
    assert await telling.lies_over("Bed 1") == (Cover.NONE, Sure.NOT)
    assert (await session.get_one(Place, PLACE_IDS["Bed 1"])).cover is Cover.NONE, "the record is the organisers'"


async def test_height_and_photo_are_kept_with_the_note(session: AsyncSession) -> None:
    batch = await grow(session, "runner-bean", "Bean bed", Stage.GROWING, 20, APRIL)
    telling = Telling(session)
    await telling.tell(CALLUM, "runner beans are 20 cm", photo_id="photo-of-the-beans")
    assert (await session.get_one(Planting, batch)).height_cm == 20.0
    (entry,) = await telling.entries()
    assert (entry.photo_id, entry.amount, entry.unit) == ("photo-of-the-beans", 20.0, "cm")


async def test_a_photo_waits_with_its_question(session: AsyncSession) -> None:
    telling = Telling(session)
    (question,) = await telling.tell(INES, "sowd 12 peas in bed 1", photo_id="photo-of-the-peas")
    assert isinstance(question, Question)
    await telling.press(INES, question, 0)
    assert [entry.photo_id for entry in await telling.entries()] == ["photo-of-the-peas"]


async def test_watering_a_place_is_noted_for_the_place(session: AsyncSession) -> None:
    telling = Telling(session)
    await telling.tell(CALLUM, "watered pots 3, 5 and 7")
    places = [entry.place_id for entry in await telling.entries()]
    assert places == [PLACE_IDS["Pot 3"], PLACE_IDS["Pot 5"], PLACE_IDS["Pot 7"]]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("potted on the leeks", Reason.NOT_GROWING),
        ("sowed 12 peas in bed 2", Reason.NOT_YOURS),
        ("cleared the kale", Reason.NOT_YOURS),
        ("harvested 5000 kg of chard", Reason.OUT_OF_RANGE),
        ("the chard is 2000 cm tall", Reason.OUT_OF_RANGE),
        ("beans not out before 20 May here", Reason.ORGANISERS_ONLY),
    ],
)
async def test_what_cannot_be_is_refused_with_its_reason(session: AsyncSession, text: str, reason: Reason) -> None:
    await grow(session, "kale", "Bed 2", Stage.GROWING, 5, APRIL)
    await grow(session, "chard", "Bed 1", Stage.GROWING, 5, APRIL)
    telling = Telling(session)
    (outcome,) = await telling.tell(INES, text)
    assert isinstance(outcome, Refused) and outcome.reason is reason
    assert await telling.entries() == []


async def test_an_organiser_notes_for_everybody_but_their_own_comes_first(session: AsyncSession) -> None:
    await grow(session, "kale", "Bed 2", Stage.GROWING, 5, APRIL)
    telling = Telling(session)
    await telling.told(FARAH, "cleared the kale")
    assert [stage for _, stage, _ in await telling.growing("kale")] == [Stage.ENDED]
    theirs = await grow(session, "chard", "Bed 1", Stage.GROWING, 5, APRIL)
    own = await grow(session, "chard", "Farah's bed", Stage.GROWING, 5, APRIL)
    kept = await telling.told(FARAH, "fed the chard")
    assert [entry.planting_id for entry in kept.entries] == [own] != [theirs]
