"""Button presses. Each may come twice, late, or from somebody whose rights have changed: all is looked up again."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import replace
from functools import partial

from bot.chat import help as help_command
from bot.chat import questions, rights
from bot.chat.calendar import calendar as calendar_command
from bot.chat.garden import files, garden_choice, groups, places, setup_dialogue, shut, unheard, wording
from bot.chat.growing import crop, outdoors, own_crops, shares, stages_words
from bot.chat.growing import rules as rules_command
from bot.chat.growing import week as week_command
from bot.chat.growing import week as week_wording
from bot.chat.html import safe
from bot.chat.journal import disputes, last_notes, note
from bot.chat.people import away, departures, helpers, keys, me, members, newcomers, start, wishes
from bot.chat.people import language as language_command
from bot.chat.request import Request
from bot.chat.screen import show
from bot.chat.season import report
from bot.chat.tasks import (
    answers,
    ask_words,
    daily,
    duty_words,
    hose_ban,
    keeping_on,
    on_call,
    reported_done,
    safely_home,
    swap,
)
from bot.chat.warnings import calloff, limits, rehearse, warn, why
from bot.chat.warnings import warning_words as warning_wording
from bot.chat.warnings.announce import refresh_standing
from bot.chat.warnings.brief import headline
from bot.chat.warnings.told import Told
from bot.chat.weather import how_cold, learned
from bot.chat.wire import keyboards
from bot.core.growing.week import Job
from bot.core.warnings.hazards import Hazard
from bot.crops import loader
from bot.i18n import LANGUAGES, say
from bot.services.garden import place_ledger
from bot.services.growing import week
from bot.services.look import look
from bot.services.people.membership import reachable
from bot.services.tasks import completion
from bot.services.warnings.views import WarningView, view
from bot.storage.models import Member, Warning
from bot.storage.states import MarkKind
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store

Deed = Callable[[Request, Warning, Member], Awaitable[None]]
Deeds = Callable[[Request, Sequence[Warning], Member], Awaitable[None]]
#: More warnings than one message is ever about are forged.
_TOGETHER_N = 6


async def press(request: Request, data: str) -> None:
    """Do what a button says; a button of ours that no longer means anything is answered kindly."""
    verb, _, rest = data.partition(":")
    await PRESSES.get(verb, _unknown)(request, rest)


async def _more(request: Request, rest: str) -> None:
    """ "screen:data": the next screen of what a button shows."""
    number, _, data = rest.partition(":")
    screen = rights.whole(number)
    if screen is None or not data.startswith(_LONG):
        await rights.stale(request)
        return
    request.screen = screen
    await press(request, data)


async def _unknown(request: Request, rest: str) -> None:
    await rights.stale(request)


async def _about_warnings(deed: Deeds, request: Request, numbers: str) -> None:
    """One warning, or several that one message is about."""
    found = [await store.by_id(request.session, number) for number in keyboards.numbers(numbers)[:_TOGETHER_N]]
    warnings = [one for one in found if one is not None]
    member = await request.member_of(warnings[0].garden_id) if warnings else None
    if member is None or any(one.garden_id != member.garden_id for one in warnings):
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    await deed(request, warnings, member)


async def _each(deed: Deed, request: Request, warnings: Sequence[Warning], member: Member) -> None:
    for warning in warnings:
        await deed(request, warning, member)


async def _show_all(request: Request, warnings: Sequence[Warning], member: Member) -> None:
    """What a message in short leaves out, privately: all that is theirs, else all of the warning."""
    if not reachable(member) and not request.private:
        await request.reply(
            request.say.gettext(
                "{name}, I can show you all of it privately: open a chat with me, tap Start, and then tap "
                "“Show all” here.",
                name=safe(member.person.name, 40),
            )
        )
        return
    assert request.garden is not None
    outlook = await look(request.session, request.garden, request.source, request.now)
    shown = [await view(request.session, one, outlook) for one in warnings]
    told = Told(request.say, outlook.crops, request.now)
    if request.private and (mine := ask_words.whole(told, shown, member.id)):
        await show(request, mine, f"all:{keyboards.ids(one.id for one in shown)}")
    else:
        await _show_warnings(request, told, shown)


async def _show_warnings(request: Request, told: Told, shown: Sequence[WarningView]) -> None:
    text = "\n\n".join(warning_wording.whole(told, one) for one in shown)
    await show(request, text, f"whole:{keyboards.ids(one.id for one in shown)}", privately=True)


async def _whole(request: Request, warnings: Sequence[Warning], member: Member) -> None:
    """The next screen of all of a warning, for whoever began to read it."""
    assert request.garden is not None
    outlook = await look(request.session, request.garden, request.source, request.now)
    shown = [await view(request.session, one, outlook) for one in warnings]
    await _show_warnings(request, Told(request.say, outlook.crops, request.now), shown)


async def _why(request: Request, warning: Warning, member: Member) -> None:
    """The chain of the thing most at risk, privately, so that the group's chat stays short."""
    assert request.garden is not None
    outlook = await look(request.session, request.garden, request.source, request.now)
    shown = await view(request.session, warning, outlook)
    told = Told(request.say, outlook.crops, request.now)
    threat = next(
        (one for one in outlook.threats if (one.hazard, one.window_on) == (warning.hazard, warning.window_on)), None
    )
    if threat is None:
        await request.whisper(request.say.gettext("My forecast no longer covers that time."))
        return
    worst = max(threat.findings, key=lambda finding: finding.probability)
    _, sources, _ = loader.load_rules()
    more = stages_words.reckoned(told, outlook, [worst.planting_id] if worst.planting_id else [])
    rain = warning.hazard is Hazard.RAIN
    text = why.chain(request.say, headline(told, shown), worst.chain, sources, rain=rain, more=more)
    await show(request, text, f"why:{warning.id}", privately=True)


