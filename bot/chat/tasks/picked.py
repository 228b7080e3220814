"""A harvest that is told of while a cold night asks for it: the job is done where all was picked, and else it is asked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bot.chat.html import bold, lines
from bot.chat.request import Request
from bot.chat.tasks import duty_words, reported_done
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.core.warnings.hazards import TaskKind
from bot.services.journal.note import Action, Note
from bot.services.journal.outcome import Outcome, Recorded
from bot.services.look import look
from bot.services.warnings.views import TaskView, WarningView, view
from bot.storage.warnings import warnings as store

__all__ = ["of_harvests"]


async def of_harvests(request: Request, outcomes: Sequence[Outcome]) -> None:
    """After notes: what of the jobs before a frost they have done, or may have."""
    told = list(_harvests(outcomes))
    if not told or request.garden is None or request.member is None or not request.member.adult:
        return
    outlook = await look(request.session, request.garden, request.source, request.now)
    for warning in await store.active(request.session, request.garden.id, request.now):
        shown = await view(request.session, warning, outlook)
        open_ = [one for one in shown.open_duties if one.kind is TaskKind.PICK and _is_of(one, told, request)]
        whole = [one for one in open_ if _is_whole(one, told)]
        if whole:
            ids = tuple(one.id for one in whole)
            await reported_done.these(request, warning, request.member, ids)
        if left := [one for one in open_ if one not in whole]:
            text, keys = _question(Told(request.say, outlook.crops, request.now), shown, left)
            await request.reply(text, keys)


#: What was picked: the note, the place and the crop.
_Harvest = tuple[Note, int, str]


def _harvests(outcomes: Sequence[Outcome]) -> Iterator[_Harvest]:
    """All but those of which somebody says that it is a part."""
    for one in outcomes:
        if not isinstance(one, Recorded) or one.note.action is not Action.HARVESTED or (one.note.share or 1.0) < 1.0:
            continue
        for change in one.changes:
            if change.planting is not None:
                yield one.note, change.planting.place_id, change.planting.crop


def _is_of(duty: TaskView, told: Sequence[_Harvest], request: Request) -> bool:
    since_on = request.say.local(duty.starts_at).date()
    return any(
        note.done_on >= since_on and place_id == duty.place.id and crop in duty.crops for note, place_id, crop in told
    )


def _is_whole(duty: TaskView, told: Sequence[_Harvest]) -> bool:
    """Whether the words say that all of it is picked."""
    return set(duty.crops) <= {crop for note, place_id, crop in told if note.share and place_id == duty.place.id}


def _question(told: Told, shown: WarningView, left: Sequence[TaskView]) -> tuple[str, list[list[Button]]]:
    say = told.say
    text = lines(
        [
            bold(say.gettext("Is all of it picked? Then tap Done. We need it before the cold night:")),
            *duty_words.listing(say, told.crops, left, asked=False),
        ]
    )
    if len(left) == 1:
        return text, [[(say.gettext("Done"), f"done:{shown.id}:t{left[0].id}-whole")]]
    return text, [[(duty_words.label(say, one), f"done:{shown.id}:t{one.id}-whole")] for one in left]
