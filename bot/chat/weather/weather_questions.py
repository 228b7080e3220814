"""Questions about the weather, answered by the forecast at hand: the nights, rain and gusts of the days that are named."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from bot.chat import question_words as wording
from bot.chat.html import lines
from bot.chat.language import spans
from bot.chat.language.line_tokens import Wrong
from bot.chat.language.topics import Wanted
from bot.chat.request import Request
from bot.chat.warnings.told import Told
from bot.chat.weather import nights as outlook
from bot.chat.weather import weather_words
from bot.core.warnings import safety
from bot.core.weather.timeline import Day
from bot.services.look import Look, look


def named_days(request: Request) -> tuple[date, date] | None:
    """The days that the message speaks of; None where it names none."""
    today = request.say.local(request.now).date()
    try:
        found = spans.coming(request.text, request.say, today)
    except Wrong:
        return None
    return None if found is None else (found.first_on, found.last_on)


async def cold(request: Request, wanted: Wanted) -> None:
    days = named_days(request)
    if days is None:
        await outlook.answer(request)
        return
    seen = await looked(request)
    nights = [one for one in seen.nights if days[0] <= one.evening_on <= days[1]]
    if not nights:
        await _too_far(request, seen, days[0])
        return
    await with_age(request, seen, wording.frost(told_of(request, seen), nights))


async def weather_of(request: Request, wanted: Wanted) -> None:
    """Nights, rain and gusts of the days that are named, else the coming nights."""
    days = named_days(request)
    if days is None:
        await outlook.answer(request)
        return
    seen = await looked(request)
    told = told_of(request, seen)
    nights = [one for one in seen.nights if days[0] <= one.evening_on <= days[1]]
    by_day = [one for one in seen.days if days[0] <= one.on <= days[1]]
    if not nights and not by_day:
        await _too_far(request, seen, days[0])
        return
    parts = [wording.frost(told, nights), wording.rain(told, by_day), wording.wind(told, by_day)]
    await with_age(request, seen, lines(parts))


async def rain(request: Request, wanted: Wanted, above: str | None = None) -> None:
    """above: what is said first."""
    await _by_day(request, lambda told, days: lines([above, wording.rain(told, days)]))


async def wind(request: Request, wanted: Wanted) -> None:
    """Gusts, and first of all when nobody should be out today."""
    seen = await looked(request)
    today = request.say.local(request.now).date()
    known = safety.outdoors(seen.garden, seen.forecast) if seen.forecast is not None else ()
    of_today = [one for one in known if one.end_at > request.now and request.say.local(one.start_at).date() <= today]
    warned = [weather_words.not_then(request.say, one) for one in of_today]
    await _by_day(request, lambda told, days: lines([*warned, wording.wind(told, days)]))


async def _by_day(request: Request, worded: Callable[[Told, Sequence[Day]], str]) -> None:
    seen = await looked(request)
    today, days = request.say.local(request.now).date(), named_days(request)
    chosen = [one for one in seen.days if one.on >= today and (days is None or days[0] <= one.on <= days[1])]
    if days is not None and not chosen:
        await _too_far(request, seen, days[0])
        return
    await with_age(request, seen, worded(told_of(request, seen), chosen if days else chosen[:5]))


async def with_age(request: Request, seen: Look, text: str) -> None:
    if seen.forecast is None:
        text = request.say.gettext("I have no weather forecast now. Please look at one yourself before dusk.")
        await request.reply(text)
        return
    await request.reply(lines([text, weather_words.age(request.say, seen.forecast, request.now)]))


async def _too_far(request: Request, seen: Look, on: date) -> None:
    if seen.forecast is None:
        await with_age(request, seen, "")
    else:
        await request.reply(wording.none_then(request.say, on))


async def looked(request: Request) -> Look:
    assert request.garden is not None
    return await look(request.session, request.garden, request.source, request.now)


def told_of(request: Request, seen: Look) -> Told:
    return Told(request.say, seen.crops, request.now)
