"""The calendar that the crop rules and the garden's climate propose, and what the forecast speaks against.

A proposed season in words, each entry with its reason, and what the forecast says against the calendar.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Mapping, Sequence
from datetime import date, datetime

from babel import dates
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import names
from bot.chat.calendar import calendar_words as wording
from bot.chat.calendar import pinned
from bot.chat.calendar.calendar_words import bounded, line
from bot.chat.garden.everyone import voice
from bot.chat.html import bold, safe
from bot.chat.request import Request
from bot.chat.screen import within
from bot.chat.wire.message import Button, post
from bot.core.calendar.entry import MOST_TITLE_N, EntryKind
from bot.core.calendar.proposal import Because, Proposal, Proposed, Reason
from bot.core.calendar.weather_conflicts import Contradiction, Trouble
from bot.core.growing.carrying import is_written_for
from bot.core.growing.crop import Crop, Days
from bot.core.growing.succession import Where
from bot.i18n import Say
from bot.services.calendar import entries
from bot.services.calendar import proposed_season as service
from bot.services.growing import rules, week
from bot.services.look import Look, quiet
from bot.storage.models import Garden
from bot.storage.people import members

SHOWN = 12


def title(say: Say, crops: Mapping[str, Crop], one: Proposed) -> str:
    """What the entry is called once it is taken, plain text."""
    crop = names.crop(say, crops, one.crop)
    if one.kind is EntryKind.SOW:
        return {
            Where.INDOORS: say.gettext("Sow indoors: {crop}", crop=crop),
            Where.UNDER_COVER: say.gettext("Sow under cover: {crop}", crop=crop),
            Where.OUTDOORS: say.gettext("Sow outdoors: {crop}", crop=crop),
        }[one.where or Where.OUTDOORS]  # fmt: skip
    return {
        EntryKind.CHIT: say.gettext("Let sprout (chit): {crop}", crop=crop),
        EntryKind.PLANT: say.gettext("Plant: {crop}", crop=crop),
        EntryKind.HARDEN_OFF: say.gettext("Harden off: {crop}", crop=crop),
        EntryKind.PLANT_OUT: say.gettext("Plant out: {crop}", crop=crop),
        EntryKind.HARVEST: say.gettext("First harvest: {crop}", crop=crop),
    }[one.kind]


def whose_days(say: Say, days: Days, *, written_for: bool) -> str | None:
    """Of which place the days are; nothing where they are simply right. written_for: whether the garden lies there."""
    if days is Days.CARRIED:
        return say.gettext("I worked out these days from cold nights near this garden.")
    if days is Days.UNKNOWN:
        return say.gettext(
            "This garden has no cold winter. My rules are only for places with a cold winter. So I give no days to "
            "sow. Ask people who grow here."
        )
    if written_for:
        return None
    return say.gettext(
        "These days are for lowland Britain. Send me how cold past nights were near you (minima.csv). Then the "
        "days will fit your garden."
    )


def proposed(
    say: Say, crops: Mapping[str, Crop], given: Proposal, whose: str | None = None, *, start: int = 0
) -> tuple[str, int]:
    """(text, how many entries are in it): entries from number start+1 on, as many as a phone shows at once and SHOWN at
    most. whose: whose days they are, said once, at the start. Why each stands there: `reasons`.
    """
    entries = given.entries[start : start + SHOWN]

    def below(shown_n: int) -> list[str | None]:
        rest = len(given.entries) - start - shown_n
        unsure = [n for n, one in enumerate(entries[:shown_n], start + 1) if _is_unsure(one)]
        return [
            caution(say, unsure) if unsure else None,
            say.ngettext("And {n} more.", "And {n} more.", rest) if rest else _too_frosty(say, crops, given),
        ]

    return within(
        [bold(say.gettext("My plan for this season. Tap what you want:")), whose if start == 0 else None],
        [
            say.gettext("{number}. {entry}", number=say.number(n), entry=_in_short(say, crops, one))
            for n, one in enumerate(entries, start + 1)
        ],
        below,
    )


def reasons(say: Say, crops: Mapping[str, Crop], given: Proposal, start: int, end: int) -> str:
    """Why entries start+1 to end stand where they do."""
    parts = [bold(say.gettext("Why these days:"))]
    for n, one in enumerate(given.entries[start:end], start + 1):
        why = [one_reason(say, reason) for reason in one.reasons if reason.code is not Because.FROSTS_UNKNOWN]
        known = {"number": say.number(n), "entry": _in_short(say, crops, one), "why": " ".join(why)}
        parts.append(say.gettext("{number}. {entry}. {why}", **known))
    unsure = [n for n, one in enumerate(given.entries[start:end], start + 1) if _is_unsure(one)]
    return bounded(say, [*parts, *([caution(say, unsure)] if unsure else [])])


def _in_short(say: Say, crops: Mapping[str, Crop], one: Proposed) -> str:
    """An entry in a line: "1–14 May: Harden off: tomatoes"."""
    days = dates.format_interval(one.first_on, one.last_on, "MMMd", locale=say.locale)
    return say.gettext("{when}: {title}", when=str(days), title=safe(title(say, crops, one), MOST_TITLE_N))


def _is_unsure(one: Proposed) -> bool:
    return any(reason.code is Because.FROSTS_UNKNOWN for reason in one.reasons)


def caution(say: Say, numbers: Sequence[int]) -> str:
    """The caution that holds for several entries, said once."""
    return say.gettext(
        "Frost kills the plants in {numbers}. I don't know the frosts in this garden yet. Ask people who have grown here.",
        numbers=say.and_list(_runs(say, numbers)),
    )


def _runs(say: Say, numbers: Sequence[int]) -> list[str]:
    """ "1–9" and "11"."""
    found: list[list[int]] = []
    for n in numbers:
        if found and n == found[-1][-1] + 1:
            found[-1].append(n)
        else:
            found.append([n])
    return [say.number(run[0]) if len(run) == 1 else f"{say.number(run[0])}–{say.number(run[-1])}" for run in found]


def _too_frosty(say: Say, crops: Mapping[str, Crop], given: Proposal) -> str | None:
    if not given.too_frosty:
        return None
    crop = names.crops(say, crops, given.too_frosty)
    return say.gettext("Too much frost here. Grow only under cover: {crop}.", crop=crop)


def one_reason(say: Say, reason: Reason) -> str:
    low, high = reason.low or 0.0, reason.high or 0.0
    days = {"low": say.number(low), "high": say.number(high)}
    return {
        Because.WINDOW: say.gettext("The usual season."),
        Because.LAST_FROST: say.gettext("Chance of frost after that: {odds}.", odds=say.in_ten(low)),
        Because.FROSTS_UNKNOWN: say.gettext(
            "Frost kills it. I don't know the frosts in this garden yet. Ask people who have grown here."
        ),
        Because.BEFORE_PLANTING: say.gettext("{low} to {high} days before planting.", **days),
        Because.HARDENING: say.gettext("Hardening takes {low} to {high} days.", **days),
        Because.AFTER_START: say.gettext("{low} to {high} days after the start.", **days),
        Because.FIRST_FROST: say.gettext("Before the first autumn frost. In half of the years it has come by then."),
    }[reason.code]  # fmt: skip


def against(say: Say, crops: Mapping[str, Crop], found: Sequence[Contradiction], today: date) -> str:
    """To the organisers: what the forecast speaks against, and from when it would do."""
    parts = [bold(say.gettext("The weather does not fit the calendar:"))]
    for one in found:
        parts += [line(say, one.occurrence, today), _trouble(say, crops, one, today), _instead(say, one)]
    return bounded(say, parts)


def _trouble(say: Say, crops: Mapping[str, Crop], one: Contradiction, today: date) -> str:
    crop = names.crop(say, crops, one.occurrence.entry.crop or "")
    day = say.day(one.on or today)
    return {
        Trouble.COLD_NIGHT: say.gettext(
            "The night of {day} may damage {crop} outdoors: {odds}.", day=day, crop=crop, odds=say.in_ten(one.odds or 0.0)
        ),
        Trouble.NOT_YET: say.gettext("{crop} should not go out yet.", crop=crop),
        Trouble.GUST: say.gettext("{day}: the wind is too strong for work outdoors.", day=day),
        Trouble.THUNDER: say.gettext("{day}: thunder is likely. Nobody should be outdoors.", day=day),
    }[one.trouble]  # fmt: skip


def _instead(say: Say, one: Contradiction) -> str:
    if one.new_first_on is None:
        return say.gettext("I see no better day yet. I will keep looking.")
    return say.gettext("{day} or later is better. Move it?", day=say.day(one.new_first_on))


async def show(request: Request, start: int = 0) -> None:
    """A screen of proposed entries, each with why; a tap takes one, or all of the screen."""
    say, garden = request.say, request.garden
    assert garden is not None
    given = await service.proposal(request.session, garden, request.now)
    crops = await rules.of_garden(request.session, garden.id)
    whose = whose_days(
        say, next(iter(crops.values())).days, written_for=is_written_for(garden.latitude, garden.longitude)
    )
    if given is None or not given.entries:
        nothing = say.gettext("I don't know of any crops here yet, so I cannot plan a season.")
        await request.reply(whose if given is None and whose is not None else nothing)
        return
    text, shown_n = proposed(say, crops, given, whose, start=start)
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
    await request.reply(reasons(request.say, crops, given, *span))


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
    titled = [(one, title(say, crops, one)) for one in chosen]
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
                text=against(say, outlook.crops, [one], say.local(now).date()),
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
    if found is None or int(found[2]) - int(found[1]) > SHOWN:
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
