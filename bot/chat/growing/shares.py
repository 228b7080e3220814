"""Buttons under a shared harvest: Picked my share, and Already picked, which names nobody."""

from __future__ import annotations

from bot.chat import names
from bot.chat.growing import shares_words as wording
from bot.chat.journal import journal_words as journal_wording
from bot.chat.request import Turn
from bot.chat.warnings.announce import tell_organisers
from bot.core.growing.jobs.job import Item
from bot.core.growing.week import Job
from bot.i18n import Say
from bot.services.growing import shares, week
from bot.storage.states import MarkKind

__all__ = ["already_picked", "picked"]


async def picked(turn: Turn, found: week.Answer, job: Job) -> None:
    """The household's share goes into the journal, with an Undo; pressed again, the job is no longer there."""
    assert turn.garden is not None and turn.member is not None
    rules = found.outlook.crops
    for item in (one for one in job.items if one.share is not None):
        outcome = await shares.take(turn.session, turn.garden, turn.member, item, rules, turn.now)
        for text, buttons in journal_wording.replies(turn.say, rules, [outcome]):
            await turn.reply(text, buttons)


async def already_picked(turn: Turn, found: week.Answer, job: Job) -> None:
    """Nothing was left: it is off everybody's list for some days, and organisers hear that, without a name."""
    assert turn.garden is not None and turn.member is not None
    today = turn.say.local(turn.now).date()
    await week.mark(turn.session, turn.member, job, MarkKind.DONE, turn.now, today)
    for item in (one for one in job.items if one.share is not None):
        await _tell_organisers(turn, found, item)
    await turn.reply(
        turn.say.gettext(
            "Thank you for telling me, and sorry you came for nothing. The organisers hear it; nobody is named."
        )
    )


async def _tell_organisers(turn: Turn, found: week.Answer, item: Item) -> None:
    """Once a batch and week, however many find it empty."""
    assert turn.garden is not None
    year, number, _ = turn.say.local(turn.now).date().isocalendar()
    place = found.outlook.garden.place_by_id.get(item.place_id or 0)

    def words(say: Say) -> str:
        what = names.crops(say, found.outlook.crops, [item.crop] if item.crop else [])
        return wording.found_empty(say, what, place.name if place else "")

    key = f"empty:{item.planting_id}:{year}-{number}"
    await tell_organisers(turn.session, turn.garden, key, words, turn.now)
