"""Questions and words in passing, answered: each topic of `language.topics` by one function."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence

from bot.chat import help, rights
from bot.chat import question_words as wording
from bot.chat.calendar import calendar
from bot.chat.growing import care_words, crop, crop_words, outdoors, thirst, week
from bot.chat.html import bold, lines
from bot.chat.journal import note
from bot.chat.language.openings import begins_question
from bot.chat.language.phrases import says
from bot.chat.language.tokens import is_question
from bot.chat.language.topics import Topic, Wanted, holds, is_open_yet
from bot.chat.people import away, keys, language, wishes
from bot.chat.request import Request
from bot.chat.screen import within
from bot.chat.tasks import answers, asked_for, daily, duty_words, hose_ban, on_call, swap, turns
from bot.chat.warnings import warning_words
from bot.chat.warnings.brief import headline
from bot.chat.warnings.told import Told
from bot.chat.weather import frost, picture, weather_questions, weather_words
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Stage
from bot.crops.find import fold
from bot.services.growing import watering
from bot.services.growing import week as week_service
from bot.services.look import Look
from bot.services.people import absences
from bot.services.season import report
from bot.services.warnings.events import What
from bot.services.warnings.views import WarningView, view
from bot.storage.people import members
from bot.storage.warnings import warnings as store

_WISHES = "wishes"
_PLACES_N = 4
Deed = Callable[[Request, Wanted], Awaitable[None]]


async def answer(request: Request, wanted: Wanted) -> None:
    """Answer one; the turn has a garden and a member."""
    await _DEEDS[wanted.topic](request, wanted)


async def press(request: Request, rest: str) -> None:
    """One of the things that a message may have meant, by its name; "group-update id": ask the group what that update
    asked; "forget-message id": a reminder.
    """
    deed, _, number = rest.partition("-")
    if deed in _OWN_DEEDS:
        await _OWN_DEEDS[deed](request, number)
        return
    if rest == _WISHES:
        await wishes.answer(request)
        return
    topic = next((one for one in _PRESSED if one.name.lower() == rest), None)
    if topic is None or request.garden is None or request.member is None:
        await rights.stale(request)
        return
    await answer(request, Wanted(topic))


# -- what is safe, and what grows


async def _safe(request: Request, wanted: Wanted) -> None:
    """A crop under cover: may it go out; else what the coming nights ask for."""
    assert request.garden is not None and request.member is not None
    found = await week_service.answer(request.session, request.garden, request.member, request.source, request.now)
    seen, keys_ = found.outlook, _keys(wanted)
    told = weather_questions.told_of(request, seen)
    waiting = [one for one in found.advice if one.crop in keys_]
    grown = [one for one in seen.garden.plantings if one.crop in keys_]
    stands = {one.place_id for one in grown}
    # Of a crop the place that is named may be where it is to go; what matters is where it stands.
    places = [id_ for id_ in wanted.places if not grown or id_ in stands] or [*stands]
    out = None if waiting else await outdoors.not_waiting(request, told, seen, keys_)
    if keys_ and not grown:
        await request.reply(lines([wording.where(told, seen.garden, keys_[:3]), *map(_harm(told), keys_[:1]), out]))
        return
    risk = lines(
        [wording.risk(told, seen, places, [key for key in keys_ if any(one.crop == key for one in grown)]), out]
    )
    text, is_whole = outdoors.some(told, seen, waiting, above=[risk]) if waiting else (risk, True)
    await request.reply(text, [] if is_whole else [[(request.say.gettext("Show all plants"), outdoors.ALL)]])


def _harm(told: Told) -> Callable[[str], str]:
    return lambda key: care_words.harm(told, told.crops[key])


def _keys(wanted: Wanted) -> list[str]:
    return list(dict.fromkeys(key for keys_ in wanted.crops for key in keys_))


async def _what_in(request: Request, wanted: Wanted) -> None:
    seen = await weather_questions.looked(request)
    places = [seen.garden.place_by_id[id_] for id_ in wanted.places if id_ in seen.garden.place_by_id]
    await request.reply(wording.what_in(weather_questions.told_of(request, seen), seen.garden, places))


async def _empty(request: Request, wanted: Wanted) -> None:
    seen = await weather_questions.looked(request)
    taken = {one.place_id for one in seen.garden.plantings if one.stage is not Stage.ENDED}
    await request.reply(wording.empty(request.say, [one for one in seen.garden.places if one.id not in taken]))


async def _watered(request: Request, wanted: Wanted) -> None:
    """When a place was last watered, and by whom, as far as that was written."""
    assert request.garden is not None
    seen = await weather_questions.looked(request)
    for id_ in wanted.places[:_PLACES_N]:
        entry = await watering.last(request.session, request.garden.id, id_)
        member = (
            await members.by_id(request.session, entry.member_id) if entry is not None and entry.member_id else None
        )
        place = seen.garden.place_by_id[id_]
        on = entry.done_on if entry is not None else None
        await request.reply(
            wording.watered(
                weather_questions.told_of(request, seen), place, on, member.person.name if member is not None else None
            )
        )


async def _uncover(request: Request, wanted: Wanted) -> None:
    await asked_for.answer(request, wanted.places, _keys(wanted))


async def _covered(request: Request, wanted: Wanted) -> None:
    await asked_for.covered(request, wanted.places)


async def _where(request: Request, wanted: Wanted) -> None:
    seen = await weather_questions.looked(request)
    await request.reply(wording.where(weather_questions.told_of(request, seen), seen.garden, _grown(seen, wanted)))


async def _holder(request: Request, wanted: Wanted) -> None:
    seen = await weather_questions.looked(request)
    places = [seen.garden.place_by_id[id_] for id_ in wanted.places if id_ in seen.garden.place_by_id]
    await request.reply(wording.holder(weather_questions.told_of(request, seen), seen.garden, places))


def _grown(seen: Look, wanted: Wanted) -> list[str]:
    """Of an ambiguous name those that grow here, else all."""
    keys_ = _keys(wanted)
    here = {one.crop for one in seen.garden.plantings}
    return [key for key in keys_ if key in here] or keys_


# -- crops

_PARTS: dict[Topic, crop_words.Part] = {
    Topic.DEPTH: crop_words.Part.SET_AT,
    Topic.SPACING: crop_words.Part.SET_AT,
    Topic.NEIGHBOURS: crop_words.Part.SET_AT,
    Topic.FIT: crop_words.Part.FITS,
    Topic.SOW: crop_words.Part.WHEN,
    Topic.READY: crop_words.Part.HARVEST,
    Topic.KEEP: crop_words.Part.HARVEST,
}


async def _crop(request: Request, wanted: Wanted) -> None:
    """The part of a crop's card that is asked for, with the whole by a button."""
    assert request.member is not None
    seen = await weather_questions.looked(request)
    told, keys_ = weather_questions.told_of(request, seen), _grown(seen, wanted)[:3]
    beds = crop.own_beds(seen.garden, request.member.id)
    part = _PARTS.get(wanted.topic)
    intro = wording.talk(request.say, Topic.NEIGHBOURS) if wanted.topic is Topic.NEIGHBOURS else None
    if part is None:
        fed = [care_words.feeding(told, told.crops[key]) if wanted.topic is Topic.FEED else None for key in keys_]
        texts = [one or care_words.care(told, told.crops[key]) for key, one in zip(keys_, fed, strict=True)]
    else:
        inches = crop.measures_in_inches(request.text)
        texts = [crop_words.part(told, told.crops[key], part, beds, inches=inches) for key in keys_]
    if len(keys_) == 1:
        whole: Button = (request.say.gettext("All about it"), f"crop:all-{keys_[0]}")
        care: Button = (request.say.gettext("Care and pests"), f"crop:{keys_[0]}")
        await request.reply(lines([intro, *texts]), [[whole, care]])
        return
    text, shown_n = within([intro], texts, lambda shown_n: [])
    await request.reply(text, _cards(told, keys_[shown_n:]))


