"""A member's wishes in words, and the buttons that change them: all at a glance, and a page for each kind."""

from __future__ import annotations

from enum import IntEnum

from bot.chat.html import bold, lines, safe
from bot.chat.wire.message import Button
from bot.core.people.lifting import HIGHER_KG, Zone, glad_kg
from bot.i18n import Say
from bot.services.people.wishes import LIFTS_KG, PER_WEEK, TRAVEL_MIN, Free, Wishes


class Page(IntEnum):
    """What a phone shows at once; the number is in the buttons."""

    ALL = 0
    LIFTING = 1
    HOURS = 2
    TURNS = 3
    WAY = 4


def message(say: Say, garden: str, wishes: Wishes, page: Page = Page.ALL) -> str:
    """What was said so far. The caution about lifting stands where weights are chosen."""
    early = (
        say.gettext("Only in the mornings, if that is possible.")
        if wishes.mornings_only
        else say.gettext("Any time of day.")
    )
    if page is Page.LIFTING:
        caution = say.gettext(
            "Lifting: these numbers help you to be careful. They are not safe limits. I ask nobody to lift "
            "more than {kg} kg. Try the weight first, keep your back straight, and ask a second person to "
            "help. You can always say no.",
            kg=say.number(HIGHER_KG[Zone.WAIST][0]),
        )
        return lines([bold(say.gettext("How much do you like to lift?")), _lift(say, wishes.lift_kg), caution])
    if page is Page.HOURS:
        return lines([bold(say.gettext("When can you come?")), early, _free(say, wishes)])
    if page is Page.TURNS:
        return lines([bold(say.gettext("How often can I ask you?")), _often(say, wishes.per_week)])
    if page is Page.WAY:
        return lines([bold(say.gettext("How long is your way to the garden?")), _way(say, wishes.travel_min)])
    return lines([
        bold(say.gettext("Your wishes in {garden}. Tap to change them:", garden=safe(garden))),
        _lift(say, wishes.lift_kg),
        early,
        _often(say, wishes.per_week),
        _free(say, wishes),
        _way(say, wishes.travel_min),
    ])  # fmt: skip


def _lift(say: Say, lift_kg: float | None) -> str:
    if lift_kg is None:
        return say.gettext(
            "Lifting: you have not told me yet, so I ask you for {kg} kg at most.", kg=say.number(glad_kg(None))
        )
    if lift_kg <= 0:
        return say.gettext("Lifting: nothing at all.")
    return say.gettext("Lifting: up to {kg} kg.", kg=say.number(lift_kg))


def _often(say: Say, per_week: int | None) -> str:
    if per_week is None:
        return say.gettext("Any number of turns a week.")
    return say.ngettext("At most {n} turn a week.", "At most {n} turns a week.", per_week)


def _way(say: Say, travel_min: int | None) -> str:
    if travel_min is None:
        return say.gettext("Your way to the garden: you have not told me yet.")
    return say.ngettext("Your way to the garden: {n} minute.", "Your way to the garden: {n} minutes.", travel_min)


def _free(say: Say, wishes: Wishes) -> str:
    said = [_name(say, kind) for kind in Free if kind in wishes.free]
    if wishes.other_times:
        said.append(say.gettext("at hours that an organiser wrote down"))
    if not said:
        return say.gettext("Free: any day.")
    return say.gettext("Free: {times}.", times=say.and_list(said))


def _name(say: Say, kind: Free) -> str:
    return {
        Free.EVENINGS: say.gettext("weekday evenings"),
        Free.WEEKENDS: say.gettext("weekends"),
    }[kind]


def buttons(say: Say, member_id: int, wishes: Wishes, page: Page = Page.ALL) -> list[list[Button]]:
    """Each says what it sets, so that a second tap changes nothing more."""
    if page is Page.ALL:
        pages: list[Button] = [
            (say.gettext("Change lifting"), f"wish:{member_id}:page:{Page.LIFTING}"),
            (say.gettext("Change my hours"), f"wish:{member_id}:page:{Page.HOURS}"),
            (say.gettext("Change my turns"), f"wish:{member_id}:page:{Page.TURNS}"),
            (say.gettext("Change my way"), f"wish:{member_id}:page:{Page.WAY}"),
        ]
        return [pages[:2], pages[2:], [(say.gettext("Finish my wishes"), f"wish:{member_id}:end:0")]]
    choices = _choices(say, member_id, wishes, page)
    back: Button = (say.gettext("Back to my wishes"), f"wish:{member_id}:page:{Page.ALL}")
    return [*(choices[n : n + 2] for n in range(0, len(choices), 2)), [back]]


def _choices(say: Say, member_id: int, wishes: Wishes, page: Page) -> list[Button]:
    if page is Page.LIFTING:
        return [
            _choice(
                say.gettext("Up to {kg} kg", kg=say.number(kg)) if kg else say.gettext("No lifting"),
                f"wish:{member_id}:kg:{kg}",
                chosen=wishes.lift_kg == kg,
            )
            for kg in LIFTS_KG
        ]
    if page is Page.TURNS:
        often = [
            _choice(
                say.ngettext("{n} turn a week", "{n} turns a week", n),
                f"wish:{member_id}:week:{n}",
                chosen=wishes.per_week == n,
            )
            for n in PER_WEEK
        ]
        any_number = say.gettext("Any number of turns")
        return [*often, _choice(any_number, f"wish:{member_id}:week:0", chosen=wishes.per_week is None)]
    if page is Page.WAY:
        return [
            _choice(
                say.ngettext("{n} min away", "{n} min away", n),
                f"wish:{member_id}:way:{n}",
                chosen=wishes.travel_min == n,
            )
            for n in TRAVEL_MIN
        ]
    early, any_day = wishes.mornings_only, not wishes.free and not wishes.other_times
    return [
        _choice(say.gettext("Only mornings"), f"wish:{member_id}:morning:1", chosen=early),
        _choice(say.gettext("Any time of day"), f"wish:{member_id}:morning:0", chosen=not early),
        *(_hours(say, member_id, kind, wishes) for kind in Free),
        _choice(say.gettext("Any day"), f"wish:{member_id}:any:1", chosen=any_day),
    ]


def _hours(say: Say, member_id: int, kind: Free, wishes: Wishes) -> Button:
    label = {
        Free.EVENINGS: say.gettext("Weekday evenings"),
        Free.WEEKENDS: say.gettext("Weekends"),
    }[kind]
    chosen = kind in wishes.free
    return _choice(label, f"wish:{member_id}:{kind}:{0 if chosen else 1}", chosen=chosen)


def _choice(label: str, data: str, *, chosen: bool) -> Button:
    """A tick as well as the message's words: no meaning by one sign alone."""
    return (f"✓ {label}" if chosen else label, data)
