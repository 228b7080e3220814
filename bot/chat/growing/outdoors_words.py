"""May it go out yet: hold, pot on, harden off or plant out, with the day that looks safe and the hours outside."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.warnings.told import Told
from bot.core.growing.hardening import FIRST_H, PRACTICE_FIRST_H, Outing, Why, hours_outside
from bot.core.growing.outdoors import GAIN_DAYS, Advice, Verdict
from bot.services.look import Look

__all__ = ["batches"]

_DEAR_WEEKS = 7  # and more: about two months


def batches(told: Told, outlook: Look, advice: Sequence[Advice]) -> str:
    """Every batch under cover, those that may move first."""
    say = told.say
    if not advice:
        return say.gettext("Nothing waits under cover just now.")
    order = [Verdict.PLANT_OUT, Verdict.HARDEN_OFF, Verdict.POT_ON, Verdict.HOLD]
    listed = sorted(advice, key=lambda one: (order.index(one.verdict), one.crop))
    return lines([
        bold(say.gettext("May it go out yet?")),
        *(_batch(told, outlook, one) for one in listed),
        *_habits(told, outlook, listed),
    ])  # fmt: skip


def _habits(told: Told, outlook: Look, advice: Sequence[Advice]) -> list[str]:
    """What gardeners know of the work that is advised, each once."""
    say, found = told.say, []
    if any(one.verdict is Verdict.POT_ON for one in advice):
        gain = say.ngettext(
            "Potting on gains about {n} day (common practice, no source).",
            "Potting on gains about {n} days (common practice, no source).",
            GAIN_DAYS,
        )
        found.append(gain)
    begun = {one.id: one.hardening_on for one in outlook.garden.plantings}
    if any(one.verdict is Verdict.HARDEN_OFF and begun.get(one.planting_id) is None for one in advice):
        first = say.gettext(
            "First day outside: {least} hour. Habit begins with {habit} (common practice, no source); I keep to the safer.",
            least=say.number(FIRST_H),
            habit=say.number(PRACTICE_FIRST_H),
        )
        found.append(first)
    dear = [one.lost_weeks for one in advice if one.verdict is not Verdict.PLANT_OUT and one.lost_weeks >= _DEAR_WEEKS]
    if dear:
        found.append(say.gettext("A batch lost in spring costs about two months (common practice, no source)."))
    return found


def _batch(told: Told, outlook: Look, one: Advice) -> str:
    say = told.say
    planting = next(each for each in outlook.garden.plantings if each.id == one.planting_id)
    where = safe(outlook.garden.place_of(planting).name, 40)
    head = say.gettext("{crop} ({place}):", crop=names.crop(say, told.crops, one.crop), place=where)
    verdict = {
        Verdict.PLANT_OUT: say.gettext("plant out now."),
        Verdict.HARDEN_OFF: say.gettext("harden off."),
        Verdict.POT_ON: say.gettext("pot on and wait."),
        Verdict.HOLD: say.gettext("keep in for now."),
    }[one.verdict]
    parts = [bold(head), verdict]
    if one.verdict is Verdict.HARDEN_OFF:
        today = say.local(told.now).date()
        crop = told.crops[one.crop]
        parts.append(_hours(told, hours_outside(planting, crop, outlook.days, outlook.nights, today, 5)))
    if one.verdict is not Verdict.PLANT_OUT:
        parts.append(_safe(told, one.safe_on))
        parts.append(_waits(told, one))
    return "• " + " ".join(part for part in parts if part)


def _hours(told: Told, plan: Sequence[Outing]) -> str:
    """The coming days: "Mon 4 May 2 h, Tue 5 May in"."""
    say = told.say
    days = []
    for outing in plan:
        day = say.near_day(outing.on, told.now)
        if outing.hours == 0:
            days.append(_stays_in(told, outing.why, day))
        elif outing.night:
            days.append(say.gettext("{day} out, nights too", day=day))
        else:
            days.append(say.ngettext("{day} {n} hour", "{day} {n} hours", outing.hours, day=day))
    return say.gettext("Outside: {days}.", days=say.and_list(days)) if days else ""


def _stays_in(told: Told, why: Why, day: str) -> str:
    say = told.say
    text = {
        Why.COLD: say.gettext("{day} stay in (cold)"),
        Why.WINDY: say.gettext("{day} stay in (wind)"),
    }.get(why, say.gettext("{day} not known yet"))
    return say.fill(text, day=day)


def _waits(told: Told, one: Advice) -> str:
    """What waiting costs, where anything waits."""
    if one.wait_days <= 0 or one.verdict is Verdict.HARDEN_OFF:
        return ""
    return told.say.ngettext(
        "Waiting costs {n} day of harvest at most.", "Waiting costs {n} days of harvest at most.", one.wait_days
    )


def _safe(told: Told, safe_on: date | None) -> str:
    say = told.say
    if safe_on is None:
        return say.gettext("No day of this season looks safe yet.")
    if safe_on <= say.local(told.now).date():
        return say.gettext("By the weather it could go out, once it is hardened.")
    return say.gettext("It looks safe from {day}.", day=say.day(safe_on))
