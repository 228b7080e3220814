"""One crop from seed to store, in a phone's screen: when, how many, how far apart, when ready, how it keeps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from enum import Enum

from bot.chat import names
from bot.chat.calendar.proposal import whose_days
from bot.chat.growing import signs
from bot.chat.html import bold, lines, safe
from bot.chat.screen import within
from bot.chat.warnings.brief import fits
from bot.chat.warnings.told import Told
from bot.core.calendar.proposal import CHIT
from bot.core.garden.snapshot import Place
from bot.core.growing.crop import NOT_FOOD, Crop, DayRange, Days, Raising, Start, Storage
from bot.core.growing.harvest import PRACTICE_DAYS, lift_plan
from bot.core.growing.seasons import closes_on, in_window, next_in_window
from bot.core.growing.spacing import INCH_M, Bed, Count, Layout, apart, feet_m, for_crop, square
from bot.core.growing.succession import (
    Where,
    first_harvest,
    how_many_to_sow,
    sow_between,
    sowing_places,
    sowing_windows,
)
from bot.i18n import Say

#: Of those that come up, so many are lost before they are planted out: common practice, no source.
LOSS = 0.2
_INCH_CM = INCH_M * 100


class Part(Enum):
    """Of what is said about one crop."""

    WHEN = "when"
    SET_AT = "set at"
    FITS = "fits"
    HARVEST = "harvest"


def part(
    told: Told, rule: Crop, wanted: Part, beds: Sequence[tuple[Place | None, Bed]], *, inches: bool = False
) -> str:
    """The one thing that was asked about a crop, as much as a phone shows at once. inches: said in inches, too."""
    say = told.say
    found = {
        Part.WHEN: lambda: _when(told, rule),
        Part.SET_AT: lambda: _set_at(say, rule, inches=inches),
        Part.FITS: lambda: [
            *_set_at(say, rule, inches=inches),
            *(line for place, bed in beds for line in _fits(say, rule, place, bed, inches=inches)),
        ],
        Part.HARVEST: lambda: _harvest(told, rule),
    }[wanted]()
    title = bold(names.crop(say, told.crops, rule.key))
    everything = lines([title, *found, *(signs.caution(say, key) for key in rule.safety)])
    return everything if fits(everything) else within([title], found, lambda shown_n: _brief(say, rule))[0]


def name(told: Told, key: str) -> str:
    return names.crop(told.say, told.crops, key)


def crop(
    told: Told,
    rule: Crop,
    wanted: int | None,
    beds: Sequence[tuple[Place | None, Bed]],
    *,
    written_for: bool = True,
    inches: bool = False,
    whole: bool = False,
) -> tuple[str, bool]:
    """(text, whether it is all of it): about one crop what this member needs now, as much as a phone shows at once.
    written_for: whether the rules' days are of the place. inches: said in inches, too. whole: all of it in any case.
    """
    say = told.say
    first = [
        bold(names.crop(say, told.crops, rule.key)),
        *(_when(told, rule) if rule.days is not Days.UNKNOWN else ()),
        whose_days(say, rule.days, written_for=written_for),
    ]
    how_many = _how_many(say, rule, wanted)
    found = [
        *(how_many if wanted else ()),  # what was asked for comes first
        *_set_at(say, rule, inches=inches),
        *(line for place, bed in beds for line in _fits(say, rule, place, bed, inches=inches)),
        *_harvest(told, rule),
        *(() if wanted else how_many),
        *_again(say, rule),
        *(signs.habit(say, key) for key in rule.habits),
    ]
    everything = lines([*first, *found, *(signs.caution(say, key) for key in rule.safety)])
    if whole or fits(everything):
        return everything, True
    text, _ = within(first, found, lambda shown_n: _brief(say, rule))
    return text if fits(text) else within(first[:1], found, lambda shown_n: _brief(say, rule))[0], False


def _brief(say: Say, rule: Crop) -> list[str]:
    """Its cautions where there is little room; each keeps its meaning."""
    return [signs.brief(say, key) or signs.caution(say, key) for key in rule.safety]


def which(told: Told, keys: Iterable[str]) -> str:
    found = told.say.or_list([names.crop(told.say, told.crops, key) for key in keys])
    return told.say.gettext("Which one do you mean: {crops}?", crops=found)


def _when(told: Told, rule: Crop) -> list[str]:
    """Where it may be started today and until when; for what is raised, counted back from planting out."""
    say, today = told.say, told.say.local(told.now).date()
    seed = rule.sowing.start is Start.SEED
    found = []
    for place in sowing_places(rule, today):
        words = {"where": names.where(say, place.where), "day": say.day(place.ends_on)}
        if place.where is Where.CHIT:
            found.append(say.gettext("Put the tubers out to sprout {where}, until {day}.", **words))
        elif seed:
            found.append(say.gettext("Sow now {where}, until {day}.", **words))
        else:
            found.append(say.gettext("Plant now {where}, until {day}.", **words))
    if rule.sowing.autumn is not None and in_window(today, rule.sowing.autumn):
        found.append(say.gettext("It can stay out in winter. Choose a hardy kind for autumn sowing."))
    if rule.raising is not None and rule.planting.out is not None:
        found.append(_raised(say, rule, rule.raising, rule.planting.out, today))
    elif rule.planting.out is not None and in_window(today, rule.planting.out):
        found.append(say.gettext("Plant out until {day}.", day=say.day(closes_on(today, rule.planting.out))))
    return found or [_next_start(say, rule, today)]


def _raised(say: Say, rule: Crop, raising: Raising, out: DayRange, today: date) -> str:
    """When to sow for planting out; where those days are past, what may still be done."""
    out_on = next_in_window(today, out)
    from_on, to_on = sow_between(out_on, raising)
    if to_on >= today:
        return say.gettext(
            "You can plant out from {day}. For that, sow between {first} and {last}.",
            day=say.day(out_on),
            first=say.day(max(from_on, today)),
            last=say.day(to_on),
        )
    ready_on = today + (out_on - to_on)  # the quickest plants, sown today
    if in_window(ready_on, out) and sowing_places(rule, today):
        return say.gettext("If you sow today, you can plant out from about {day}.", day=say.day(ready_on))
    if in_window(today, out):
        return say.gettext(
            "It is too late to start from seed. You can plant out young plants until {day}.",
            day=say.day(closes_on(today, out)),
        )
    return say.gettext(
        "It is too late to start from seed. Get young plants and plant them out from {day}.", day=say.day(out_on)
    )


def _next_start(say: Say, rule: Crop, today: date) -> str:
    """Out of season: from when on it is started, and where."""
    plants = ((Where.PLANTED_OUT, rule.planting.out),) if rule.planting.out else ()
    opens = [(next_in_window(today, window), where) for where, window in (*sowing_windows(rule), *plants)]
    on, where = min(opens, key=lambda one: one[0])
    return say.gettext(
        "This is not the time to start it. Next time: from {day}, {where}.",
        where=names.where(say, where),
        day=say.day(on),
    )


def _how_many(say: Say, rule: Crop, wanted: int | None) -> list[str]:
    share = rule.sowing.germination_pct
    if share is None or rule.sowing.start is not Start.SEED:
        return []
    plants = wanted or 10
    found = say.gettext(
        "For {plants} plants sow {seeds} seeds. Then you have enough 9 times in 10. ({share} in 100 come up. "
        "One in five dies later.)",
        plants=say.number(plants),
        seeds=say.number(how_many_to_sow(plants, share / 100, LOSS)),
        share=say.number(share),
    )
    return [found]


def _set_at(say: Say, rule: Crop, *, inches: bool = False) -> list[str]:
    """How deep and how far apart; seed is often sown less deep than plants are set. inches: said in inches, too."""
    own, depth_cm, plants_cm = apart(rule.planting), rule.sowing.depth_cm, rule.planting.depth_cm
    lengths_cm = {"depth": depth_cm, "apart": own.in_row_m * 100, "rows": own.rows_m * 100}
    if two := plants_cm is not None and plants_cm != depth_cm:
        lengths_cm["plants"] = plants_cm or 0.0
    digits = {"depth": 1, "plants": 1}
    metric = {name: say.number(cm, digits.get(name, 0)) for name, cm in lengths_cm.items()}
    imperial = {name: say.number(cm / _INCH_CM, digits.get(name, 0)) for name, cm in lengths_cm.items()}
    if two:
        found = say.gettext(
            "Sow {depth}\u00a0cm deep. Set the plants {plants}\u00a0cm deep, {apart}\u00a0cm apart. Leave "
            "{rows}\u00a0cm between rows.",
            **metric,
        )
        same = say.gettext(
            "In inches: sow {depth} deep. Set plants {plants} deep, {apart} apart, rows {rows}.", **imperial
        )
    elif not depth_cm:
        found = say.gettext(
            "Set it level with the soil, {apart}\u00a0cm apart. Leave {rows}\u00a0cm between rows.", **metric
        )
        same = say.gettext("In inches: {apart} apart, rows {rows}.", **imperial)
    else:
        found = say.gettext("{depth}\u00a0cm deep, {apart}\u00a0cm apart. Leave {rows}\u00a0cm between rows.", **metric)
        same = say.gettext("In inches: {depth} deep, {apart} apart, rows {rows}.", **imperial)
    return [found, same] if inches else [found]


def _fits(say: Say, rule: Crop, place: Place | None, bed: Bed, *, inches: bool = False) -> list[str]:
    """Counts by the rule's own distances: in rows, square and offset; where habit sets closer, that beside it."""
    counts = {count.layout: count for count in for_crop(bed, rule.planting)}
    own, in_rows = apart(rule.planting), counts[Layout.ROWS]
    words = {
        "place": safe(place.name, 40) if place else _size(say, bed, inches=inches),
        "plants": _plants(say, in_rows),
        "each": say.number(in_rows.stations_n // in_rows.rows_n),
        "apart": say.number(own.in_row_m * 100),
        "gap": say.number(own.rows_m * 100),
    }
    found = [
        say.gettext("{place} has room for {plants}: one row, {apart}\u00a0cm apart.", **words)
        if in_rows.rows_n == 1
        else say.ngettext(
            "{place} has room for {plants}: {n} row of {each}, {apart}\u00a0cm apart. Leave {gap}\u00a0cm between "
            "rows.",
            "{place} has room for {plants}: {n} rows of {each}, {apart}\u00a0cm apart. Leave {gap}\u00a0cm between "
            "rows.",
            in_rows.rows_n,
            **words,
        )
    ]
    if own.rows_m > own.in_row_m and in_rows.rows_n > 1:
        found.append(
            say.gettext(
                "Without rows, {apart}\u00a0cm apart on all sides: {square} in squares, or {offset} in a zigzag.",
                apart=say.number(own.even_m * 100),
                square=_plants(say, counts[Layout.SQUARE]),
                offset=_plants(say, counts[Layout.OFFSET]),
            )
        )
    close_cm = rule.planting.practice_cm
    if close_cm is not None:
        found.append(_closer(say, square(bed, close_cm / 100).plants_n, close_cm, inches=inches))
    return found


def _closer(say: Say, plants_n: int, close_cm: float, *, inches: bool) -> str:
    """What many gardeners set where the published rows hold fewer."""
    many = say.number(plants_n)
    if inches:
        return say.gettext(
            "Many gardeners put {many} there, {apart} inches apart on all sides (common practice, no source). I use the "
            "published rows, to be safe: far fewer plants, but bigger.",
            many=many,
            apart=say.number(close_cm / _INCH_CM),
        )
    return say.gettext(
        "Many gardeners put {many} there, {apart}\u00a0cm apart on all sides (common practice, no source). I use "
        "the published rows, to be safe: far fewer plants, but bigger.",
        many=many,
        apart=say.number(close_cm),
    )


def _size(say: Say, bed: Bed, *, inches: bool) -> str:
    size = {"length": say.number(bed.length_m, 2), "width": say.number(bed.width_m, 2)}
    if not inches:
        return say.gettext("A bed of {length} by {width}\u00a0m", **size)
    return say.gettext(
        "A bed of {length} by {width}\u00a0m ({long} by {wide}\u00a0ft)",
        **size,
        long=say.number(bed.length_m / feet_m(1), 1),
        wide=say.number(bed.width_m / feet_m(1), 1),
    )


def _plants(say: Say, count: Count) -> str:
    if count.plants_n != count.stations_n:
        return say.gettext(
            "{plants} (in {clumps} clumps)", plants=say.number(count.plants_n), clumps=say.number(count.stations_n)
        )
    return say.number(count.plants_n)


def _again(say: Say, rule: Crop) -> list[str]:
    days = rule.harvest.succession_days
    if days is None:
        return []
    return [
        say.ngettext(
            "Sow some every {n} day. Then you can pick all season.",
            "Sow some every {n} days. Then you can pick all season.",
            days,
        )
    ]


def _harvest(told: Told, rule: Crop) -> list[str]:
    """When it is ready, how to tell, how it is lifted, and how it keeps."""
    say, today = told.say, told.say.local(told.now).date()
    found = [say.gettext("When it is ready: {sign}", sign=signs.ready(say, rule.harvest.ready))]
    places = sowing_places(rule, today)
    if places and all(place.where is Where.CHIT for place in places):
        first_on, last_on = _in_season(rule, today + CHIT)
        ready = say.gettext(
            "If you plant about {day}, the first is ready between {first} and {last}.",
            day=say.day(today + CHIT),
            first=say.day(first_on),
            last=say.day(last_on),
        )
        found.insert(0, ready)
    elif places:
        first_on, last_on = _in_season(rule, today)
        ready = say.gettext(
            "If you start today, the first is ready between {first} and {last}.",
            first=say.day(first_on),
            last=say.day(last_on),
        )
        found.insert(0, ready)
    plan = lift_plan(rule, today)
    if plan is not None:
        found.append(
            say.gettext(
                "Cut the leaves and stems down. Wait {least} to {most} days before you dig, so the skins get firm. "
                "Many people wait only about {habit} days (common practice, no source). I say the longer time, to "
                "be safe.",
                least=say.number((plan.lift_from_on - plan.cut_on).days),
                most=say.number((plan.lift_by_on - plan.cut_on).days),
                habit=say.number(PRACTICE_DAYS),
            )
        )
    if rule.harvest.keeps:
        found.append(say.gettext("You can leave it in the ground until you want it."))
    if rule.is_eaten_fresh:
        return [*found, say.gettext("It does not keep. Eat it fresh.")]
    storage = rule.harvest.storage if rule.kind not in NOT_FOOD else None
    return found if storage is None else [*found, _store(say, storage)]


def _in_season(rule: Crop, started_on: date) -> tuple[date, date]:
    """(earliest, latest) day of the first harvest, none of them out of its season."""
    least_on, most_on = first_harvest(rule, started_on)
    first_on = next_in_window(least_on, rule.harvest.window)
    return first_on, max(first_on, most_on)


def _span(low: str, high: str) -> str:
    return low if low == high else f"{low}–{high}"


def _store(say: Say, storage: Storage) -> str:
    kept = say.ngettext(
        "Stored well it keeps {weeks} week, at {warmth} and {damp}\u00a0% humidity.",
        "Stored well it keeps {weeks} weeks, at {warmth} and {damp}\u00a0% humidity.",
        storage.weeks[1],
        weeks=_span(*map(say.number, storage.weeks)),
        warmth=_span(*map(say.celsius, storage.temp_c)),
        damp=_span(*map(say.number, storage.humidity_pct)),
    )
    if not storage.cure_days:
        return kept
    cured = say.ngettext(
        "Dry it (cure it) for {n} day first.", "Dry it (cure it) for {n} days first.", storage.cure_days
    )
    return f"{cured} {kept}"
