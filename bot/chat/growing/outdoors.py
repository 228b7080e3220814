"""/out: may it go out yet, for each batch that waits under cover.

May it go out yet: hold, pot on, harden off or plant out, with the day that looks safe and the hours outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.screen import show, within
from bot.chat.warnings.brief import fits
from bot.chat.warnings.told import Told
from bot.core.garden.snapshot import HOUSES, Stage
from bot.core.growing.outdoors import FIRST_H, GAIN_DAYS, PRACTICE_FIRST_H, Advice, Outing, Verdict, Why, hours_outside
from bot.i18n import Say
from bot.services.growing import week
from bot.services.look import Look

#: Days of hardening off that are listed; where there is little room, those before a look is had again.
_DAYS_N, _NEXT_N = 5, 2

_STANDS = (Stage.GROWING, Stage.FLOWERING, Stage.READY)
_DEAR_WEEKS = 7  # and more: about two months


def batches(told: Told, outlook: Look, advice: Sequence[Advice]) -> str:
    """Every batch under cover, those that may move first."""
    say = told.say
    if not advice:
        return say.gettext("No plants are waiting indoors now.")
    listed = _in_order(advice)
    return lines([
        bold(say.gettext("Can they go outside yet?")),
        *(_batch(told, outlook, one, _DAYS_N) for one in listed),
        *_habits(told, outlook, listed),
    ])  # fmt: skip


def some(told: Told, outlook: Look, advice: Sequence[Advice], above: Sequence[str] = ()) -> tuple[str, bool]:
    """(text, whether it is all of it): the same as far as a phone shows at once, with the next days in short.
    above: what is said first.
    """
    whole = lines([*above, batches(told, outlook, advice)])
    if fits(whole):
        return whole, True
    listed = [_batch(told, outlook, one, _NEXT_N) for one in _in_order(advice)]
    say = told.say

    def below(shown_n: int) -> list[str | None]:
        rest = len(listed) - shown_n
        return [say.ngettext("And {n} more.", "And {n} more.", rest) if rest else None]

    return within([*above, bold(say.gettext("Can they go outside yet?"))], listed, below)[0], False


def _in_order(advice: Sequence[Advice]) -> list[Advice]:
    order = [Verdict.PLANT_OUT, Verdict.HARDEN_OFF, Verdict.POT_ON, Verdict.HOLD]
    return sorted(advice, key=lambda one: (order.index(one.verdict), one.crop))


def _habits(told: Told, outlook: Look, advice: Sequence[Advice]) -> list[str]:
    """What gardeners know of the work that is advised, each once."""
    say, found = told.say, []
    if any(one.verdict is Verdict.POT_ON for one in advice):
        gain = say.ngettext(
            "A bigger pot gives the plant about {n} more day (common practice, no source).",
            "A bigger pot gives the plant about {n} more days (common practice, no source).",
            GAIN_DAYS,
        )
        found.append(gain)
    begun = {one.id: one.hardening_on for one in outlook.garden.plantings}
    if any(one.verdict is Verdict.HARDEN_OFF and begun.get(one.planting_id) is None for one in advice):
        first = say.gettext(
            "First day outside: {least} hour. Many people start with {habit} hours (common practice, no source). I "
            "say less, to be safe.",
            least=say.number(FIRST_H),
            habit=say.number(PRACTICE_FIRST_H),
        )
        found.append(first)
    dear = [one.lost_weeks for one in advice if one.verdict is not Verdict.PLANT_OUT and one.lost_weeks >= _DEAR_WEEKS]
    if dear:
        found.append(say.gettext("If a batch dies in spring, you lose about two months (common practice, no source)."))
    return found


def _batch(told: Told, outlook: Look, one: Advice, days_n: int) -> str:
    say = told.say
    planting = next(each for each in outlook.garden.plantings if each.id == one.planting_id)
    where = safe(outlook.garden.place_of(planting).name, 40)
    head = say.gettext("{crop} ({place}):", crop=names.crop(say, told.crops, one.crop), place=where)
    verdict = {
        Verdict.PLANT_OUT: say.gettext("plant out now."),
        Verdict.HARDEN_OFF: say.gettext("harden off."),
        Verdict.POT_ON: say.gettext("move to bigger pots and wait."),
        Verdict.HOLD: say.gettext("keep indoors for now."),
    }[one.verdict]
    parts = [bold(head), verdict]
    if one.verdict is Verdict.HARDEN_OFF:
        today = say.local(told.now).date()
        crop = told.crops[one.crop]
        parts.append(_hours(told, hours_outside(planting, crop, outlook.days, outlook.nights, today, days_n)))
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
            days.append(say.gettext("{day} outside, also at night", day=day))
        else:
            days.append(say.ngettext("{day} {n} hour", "{day} {n} hours", outing.hours, day=day))
    return say.gettext("Outside: {days}.", days=say.and_list(days)) if days else ""


def _stays_in(told: Told, why: Why, day: str) -> str:
    say = told.say
    text = {
        Why.COLD: say.gettext("{day} stay inside (cold)"),
        Why.WINDY: say.gettext("{day} stay inside (wind)"),
    }.get(why, say.gettext("{day} not known yet"))
    return say.fill(text, day=day)


def _waits(told: Told, one: Advice) -> str:
    """What waiting costs, where anything waits."""
    if one.wait_days <= 0 or one.verdict is Verdict.HARDEN_OFF:
        return ""
    return told.say.ngettext(
        "If you wait, the harvest is {n} day later at most.",
        "If you wait, the harvest is {n} days later at most.",
        one.wait_days,
    )


async def not_waiting(request: Request, told: Told, seen: Look, keys: Sequence[str]) -> str | None:
    """May a crop go out that grows nowhere yet and waits in no tray: just sown, or to be bought. keys: crops that were
    meant.
    """
    assert request.garden is not None
    grown = [one for one in seen.garden.plantings if one.crop in keys and one.stage is not Stage.ENDED]
    key = next((one.crop for one in grown), next(iter(keys), None))
    if key is None or told.crops[key].planting.out is None:
        return None
    if any(one.stage in _STANDS or seen.garden.place_of(one).shelter not in HOUSES for one in grown):
        return None
    opens_on = await week.opens_on(request.session, request.garden, seen, request.now, told.crops[key])
    return lines([bold(told.say.gettext("Can they go outside yet?")), _safe(told, opens_on)])


def _safe(told: Told, safe_on: date | None) -> str:
    say = told.say
    if safe_on is None:
        return say.gettext("I see no safe day this season yet.")
    if safe_on <= say.local(told.now).date():
        return say.gettext("The weather is fine for it. Harden it off first.")
    return say.gettext("It should be safe from {day}.", day=say.day(safe_on))


WORD = "out"
#: The button of every batch.
ALL = "out:all"


def about(say: Say) -> str:
    return say.gettext("which plants can go outside now")


async def answer(request: Request) -> None:
    await _show(request)


async def press(request: Request, rest: str) -> None:
    """ "all": every batch with all of its days."""
    await _show(request, whole=True)


async def _show(request: Request, *, whole: bool = False) -> None:
    say, garden, member = request.say, request.garden, request.member
    if garden is None or member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    found = await week.answer(request.session, garden, member, request.source, request.now)
    told = Told(say, found.outlook.crops, request.now)
    if whole:
        await show(request, batches(told, found.outlook, found.advice), ALL)
        return
    text, is_whole = some(told, found.outlook, found.advice)
    await request.reply(text, [] if is_whole else [[(say.gettext("Show all plants"), ALL)]])
