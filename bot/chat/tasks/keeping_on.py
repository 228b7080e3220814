"""What was put on for an earlier night is on still: one tap, for this night or until further word."""

from __future__ import annotations

from collections.abc import Sequence

from bot.chat import rights
from bot.chat.request import Turn
from bot.chat.tasks import keeping_on_words as wording
from bot.chat.warnings.announce import refresh_standing
from bot.chat.wire import keyboards
from bot.services.garden import place_ledger
from bot.services.journal.outcome import Outcome, Recorded, Undone
from bot.services.journal.reporting import OF_PLACES
from bot.services.look import Outlook, look
from bot.services.warnings import settling
from bot.services.warnings.views import TaskView, view
from bot.services.warnings.worth import left_by
from bot.storage.models import Garden, Member, PlaceReport, Warning
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store

__all__ = ["answered", "of_reports", "so", "stays", "still"]


async def still(turn: Turn, warning: Warning, member: Member) -> None:
    """One thing is noted at once; of several it is asked which, those first that this member is on."""
    assert turn.garden is not None
    shown = await view(turn.session, warning, await look(turn.session, turn.garden, turn.source, turn.now))
    mine = [duty for duty in shown.doubtful if duty in shown.duties_of(member.id)]
    of = mine or list(shown.doubtful)
    if len(of) > 1:
        await turn.whisper(wording.which(turn.say), keyboards.which_still(turn.say, warning.id, of))
    else:
        await _note(turn, turn.garden, warning, member, of)


async def so(turn: Turn, rest: str) -> None:
    """ "warning id:duty id" or "warning id:all": chosen of several."""
    number, _, chosen = rest.partition(":")
    warning_id = rights.whole(number)
    warning = await store.by_id(turn.session, warning_id) if warning_id is not None else None
    member = await turn.member_of(warning.garden_id) if warning is not None else None
    if warning is None or member is None or turn.garden is None:
        await rights.stale(turn)
        return
    shown = await view(turn.session, warning, await look(turn.session, turn.garden, turn.source, turn.now))
    mine = [duty for duty in shown.doubtful if duty in shown.duties_of(member.id)] or list(shown.doubtful)
    duties = mine if chosen == "all" else [duty for duty in shown.doubtful if str(duty.id) == chosen]
    await _note(turn, turn.garden, warning, member, duties)


async def stays(turn: Turn, rest: str) -> None:
    """What was just told is so until somebody says otherwise. rest: numbers of the reports."""
    kept = []
    for word in rest.split("-"):
        number = rights.whole(word)
        report = await turn.session.get(PlaceReport, number) if number is not None else None
        if report is None or report.member_id is None:
            continue
        member = turn.member
        if member is None or turn.garden is None or report.member_id != member.id:
            continue
        if await place_ledger.stays(turn.session, report, member.id, turn.now):
            kept.append(report.place_id)
    if not kept or turn.garden is None:
        await rights.stale(turn)
        return
    garden = (await look(turn.session, turn.garden, turn.source, turn.now)).garden
    places = [garden.place_by_id[id_].name for id_ in dict.fromkeys(kept)]
    await turn.whisper(wording.stays(turn.say, places))


async def of_reports(turn: Turn, outcomes: Sequence[Outcome]) -> list[str]:
    """What comes of notes on how places stand: whom it saves a walk, and what less than was asked for is worth."""
    if turn.garden is None or not any(_tells(one) for one in outcomes):
        return []
    found = await answered(turn, turn.garden)
    if not found:
        return []
    outlook = await look(turn.session, turn.garden, turn.source, turn.now)
    places = [outlook.garden.place_by_id[one.duty.where_id].name for one in found]
    return [wording.answers(turn.say, places), *_worth(turn, outlook, found)]


def _worth(turn: Turn, outlook: Outlook, found: Sequence[settling.Answered]) -> list[str]:
    """What less than was asked for is worth, a line a place."""
    said = []
    for one in found:
        worth, given = left_by(outlook, one), one.on.report.cover
        if worth is not None and given is not None:
            place = outlook.garden.place_by_id[one.duty.where_id].name
            said.append(wording.worth(turn.say, place, given, one.duty, worth))
    return list(dict.fromkeys(said))


def _tells(outcome: Outcome) -> bool:
    if isinstance(outcome, Recorded):
        return outcome.note.action in OF_PLACES
    return isinstance(outcome, Undone) and any(entry.action in OF_PLACES for entry in outcome.entries)


async def _note(turn: Turn, garden: Garden, warning: Warning, member: Member, duties: Sequence[TaskView]) -> None:
    rows = []
    for shown in duties:
        duty = await tasks.by_id(turn.session, shown.id)
        if duty is not None and shown.perhaps is not None:
            row = await place_ledger.still(turn.session, warning, duty, shown.perhaps, member.id, turn.now)
            rows += [row.id] if row is not None else []
    if not rows:
        await turn.whisper(wording.nothing(turn.say))
        return
    await turn.whisper(
        wording.noted(turn.say, [duty.place.name for duty in duties], warning.ends_at), keyboards.stays(turn.say, rows)
    )
    await answered(turn, garden)


async def answered(turn: Turn, garden: Garden) -> list[settling.Answered]:
    """After a report: duties that it answers are closed, those that it opens are open, and the group's messages show it."""
    outlook = await look(turn.session, garden, turn.source, turn.now)
    found, again = await settling.settle(turn.session, garden, outlook, turn.now)
    changed = {one.warning.id for one in found} | again
    changed |= await settling.undoing(turn.session, garden, outlook, turn.now)
    for warning_id in sorted(changed):
        warning = await store.by_id(turn.session, warning_id)
        if warning is not None:
            await refresh_standing(turn.session, garden, outlook, warning, turn.now)
    return found
