"""Cold: what a night may kill, and the lightest thing to do about it that this garden has.

Only damage thresholds count here; chilling checks growth and calls nobody out. Figures of work and value are common
practice, no source; they decide only how sure a forecast must be before people are asked (`odds.cost_loss_ratio`).

What an earlier frost has killed for certain: nobody is sent out for it again.

A claim that is wrong leaves living plants without a warning, so only what can hardly have come through counts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime

from bot.core.finding import NOBODY, Called, Finding, Hazard, Severity, TaskKind
from bot.core.garden.place_state import WORTH
from bot.core.garden.snapshot import HOUSES, UNDER_GLASS, Cover, Garden, Place, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop, Hardiness, Kind, Life
from bot.core.growing.hardiness import HARDY_MARGIN_C, Limit, in_pots, is_carried, limit
from bot.core.people.lifting import by_trolley, load_kg
from bot.core.warnings.protecting import Air, Risk, Room, Way, is_over, ways
from bot.core.weather.cold import at_plant_steps, taught_there
from bot.core.weather.night import Night
from bot.core.weather.odds import Step, StepCode, cost_loss_ratio

WEEKLY_H = 0.5  # hours of members' work that one batch takes in a week
REPLACE_H = 0.05  # hours to raise or fetch one plant again
HARDY_SHARE = 0.1  # of a hardy batch that a killing night loses: most of it recovers; not of what is ready to eat
FRUIT_SHARE = 0.3  # of a year's fruit that one night takes: what is in flower, or just set, on that day
# A hardened hardy crop is called for at the cold end of its range: published ranges of damage are 2 to 3 C wide
# (PMC10202904, Table 2), and the crop rules keep their middle or warm end. What winters out is rated by the air's
# minimum (RHS hardiness ratings), which on a clear night is milder than the ground by about as much; so are roots and
# heads that are ready, and the buds, blossom and fruit of trees and vines, which hang at the height of that air.
LEAST_ODDS = 0.05  # the least cost-loss ratio that there is
WINTER_ODDS = 0.1  # of passing what winters out is rated for, up to which it is said that it may stay
TRIP_MIN = 15  # there and back; covers come off again and pots go back the next morning, so two trips
CLOSE_MIN = 10
_HARDENED = ("cold.hardened_c", "cold.winter_c")
_OF_FRUIT = tuple(f"cold.{one}_c" for one in ("swell", "bud", "opening", "flowering", "set", "shoots"))


def cold(
    garden: Garden,
    crops: Mapping[str, Crop],
    nights: tuple[Night, ...],
    now: datetime,
    lost: Collection[int] = frozenset(),
    called: Called = NOBODY,
) -> Iterator[Finding]:
    """Findings of every night to come, for each planting above ground that it may damage.

    called: see `finding.Called`.
    lost: ids of plantings that are past saving, or picked already. What is to be picked is picked before the first of
    these nights.
    """
    houses = sorted((one for one in garden.places if one.kind in HOUSES), key=lambda one: HOUSES.index(one.kind))
    gone = set(lost)
    by_night: list[list[Finding]] = []
    for night in nights:
        if night.sunrise_at <= now:
            continue
        places = frozenset(id_ for hazard, on, id_ in called if hazard is Hazard.COLD and on == night.evening_on)
        found = list(_of_night(Air(night, places), garden, crops, houses, gone))
        gone |= {one.planting_id for one in found if one.task is TaskKind.PICK and one.planting_id is not None}
        by_night.append(found)
    yield from _once_for_all(by_night)


def _once_for_all(by_night: list[list[Finding]]) -> Iterator[Finding]:
    """Each place is covered at once with what the coldest night asks for of those that follow without a mild one."""
    spell: dict[int, Cover] = {}
    for found in reversed(by_night):
        covers = {one.place_id: one.cover for one in found if one.task is TaskKind.COVER and one.cover is not None}
        spell = {id_: max(cover, spell.get(id_, cover), key=WORTH.index) for id_, cover in covers.items()}
        found[:] = [
            replace(one, cover=max(one.cover, spell[one.place_id], key=WORTH.index))
            if one.task is TaskKind.COVER and one.cover is not None
            else one
            for one in found
        ]
    return (one for found in by_night for one in found)


def _of_night(
    air: Air, garden: Garden, crops: Mapping[str, Crop], houses: list[Place], gone: Collection[int]
) -> Iterator[Finding]:
    alive = [one for one in garden.plantings if one.crop in crops and one.id not in gone]
    risks = [risk for one in alive if (risk := _risk(air, one, garden, crops))]
    room, carried = Room.of(garden, crops), dict[int, Finding]()
    for risk in risks:  # one trip serves every batch that is at risk that night
        found = _finding(air, risk, houses, room, TRIP_MIN / len(risks))
        if found is not None:
            if found.target_place_id is not None:
                carried.setdefault(found.target_place_id, found)
            yield found
    for house in garden.places:
        if house.stands_open and house.kind in UNDER_GLASS:
            yield from _close(air, house, garden, crops, alive) or _closed_for(house, carried.get(house.id))


def odds_there(night: Night, found: Finding, there: Place, garden: Garden, crops: Mapping[str, Crop]) -> float:
    """Odds of harm on that night to what a finding is about, were it to stand there, under that place's own cover."""
    planting = next(one for one in garden.plantings if one.id == found.planting_id)
    place = garden.place_of(planting)
    potted = is_carried(planting, place, crops[planting.crop], night.evening_on)
    in_pot = place.kind is PlaceKind.CONTAINER or potted or place.id != there.id
    threshold_c = found.threshold_c if found.threshold_c is not None else 0.0
    return Air(night).below(there, there.cover, in_pot, threshold_c)


