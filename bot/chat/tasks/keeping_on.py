"""What was put on for an earlier night is on still: one tap, for this night or until further word.

What is said about things that are on still, and about reports that answer what was asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from bot.chat import names, rights
from bot.chat.html import lines, safe
from bot.chat.request import Request
from bot.chat.warnings.announce import refresh_standing
from bot.chat.wire import keyboards
from bot.core.finding import TaskKind
from bot.core.garden.snapshot import Cover
from bot.i18n import Say
from bot.services.garden import place_ledger
from bot.services.journal.outcome import Outcome, Recorded, Undone
from bot.services.journal.reporting import OF_PLACES
from bot.services.look import Look, look
from bot.services.warnings import settling
from bot.services.warnings.views import TaskView, view
from bot.services.warnings.worth import Worth, left_by
from bot.storage.garden import place_reports
from bot.storage.models import Garden, Member, Task, Warning
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store


def which(say: Say) -> str:
    return say.gettext("What have you seen? Tap what is still as it was.")


def noted(say: Say, places: Sequence[str], until_at: datetime) -> str:
    """A tap counts for one night; it says so, since nobody takes it for longer by mistake."""
    day = say.day(say.local(until_at).date())
    return lines([
        say.gettext(
            "Noted, it is still like that: {places}. I will count on it until {day}.", places=_named(say, places), day=day
        ),
        say.gettext("Will it stay like that for longer? Please tap the button."),
    ])  # fmt: skip


def stays_so(say: Say, places: Sequence[str]) -> str:
    return say.gettext(
        "Noted: {places} stays like that until somebody tells me it has changed. I will count on it in every forecast.",
        places=_named(say, places),
    )


def nothing(say: Say) -> str:
    return say.gettext("I do not know of anything that could still be on there. Thank you for looking!")


def answers(say: Say, places: Sequence[str]) -> str:
    """A report did what people had been asked for."""
    return say.gettext(
        "That is what I asked for ({places}), so nobody else needs to do it. Thank you!", places=_named(say, places)
    )


def worth_of_less(say: Say, place: str, given: Cover, duty: Task, odds: Worth) -> str:
    """Less was done than was asked for: what it is worth, and what is gained by doing the rest."""
    words = {
        "place": safe(place, 40),
        "given": names.cover(say, given),
        "odds": say.in_ten(odds.given),
        "asked_odds": say.in_ten(odds.asked),
    }
    if duty.kind is TaskKind.COVER and duty.cover is not None:
        asked = names.cover(say, duty.cover)
        return say.gettext(
            "{place}: with {given} the chance of damage is {odds}. With {asked}, as I asked, it would be {asked_odds}.",
            asked=asked,
            **words,
        )
    return say.gettext(
        "{place}: with {given} the chance of damage is {odds}. Done as I asked, it would be {asked_odds}.", **words
    )


def _named(say: Say, places: Sequence[str]) -> str:
    return say.and_list(dict.fromkeys(safe(place, 40) for place in places))


async def still(request: Request, warning: Warning, member: Member) -> None:
    """One thing is noted at once; of several it is asked which, those first that this member is on."""
    assert request.garden is not None
    shown = await view(
        request.session, warning, await look(request.session, request.garden, request.source, request.now)
    )
    mine = [duty for duty in shown.doubtful if duty in shown.duties_of(member.id)]
    of = mine or list(shown.doubtful)
    if len(of) > 1:
        await request.whisper(which(request.say), keyboards.which_still(request.say, warning.id, of))
    else:
        await _note(request, request.garden, warning, member, of)


async def so(request: Request, rest: str) -> None:
    """ "warning id:duty id" or "warning id:all": chosen of several."""
    number, _, chosen = rest.partition(":")
    warning_id = rights.whole(number)
    warning = await store.by_id(request.session, warning_id) if warning_id is not None else None
    member = await request.member_of(warning.garden_id) if warning is not None else None
    if warning is None or member is None or request.garden is None:
        await rights.stale(request)
        return
    shown = await view(
        request.session, warning, await look(request.session, request.garden, request.source, request.now)
    )
    mine = [duty for duty in shown.doubtful if duty in shown.duties_of(member.id)] or list(shown.doubtful)
    duties = mine if chosen == "all" else [duty for duty in shown.doubtful if str(duty.id) == chosen]
    await _note(request, request.garden, warning, member, duties)


async def stays(request: Request, rest: str) -> None:
    """What was just told is so until somebody says otherwise. rest: numbers of the reports."""
    kept = []
    for word in rest.split("-"):
        number = rights.whole(word)
        report = await place_reports.by_id(request.session, number) if number is not None else None
        if report is None or report.member_id is None:
            continue
        member = request.member
        if member is None or request.garden is None or report.member_id != member.id:
            continue
        if await place_ledger.stays(request.session, report, member.id, request.now):
            kept.append(report.place_id)
    if not kept or request.garden is None:
        await rights.stale(request)
        return
    garden = (await look(request.session, request.garden, request.source, request.now)).garden
    places = [garden.place_by_id[id_].name for id_ in dict.fromkeys(kept)]
    await request.whisper(stays_so(request.say, places))


async def of_reports(request: Request, outcomes: Sequence[Outcome]) -> list[str]:
    """What comes of notes on how places stand: whom it saves a walk, and what less than was asked for is worth."""
    if request.garden is None or not any(_tells(one) for one in outcomes):
        return []
    found = await answered(request, request.garden)
    if not found:
        return []
    outlook = await look(request.session, request.garden, request.source, request.now)
    places = [outlook.garden.place_by_id[one.duty.where_id].name for one in found]
    return [answers(request.say, places), *_worth(request, outlook, found)]


def _worth(request: Request, outlook: Look, found: Sequence[settling.Answered]) -> list[str]:
    """What less than was asked for is worth, a line a place."""
    said = []
    for one in found:
        worth, given = left_by(outlook, one), one.on.report.cover
        if worth is not None and given is not None:
            place = outlook.garden.place_by_id[one.duty.where_id].name
            said.append(worth_of_less(request.say, place, given, one.duty, worth))
    return list(dict.fromkeys(said))


def _tells(outcome: Outcome) -> bool:
    if isinstance(outcome, Recorded):
        return outcome.note.action in OF_PLACES
    return isinstance(outcome, Undone) and any(entry.action in OF_PLACES for entry in outcome.entries)


async def _note(request: Request, garden: Garden, warning: Warning, member: Member, duties: Sequence[TaskView]) -> None:
    rows = []
    for shown in duties:
        duty = await tasks.by_id(request.session, shown.id)
        if duty is not None and shown.perhaps is not None:
            row = await place_ledger.still(request.session, warning, duty, shown.perhaps, member.id, request.now)
            rows += [row.id] if row is not None else []
    if not rows:
        await request.whisper(nothing(request.say))
        return
    await request.whisper(
        noted(request.say, [duty.place.name for duty in duties], warning.ends_at),
        keyboards.stays(request.say, rows),
    )
    await answered(request, garden)


async def answered(request: Request, garden: Garden) -> list[settling.Answered]:
    """After a report: duties that it answers are closed, those that it opens are open, and the group's messages show it."""
    outlook = await look(request.session, garden, request.source, request.now)
    found, again = await settling.settle(request.session, garden, outlook, request.now)
    changed = {one.warning.id for one in found} | again
    changed |= await settling.undoing(request.session, garden, outlook, request.now)
    for warning_id in sorted(changed):
        warning = await store.by_id(request.session, warning_id)
        if warning is not None:
            await refresh_standing(request.session, garden, outlook, warning, request.now)
    return found