def _cards(told: Told, keys_: Sequence[str]) -> list[list[Button]]:
    """A button for each crop, to its card."""
    return [[(crop_words.name(told, key), f"crop:all-{key}")] for key in keys_]


async def _whole_crop(request: Request, wanted: Wanted) -> None:
    seen = await weather_questions.looked(request)
    told, keys_ = weather_questions.told_of(request, seen), _grown(seen, wanted)[:3]
    if len(keys_) > 1:
        await request.reply(crop_words.which(told, keys_), _cards(told, keys_))
    else:
        assert request.garden is not None and request.member is not None
        await crop.card(request, request.garden, request.member, keys_[0])


# -- people


async def _turns(request: Request, wanted: Wanted) -> None:
    """What is theirs; where nothing is open, who is on call."""
    assert request.member is not None
    if await store.open_of_member(request.session, request.member.id) or await daily.soonest(
        request.session, request.member
    ):
        await turns.answer(request)
    else:
        await on_call.answer(request)


async def _swap(request: Request, wanted: Wanted) -> None:
    assert request.garden is not None and request.member is not None
    everyone = await members.in_garden(request.session, request.garden.id)
    others = [
        one.person.name for one in everyone if one.id != request.member.id and _is_named(one.person.name, wanted.people)
    ]
    await request.as_if(f"/swap {others[0] if len(others) == 1 else ''}".strip(), swap.answer)