def may_stay(
    garden: Garden, crops: Mapping[str, Crop], found: Iterable[Finding], nights: Iterable[Night] = ()
) -> tuple[Planting, ...]:
    """Plantings above ground in the open that nothing is asked for, and that surely stand these nights as they are."""
    asked = {one.planting_id for one in found if one.hazard is Hazard.COLD}
    airs = [Air(night) for night in nights]
    known = (one for one in garden.plantings if one.id not in asked and one.crop in crops)
    shown = (one for one in known if exposed(one, garden.place_of(one), crops[one.crop]))
    return tuple(one for one in shown if all(_is_sure(air, one, garden, crops) for air in airs))


def _is_sure(air: Air, planting: Planting, garden: Garden, crops: Mapping[str, Crop]) -> bool:
    """Whether even the cold end of the night's range does it no harm; what winters out is rated by the air's minimum."""
    crop, place = crops[planting.crop], garden.place_of(planting)
    found = _limit(air, planting, place, crop)
    if found is None:
        return True
    if found.key == "cold.winter_c":
        return air.night.air.below(found.c) <= WINTER_ODDS
    in_pot = place.kind is PlaceKind.CONTAINER or in_pots(planting, place, crop)
    return air.below(place, place.cover, in_pot, _threshold_c(found, crop)) <= LEAST_ODDS


def exposed(planting: Planting, place: Place, crop: Crop) -> bool:
    """Whether it shows above the soil under the open sky."""
    outdoors = place.shelter in (PlaceKind.BED, PlaceKind.CONTAINER)
    return outdoors and crop.cold.damage_c(planting.stage) is not None


def open_ground_c(planting: Planting, place: Place, crop: Crop, nights: Iterable[Night]) -> float | None:
    """Ground temperature of the open plot below which people are called to it on one of those nights, or nearly so.

    None for what stands in a house, indoors or under a cover, and for what shows nothing above the soil.
    """
    if place.cover is not Cover.NONE or not exposed(planting, place, crop):
        return None
    found = (_limit(Air(night), planting, place, crop) for night in nights)
    return max((_threshold_c(one, crop) for one in found if one is not None), default=None)


def loss_h(planting: Planting, crop: Crop) -> float:
    """What losing a batch costs, hours of members' work: the weeks' work lost and the plants to replace."""
    return crop.cold.weeks_lost * WEEKLY_H + planting.count * REPLACE_H


def _limit(air: Air, planting: Planting, place: Place, crop: Crop) -> Limit | None:
    return limit(planting, crop, air.night.evening_on, in_pots=in_pots(planting, place, crop))


def _threshold_c(found: Limit, crop: Crop) -> float:
    """What calls people out: damage at its stage; of a hardened hardy crop the cold end of its range."""
    return found.c - HARDY_MARGIN_C if _by_air(found, crop) else found.c


