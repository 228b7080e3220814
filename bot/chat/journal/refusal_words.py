"""Why a note was not kept, and what to do."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from bot.chat import names
from bot.chat.html import safe
from bot.core.growing.crop import Crop
from bot.i18n import Say
from bot.services.journal.outcome import Reason, Refused


def refused(say: Say, rules: Mapping[str, Crop], given: Refused) -> str:
    """Why nothing was kept, and what to do."""
    crops = names.crops(say, rules, given.crops)
    if given.reason is Reason.NOT_GROWING and crops:
        return say.gettext(
            "I don't know of any {crops} there. First tell me when somebody sowed or planted them.", crops=crops
        )
    if given.reason in _WITH_VALUE:
        return _WITH_VALUE[given.reason](say, given.details)
    if given.reason is Reason.RULE:
        return say.gettext("This rule does not work: {details}", details=safe(given.details, 300))
    return _REFUSED[given.reason](say)


_REFUSED: dict[Reason, Callable[[Say], str]] = {
    Reason.NOT_YOURS: lambda say: say.gettext(
        "That is somebody else's plot, so I saved nothing. An organiser can do it."
    ),
    Reason.NOT_GROWING: lambda say: say.gettext("I don't know of any plants there for this note."),
    Reason.NO_PLACE: lambda say: say.gettext("I don't know a place for that. An organiser can add one: /places"),
    Reason.NO_THERMOMETER: lambda say: say.gettext(
        "I don't know any thermometer in this garden. An organiser can add one."
    ),
    Reason.ORGANISERS_ONLY: lambda say: say.gettext("Only organisers can change the garden's rules. Please ask one."),
    Reason.GONE: lambda say: say.gettext("That question is no longer open. If you still need it, write it again."),
    Reason.NEVER_MIND: lambda say: say.gettext("All right, I did not save it."),
    Reason.NOTHING_TO_UNDO: lambda say: say.gettext("You have no notes from the last days to take back."),
    Reason.ALREADY_UNDONE: lambda say: say.gettext("That is already taken back."),
    Reason.CHANGED_SINCE: lambda say: say.gettext(
        "Somebody has done more since then, so I cannot take it back. Please write what is right now."
    ),
}


_WITH_VALUE: dict[Reason, Callable[[Say, str], str]] = {
    Reason.NO_CROP: lambda say, plant: say.gettext(
        "I don't know the crop “{plant}”, so I saved nothing. Some poisonous plants have the name of a vegetable. "
        "Eat only what you are sure of.",
        plant=safe(plant, 60),
    ),
    Reason.OUT_OF_RANGE: lambda say, written: say.gettext(
        "“{written}” is more than a plot can give, so I did not save it. Please write it again with the right number.",
        written=safe(written, 60),
    ),
    Reason.NO_SUCH_DAY: lambda say, written: say.gettext(
        "There is no {day}, so I did not save it. Please write it again with the right day.",
        day=safe(written, 20),
    ),
    Reason.TO_COME: lambda say, iso: say.gettext(
        "{day} is in the future, so I did not save it. Please write it again with the right day.",
        day=say.long_day(date.fromisoformat(iso)),
    ),
}
