"""What members ask for beside a question: a hand, a reminder, nothing heavy; and what goes on to the organisers.

Whether the cover may come off: until when it is needed, or that nothing cold is foreseen.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from datetime import UTC, datetime, time, timedelta

from bot.chat import question_words, rights
from bot.chat.garden.everyone import tell_everyone, tell_organisers
from bot.chat.html import lines, safe
from bot.chat.language import spans
from bot.chat.language.date_words import plain, words
from bot.chat.language.day_spans import Part
from bot.chat.language.line_tokens import Wrong, find_hours
from bot.chat.language.tokens import starts, tokens, with_numbers
from bot.chat.language.topics import Wanted, holds
from bot.chat.language.vocabulary import vocabulary
from bot.chat.people import keys
from bot.chat.request import Request
from bot.chat.tasks import answers
from bot.chat.tasks import what_is_on_words as wording
from bot.chat.warnings.told import Told
from bot.chat.weather import nights
from bot.chat.wire.message import Button, post
from bot.core.garden.place_state import Layer, State
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.garden import place_ledger
from bot.services.look import Look, look
from bot.services.warnings import settling
from bot.services.warnings.views import Kept
from bot.storage.states import SendState
from bot.storage.wire import said

_MOST_MIN = 24 * 60
_MORNING, _LATE, _FAR = time(8), timedelta(hours=12), timedelta(days=60)
#: When a part of a day is, to whoever wants to be reminded.
_OF_PART = {Part.MORNING: _MORNING, Part.AFTERNOON: time(14), Part.EVENING: time(18), Part.NIGHT: time(21)}


async def hands(request: Request, wanted: Wanted) -> None:
    """For what is theirs one more person is asked; else the group may be."""
    assert request.garden is not None
    theirs = await answers.is_open(request) and not holds("spread", request.say, wanted.words)
    if theirs and await answers.need(request):
        return
    text = request.say.gettext(
        "Should I ask everybody in the garden for you: “{words}”?", words=safe(request.text, 200)
    )
    keys_: list[list[Button]] = [[(request.say.gettext("Ask everybody"), f"ask:group-{request.update.update_id}")]]
    await request.reply(text, keys_)


async def ask_group(request: Request, number: str) -> None:
    """Once, in the writer's own words."""
    garden, member = request.garden, request.member
    earlier = await rights.earlier(request, number)
    message = earlier.get("message") if earlier is not None else None
    if garden is None or member is None or not isinstance(message, dict):
        await rights.stale(request)
        return
    said = safe(str(message.get("text") or ""), 300)
    await tell_everyone(
        request.session,
        garden,
        f"wish:{request.update.update_id}",
        lambda say: say.gettext("{name} asks: “{words}”. Can you? Please write to them here.",
                                name=safe(member.person.name, 40), words=said),
        request.now,
    )  # fmt: skip
    await request.change(request.say.gettext("All of you have it now."))


async def remind(request: Request, wanted: Wanted) -> None:
    """Their own words, at the time that they name; a bare hour is the next of it."""
    at = _moment(request)
    user = request.update.effective_user
    if user is None or at is None:
        await request.reply(
            request.say.gettext("When? Write for example: remind me tomorrow at 6 pm to bring the pots in")
        )
        return
    row = await post(
        request.session,
        key=f"remind:{request.update.update_id}",
        chat_id=user.id,
        text=request.say.gettext("You asked me to remind you: “{words}”", words=safe(request.text, 200)),
        now=request.now,
        send_at=at,
        expires_at=at + _LATE,
        garden_id=request.garden.id if request.garden is not None else None,
    )
    when = request.say.gettext(
        "{day}, {time}", day=request.say.near_day(request.say.local(at).date(), request.now), time=request.say.clock(at)
    )
    text = request.say.gettext("I remind you: {when}.", when=when)
    keys_: list[list[Button]] = (
        [[(request.say.gettext("Don't remind me"), f"ask:forget-{row.id}")]] if row is not None else []
    )
    await request.reply(text, keys_)


def _moment(request: Request) -> datetime | None:
    """When somebody wants to hear of it; None where no time is named, or it is past or far off."""
    say, local = request.say, request.say.local(request.now)
    try:
        days = spans.coming(request.text, say, local.date(), bare=False)
        rest = plain(spans.without(request.text, days) if days is not None else request.text)
        hours = find_hours(rest, days.start if days is not None else 0, words(say))
    except Wrong:
        return None
    if hours is None and days is None:
        wait = _wait(request)
        return request.now + wait if wait is not None else None
    on = days.first_on if days is not None else local.date()
    part_at = _OF_PART[days.part] if days is not None and days.part is not None else _MORNING
    at = datetime.combine(on, hours[0].starts if hours is not None else part_at, say.zone).astimezone(UTC)
    if at <= request.now and hours is not None and hours[0].starts.hour < 12:
        at += timedelta(hours=12)
    if at <= request.now and (days is None or not days.named):
        at += timedelta(days=1)
    return at if request.now < at < request.now + _FAR else None


def _wait(request: Request) -> timedelta | None:
    """ "In an hour", "in 20 minutes", "in half an hour"; None where no such time is told."""
    listed = vocabulary(request.say.language)
    said = with_numbers(tokens(request.text), listed.numbers, (), listed.tens, listed.times)
    units = words(request.say).clock_units
    for n, token in enumerate(said):
        minutes = units.get(plain(token.word))
        if minutes is None or n == 0:
            continue
        before = said[n - 1]
        starts_at = [n - len(phrase) for phrase in listed.half]
        half = any(start >= 0 and starts(said, start, listed.half) == tuple(range(start, n)) for start in starts_at)
        number = 0.5 if half else before.value if before.value is not None else 1.0
        return timedelta(minutes=number * minutes) if 0 < number * minutes < _MOST_MIN else None
    return None