def _is_named(name: str, people: Sequence[str]) -> bool:
    return bool(set(fold(name).split()) & set(people))


async def _away(request: Request, wanted: Wanted) -> None:
    if is_open_yet(request.say, wanted.words):
        await request.reply(
            request.say.gettext("I note nothing yet. Tell me when you know. Write for example: /away 8-15 May")
        )
        return
    asks = is_question(request.text) or begins_question(wanted.words.split(), request.say.language)
    asks = asks and not holds("unasked", request.say, wanted.words)  # "can you leave me off until Friday"
    await request.as_if("/away" if asks else f"/away {request.text}", away.answer)


async def _back(request: Request, wanted: Wanted) -> None:
    """An absence that runs today may be ended; what is open for them is shown again."""
    assert request.member is not None
    today = request.say.local(request.now).date()
    rows = [one for one in await absences.to_come(request.session, request.member, today) if one.from_on <= today]
    keys_: list[list[Button]] = [
        [(request.say.gettext("I am not away"), f"away:{request.member.id}:back:{one.id}")] for one in rows
    ]
    await request.reply(wording.talk(request.say, Topic.BACK), keys_)
    await answers.still_open(request)


async def _warnings(request: Request) -> tuple[Look, Told, list[WarningView]]:
    """Those that are called now, as they stand."""
    assert request.garden is not None
    seen = await weather_questions.looked(request)
    rows = await store.active(request.session, request.garden.id, request.now)
    shown = [await view(request.session, one, seen) for one in rows]
    return seen, weather_questions.told_of(request, seen), shown


async def _news(request: Request, wanted: Wanted) -> None:
    """What is called now, whose it is, and what is theirs."""
    seen, told, shown = await _warnings(request)
    if shown:
        await request.reply(lines([bold(request.say.gettext("Warnings now")), *(headline(told, one) for one in shown)]))
        await turns.answer(request)
    else:
        await weather_questions.with_age(request, seen, lines([request.say.gettext("There is no warning now. The coming nights:"),
                       *weather_words.coming(request.say, seen.nights, seen.days, 3)]))  # fmt: skip


async def _coming(request: Request, wanted: Wanted) -> None:
    """Who has said yes to what is called now; where nothing is, who is on call."""
    _, told, shown = await _warnings(request)
    if not shown:
        await on_call.answer(request)
    for one in shown:
        await request.reply(warning_words.group(told, warning_words.standing(What.EDIT, one), one))


async def _doing(request: Request, wanted: Wanted) -> None:
    """Who has said yes, was asked or has done what is called at these places; where nothing is, who is on call."""
    _, told, shown = await _warnings(request)
    duties = [duty for one in shown for duty in one.duties if duty.place.id in wanted.places]
    if duties:
        await request.reply(lines(duty_words.listing(told.say, told.crops, duties, asked=True)))
    else:
        await request.reply(request.say.gettext("I have asked nobody for anything there."))
        await on_call.answer(request)


async def _undo(request: Request, wanted: Wanted) -> None:
    await note.take_back(request)


async def _correct(request: Request, wanted: Wanted) -> None:
    if not await note.corrected(request, said_so=True):
        await note.last(request)


# -- the year


