"""/away: days on which I am not there, so that I am not asked. Read back, and counted only after a yes."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, timedelta

from bot.chat import rights
from bot.chat.calendar.lines.date_words import words as date_words
from bot.chat.calendar.lines.mistakes import Mistaken, Wrong
from bot.chat.language import spans
from bot.chat.language.day_spelling import spelt
from bot.chat.language.replies import Reply, reply
from bot.chat.language.spans import Days
from bot.chat.language.vocabulary import vocabulary
from bot.chat.people import away_words as wording
from bot.chat.request import Request
from bot.crops.find import fold
from bot.i18n import Say
from bot.services.people import absences
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member

WORD = "away"
_DAY = timedelta(days=1)
_LONGEST_N = 366
#: Days without a year that were lately, or lie further ahead than this, are rather over than of next year.
_AHEAD = timedelta(days=180)


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
        await request.reply(*wording.listed(request.say, rows, today))
        return
    try:
        read = read_days(words, request.say, today)
    except Wrong as wrong:
        await request.reply(wording.refused(request.say, wrong))
        return
    if read is None:
        await request.reply(wording.how(request.say))
        return
    first_on, last_on = read
    await _ask(request, garden, member, first_on, last_on, counted=words.isdecimal())


def read_days(words: str, say: Say, today: date) -> tuple[date, date] | None:
    """First and last day, all of the words read but what is said to be all right, "not tomorrow, but Thursday is fine"; a
    number alone counts days from today. Raises Wrong.
    """
    try:
        return _read(words, say, today)
    except Wrong as wrong:
        if wrong.code is not Mistaken.TWO_DATES or (front := _before_but(words, say)) is None:
            raise
    return _read(front, say, today)


def _before_but(words: str, say: Say) -> str | None:
    """What stands before a "but" after which they can come."""
    turning = {phrase[0] for phrase in vocabulary(say.language).turning if len(phrase) == 1}
    said = words.split()
    at = next((n for n, word in enumerate(said) if n and fold(word) in turning), None)
    after = "" if at is None else fold(" ".join(said[at + 1 :]))
    if not after or not (reply(say, after) is Reply.YES or after.startswith(tuple(date_words(say).back))):
        return None
    return " ".join(said[:at])


def _read(words: str, say: Say, today: date) -> tuple[date, date] | None:
    if words.isdecimal():
        count = int(words) if len(words) < 4 else _LONGEST_N + 1
        if count > _LONGEST_N:
            raise Wrong(Mistaken.TOO_LONG, words[:12])
        return (today, today + (count - 1) * _DAY) if count else None
    words = spelt(words, say)
    days = spans.coming(words, say, today)
    if days is None:
        return None
    rest = spans.without(words, days)
    if days.open_end and (last_on := _until(rest, say, today)) is not None and last_on > days.first_on:
        return max(days.first_on, today), last_on
    again = joint = None
    for since_on in (days.first_on, today) if days.first_on == days.last_on else (today,):
        again = spans.coming(rest, say, since_on)  # "leaving Thursday, returning Monday": the Monday after it
        joint = _joint(days, again) if again is not None else None
        if joint is not None:
            break
    left = spans.without(rest, again) if joint is not None and again is not None else rest
    number = re.search(r"\d[\d./-]*", left)
    if number or (again is not None and again.named and joint is None):
        raise Wrong(Mistaken.TWO_DATES, number[0] if number else rest[again.start : again.end] if again else "")
    if joint is not None:
        days = joint
    if days.open_end:
        raise Wrong(Mistaken.NO_LAST, say.day(days.first_on), say.day(days.first_on + 3 * _DAY))
    if days.next_year and days.first_on - today > _AHEAD:
        raise Wrong(Mistaken.PAST, _a_year_before(days.last_on).isoformat())
    if days.last_on < today:
        raise Wrong(Mistaken.PAST, days.last_on.isoformat())
    first_on = max(days.first_on, today)
    if (days.last_on - first_on).days >= _LONGEST_N:
        raise Wrong(Mistaken.TOO_LONG, str((days.last_on - first_on).days + 1))
    return first_on, days.last_on


def _joint(days: Days, again: Days) -> Days | None:
    """Two spans of one absence: "leaving Thursday, returning Monday", "a week off from the 25th", "the wedding is on 30 May,
    so not free 28 to 31"; None where they are two absences, or the second is only a part of a day.
    """
    lasts = not again.open_end and not again.named and again.last_on > again.first_on
    if lasts and (days.open_end or (days.named and days.first_on == days.last_on)):  # "hospital on 2 June, 6 weeks off"
        return replace(days, last_on=days.first_on + (again.last_on - again.first_on), open_end=False)
    if not days.named and again.named and again.first_on != again.last_on:
        return again  # "the whole week, 25-29 May"
    if not days.named and again.named:  # so many days, and their first
        return replace(
            days, first_on=again.first_on, last_on=again.first_on + (days.last_on - days.first_on), named=True
        )
    if not again.named:
        return None
    if days.first_on == days.last_on and again.first_on == days.first_on < again.last_on:  # until then, or back then
        return replace(days, last_on=again.last_on, open_end=False)
    if days.first_on == days.last_on and again.first_on <= days.first_on <= again.last_on:
        return again
    if again.first_on == again.last_on and days.first_on <= again.first_on <= days.last_on:
        return days
    if again.first_on < days.first_on and again.last_on == days.last_on:  # "over the weekend, back Monday"
        return days
    return None


def _until(text: str, say: Say, today: date) -> date | None:
    """The last day where the text names nothing but how long it lasts: "from Saturday I am ill until the 14th"."""
    until = spans.coming(text, say, today)
    if until is None or not until.named or until.first_on != today:
        return None
    rest = spans.without(text, until)
    more = spans.coming(rest, say, today)
    return None if re.search(r"\d", rest) or (more is not None and more.named) else until.last_on


def _a_year_before(on: date) -> date:
    return on.replace(year=on.year - 1, day=min(on.day, 28) if on.month == 2 else on.day)


async def _ask(
    request: Request, garden: Garden, member: Member, first_on: date, last_on: date, *, counted: bool
) -> None:
    given = await absences.would_give(request.session, member, first_on, last_on, request.now)
    places = {place.id: place.name for place in (await gardens.snapshot(request.session, garden)).places}
    await request.reply(
        wording.asked(request.say, first_on, last_on, given, places, request.now, counted=counted),
        wording.buttons(request.say, member.id, first_on, last_on),
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
            request.say.gettext("You have cancelled that already.")
            if count is None
            else wording.taken_back(request.say, count)
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
    if not today <= last_on or not first_on <= last_on or (last_on - first_on).days >= _LONGEST_N:
        await request.change(wording.refused(request.say, Wrong(Mistaken.PAST, last_on.isoformat())))
        return
    known = await absences.same(request.session, member, first_on, last_on)
    if known is not None:
        await request.change(wording.noted(request.say, known, 0, today), wording.undo(request.say, known))
        return
    row, freed = await absences.add(request.session, member, max(first_on, today), last_on, request.now)
    await request.change(wording.noted(request.say, row, freed, today), wording.undo(request.say, row))
