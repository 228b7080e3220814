"""May it go out yet: hold, pot on, harden off or plant out, with the day that looks safe and the hours outside."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.chat.wording import names
from bot.chat.wording.html import bold, lines, safe
from bot.chat.wording.told import Told
from bot.core.hardening import Outing, hours_outside
from bot.core.outdoors import Advice, Verdict
from bot.services.outlook import Outlook

__all__ = ["batches"]


def batches(told: Told, outlook: Outlook, advice: Sequence[Advice]) -> str:
    """Every batch under cover, those that may move first."""
    say = told.say
    if not advice:
        return say.gettext("Nothing waits under cover just now.")
    order = [Verdict.PLANT_OUT, Verdict.HARDEN_OFF, Verdict.POT_ON, Verdict.HOLD]
    listed = sorted(advice, key=lambda one: (order.index(one.verdict), one.crop))
    return lines([bold(say.gettext("May it go out yet?")), *(_batch(told, outlook, one) for one in listed)])


def _batch(told: Told, outlook: Outlook, one: Advice) -> str:
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
    return "• " + " ".join(part for part in parts if part)


def _hours(told: Told, plan: Sequence[Outing]) -> str:
    """The coming days: "Mon 4 May 2 h, Tue 5 May in"."""
    say = told.say
    days = []
    for outing in plan:
        day = say.near_day(outing.on, told.now)
        if outing.hours == 0:
            days.append(say.gettext("{day} stay in", day=day))
        elif outing.night:
            days.append(say.gettext("{day} out, nights too", day=day))
        else:
            days.append(say.ngettext("{day} {n} hour", "{day} {n} hours", outing.hours, day=day))
    return say.gettext("Outside: {days}.", days=say.and_list(days)) if days else ""


def _safe(told: Told, safe_on: date | None) -> str:
    say = told.say
    if safe_on is None:
        return say.gettext("No day of this season looks safe yet.")
    if safe_on <= say.local(told.now).date():
        return say.gettext("By the weather it could go out, once it is hardened.")
    return say.gettext("It looks safe from {day}.", day=say.day(safe_on))