def _by_air(found: Limit, crop: Crop) -> bool:
    """Whether its figure is of the air at the height of a head: what winters out, roots and heads, trees and vines."""
    tall = found.most_c is not None
    return tall or found.key == "cold.ready_c" or (found.key in _HARDENED and _is_hardy(crop))


def _ratio(risk: Risk, way: Way, trip_min: float) -> float:
    """The odds above which a way pays; above any odds where it costs more than could be lost."""
    crop = risk.crop
    share = 1.0
    if crop.harvest.flowering is not None and risk.key in _OF_FRUIT:
        share = FRUIT_SHARE
    elif _is_hardy(crop) and not _is_spoilt(risk.planting, crop):
        share = HARDY_SHARE
    cost, loss = way.people * way.trips * (way.minutes + trip_min) / 60, loss_h(risk.planting, crop) * share
    return cost_loss_ratio(cost, loss) if cost <= loss else 1.0


def _is_spoilt(planting: Planting, crop: Crop) -> bool:
    """Whether frost takes what is eaten: a root or a head that was frozen does not keep, whatever the leaves do."""
    return planting.stage is Stage.READY and crop.harvest.before_frost is not None


def _is_hardy(crop: Crop) -> bool:
    return crop.hardiness is Hardiness.HARDY


def _risk(air: Air, planting: Planting, garden: Garden, crops: Mapping[str, Crop]) -> Risk | None:
    """The batch with its odds of harm when nothing is done; None below the least odds that anybody is asked for.

    A house counts as shut: where it stands open, shutting it is a task of its own.
    """
    crop, place = crops[planting.crop], garden.place_of(planting)
    found = _limit(air, planting, place, crop)
    if (
        found is None
        or crop.kind is Kind.GREEN_MANURE
        or place.shelter is PlaceKind.INDOORS
        or is_over(planting, crop, air.night.evening_on)
    ):
        return None
    trays, threshold_c = is_carried(planting, place, crop, air.night.evening_on), _threshold_c(found, crop)
    in_pot = place.kind is PlaceKind.CONTAINER or trays
    odds = air.below(place, place.cover, in_pot, threshold_c)
    if not air.pays(place, odds, LEAST_ODDS):
        return None
    most_c = found.most_c - HARDY_MARGIN_C if found.most_c is not None else None
    return Risk(planting, place, crop, in_pot, trays, threshold_c, found.key, odds, most_c)


def _finding(air: Air, risk: Risk, houses: list[Place], room: Room, trip_min: float) -> Finding | None:
    chosen = _chosen(air, risk, houses, room, trip_min)
    if chosen is None:
        return None
    way, ratio = chosen
    if way.target_place_id is not None:
        room.fill(way.target_place_id, risk)
    return replace(
        _found(air, risk, risk.odds, ratio, way.task, way.minutes),
        people=way.people,
        target_place_id=way.target_place_id,
        cover=way.cover,
        enough=way.left <= ratio,
        unliftable=way.task is TaskKind.BRING_IN and by_trolley(load_kg(risk.place) or 0.0),
    )


def _found(
    air: Air, risk: Risk, odds: float, ratio: float, task: TaskKind, minutes: int, *, opened: bool = False
) -> Finding:
    place = risk.place
    most_c = risk.most_c if risk.most_c is not None else risk.threshold_c - 2.0
    severe = air.below(place, place.cover, risk.in_pot, most_c, opened=opened)
    taught = None if opened else taught_there(air.night, place)
    source = risk.crop.sources.get(risk.key, "practice")
    return Finding(
        hazard=Hazard.COLD,
        window_on=air.night.evening_on,
        place_id=place.id,
        planting_id=risk.planting.id,
        support_id=None,
        task=task,
        severity=Severity.SEVERE if severe >= 0.5 else Severity.MODERATE if odds >= 0.5 else Severity.SLIGHT,
        probability=odds,
        threshold_c=risk.threshold_c,
        gust_ms=None,
        starts_at=air.night.sunset_at,
        ends_at=air.night.sunrise_at,
        due_at=air.night.sunset_at,
        minutes=minutes,
        people=1,
        chain=(
            *at_plant_steps(air.night, place.shelter, place.cover, in_pot=risk.in_pot, opened=opened, taught=taught),
            Step(StepCode.THRESHOLD, risk.threshold_c, None, None, source),
            Step(StepCode.ODDS, odds, None, None, ""),
            Step(StepCode.COST_LOSS, ratio, None, None, "Murphy 1977"),
        ),
    )