async def forget(request: Request, number: str) -> None:
    """A reminder that has not gone out yet, to whoever asked for it."""
    row, user = await said.by_id(request.session, rights.whole(number)), request.update.effective_user
    own = row is not None and user is not None and row.chat_id == user.id and row.key.startswith("remind:")
    if row is None or not own or row.state is not SendState.PENDING:
        await rights.stale(request)
        return
    row.state = SendState.EXPIRED
    await request.change(request.say.gettext("All right, I don't remind you."))


async def lifting(request: Request, wanted: Wanted) -> None:
    """Shown before it counts, since heavy turns go to others with it; until a day, where one is named."""
    assert request.member is not None
    say = request.say
    today = say.local(request.now).date()
    try:
        days = spans.coming(request.text, say, today)
    except Wrong:
        days = None
    last_on = days.last_on if days is not None and today <= days.last_on <= today + _FAR * 6 else None
    if last_on is not None:
        text = say.gettext(
            "No heavy jobs for you until {day}? Then your heavy turns go to others.", day=say.day(last_on)
        )
        yes: Button = (say.gettext("Nothing heavy"), f"wish:{request.member.id}:rest:{last_on:%Y%m%d}")
    else:
        text = say.gettext(
            "No heavy jobs for you from now on, until you change it in /wishes? Then your heavy turns go to others."
        )
        yes = (say.gettext("Nothing heavy"), f"wish:{request.member.id}:kg:0")
    await request.reply(text, [[yes, (say.gettext("Other wishes"), "ask:wishes")]])


async def key_given(request: Request, wanted: Wanted) -> None:
    """An organiser goes on with the list; from anybody else organisers hear of it, who note who has a key."""
    assert request.garden is not None and request.member is not None
    if request.member.role is not Role.ORGANISER:
        await _pass_on(
            request,
            lambda say, name, said: say.gettext(
                "{name} writes about a key: “{words}”. Note it in /keys.", name=name, words=said
            ),
            request.say.gettext("Thank you. The organisers have it, and note who has the key."),
        )
        return
    await request.as_if(f"/{keys.WORD}", keys.answer)


async def broken(request: Request, wanted: Wanted) -> None:
    await _pass_on(
        request,
        lambda say, name, said: say.gettext("{name} writes that something is broken: “{words}”", name=name, words=said),
        request.say.gettext("Thank you. The organisers have it."),
    )


async def _pass_on(request: Request, words_: Callable[[Say, str, str], str], thanks: str) -> None:
    """To every organiser but the writer, in the writer's own words. words_: of a voice, their name and what they wrote."""
    assert request.garden is not None and request.member is not None
    name, said = safe(request.member.person.name, 40), safe(request.text, 200)
    key = f"passed:{request.update.update_id}"
    await tell_organisers(
        request.session, request.garden, key, lambda say: words_(say, name, said), request.now, but=request.member.id
    )
    await request.reply(thanks)


async def answer(request: Request, place_ids: Collection[int], crops: Collection[str]) -> None:
    """place_ids, crops: that are asked about; else what is covered now, as far as anybody has told, and where nobody has,
    what the coming night would have covered.
    """
    assert request.garden is not None
    seen = await look(request.session, request.garden, request.source, request.now)
    told = Told(request.say, seen.crops, request.now)
    asked = set(place_ids) or {one.place_id for one in seen.garden.plantings if one.crop in crops}
    asked = asked or _with(await place_ledger.states(request.session, seen.garden, request.now), Layer.COVER)
    kept = await _kept(request, seen, asked or seen.garden.place_by_id.keys())
    free = sorted(asked - {one.place.id for one in kept})
    said = wording.kept(request.say, seen.crops, kept, short=True)
    if free:
        said.append(question_words.risk(told, seen, free, []))
    if said:
        await request.reply(lines(said))
    else:
        await nights.answer(request)  # nothing is covered, and nothing wants to be: the nights say so


async def covered(request: Request, place_ids: Collection[int]) -> None:
    """What is covered now and what stands inside, as far as anybody has told. place_ids: that are asked about; else all."""
    assert request.garden is not None
    seen = await look(request.session, request.garden, request.source, request.now)
    say, where = request.say, seen.garden.place_by_id
    stands = await place_ledger.states(request.session, seen.garden, request.now)

    def names(layer: Layer) -> str:
        ids = sorted(_with(stands, layer) & set(place_ids or where))
        return say.and_list(safe(where[id_].name, 40) for id_ in ids)

    told = []
    if over := names(Layer.COVER):
        told.append(say.gettext("Covered now: {places}.", places=over))
    if inside := names(Layer.INSIDE):
        told.append(say.gettext("Inside now: {places}.", places=inside))
    nothing = say.gettext("Nothing there is covered or inside now.")
    await request.reply(lines([*(told or [nothing]), say.gettext("That is what people told me.")]))


def _with(stands: Mapping[int, State], layer: Layer) -> set[int]:
    return {id_ for id_, one in stands.items() if layer in one.on}


async def _kept(request: Request, seen: Look, place_ids: Collection[int]) -> list[Kept]:
    """Places whose cover is wanted on, or on again before anybody could put it back."""
    assert request.garden is not None
    wanted = await settling.wants(request.session, request.garden, seen, request.now)
    until = {id_: settling.left_on(wanted, id_, Layer.COVER, request.garden, request.now) for id_ in sorted(place_ids)}
    where = seen.garden.place_by_id
    return [Kept(where[id_], Layer.COVER, (), at) for id_, at in until.items() if at is not None and id_ in where]
