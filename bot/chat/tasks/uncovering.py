"""Whether the cover may come off: until when it is needed, or that nothing cold is foreseen."""

from __future__ import annotations

from collections.abc import Collection

from bot.chat import question_words
from bot.chat.html import lines
from bot.chat.request import Request
from bot.chat.tasks import what_is_on_words as wording
from bot.chat.warnings.told import Told
from bot.chat.weather import nights
from bot.core.garden.place_state import Layer
from bot.services.garden import place_ledger
from bot.services.look import Look, look
from bot.services.warnings import settling
from bot.services.warnings.views import Kept

__all__ = ["answer"]


async def answer(request: Request, place_ids: Collection[int], crops: Collection[str]) -> None:
    """place_ids, crops: that are asked about; else what is covered now, as far as anybody has told, and where nobody has,
    what the coming night would have covered.
    """
    assert request.garden is not None
    seen = await look(request.session, request.garden, request.source, request.now)
    told = Told(request.say, seen.crops, request.now)
    asked = set(place_ids) or {one.place_id for one in seen.garden.plantings if one.crop in crops}
    asked = asked or await _covered(request, seen)
    kept = await _kept(request, seen, asked or seen.garden.place_by_id.keys())
    free = sorted(asked - {one.place.id for one in kept})
    said = wording.kept(request.say, seen.crops, kept, short=True)
    if free:
        said.append(question_words.risk(told, seen, free, []))
    if said:
        await request.reply(lines(said))
    else:
        await nights.answer(request)  # nothing is covered, and nothing wants to be: the nights say so


async def _covered(request: Request, seen: Look) -> set[int]:
    stands = await place_ledger.states(request.session, seen.garden, request.now)
    return {id_ for id_, one in stands.items() if Layer.COVER in one.on}


async def _kept(request: Request, seen: Look, place_ids: Collection[int]) -> list[Kept]:
    """Places whose cover is wanted on, or on again before anybody could put it back."""
    assert request.garden is not None
    wanted = await settling.wants(request.session, request.garden, seen, request.now)
    until = {id_: settling.left_on(wanted, id_, Layer.COVER, request.garden, request.now) for id_ in sorted(place_ids)}
    where = seen.garden.place_by_id
    return [Kept(where[id_], Layer.COVER, (), at) for id_, at in until.items() if at is not None and id_ in where]
