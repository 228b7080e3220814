"""The first line of a warning: what comes, when, and how likely."""

from __future__ import annotations

from datetime import date, timedelta

from bot.chat.warnings.told import Told
from bot.core.warnings.hazards import Hazard
from bot.services.warnings.views import WarningView

__all__ = ["band", "day", "headline"]


def headline(told: Told, view: WarningView, *, short: bool = False) -> str:
    """What comes, when, and how likely, in one line. short: without the odds of a night."""
    if short and view.hazard is Hazard.COLD and view.facts.get("plant_c") is not None:
        plant = told.say.celsius(view.facts["plant_c"] or 0.0)
        return told.say.gettext("{night}: about {plant} at the plants.", night=_night(told, view), plant=plant)
    return {Hazard.COLD: _cold, Hazard.WIND: _wind, Hazard.HEAT: _heat, Hazard.RAIN: _rain}[view.hazard](told, view)


def _cold(told: Told, view: WarningView) -> str:
    say, plant_c = told.say, view.facts.get("plant_c")
    night = _night(told, view)
    odds = say.in_ten(view.facts.get("odds") or view.probability)
    if plant_c is None:
        return say.gettext("{night}: cold that can damage plants. Chance: {odds}.", night=night, odds=odds)
    return say.gettext(
        "{night}: about {plant} at the plants. Chance of damage: {odds}.",
        night=night,
        plant=say.celsius(plant_c),
        odds=odds,
    )


def _night(told: Told, view: WarningView) -> str:
    say, last_on = told.say, view.spell[-1] if view.spell else view.window_on
    today = say.local(told.now).date()
    words = {"day": say.day(view.window_on), "last": say.day(last_on)}
    ahead = (view.window_on - today).days
    if len(view.spell) > 1:
        return {
            0: say.gettext("Each night from tonight to {last}", **words),
            1: say.gettext("Each night from tomorrow to {last}", **words),
        }.get(ahead, say.gettext("Each night from {day} to {last}", **words))
    if view.spell:
        return {
            0: say.gettext("Tonight and tomorrow night"),
            1: say.gettext("Tomorrow night and the night after"),
        }.get(ahead, say.gettext("The nights of {day} and {last}", **words))
    return {0: say.gettext("Tonight"), 1: say.gettext("Tomorrow night")}.get(
        ahead, say.gettext("The night of {day}", **words)
    )


def day(told: Told, view: WarningView) -> str:
    return _day_of(told, view.window_on)


def _day_of(told: Told, on: date) -> str:
    say = told.say
    today = say.local(told.now).date()
    if on == today:
        return say.gettext("Today")
    if on == today + timedelta(days=1):
        return say.gettext("Tomorrow")
    return say.gettext("On {day}", day=say.day(on))


def _wind(told: Told, view: WarningView) -> str:
    say, gust_ms = told.say, view.facts.get("gust_ms")
    if gust_ms is None:
        return say.gettext("{day}: strong wind ({odds}).", day=day(told, view), odds=say.in_ten(view.probability))
    first_on, last_on = (say.local(at).date() for at in (view.starts_at, view.ends_at))
    if last_on > first_on:
        return say.gettext(
            "{day} from {start}, and again until {last}: gusts of about {gust}.",
            day=_day_of(told, first_on),
            start=say.clock(view.starts_at),
            last=say.near_day(last_on, told.now),
            gust=say.wind(gust_ms),
        )
    return say.gettext(
        "{day} from {start}: gusts of about {gust}.",
        day=_day_of(told, first_on),
        start=say.clock(view.starts_at),
        gust=say.wind(gust_ms),
    )


def _heat(told: Told, view: WarningView) -> str:
    return told.say.gettext(
        "{day} from {start}: too hot under glass and plastic.",
        day=day(told, view),
        start=told.say.clock(view.starts_at),
    )


def _rain(told: Told, view: WarningView) -> str:
    return told.say.gettext(
        "{day} from {start}: heavy rain.", day=day(told, view), start=told.say.clock(view.starts_at)
    )


def band(told: Told, view: WarningView) -> str | None:
    """The honest range, for a night."""
    low_c, high_c = view.facts.get("low_c"), view.facts.get("high_c")
    if view.hazard is not Hazard.COLD or low_c is None or high_c is None:
        return None
    return told.say.gettext(
        "It could be between {low} and {high} there.", low=told.say.celsius(low_c), high=told.say.celsius(high_c)
    )