def _chosen(air: Air, risk: Risk, houses: list[Place], room: Room, trip_min: float) -> tuple[Way, float] | None:
    """The first way that pays and is enough, else the one that pays and leaves least; with its cost-loss ratio."""
    paying = []
    for way in ways(air, risk, houses, room):
        ratio = _ratio(risk, way, trip_min)
        if air.pays(risk.place, risk.odds, ratio):
            paying.append((way, ratio))
    enough = next((one for one in paying if one[0].left <= one[1]), None)
    return enough or min(paying, key=lambda one: one[0].left, default=None)


def _close(
    air: Air, house: Place, garden: Garden, crops: Mapping[str, Crop], alive: Iterable[Planting]
) -> list[Finding]:
    """One finding a batch that an open house would lose tonight."""
    way, found = Way(TaskKind.CLOSE, 0.0, CLOSE_MIN, trips=1), []
    for planting in alive:
        place, crop = garden.place_of(planting), crops[planting.crop]
        inside = place.id == house.id or (place.inside is house.kind and place.plot_id == house.plot_id)
        stands = _limit(air, planting, place, crop) if inside else None
        if stands is None or is_over(planting, crop, air.night.evening_on):
            continue
        in_pot, threshold_c = place.kind is PlaceKind.CONTAINER, _threshold_c(stands, crop)
        odds = air.below(house, place.cover, in_pot, threshold_c, opened=True)
        risk = Risk(planting, house, crop, in_pot, False, threshold_c, stands.key, odds)
        ratio = _ratio(risk, way, TRIP_MIN)
        if air.pays(house, odds, ratio):
            found.append(_found(air, risk, odds, ratio, TaskKind.CLOSE, CLOSE_MIN, opened=True))
    return found


def _closed_for(house: Place, carried: Finding | None) -> list[Finding]:
    """An open house is shut once something is carried into it for the night."""
    if carried is None:
        return []
    alone = replace(carried, task=TaskKind.CLOSE, place_id=house.id, minutes=CLOSE_MIN, people=1, enough=True)
    return [replace(alone, target_place_id=None, cover=None)]


#: So far below its damage threshold the air at 2 m must have been; at the ground it was colder still. Common practice,
#: no source.
SURELY_C = 1.0


def killed(
    garden: Garden,
    crops: Mapping[str, Crop],
    minima_c: Mapping[date, float],
    guarded: Collection[tuple[int, date]] = frozenset(),
) -> dict[int, date]:
    """The day of the frost that killed it, by planting id.

    minima_c: the air's minimum of past local days. guarded: (place, day) where something was done against that frost.
    Left out: hardy crops, those that shoot again, what stands under a cover or glass, and what was seen alive since.
    """
    lost: dict[int, date] = {}
    for one in garden.plantings:
        crop, place = crops.get(one.crop), garden.place_of(one)
        if crop is None or not _at_its_mercy(one, place, crop):
            continue
        limit_c = crop.cold.damage_c(one.stage)
        since = max((on for on in (one.sown_on, one.planted_on, one.stage_on) if on), default=date.min)
        frosts = (
            on
            for on, low_c in sorted(minima_c.items())
            if on > since and (place.id, on) not in guarded and limit_c is not None and low_c <= limit_c - SURELY_C
        )
        first = next(frosts, None)
        if first is not None:
            lost[one.id] = first
    return lost


def fallen(garden: Garden, crops: Mapping[str, Crop], frosted: Collection[int]) -> frozenset[int]:
    """Of the plantings that a frost has reached, by id, those whose tops it took: no tree, nor what stands the winter."""
    return frozenset(
        one.id
        for one in garden.plantings
        if one.id in frosted
        and (crop := crops.get(one.crop)) is not None
        and crop.hardiness is not Hardiness.HARDY
        and (crop.life is not Life.PERENNIAL or crop.cold.regrows)
    )


def _at_its_mercy(planting: Planting, place: Place, crop: Crop) -> bool:
    lasting = crop.life is Life.PERENNIAL or crop.cold.regrows or crop.hardiness is Hardiness.HARDY
    return not lasting and place.cover is Cover.NONE and exposed(planting, place, crop)
