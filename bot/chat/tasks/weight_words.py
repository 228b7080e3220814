"""What a load weighs and how many people it wants, in every list that asks for hands."""

from __future__ import annotations

from bot.core.finding import TaskKind
from bot.core.garden.snapshot import Place, PlaceKind
from bot.core.people.lifting import HANDLED, ROLL_M, by_trolley, load_kg, movers
from bot.i18n import Say

__all__ = ["of"]


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