async def _undone(request: Request, warning: Warning, member: Member) -> None:
    """Which of the things reported done is not? Nobody is named."""
    assert request.garden is not None
    shown = await view(
        request.session, warning, await look(request.session, request.garden, request.source, request.now)
    )
    buttons = keyboards.undone(request.say, shown)
    if not buttons:
        await request.whisper(request.say.gettext("Nobody has said that anything is done there."))
        return
    await request.whisper(request.say.gettext("Which one is not done?"), buttons)


async def _reopen(request: Request, number: str) -> None:
    id_ = rights.whole(number)
    duty = await tasks.by_id(request.session, id_) if id_ is not None else None
    warning = await store.by_id(request.session, duty.cause_id) if duty else None
    member = await request.member_of(warning.garden_id) if warning else None
    if duty is None or warning is None or member is None or request.garden is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    given = await completion.not_done(request.session, warning, duty, request.now)
    await request.whisper(duty_words.reply(request.say, given.reply))
    if given.task_ids:
        await disputes.about_duty(request, request.garden, duty)
        outlook = await look(request.session, request.garden, request.source, request.now)
        await refresh_standing(request.session, request.garden, outlook, warning, request.now)


async def _why_me(request: Request, warning: Warning, member: Member) -> None:
    owned = await tasks.of_warnings(request.session, [warning.id])
    asks = await tasks.asks_of(request.session, [duty.id for duty in owned])
    words = [word for ask in asks if ask.member_id == member.id for word in ask.why.split()]
    await request.whisper(
        duty_words.why_me(request.say, words)
        if words
        else request.say.gettext("I have not asked you by name for this.")
    )


async def _week(request: Request, first: str) -> None:
    if first.isdecimal():
        await week_command.show(request, int(first[:4]))
    else:
        await rights.stale(request)


async def _about_job(deed: Callable[[Request, week.Answer, Job], Awaitable[None]], request: Request, key: str) -> None:
    if request.garden is None or request.member is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    found = await week.answer(request.session, request.garden, request.member, request.source, request.now)
    job = next((one for one in found.week.jobs if keyboards.job_id(one) == key), None)
    if job is None:
        await request.reply(
            request.say.gettext("That job is no longer on your list. Send /week for the list as it is now.")
        )
        return
    await deed(request, found, job)


async def _job(request: Request, found: week.Answer, job: Job) -> None:
    told = Told(request.say, found.outlook.crops, request.now)
    cautions = week_wording.cautions(told, found.outlook.garden, job)
    text = "\n".join([week_wording.one(told, found.outlook.garden, job), *cautions])
    await request.reply(text, keyboards.job(request.say, job))


async def _job_done(request: Request, found: week.Answer, job: Job) -> None:
    """One thing is noted at once; of several it is asked which, and each is ticked by itself."""
    if len(job.place_ids) > 1:
        title = week_wording.job_title(Told(request.say, found.outlook.crops, request.now), found.outlook.garden, job)
        await request.reply(
            week_wording.which_done(request.say, title), keyboards.parts(request.say, found.outlook.garden, job)
        )
    else:
        await _job_all(request, found, job)


async def _tick(request: Request, rest: str) -> None:
    """ "job:place": one place of a job of several."""
    key, _, number = rest.partition(":")
    place_id = rights.whole(number)

    async def one(request: Request, found: week.Answer, job: Job) -> None:
        part = tuple(item for item in job.items if item.place_id == place_id)
        left = tuple(item for item in job.items if item.place_id != place_id)
        place = found.outlook.garden.place_by_id.get(place_id or 0)
        if not part or place is None:
            await request.reply(request.say.gettext("I have that already. Send /week for the list as it is now."))
            return
        await _note_job(request, replace(job, items=part))
        others = replace(
            job, items=left, place_ids=tuple(dict.fromkeys(item.place_id for item in left if item.place_id))
        )
        rows = keyboards.parts(request.say, found.outlook.garden, others) if left else []
        await request.change(week_wording.ticked(request.say, place.name, more=bool(left)), rows)

    await _about_job(one, request, key)


