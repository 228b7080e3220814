"""/away: days on which I am not there, so that I am not asked. Read back, and counted only after a yes.

Days on which somebody is away: read back before they count, noted, listed, refused.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from bot.chat import names, rights
from bot.chat.html import bold, lines, safe
from bot.chat.language.line_tokens import Mistaken, Wrong
from bot.chat.people import away_days
from bot.chat.people.away_days import LONGEST_N, read_days
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.services.people import absences
from bot.services.people.absences import Given
from bot.storage.garden import gardens
from bot.storage.models import Away, Garden, Member

SHOWN_N = 6


def asked(
    say: Say, first_on: date, last_on: date, given: Given, places: Mapping[int, str], now: datetime, *, counted: bool
) -> str:
    """The days as they were read, and what a yes would give on. counted: only a number of days was written."""
    count = (last_on - first_on).days + 1
    today = say.local(now).date()
    if counted:
        first = say.ngettext(
            "{n} day from today: are you away only today, {last}?",
            "{n} days from today, until {last}: are you away then?",
            count,
            last=_day(say, last_on, today),
        )
    elif count == 1:
        first = say.gettext("Are you away on {day}?", day=_day(say, first_on, today))
    else:
        first = say.ngettext(
            "Are you away from {first} to {last} ({n} day)?",
            "Are you away from {first} to {last} ({n} days)?",
            count,
            first=_day(say, first_on, today),
            last=_day(say, last_on, today),
        )
    return lines([bold(first), *_given(say, given, places, now)])


def _given(say: Say, given: Given, places: Mapping[int, str], now: datetime) -> list[str]:
    if not given.count:
        return [say.gettext("You have no turns on these days.")]
    said = [
        say.gettext(
            "• {task}: {place}, by {time} ({day})",
            task=names.task(say, duty.kind),
            place=safe(places.get(duty.where_id, ""), 40),
            time=say.clock(duty.due_at),
            day=say.near_day(say.local(duty.due_at).date(), now),
        )
        for duty in given.of_warnings
    ]
    if given.walks_n:
        said.append(
            say.ngettext("• {n} turn of today's daily jobs", "• {n} turns of today's daily jobs", given.walks_n)
        )
    rest = len(said) - SHOWN_N
    more = [say.ngettext("• and {n} more", "• and {n} more", rest)] if rest > 0 else []
    return [say.gettext("If you say yes, I ask other people to do this:"), *said[:SHOWN_N], *more]


def buttons(say: Say, member_id: int, first_on: date, last_on: date) -> list[list[Button]]:
    days = f"{first_on:%Y%m%d}:{last_on:%Y%m%d}"
    return [[(say.gettext("Yes"), f"away:{member_id}:yes:{days}"), (say.gettext("No"), f"away:{member_id}:no")]]


def noted(say: Say, row: Away, freed: int, today: date) -> str:
    first = say.gettext(
        "Noted: you are away from {first} to {last}. I won't ask you then.",
        first=_day(say, row.from_on, today),
        last=_day(say, row.to_on, today),
    )
    given = (
        say.ngettext(
            "I ask other people to take {n} turn of yours.", "I ask other people to take {n} turns of yours.", freed
        )
        if freed
        else None
    )
    return lines([first, given])


def undo(say: Say, row: Away) -> list[list[Button]]:
    return [[(say.gettext("I am not away"), f"away:{row.member_id}:back:{row.id}")]]


def taken_back(say: Say, count: int) -> str:
    first = say.gettext("All right: you are not away then, and I can ask you to help.")
    again = say.ngettext("{n} turn is yours again.", "{n} turns are yours again.", count) if count else None
    return lines([first, again])


def listed(say: Say, rows: Sequence[Away], today: date) -> tuple[str, list[list[Button]]]:
    """What is noted, with a button to remove each, and how to write more."""
    if not rows:
        return how(say), []
    shown = rows[:SHOWN_N]
    said = [
        say.gettext(
            "{n}. {first} to {last}", n=n, first=_day(say, row.from_on, today), last=_day(say, row.to_on, today)
        )
        for n, row in enumerate(shown, 1)
    ]
    keys: list[list[Button]] = [
        [(say.gettext("Remove absence {n}", n=n), f"away:{row.member_id}:back:{row.id}")]
        for n, row in enumerate(shown, 1)
    ]
    return lines([bold(say.gettext("You are away:")), *said, how(say)]), keys


def how(say: Say) -> str:
    return say.gettext("From when to when? Write for example: /away 8-15 May, /away until Friday, or /away 3 days.")


def refused(say: Say, wrong: Wrong) -> str:
    """What is wrong with the days, and what to write."""
    words = {"value": safe(_shown(say, wrong.value), 40), "likely": safe(_shown(say, wrong.likely), 40)}
    return {
        Mistaken.NO_SUCH_DAY: say.gettext("There is no such day as {value}. Look at the month, and write it again.", **words),
        Mistaken.MONTH_FIRST: say.gettext("{value}: there is no such month. The day comes first. Write "
                                          "{likely}.", **words),
        Mistaken.BACKWARDS: say.gettext("That goes from {value} back to {likely}. Write the earlier day first.", **words),
        Mistaken.WRONG_WEEKDAY: say.gettext("{value} is another day of the week. Write the day that you mean.", **words),
        Mistaken.PAST: say.gettext("{value} is in the past. Write days in the future. For another year, write "
                                   "the year too.", **words),
        Mistaken.TOO_LONG: say.gettext("{value} days are too many. Write one year at most.", **words),
        Mistaken.TWO_DATES: say.gettext("I can read only one period at a time. Please send {value} in a new "
                                        "message.", **words),
        Mistaken.NO_LAST: say.gettext("Until when? Write both days, such as /away {value} to {likely}.", **words),
    }.get(wrong.code, how(say))  # fmt: skip


def _shown(say: Say, value: str) -> str:
    try:
        return say.long_day(date.fromisoformat(value))
    except ValueError:
        return value


def _day(say: Say, on: date, today: date) -> str:
    return say.day(on) if on.year == today.year else say.long_day(on)


WORD = "away"


def about(say: Say) -> str:
    return say.gettext("days you are away, so that I don't ask you")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    today = request.say.local(request.now).date()
    words = " ".join(request.text.split()[1:])[:200]
    if not words:
        rows = await absences.to_come(request.session, member, today)
        await request.reply(*listed(request.say, rows, today))
        return
    try:
        read = read_days(words, request.say, today)
    except Wrong as wrong:
        await request.reply(refused(request.say, wrong))
        return
    if read is None:
        await request.reply(how(request.say))
        return
    first_on, last_on = read
    await _ask(request, garden, member, first_on, last_on, counted=words.isdecimal())


async def guessed(request: Request, people: frozenset[str]) -> bool:
    """Whether days were told by a member of whom nothing else was understood; if so, it is asked whether they are away."""
    garden, member = request.garden, request.member
    if garden is None or member is None or not request.private:
        return False
    found = away_days.guessed(request.text, request.say, request.say.local(request.now).date(), people)
    if found is None:
        return False
    await _ask(request, garden, member, *found, counted=False)
    return True


async def _ask(
    request: Request, garden: Garden, member: Member, first_on: date, last_on: date, *, counted: bool
) -> None:
    given = await absences.would_give(request.session, member, first_on, last_on, request.now)
    places = {place.id: place.name for place in (await gardens.snapshot(request.session, garden)).places}
    await request.reply(
        asked(request.say, first_on, last_on, given, places, request.now, counted=counted),
        buttons(request.say, member.id, first_on, last_on),
    )


async def press(request: Request, rest: str) -> None:
    """ "member id:yes:first:last", "member id:no" or "member id:back:absence id", from that member only."""
    number, _, said = rest.partition(":")
    deed, _, value = said.partition(":")
    member_id = rights.whole(number)
    found = await rights.own(request, member_id) if member_id is not None else None
    if found is None:
        return
    if deed == "yes":
        await _add(request, found[1], value)
    elif deed == "back":
        count = await absences.take_back(request.session, found[1], rights.whole(value) or 0)
        await request.change(
            request.say.gettext("You have cancelled that already.") if count is None else taken_back(request.say, count)
        )
    elif deed == "no":
        await request.change(request.say.gettext("All right, I note nothing, and you keep your turns."))
    else:
        await rights.stale(request)


async def _add(request: Request, member: Member, value: str) -> None:
    try:
        first_on, last_on = (datetime.strptime(day, "%Y%m%d").date() for day in value.split(":"))  # noqa: DTZ007
    except ValueError:
        await rights.stale(request)
        return
    today = request.say.local(request.now).date()
    if not today <= last_on or not first_on <= last_on or (last_on - first_on).days >= LONGEST_N:
        await request.change(refused(request.say, Wrong(Mistaken.PAST, last_on.isoformat())))
        return
    known = await absences.same(request.session, member, first_on, last_on)
    if known is not None:
        await request.change(noted(request.say, known, 0, today), undo(request.say, known))
        return
    row, freed = await absences.add(request.session, member, max(first_on, today), last_on, request.now)
    await request.change(noted(request.say, row, freed, today), undo(request.say, row))