async def _picked(request: Request, wanted: Wanted) -> None:
    seen = await weather_questions.looked(request)
    await request.reply(
        wording.picked(weather_questions.told_of(request, seen), await _season(request, wanted), _keys(wanted))
    )


async def _lost(request: Request, wanted: Wanted) -> None:
    seen = await weather_questions.looked(request)
    await request.reply(wording.lost(weather_questions.told_of(request, seen), await _season(request, wanted)))


async def _season(request: Request, wanted: Wanted) -> report.Season:
    assert request.garden is not None
    last = says(
        request.say,
        wanted.words,
        lambda one: one.pgettext("words for last year", "last year|last season|last summer"),
    )
    year = request.say.local(request.now).year - last
    return await report.gather(request.session, request.garden, request.now, year)


def _said(topic: Topic) -> Deed:
    async def deed(request: Request, wanted: Wanted) -> None:
        await request.reply(wording.talk(request.say, topic))

    return deed


def _command(answer_: Callable[[Request], Awaitable[None]], word: str) -> Deed:
    """The command alone, whatever else was written."""

    async def deed(request: Request, wanted: Wanted) -> None:
        await request.as_if(f"/{word}", answer_)

    return deed


_DEEDS: dict[Topic, Deed] = {
    Topic.FROST: weather_questions.cold,
    Topic.WEATHER: weather_questions.weather_of,
    Topic.EMPTY: _empty,
    Topic.WATERED: _watered,
    Topic.LANGUAGE: _command(language.answer, language.WORD),
    Topic.PICTURE: _command(picture.answer, picture.WORD),
    Topic.WISHES: _command(wishes.answer, wishes.WORD),
    Topic.SOW_NOW: _command(crop.answer, crop.WORD),
    Topic.RAIN: weather_questions.rain,
    Topic.WIND: weather_questions.wind,
    Topic.UNCOVER: _uncover,
    Topic.COVERED: _covered,
    Topic.SAFE: _safe,
    Topic.WATER: thirst.answer,
    Topic.WHAT_IN: _what_in,
    Topic.WHERE: _where,
    Topic.HOLDER: _holder,
    Topic.CROP: _whole_crop,
    **dict.fromkeys((*_PARTS, Topic.FEED, Topic.PROBLEM), _crop),
    Topic.MY_TURN: _turns,
    Topic.WHO: _command(on_call.answer, on_call.WORD),
    Topic.COMING: _coming,
    Topic.DOING: _doing,
    Topic.SWAP: _swap,
    Topic.AWAY: _away,
    Topic.BACK: _back,
    Topic.HANDS: asked_for.hands,
    Topic.NEWS: _news,
    Topic.UNDO: _undo,
    Topic.CORRECT: _correct,
    Topic.KEY_GIVEN: asked_for.key_given,
    Topic.BROKEN: asked_for.broken,
    Topic.KEYS: _command(keys.answer, keys.WORD),
    Topic.HOSE: _command(hose_ban.answer, hose_ban.WORD),
    Topic.LAST_FROST: _command(frost.answer, frost.WORD),
    Topic.DIARY: _command(calendar.answer, calendar.WORD),
    Topic.OUT: _command(outdoors.answer, outdoors.WORD),
    Topic.WEEK: _command(week.answer, week.WORD),
    Topic.HELP: _command(help.answer, help.WORD),
    Topic.LIFTING: asked_for.lifting,
    Topic.REMIND: asked_for.remind,
    Topic.PICKED: _picked,
    Topic.LOST: _lost,
    **{topic: _said(topic) for topic in (Topic.STOP, Topic.SORRY, Topic.THANKS, Topic.HELLO, Topic.WHO_AWAY)},
}
_OWN_DEEDS: dict[str, Callable[[Request, str], Awaitable[None]]] = {
    "group": asked_for.ask_group,
    "forget": asked_for.forget,
}
#: What "I did not understand" may name.
_PRESSED = (Topic.FROST, Topic.RAIN, Topic.WIND, Topic.WEEK, Topic.OUT, Topic.MY_TURN, Topic.WHO, Topic.KEYS, Topic.AWAY,
            Topic.DIARY, Topic.HOSE, Topic.LAST_FROST, Topic.PICKED)  # fmt: skip
