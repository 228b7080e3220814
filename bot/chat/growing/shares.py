"""Buttons under a shared harvest: Picked my share, and Already picked, which names nobody.

A shared harvest in words: the household's share, and what is left. Nobody is named.
"""

from __future__ import annotations

from bot.chat import names
from bot.chat.garden.everyone import tell_organisers
from bot.chat.html import safe
from bot.chat.journal import journal_words as journal_wording
from bot.chat.request import Request
from bot.core.growing.harvest import Share
from bot.core.growing.jobs.job import Item, Job
from bot.i18n import Say
from bot.services.growing import shares, week
from bot.storage.states import MarkKind


def of_job(say: Say, job: Job) -> str | None:
    """None for what is not shared."""
    one = next((item.share for item in job.items if item.share is not None), None)
    return _share(say, one) if one is not None else None


def _share(say: Say, one: Share) -> str:
    if one.mine_kg is not None and one.of_kg is not None and one.left_kg is not None:
        return say.gettext(
            "Your household's share: about {mine}\u00a0kg of {all}\u00a0kg. {left}\u00a0kg are left.",
            mine=say.number(one.mine_kg, _digits(one.mine_kg)),
            all=say.number(one.of_kg, 1),
            left=say.number(one.left_kg, 1),
        )
    return say.ngettext(
        "Your household's share: {n} plant of {all}. {left} are left.",
        "Your household's share: {n} plants of {all}. {left} are left.",
        one.plants,
        all=say.number(one.of_plants),
        left=say.number(one.left_plants),
    )


def _digits(kg: float) -> int:
    """A small share is told to the ten grams."""
    return 1 if kg >= 0.1 else 2


def found_empty(say: Say, what: str, place: str) -> str:
    """To organisers."""
    return say.gettext(
        "Somebody went to pick their share of {what} ({place}). It was already gone. If nothing is left, write to "
        "me: cleared {place}. A message to the group about the shares may help.",
        what=what,
        place=safe(place, 40),
    )


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
        return found_empty(say, what, place.name if place else "")

    key = f"empty:{item.planting_id}:{year}-{number}"
    await tell_organisers(request.session, request.garden, key, words, request.now)
