"""How far a batch has come, and how that is known: by what was seen, by days, by warmth or by the season."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from bot.chat import names
from bot.chat.html import safe
from bot.chat.warnings.told import Told
from bot.core.garden.snapshot import Stage
from bot.core.growing.stages import Basis, Reached
from bot.i18n import Say
from bot.services.look import Look

_SHOWN = 3


def reckoned(told: Told, outlook: Look, planting_ids: Iterable[int]) -> list[str]:
    """A line for each of these batches whose stage nobody wrote, at most three, and how to put it right."""
    say = told.say
    by_id = {one.id: one for one in outlook.garden.plantings}
    known = [(by_id[id_], outlook.reached[id_]) for id_ in planting_ids if id_ in outlook.reached and id_ in by_id]
    lines = []
    for planting, reached in known[:_SHOWN]:
        place = safe(outlook.garden.place_of(planting).name, 40)
        thing = say.gettext("{crop} ({place})", crop=names.crop(say, told.crops, planting.crop), place=place)
        lines.append(counts_as(say, reached, thing))
    if known:
        crop = names.crop(say, told.crops, known[0][0].crop)
        lines.append(put_right(say, known[0][1].stage, crop))
    return [line for line in dict.fromkeys(lines) if line]


def counts_as(say: Say, reached: Reached, thing: str) -> str:
    """The stage that a batch counts as having reached, since when, and by what."""
    worded = _COUNTS.get((reached.stage, reached.basis))
    day = say.day(reached.due_on) if reached.due_on is not None else ""
    return say.fill(worded(say), thing=thing, day=day) if worded else ""


def put_right(say: Say, stage: Stage, crop: str) -> str:
    """The sentence that corrects it."""
    crop = crop.lower() if say.language == "en" else crop
    if stage is Stage.READY:
        return say.gettext("Is this wrong? Write “{crop} not ready yet”.", crop=crop)
    if stage is Stage.FLOWERING:
        return say.gettext("Is this wrong? Write “{crop} not flowering yet”.", crop=crop)
    return say.gettext("Is this wrong? Write “{crop} not up yet”.", crop=crop) if stage is Stage.SEEDLING else ""


def coming(say: Say, one: Reached, day: str) -> str:
    """What is waited for, from about when, and by what that is reckoned."""
    ready, warm = one.stage is Stage.READY, one.basis is Basis.WARMTH
    if ready and one.basis is Basis.SEASON:
        return say.gettext("First harvest from about {day} (from the time of year).", day=day)
    if ready and warm:
        return say.gettext("First harvest from about {day} (from the warmth so far).", day=day)
    if ready:
        return say.gettext("First harvest from about {day} (from the days since the start).", day=day)
    if warm:
        return say.gettext("It should come up from about {day} (from the warmth of the soil).", day=day)
    return say.gettext("It should be up by about {day} (from the days since sowing).", day=day)


_COUNTS: dict[tuple[Stage, Basis], Callable[[Say], str]] = {
    (Stage.SEEDLING, Basis.DAYS): lambda say: say.gettext(
        "{thing}: I think it has been up since {day} (from the days since sowing)."
    ),
    (Stage.SEEDLING, Basis.WARMTH): lambda say: say.gettext(
        "{thing}: I think it has been up since {day} (from the warmth of the soil)."
    ),
    (Stage.GROWING, Basis.DAYS): lambda say: say.gettext(
        "{thing}: I think it has been growing since {day} (from the days since the start)."
    ),
    (Stage.GROWING, Basis.WARMTH): lambda say: say.gettext(
        "{thing}: I think it has been growing since {day} (from the warmth of the soil)."
    ),
    (Stage.GROWING, Basis.SEASON): lambda say: say.gettext("{thing}: I think last season's crop is over."),
    (Stage.FLOWERING, Basis.DAYS): lambda say: say.gettext(
        "{thing}: I think it has been in flower since {day} (from the days since the start)."
    ),
    (Stage.FLOWERING, Basis.SEASON): lambda say: say.gettext(
        "{thing}: I think it has been in flower since {day} (from the time of year)."
    ),
    (Stage.READY, Basis.DAYS): lambda say: say.gettext(
        "{thing}: I think it has been ready since {day} (from the days since the start)."
    ),
    (Stage.READY, Basis.WARMTH): lambda say: say.gettext(
        "{thing}: I think it has been ready since {day} (from the warmth so far)."
    ),
    (Stage.READY, Basis.SEASON): lambda say: say.gettext(
        "{thing}: I think it has been ready since {day} (from the time of year)."
    ),
}
