"""What lies over a place or stands inside from an earlier night, in words: perhaps still there, or to be left as it is.

What a load weighs and how many people it wants, in every list that asks for hands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date

from bot.chat import names
from bot.chat.html import safe
from bot.core.finding import TaskKind
from bot.core.garden.place_state import Layer
from bot.core.garden.snapshot import UNDER_GLASS, Place, PlaceKind
from bot.core.growing.crop import Crop
from bot.core.people.lifting import HANDLED, ROLL_M, by_trolley, load_kg, movers
from bot.i18n import Say
from bot.services.warnings.views import Kept, TaskView


def verb(say: Say, duty: TaskView) -> str:
    """The task in short; a house has doors and vents to shut besides."""
    if duty.kind is TaskKind.PIN and duty.place.kind in UNDER_GLASS:
        return say.pgettext("task", "Shut and fasten")
    return names.task(say, duty.kind)


def perhaps(say: Say, duty: TaskView, layer: Layer, thing: str) -> str:
    """What was put on for an earlier night, and of which nobody has said that it came off; what to do if it did."""
    if duty.perhaps_less is not None:
        first = say.gettext(
            "Maybe still covered with {cover}, please look: {thing}. That is not enough for this night.",
            cover=names.cover(say, duty.perhaps_less),
            thing=thing,
        )
        return _more(say, duty, first)
    if layer is Layer.INSIDE:
        first = say.gettext("Maybe still inside, please look: {thing}.", thing=thing)
    elif layer is Layer.DOWN:
        first = say.gettext("Maybe still lying down, please look: {thing}.", thing=thing)
    else:
        first = say.gettext("Maybe still covered, please look: {thing}.", thing=thing)
    if duty.target is not None:
        target = safe(duty.target.name, 40)
        return " ".join([first, say.gettext("If not, please bring into {target}.", target=target)])
    if duty.cover is not None:
        return " ".join([first, say.gettext("If not, please cover with {cover}.", cover=names.cover(say, duty.cover))])
    return " ".join([first, say.gettext("If not, then please: {task}.", task=verb(say, duty))])


def _more(say: Say, duty: TaskView, first: str) -> str:
    """What is asked for beside the little that is perhaps there."""
    if duty.target is not None:
        target = safe(duty.target.name, 40)
        return " ".join([first, say.gettext("Better: bring into {target}.", target=target)])
    if duty.cover is not None:
        return " ".join([first, say.gettext("Better: {cover}.", cover=names.cover(say, duty.cover))])
    return " ".join([first, say.gettext("Better: {task}.", task=verb(say, duty))])


def kept(say: Say, rules: Mapping[str, Crop], left: Sequence[Kept], *, short: bool = False) -> list[str]:
    """What is to be left as it is, and until which day. short: the places alone, in a line."""
    by_day: dict[date, dict[Layer, list[Kept]]] = {}
    for one in left:
        by_day.setdefault(say.local(one.until_at).date(), {}).setdefault(one.layer, []).append(one)
    found = []
    for day, by_layer in sorted(by_day.items()):
        if short:
            places = say.and_list(dict.fromkeys(safe(one.place.name, 40) for some in by_layer.values() for one in some))
            found.append(say.gettext("Please leave as it is until {day}: {places}.", day=say.day(day), places=places))
            continue
        found.append(say.gettext("Please leave these as they are until {day}:", day=say.day(day)))
        for layer, some in by_layer.items():
            where = say.and_list(dict.fromkeys(safe(one.place.name, 40) for one in some))
            what = names.crops(say, rules, (key for one in some for key in one.crops))
            thing = say.gettext("{places} ({crops})", places=where, crops=what) if what else where
            found.append("• " + say.fill(_LEFT[layer](say), thing=thing))
    return found


_LEFT: dict[Layer, Callable[[Say], str]] = {
    Layer.COVER: lambda say: say.gettext("Covered: {thing}."),
    Layer.INSIDE: lambda say: say.gettext("Inside: {thing}."),
    Layer.DOWN: lambda say: say.gettext("Lying down: {thing}."),
}


def of(say: Say, task: TaskKind, place: Place, people: int, *, several: bool, short: bool = False) -> str | None:
    """For one place, or for each of several of the same weight. people: who are wanted at once. short: no more than that."""
    kg = load_kg(place)
    if task is TaskKind.COVER and place.movable and movers(place) is None:
        return say.gettext("Too heavy to bring in, so it stays where it is.")
    if task not in HANDLED or place.kind is not PlaceKind.CONTAINER:
        return None
    if kg is None:
        return say.gettext("I do not know how heavy it is. Try it first. Too heavy? Leave it.")
    if by_trolley(kg) and short:
        return say.gettext("About {kg} kg: two people with a trolley.", kg=say.number(kg))
    if by_trolley(kg):
        words = {"kg": say.number(kg), "m": say.number(ROLL_M)}
        if task is TaskKind.BRING_IN:
            return say.gettext(
                "About {kg} kg: two people with a trolley. Rest after {m} m at most. No trolley? Cover it where it is.",
                **words,
            )
        return say.gettext(
            "About {kg} kg: two people with a trolley. Rest after {m} m at most. No trolley? Leave it.",
            **words,
        )
    if people > 1:
        words = {"kg": say.number(kg), "n": say.number(people)}
        if several:
            return say.gettext("About {kg} kg each: {n} people for each one.", **words)
        return say.gettext("About {kg} kg: {n} people together.", **words)
    if several:
        return say.gettext("About {kg} kg each.", kg=say.number(kg))
    return say.gettext("About {kg} kg.", kg=say.number(kg))
