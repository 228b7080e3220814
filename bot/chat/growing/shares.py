"""Buttons under a shared harvest: Picked my share, and Already picked, which names nobody."""

from __future__ import annotations

from bot.chat import names
from bot.chat.growing import shares_words as wording
from bot.chat.journal import journal_words as journal_wording
from bot.chat.request import Request
from bot.chat.warnings.announce import tell_organisers
from bot.core.growing.jobs.job import Item
from bot.core.growing.week import Job
from bot.i18n import Say
from bot.services.growing import shares, week
from bot.storage.states import MarkKind

__all__ = ["already_picked", "picked"]


async def picked(request: Request, found: week.Answer, job: Job) -> None:
    """The household's share goes into the journal, with an Undo; pressed again, the job is no longer there."""
    assert request.garden is not None and request.member is not None
    rules = found.outlook.crops
    for item in (one for one in job.items if one.share is not None):
        outcome = await shares.take(request.session, request.garden, request.member, item, rules, request.now)
        for text, buttons in journal_wording.replies(request.say, rules, [outcome]):
            await request.reply(text, buttons)


async def already_picked(request: Request, found: week.Answer, job: Job) -> None:
    """Nothing was left: it is off everybody's list for some days, and organisers hear that, without a name."""
    assert request.garden is not None and request.member is not None
    today = request.say.local(request.now).date()
    await week.mark(request.session, request.member, job, MarkKind.DONE, request.now, today)
    for item in (one for one in job.items if one.share is not None):
        await _tell_organisers(request, found, item)
    await request.reply(
        request.say.gettext(
            "Thank you for telling me. I am sorry that you came for nothing. I tell the organisers, without any names."
        )
    )


async def _tell_organisers(request: Request, found: week.Answer, item: Item) -> None:
    """Once a batch and week, however many find it empty."""
    assert request.garden is not None
    year, number, _ = request.say.local(request.now).date().isocalendar()
    place = found.outlook.garden.place_by_id.get(item.place_id or 0)

    def words(say: Say) -> str:
        what = names.crops(say, found.outlook.crops, [item.crop] if item.crop else [])
        return wording.found_empty(say, what, place.name if place else "")

    key = f"empty:{item.planting_id}:{year}-{number}"
    await tell_organisers(request.session, request.garden, key, words, request.now)
