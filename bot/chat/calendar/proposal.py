"""The calendar that the crop rules and the garden's climate propose, and what the forecast speaks against."""

from __future__ import annotations

import hashlib
import re
from datetime import date, datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.calendar import calendar_words as wording
from bot.chat.calendar import pinned, proposal_words
from bot.chat.request import Request
from bot.chat.warnings.announce import voice
from bot.chat.wire.message import Button, post
from bot.core.calendar.proposal import Proposed
from bot.core.calendar.weather_conflicts import Contradiction
from bot.core.growing.carrying import is_written_for
from bot.services.calendar import entries
from bot.services.calendar import proposed_season as service
from bot.services.growing import rules, week
from bot.services.look import Look, quiet
from bot.storage.models import Garden
from bot.storage.people import members

__all__ = ["flag", "move", "show", "take", "why"]


async def show(request: Request, start: int = 0) -> None:
    """A screen of proposed entries, each with why; a tap takes one, or all of the screen."""
    say, garden = request.say, request.garden
    assert garden is not None
    given = await service.proposal(request.session, garden, request.now)
    crops = await rules.of_garden(request.session, garden.id)
    whose = proposal_words.whose_days(
        say, next(iter(crops.values())).days, written_for=is_written_for(garden.latitude, garden.longitude)
    )
    if given is None or not given.entries:
        nothing = say.gettext("I don't know of any crops here yet, so I cannot plan a season.")
        await request.reply(whose if given is None and whose is not None else nothing)
        return
    text, shown_n = proposal_words.proposed(say, crops, given, whose, start=start)
    end = start + shown_n
    numbers: list[Button] = [
        (say.gettext("Add entry {n}", n=say.number(n)), f"cal:take:{_id(one)}")
        for n, one in enumerate(given.entries[start:end], start + 1)
    ]
    buttons = [numbers[n : n + 4] for n in range(0, len(numbers), 4)]
    buttons.append([
        (say.gettext("All of these"), f"cal:takeall:{start}-{end}"),
        (say.gettext("Why these days"), f"cal:why:{start}-{end}"),
    ])  # fmt: skip
    if len(given.entries) > end:
        buttons.append([(say.gettext("Show more entries"), f"cal:more:{end}")])
    await request.reply(text, buttons)


async def why(request: Request, what: str) -> None:
    """Why the entries of one screen stand where they do. what: "START-END"."""
    assert request.garden is not None
    given = await service.proposal(request.session, request.garden, request.now)
    span = _span(what)
    if given is None or span is None or not given.entries[slice(*span)]:
        await _gone(request)
        return
    crops = await rules.of_garden(request.session, request.garden.id)
    await request.reply(proposal_words.reasons(request.say, crops, given, *span))


async def take(request: Request, rest: str) -> None:
    """Entries become drafts; publishing is asked for apart. rest: "take:ID" or "takeall:START-END"."""
    say, garden, member = request.say, request.garden, request.member
    assert garden is not None and member is not None
    verb, _, what = rest.partition(":")
    given = await service.proposal(request.session, garden, request.now)
    every = given.entries if given else ()
    span = _span(what) if verb == "takeall" else None
    chosen = every[slice(*span)] if span else tuple(one for one in every if _id(one) == what)
    if not chosen:
        await request.reply(say.gettext("This is no longer in my plan. Send /calendar propose for the newest plan."))
        return
    crops = await rules.of_garden(request.session, garden.id)
    titled = [(one, proposal_words.title(say, crops, one)) for one in chosen]
    await entries.put(
        request.session, garden.id, member, await service.taken(request.session, garden, titled), request.now
    )
    count = len(await entries.drafts(request.session, garden.id))
    await request.reply(
        say.ngettext(
            "{n} entry is waiting. Publish it for all members?",
            "{n} entries are waiting. Publish them for all members?",
            count,
        ),
        [[(say.gettext("Publish the entries"), "cal:publish"), (say.gettext("Delete the entries"), "cal:drop")]],
    )


async def flag(session: AsyncSession, garden: Garden, outlook: Look, now: datetime) -> None:
    """Tell organisers once of each entry that the forecast speaks against, with a proposal."""
    for one in await service.against_weather(
        session, garden, outlook, await week.advice(session, garden, outlook, now), now
    ):
        for organiser in await members.organisers(session, garden.id):
            if organiser.person.user_id is None:
                continue
            say = voice(garden, organiser.person.language)
            buttons = [[(say.gettext("Move the entry"), f"cal:move:{one.occurrence.key}")]] if one.new_first_on else []
            await post(
                session,
                key=f"against:{one.key}:{organiser.id}",
                chat_id=organiser.person.user_id,
                text=proposal_words.against(say, outlook.crops, [one], say.local(now).date()),
                now=now,
                buttons=buttons,
                send_at=quiet(garden).ends_at(now),
                garden_id=garden.id,
            )


async def move(request: Request, key: str, outlook: Look) -> None:
    """Move one time of an entry to the day that looks better now; pressed twice, there is nothing left to move."""
    say, garden, member = request.say, request.garden, request.member
    assert garden is not None and member is not None
    advice = await week.advice(request.session, garden, outlook, request.now)
    found = await service.against_weather(request.session, garden, outlook, advice, request.now)
    one = next((each for each in found if each.occurrence.key == key), None)
    row = await entries.by_uid(request.session, garden.id, one.occurrence.entry.uid) if one else None
    if one is None or row is None or one.new_first_on is None:
        await request.reply(say.gettext("The forecast is good for it now. It stays on its day."))
        return
    await entries.move(request.session, row, member, one.occurrence.first_on, one.new_first_on, request.now)
    await pinned.pin(request.session, garden, request.now)
    await request.reply(_moved(request, one, one.new_first_on))


async def _gone(request: Request) -> None:
    await request.reply(
        request.say.gettext("This is no longer in my plan. Send /calendar propose for the newest plan.")
    )


def _span(text: str) -> tuple[int, int] | None:
    """The entries of one screen, as its buttons carry them: "0-7"."""
    found = re.fullmatch(r"(\d{1,4})-(\d{1,4})", text, re.ASCII)
    if found is None or int(found[2]) - int(found[1]) > proposal_words.SHOWN:
        return None
    return int(found[1]), int(found[2])


def _moved(request: Request, one: Contradiction, to_on: date) -> str:
    today = request.say.local(request.now).date()
    return request.say.gettext(
        "Moved to {day}: {entry}", day=request.say.day(to_on), entry=wording.line(request.say, one.occurrence, today)
    )


def _id(one: Proposed) -> str:
    """Short enough for a button, and the same while the list changes around it."""
    return hashlib.blake2s(f"{one.kind} {one.crop} {one.first_on.year}".encode(), digest_size=8).hexdigest()