async def _job_all(request: Request, found: week.Answer, job: Job) -> None:
    await _note_job(request, job)
    await request.reply(request.say.gettext("Noted as done. Thank you!"))


async def _note_job(request: Request, job: Job) -> None:
    assert request.member is not None
    await week.mark(
        request.session, request.member, job, MarkKind.DONE, request.now, request.say.local(request.now).date()
    )
    if request.garden is not None and await place_ledger.by_job(
        request.session, request.garden, job, request.member.id, request.now
    ):
        await keeping_on.answered(request, request.garden)


async def _job_later(request: Request, found: week.Answer, job: Job) -> None:
    assert request.member is not None
    await week.mark(
        request.session, request.member, job, MarkKind.LATER, request.now, request.say.local(request.now).date()
    )
    await request.reply(
        request.say.gettext("All right. I will remind you in a week, or sooner if it becomes important.")
    )


async def _job_why(request: Request, found: week.Answer, job: Job) -> None:
    told = Told(request.say, found.outlook.crops, request.now)
    title = week_wording.job_title(told, found.outlook.garden, job)
    _, sources, _ = loader.load_rules()
    more = stages_words.reckoned(told, found.outlook, job.planting_ids)
    text = why.chain(request.say, title, job.reasons, sources, more=more)
    await show(request, text, f"jwhy:{keyboards.job_id(job)}")


async def _speak(request: Request, language: str) -> None:
    if language not in LANGUAGES:
        await rights.stale(request)
        return
    spoken = say(language, request.say.zone.key, request.say.wind_unit)
    if request.person is None:
        await request.reply(spoken.gettext("Send /start to me privately first, so that I can remember it."))
        return
    request.person.language = language
    await request.reply(spoken.gettext("From now on I speak English with you."))


_WARNINGS: dict[str, Deeds] = {"yes": answers.accept, "no": answers.pass_on, "all": _show_all, "whole": _whole}
_WARNING: dict[str, Deed] = {
    "hands": answers.hands,
    "left": answers.left,
    "ison": keeping_on.still,
    "undone": _undone,
    "why": _why,
    "me": _why_me,
}
_JOB = {
    "job": _job,
    "jdone": _job_done,
    "jall": _job_all,
    "jlater": _job_later,
    "jwhy": _job_why,
    "jshare": shares.picked,
    "jgone": shares.already_picked,
}
#: What only shows something, and may take several screens to.
_LONG = ("all:", "crop:", "jwhy:", "out:", "walk:all:", "walk:why:", "whole:", "why:")
#: Every kind of button, by the word that its data begins with. Each looks up anew who presses, and what they may do.
PRESSES: dict[str, Callable[[Request, str], Awaitable[None]]] = {
    **{verb: partial(_about_warnings, deed) for verb, deed in _WARNINGS.items()},
    **{verb: partial(_about_warnings, partial(_each, deed)) for verb, deed in _WARNING.items()},
    **{verb: partial(_about_job, deed) for verb, deed in _JOB.items()},
    "away": away.press,
    "back": shut.press,
    "bind": groups.press,
    "cal": calendar_command.press,
    "join": groups.join,
    "knock": newcomers.press,
    "lang": _speak,
    "glang": language_command.press,
    "note": note.pressed,
    "reopen": _reopen,
    "ruleback": rules_command.put_back,
    "undo": note.undo,
    "week": _week,
    "cold": how_cold.press,
    "done": reported_done.press,
    "hose": hose_ban.press,
    "help": help_command.press,
    "home": safely_home.press,
    "crop": crop.press,
    "out": outdoors.press,
    "helped": helpers.press,
    "helps": helpers.consent,
    "adult": start.press,
    "found": setup_dialogue.found,
    "garden": garden_choice.press,
    "file": files.press,
    "jtick": _tick,
    "heard": unheard.press,
    "key": keys.press,
    "limit": limits.choose,
    "around": limits.choose_around,
    "limitup": limits.choose_height,
    "mine": me.press,
    "more": _more,
    "off": calloff.press,
    "notes": last_notes.press,
    "notso": disputes.press,
    "oncall": on_call.press,
    "own": own_crops.press,
    "played": rehearse.press,
    "so": keeping_on.so,
    "stays": keeping_on.stays,
    "still": departures.press,
    "ask": questions.press,
    "place": places.press,
    "setup": setup_dialogue.press,
    "site": setup_dialogue.edit,
    "report": report.press,
    "swap": swap.press,
    "walk": daily.press,
    "unlearn": learned.forget,
    "warn": warn.press,
    "who": members.press,
    "wish": wishes.press,
    "wording": wording.press,
}
