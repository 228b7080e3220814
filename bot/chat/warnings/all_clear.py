"""What a warning's end says: that it is off or over, the next cold night, and how cold it was."""

from __future__ import annotations

from datetime import timedelta

from bot.chat.html import safe
from bot.chat.warnings.told import Told
from bot.core.warnings.hazards import Hazard
from bot.services.warnings.views import WarningView


def off(told: Told, view: WarningView) -> str:
    say = told.say
    if view.reason is not None:
        texts = {
            Hazard.COLD: say.gettext("An organiser has cancelled the cold warning for the night of {day}."),
            Hazard.WIND: say.gettext("An organiser has cancelled the wind warning for {day}."),
            Hazard.HEAT: say.gettext("An organiser has cancelled the heat warning for {day}."),
            Hazard.RAIN: say.gettext("An organiser has cancelled the rain warning for {day}."),
        }
    elif view.spared:
        return say.gettext(
            "The night of {day} will still be cold, but by our notes there is nothing left to do.",
            day=say.day(view.window_on),
        )
    else:
        texts = {
            Hazard.COLD: _no_cold(told, view),
            Hazard.WIND: say.gettext("I no longer expect harmful wind on {day}."),
            Hazard.HEAT: say.gettext("I no longer expect harmful heat on {day}."),
            Hazard.RAIN: say.gettext("I no longer expect harmful rain on {day}."),
        }
    return say.fill(texts[view.hazard], day=say.day(view.window_on))


def _no_cold(told: Told, view: WarningView) -> str:
    """An all-clear is always of a night with its date."""
    say, today = told.say, told.say.local(told.now).date()
    if view.window_on == today:
        return say.gettext("I no longer think harmful cold will come tonight, {day}.")
    if view.window_on == today + timedelta(days=1):
        return say.gettext("I no longer think harmful cold will come tomorrow night, {day}.")
    return say.gettext("I no longer expect harmful cold in the night of {day}.")


def over(told: Told, view: WarningView) -> str:
    say = told.say
    return {
        Hazard.COLD: say.gettext("The cold night is over."),
        Hazard.WIND: say.gettext("The wind has passed."),
        Hazard.HEAT: say.gettext("The heat has passed."),
        Hazard.RAIN: say.gettext("The rain has passed."),
    }[view.hazard]


def cold_next(told: Told, view: WarningView) -> str | None:
    """The next night that is expected to be cold, so that nobody takes one all-clear for two."""
    if not view.cold_on:
        return None
    say, today, night_on = told.say, told.say.local(told.now).date(), view.cold_on[0]
    if night_on == today:
        return say.gettext("Tonight will probably be cold too.")
    if night_on == today + timedelta(days=1):
        return say.gettext("Tomorrow night will probably be cold too.")
    return say.gettext("The night of {day} will probably be cold too.", day=say.day(night_on))


def how_cold(told: Told, view: WarningView) -> str | None:
    say, asked = told.say, view.how_cold
    if asked is None:
        return None
    name = safe(asked.thermometer, 40)
    if asked.reading_c is None:
        return say.gettext(
            "How cold was it? What was the lowest on {thermometer}? One tap is enough.", thermometer=name
        )
    value = say.celsius_exact(asked.reading_c)
    if asked.by is None:
        return say.gettext("Lowest on {thermometer}: {value}.", thermometer=name, value=value)
    return say.gettext(
        "Lowest on {thermometer}: {value}. Thank you, {name}!",
        thermometer=name,
        value=value,
        name=safe(asked.by, 40),
    )
