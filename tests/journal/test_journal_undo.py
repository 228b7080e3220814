"""What was noted can be taken back, and both versions stay."""

from __future__ import annotations

from datetime import date, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.place_state import Sure
from bot.core.garden.snapshot import Cover, Stage
from bot.services.journal.outcome import Reason, Refused, Undone
from tests.journal.teasel_lane import CALLUM, FARAH, INES, PLACE_IDS, grow
from tests.journal.telling import Telling

APRIL = date(2026, 4, 10)


async def test_undo_takes_back_the_last_note_and_pressed_twice_it_counts_once(session: AsyncSession) -> None:
    await grow(session, "leek", "Bed 1", Stage.SEEDLING, 30, APRIL)
    telling = Telling(session)
    await telling.told(INES, "watered bed 1")
    kept = await telling.told(INES, "potted on the leeks")
    undone = await telling.undo(INES, kept.entries[0].id)
    assert isinstance(undone, Undone) and undone.writer is None
    assert await telling.growing("leek") == [(PLACE_IDS["Bed 1"], Stage.SEEDLING, 30)]
    assert await telling.undo(INES, kept.entries[0].id) == Refused(Reason.ALREADY_UNDONE)
    assert [entry.undone_at is None for entry in await telling.entries()] == [True, False]


async def test_the_word_undo_takes_back_one_s_own_last_note_only(session: AsyncSession) -> None:
    telling = Telling(session)
    await telling.told(INES, "sowed 12 peas in bed 1")
    await telling.told(CALLUM, "sowed 12 leeks in bed 2")
    (outcome,) = await telling.tell(INES, "undo")
    assert isinstance(outcome, Undone)
    assert await telling.growing("pea") == []
    assert len(await telling.growing("leek")) == 1
    (outcome,) = await telling.tell(INES, "undo")
    assert outcome == Refused(Reason.NOTHING_TO_UNDO)


async def test_an_old_note_is_not_taken_back_by_a_bare_word(session: AsyncSession) -> None:
    telling = Telling(session)
    kept = await telling.told(INES, "sowed 12 peas in bed 1")
    telling.now += timedelta(days=8)
    assert await telling.undo(INES) == Refused(Reason.NOTHING_TO_UNDO)
    assert isinstance(await telling.undo(INES, kept.entries[0].id), Undone)


async def test_a_parted_batch_is_whole_again(session: AsyncSession) -> None:
    await grow(session, "winter-squash", "Greenhouse", Stage.HARDENED, 10, APRIL)
    telling = Telling(session)
    kept = await telling.told(CALLUM, "planted out 6 squash in bed 2")
    await telling.undo(CALLUM, kept.entries[0].id)
    assert await telling.growing("winter-squash") == [(PLACE_IDS["Greenhouse"], Stage.HARDENED, 10)]


async def test_a_lost_batch_lives_again_and_a_cover_is_as_it_was(session: AsyncSession) -> None:
    await grow(session, "courgette", "Bed 1", Stage.GROWING, 1, APRIL)
    telling = Telling(session)
    lost = await telling.told(INES, "the frost got the courgette")
    await telling.undo(INES, lost.entries[0].id)
    assert await telling.growing("courgette") == [(PLACE_IDS["Bed 1"], Stage.GROWING, 1)]
    covered = await telling.told(INES, "covered bed 1 with fleece")
    assert await telling.lies_over("Bed 1") == (Cover.FLEECE, Sure.SURE)
    await telling.undo(INES, covered.entries[0].id)
    assert await telling.lies_over("Bed 1") == (Cover.NONE, Sure.NOT)


async def test_nothing_is_taken_back_once_somebody_has_gone_on_from_there(session: AsyncSession) -> None:
    await grow(session, "leek", "Greenhouse", Stage.SEEDLING, 30, APRIL)
    telling = Telling(session)
    potted = await telling.told(INES, "potted on the leeks")
    planted = await telling.told(CALLUM, "planted out the leeks in bed 2")
    assert await telling.undo(INES, potted.entries[0].id) == Refused(Reason.CHANGED_SINCE)
    assert await telling.growing("leek") == [(PLACE_IDS["Bed 2"], Stage.GROWING, 30)]
    await telling.undo(CALLUM, planted.entries[0].id)
    assert isinstance(await telling.undo(INES, potted.entries[0].id), Undone)


async def test_a_cover_changed_by_somebody_else_stays(session: AsyncSession) -> None:
    telling = Telling(session)
    covered = await telling.told(CALLUM, "covered pot 7 with fleece")
    await telling.told(INES, "uncovered pot 7")
    assert await telling.undo(CALLUM, covered.entries[0].id) == Refused(Reason.CHANGED_SINCE)
    assert [entry.undone_at for entry in await telling.entries()] == [None, None]


async def test_only_the_writer_or_an_organiser_corrects_and_both_versions_are_kept(session: AsyncSession) -> None:
    telling = Telling(session)
    kept = await telling.told(CALLUM, "sowed 12 peas in bed 2")
    assert await telling.undo(INES, kept.entries[0].id) == Refused(Reason.NOT_YOURS)
    outcome = await telling.undo(FARAH, kept.entries[0].id)
    assert isinstance(outcome, Undone) and outcome.writer is not None and outcome.writer.id == CALLUM
    first, second = await telling.entries()
    assert (first.words, first.member_id, first.undone_at is None) == ("sowed 12 peas in bed 2", CALLUM, False)
    assert (second.action, second.member_id, second.words) == ("undo", FARAH, "sowed 12 peas in bed 2")


async def test_anybody_corrects_what_is_the_groups_and_what_is_written_then_stands_in_its_place(
    session: AsyncSession,
) -> None:
    telling = Telling(session)
    await grow(session, "potato-first-early", "Pot 7", Stage.READY, 3, None)
    kept = await telling.told(CALLUM, "3 kg potatoes from pot 7")
    later = await telling.told(FARAH, "1 kg potatoes from pot 7")
    outcome = await telling.undo(INES, kept.entries[0].id)
    assert isinstance(outcome, Undone) and outcome.trace is not None and not outcome.trace.disputed
    right = await telling.told(INES, "2 kg potatoes from pot 7")
    assert right.entries[0].corrects_id == kept.entries[0].id
    assert later.entries[0].corrects_id is None and later.entries[0].undone_at is None
    again = await telling.told(INES, "1 kg potatoes from pot 7")
    assert again.entries[0].corrects_id is None, "what comes after is a harvest of its own"
    anew = await telling.told(CALLUM, "3 kg potatoes from pot 7")
    assert anew.entries[0].corrects_id == kept.entries[0].id
    outcome = await telling.undo(INES, anew.entries[0].id)
    assert isinstance(outcome, Undone) and outcome.trace is not None and outcome.trace.disputed
    assert [name for _, name in outcome.trace.entries] == ["Callum", "Ines", "Ines", "Callum", "Ines"]


async def test_one_message_of_two_deeds_is_taken_back_whole(session: AsyncSession) -> None:
    telling = Telling(session)
    outcomes = await telling.tell(INES, "sowed 12 peas and 10 leeks in bed 1")
    assert len(outcomes) == 2
    (first, _) = await telling.entries()
    await telling.undo(INES, first.id)
    assert await telling.growing("pea") == await telling.growing("leek") == []
