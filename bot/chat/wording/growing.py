"""One crop from seed to store, in a phone's screen: when, how many, how far apart, when ready, how it keeps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bot.chat.wording import names, signs
from bot.chat.wording.html import bold, lines, safe
from bot.chat.wording.told import Told
from bot.core.crop import Crop, Start, Storage
from bot.core.garden import Place
from bot.core.harvest import PRACTICE_DAYS, lift_plan
from bot.core.seasons import next_in_window
from bot.core.spacing import Bed, Count, Layout, for_crop
from bot.core.succession import Filler, first_harvest, how_many_to_sow, sow_between, sowing_places
from bot.i18n import Say

__all__ = ["crop", "gap", "which"]

#: Of those that come up, so many are lost before they are planted out: common practice, no source.
LOSS = 0.2
_GAP_SHOWN = 12


def crop(told: Told, rule: Crop, wanted: int | None, beds: Sequence[tuple[Place | None, Bed]]) -> str:
    """Everything about one crop that this member needs now."""
    say = told.say
    cautions = [signs.caution(say, key) for key in rule.safety]
    return lines([
        bold(names.crop(say, told.crops, rule.key)),
        *_when(told, rule),
        _how_many(say, rule, wanted),
        *(_fits(say, rule, place, bed) for place, bed in beds),
        _again(say, rule),
        *_harvest(told, rule),
        *cautions,
    ])  # fmt: skip


def which(told: Told, keys: Iterable[str]) -> str:
    found = told.say.or_list([names.crop(told.say, told.crops, key) for key in keys])
    return told.say.gettext("Which one do you mean: {crops}?", crops=found)


def gap(told: Told, fillers: Sequence[Filler]) -> str:
    """What may still be sown or set out into an empty bed today, soonest ready first."""
    say = told.say
    if not fillers:
        return say.gettext(
            "Nothing that is sown now would be ready this season. A green cover keeps the bed for spring."
        )
    found = [
        say.gettext(
            "• {crop}, {where}: ready by {day}.",
            crop=names.crop(say, told.crops, one.crop),
            where=names.where(say, one.where),
            day=say.day(one.ready_on),
        )
        for one in fillers[:_GAP_SHOWN]
    ]
    return lines([bold(say.gettext("To fill a gap now:")), *found])


def _when(told: Told, rule: Crop) -> list[str]:
    """Where it may be started today and until when; for what is raised, counted back from planting out."""
    say, today = told.say, told.say.local(told.now).date()
    seed = rule.sowing.start is Start.SEED
    found = []
    for place in sowing_places(rule, today):
        words = {"where": names.where(say, place.where), "day": say.day(place.ends_on)}
        found.append(
            say.gettext("Sow now {where}, until {day}.", **words)
            if seed
            else say.gettext("Start it now {where}, until {day}.", **words)
        )
    if rule.raising is not None and rule.planting.out is not None:
        out_on = next_in_window(today, rule.planting.out)
        from_on, to_on = sow_between(out_on, rule.raising)
        found.append(
            say.gettext(
                "To plant out on {day}, the earliest by the season, sow between {first} and {last}.",
                day=say.day(out_on),
                first=say.day(from_on),
                last=say.day(to_on),
            )
        )
    return found or [say.gettext("It is not the season to start it now.")]


def _how_many(say: Say, rule: Crop, wanted: int | None) -> str | None:
    share = rule.sowing.germination_pct
    if share is None or rule.sowing.start is not Start.SEED:
        return None
    plants = wanted or 10
    return say.gettext(
        "For {plants} plants sow {seeds}: then 9 times in 10 enough survive ({share} in 100 come up, a fifth is lost later).",
        plants=say.number(plants),
        seeds=say.number(how_many_to_sow(plants, share / 100, LOSS)),
        share=say.number(share),
    )


def _fits(say: Say, rule: Crop, place: Place | None, bed: Bed) -> str:
    """Counts by the rule's own distances: in rows, square and offset; what is set in clumps says so."""
    counts = {count.layout: count for count in for_crop(bed, rule.planting)}
    where = safe(place.name, 40) if place else _size(say, bed)
    return say.gettext(
        "{place} holds {rows} in rows {gap} cm apart, {square} square or {offset} offset at {apart} cm.",
        place=where,
        rows=_plants(say, counts[Layout.ROWS]),
        gap=say.number(rule.planting.rows_cm),
        square=_plants(say, counts[Layout.SQUARE]),
        offset=_plants(say, counts[Layout.OFFSET]),
        apart=say.number(rule.planting.clump_cm or rule.planting.in_row_cm),
    )


def _size(say: Say, bed: Bed) -> str:
    return say.gettext(
        "A bed of {length} by {width} m", length=say.number(bed.length_m, 2), width=say.number(bed.width_m, 2)
    )


def _plants(say: Say, count: Count) -> str:
    if count.plants_n != count.stations_n:
        return say.gettext(
            "{plants} (in {clumps} clumps)", plants=say.number(count.plants_n), clumps=say.number(count.stations_n)
        )
    return say.number(count.plants_n)


def _again(say: Say, rule: Crop) -> str | None:
    days = rule.harvest.succession_days
    if days is None:
        return None
    return say.ngettext(
        "Sow again every {n} day for a steady supply.", "Sow again every {n} days for a steady supply.", days
    )


def _harvest(told: Told, rule: Crop) -> list[str]:
    """When it is ready, how to tell, how it is lifted, and how it keeps."""
    say, today = told.say, told.say.local(told.now).date()
    first_on, last_on = first_harvest(rule, today)
    found = [signs.ready(say, rule.harvest.ready)]
    if sowing_places(rule, today):
        ready = say.gettext(
            "Started today, first ready from {first} to {last}.", first=say.day(first_on), last=say.day(last_on)
        )
        found.insert(0, ready)
    plan = lift_plan(rule, today)
    if plan is not None:
        found.append(
            say.gettext(
                "Cut the haulm and wait {days} days before lifting, so that skins set (habit is about {habit}; I keep to "
                "the longer).",
                days=say.number((plan.lift_from_on - plan.cut_on).days),
                habit=say.number(PRACTICE_DAYS),
            )
        )
    if rule.harvest.keeps:
        found.append(say.gettext("It may wait where it grows until you want it."))
    return [*found, _store(say, rule.harvest.storage)]


def _store(say: Say, storage: Storage | None) -> str:
    if storage is None:
        return say.gettext("It does not store: eat it fresh.")
    low_c, high_c = storage.temp_c
    kept = say.gettext(
        "Keeps {low} to {high} weeks at {cold} to {warm} and {damp} to {damper} % humidity.",
        low=say.number(storage.weeks[0]),
        high=say.number(storage.weeks[1]),
        cold=say.celsius(low_c),
        warm=say.celsius(high_c),
        damp=say.number(storage.humidity_pct[0]),
        damper=say.number(storage.humidity_pct[1]),
    )
    if not storage.cure_days:
        return kept
    cured = say.ngettext("Cure it for {n} day first.", "Cure it for {n} days first.", storage.cure_days)
    return f"{cured} {kept}"
