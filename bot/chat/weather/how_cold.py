"""How cold was it? One tap in the group, shown in the morning's message; asked about when it can hardly be."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.journal import journal_words as wording
from bot.chat.request import Request
from bot.chat.warnings.announce import refresh_standing
from bot.services.growing import rules
from bot.services.journal.outcome import Recorded
from bot.services.look import look
from bot.services.people.membership import reachable
from bot.services.weather import garden_forecast, how_cold
from bot.storage.warnings import warnings as store

DID_NOT_LOOK = "no"
_MOST_C = 60


async def press(request: Request, rest: str) -> None:
    """ "warning id:degrees C", or that they did not look."""
    number, _, said = rest.partition(":")
    warning_id, value_c = rights.whole(number), _degrees(said)
    warning = await store.by_id(request.session, warning_id) if warning_id is not None else None
    member = await request.member_of(warning.garden_id) if warning is not None else None
    if warning is None or member is None or request.garden is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    if said == DID_NOT_LOOK:
        if reachable(member):
            await request.whisper(request.say.gettext("That is fine. Thank you for telling me."))
        return
    if value_c is None:
        await rights.stale(request)
        return
    crops = await rules.of_garden(request.session, request.garden.id)
    forecast = await garden_forecast.current(request.session, request.garden, request.source, request.now)
    outcome = await how_cold.answer(
        request.session, request.garden, member, warning, value_c, crops, request.now, forecast
    )
    if isinstance(outcome, Recorded):
        outlook = await look(request.session, request.garden, request.source, request.now)
        await refresh_standing(request.session, request.garden, outlook, warning, request.now)
        if request.private:  # asked privately, where nothing shows that it was heard
            told = wording.learnt(request.say, outcome.taken) if outcome.taken is not None else []
            await request.whisper("\n".join([request.say.gettext("Noted, thank you."), *told]))
    elif outcome is not None:
        for text, buttons in wording.replies(request.say, crops, [outcome]):
            await request.whisper(text, buttons)


def _degrees(text: str) -> float | None:
    digits = text.removeprefix("-")
    return float(text) if digits.isdecimal() and len(digits) < 3 and int(digits) <= _MOST_C else None
