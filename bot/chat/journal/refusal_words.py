"""Why a note was not kept, and what to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from bot.chat import names
from bot.chat.html import safe
from bot.core.growing.crop import Crop
from bot.i18n import Say
from bot.services.journal.outcome import Reason, Refused

__all__ = ["refused"]


def refused(say: Say, rules: Mapping[str, Crop], given: Refused) -> str:
    """Why nothing was kept, and what to do."""
    crops = names.crops(say, rules, given.crops)
    if given.reason is Reason.NOT_GROWING and crops:
        return say.gettext(
            "I know of no {crops} there that this fits. Tell me first when they were sown or planted.", crops=crops
        )
    if given.reason in _WITH_VALUE:
        return _WITH_VALUE[given.reason](say, given.details)
    if given.reason is Reason.RULE:
        return say.gettext("That rule would not work: {details}", details=safe(given.details, 300))
    return _REFUSED[given.reason](say)


_REFUSED: dict[Reason, Callable[[Say], str]] = {
    Reason.NOT_YOURS: lambda say: say.gettext(
        "That is on somebody else's plot, so I left it as it is. An organiser can note it."
    ),
    Reason.NOT_GROWING: lambda say: say.gettext("I know of nothing growing there that this fits."),
    Reason.NO_PLACE: lambda say: say.gettext(
        "I know of no place where that could be. An organiser can add one: /places"
    ),
    Reason.NO_THERMOMETER: lambda say: say.gettext(
        "I know of no thermometer in this garden. An organiser can add one."
    ),
    Reason.ORGANISERS_ONLY: lambda say: say.gettext("Only organisers change the garden's rules. Please ask one."),
    Reason.GONE: lambda say: say.gettext("That question is closed already. Please write it again if it matters."),
    Reason.NEVER_MIND: lambda say: say.gettext("All right, I have not noted it."),
    Reason.NOTHING_TO_UNDO: lambda say: say.gettext("There is nothing of yours from the last days to take back."),
    Reason.ALREADY_UNDONE: lambda say: say.gettext("That was taken back already."),
    Reason.CHANGED_SINCE: lambda say: say.gettext(
        "Somebody has gone on from there, so I cannot take it back. Please write what is right now."
    ),
}


_WITH_VALUE: dict[Reason, Callable[[Say, str], str]] = {
    Reason.NO_CROP: lambda say, plant: say.gettext(
        "I know no “{plant}” among the crops here, so I wrote nothing down. Some plants share a name with a vegetable "
        "and are poisonous: eat only what you are sure of.",
        plant=safe(plant, 60),
    ),
    Reason.OUT_OF_RANGE: lambda say, written: say.gettext(
        "“{written}”: that is more than a plot can give, so I did not note it. Please write it again with the right number.",
        written=safe(written, 60),
    ),
    Reason.NO_SUCH_DAY: lambda say, written: say.gettext(
        "There is no such day as {day}, so I did not note it. Please write it again with the right day.",
        day=safe(written, 20),
    ),
    Reason.TO_COME: lambda say, iso: say.gettext(
        "{day} is still to come, so I did not note it. Please write it again with the day on which it was.",
        day=say.long_day(date.fromisoformat(iso)),
    ),
}
