"""Cold: what a night may kill, and the lightest thing to do about it that this garden has.

Only damage thresholds count here; chilling checks growth and calls nobody out. Figures of work and value are common
practice, no source; they decide only how sure a forecast must be before people are asked (`odds.cost_loss_ratio`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime

from bot.core.cold import Night, at_plant, at_plant_steps, taught_there
from bot.core.crop import Crop, Hardiness, Life
from bot.core.finding import Finding, Hazard, Severity, Task
from bot.core.garden import Cover, Garden, Place, PlaceKind, Planting, Stage, Taught
from bot.core.harvest import in_season
from bot.core.lifting import MAX_TEAM, people_needed
from bot.core.odds import Estimate, Step, StepCode, cost_loss_ratio

__all__ = ["cold", "exposed", "in_pots", "loss_h", "may_stay", "odds_there"]

WEEKLY_H = 0.5  # hours of members' work that one batch takes in a week
REPLACE_H = 0.05  # hours to raise or fetch one plant again
HARDY_SHARE = 0.1  # of a hardy batch that a killing night loses: most of it recovers
# A hardened hardy crop is called for at the cold end of its range: published ranges of damage are 2 to 3 C wide
# (PMC10202904, Table 2), and the crop rules keep their middle or warm end.
HARDY_MARGIN_C = 2.0
LEAST_ODDS = 0.05  # the least cost-loss ratio that there is
TRIP_MIN = 15  # there and back; covers come off again and pots go back the next morning, so two trips
COVER_MIN, COVER_MIN_PER_M2 = 10, 1.5
CARRY_MIN, EARTH_UP_MIN = 8, 15
FRAME_MAX_L, FRAME_MAX_CM = 10.0, 40.0  # bigger pots and taller plants do not go under a frame's light
_HOUSES = (PlaceKind.TUNNEL, PlaceKind.GREENHOUSE, PlaceKind.FRAME, PlaceKind.INDOORS)
_HEAVIER = {
    Cover.NONE: (Cover.FLEECE, Cover.DOUBLE_FLEECE),
    Cover.NET: (Cover.FLEECE, Cover.DOUBLE_FLEECE),
    Cover.FLEECE: (Cover.DOUBLE_FLEECE,),
    Cover.CLOCHE: (Cover.DOUBLE_FLEECE,),
    Cover.DOUBLE_FLEECE: (),
}
_TENDER = (Stage.CHITTING, Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING)
_TRAYS = (*_TENDER, Stage.HARDENED)


@dataclass(frozen=True, slots=True)
class _Air:
    """A night's temperatures by place, each reckoned once however many plantings stand there."""

    night: Night
    known: dict[tuple[PlaceKind, Cover, bool, Taught | None], Estimate] = field(default_factory=dict)
    odds: dict[tuple[PlaceKind, Cover, bool, Taught | None, float], float] = field(default_factory=dict)

    def below(self, place: Place, cover: Cover, in_pot: bool, threshold_c: float) -> float:
        """Odds of a night colder than that in this place, were it under `cover`."""
        taught = taught_there(self.night, place)
        spot = (place.shelter, cover, in_pot, taught)
        key = (*spot, threshold_c)
        if key not in self.odds:
            if spot not in self.known:
                self.known[spot] = at_plant(self.night, place.shelter, cover, in_pot=in_pot, taught=taught)
            self.odds[key] = self.known[spot].below(threshold_c)
        return self.odds[key]


@dataclass(frozen=True, slots=True)
class _Way:
    """One thing to do. left: odds of harm that remain."""

    task: Task
    left: float
    minutes: int
    target_place_id: int | None = None
    cover: Cover | None = None


@dataclass(frozen=True, slots=True)
class _Risk:
    """One batch on one night, and its odds of harm when nothing is done."""

    planting: Planting
    place: Place
    crop: Crop
    in_pot: bool
    threshold_c: float
    odds: float


def cold(garden: Garden, crops: Mapping[str, Crop], nights: tuple[Night, ...], now: datetime) -> Iterator[Finding]:
    """Findings of every night to come, for each planting above ground that it may damage."""
    houses = sorted((one for one in garden.places if one.kind in _HOUSES), key=lambda one: _HOUSES.index(one.kind))
    for night in nights:
        if night.sunrise_at <= now:
            continue
        air = _Air(night)
        risks = [risk for one in garden.plantings if one.crop in crops and (risk := _risk(air, one, garden, crops))]
        for risk in risks:  # one trip serves every batch that is at risk that night
            found = _finding(air, risk, houses, TRIP_MIN / len(risks))
            if found is not None:
                yield found


def odds_there(night: Night, found: Finding, there: Place, garden: Garden, crops: Mapping[str, Crop]) -> float:
    """Odds of harm on that night to what a finding is about, were it to stand there, under that place's own cover."""
    planting = next(one for one in garden.plantings if one.id == found.planting_id)
    place = garden.place_of(planting)
    in_pot = place.kind is PlaceKind.CONTAINER or in_pots(planting, place, crops[planting.crop]) or place.id != there.id
    threshold_c = found.threshold_c if found.threshold_c is not None else 0.0
    return _Air(night).below(there, there.cover, in_pot, threshold_c)


def may_stay(garden: Garden, crops: Mapping[str, Crop], found: tuple[Finding, ...]) -> tuple[Planting, ...]:
    """Plantings above ground in the open that nothing is asked for: they may stay as they are."""
    asked = {one.planting_id for one in found if one.hazard is Hazard.COLD}
    known = (one for one in garden.plantings if one.id not in asked and one.crop in crops)
    return tuple(one for one in known if exposed(one, garden.place_of(one), crops[one.crop]))


def exposed(planting: Planting, place: Place, crop: Crop) -> bool:
    """Whether it shows above the soil under the open sky."""
    outdoors = place.shelter in (PlaceKind.BED, PlaceKind.CONTAINER)
    return outdoors and crop.cold.damage_c(planting.stage) is not None


def in_pots(planting: Planting, place: Place, crop: Crop) -> bool:
    """Whether the batch stands in pots or trays that can be carried, apart from containers."""
    if planting.stage is Stage.SEEDLING:
        return crop.raising is not None and place.kind is not PlaceKind.BED
    return planting.stage in _TRAYS


def loss_h(planting: Planting, crop: Crop) -> float:
    """What losing a batch costs, hours of members' work: the weeks' work lost and the plants to replace."""
    return crop.cold.weeks_lost * WEEKLY_H + planting.count * REPLACE_H


def _threshold_c(planting: Planting, crop: Crop) -> float | None:
    """What calls people out: damage at its stage; for a hardened hardy crop the cold end of its range."""
    damage_c = crop.cold.damage_c(planting.stage)
    hardened = damage_c == crop.cold.hardened_c and planting.stage not in _TENDER
    return damage_c - HARDY_MARGIN_C if damage_c is not None and hardened and _hardy(crop) else damage_c


def _ratio(risk: _Risk, way: _Way, people: int, trip_min: float) -> float:
    trips = 1 if way.task is Task.EARTH_UP else 2
    loss = loss_h(risk.planting, risk.crop) * (HARDY_SHARE if _hardy(risk.crop) else 1.0)
    return cost_loss_ratio(people * trips * (way.minutes + trip_min) / 60, loss)


def _hardy(crop: Crop) -> bool:
    return crop.hardiness is Hardiness.HARDY


def _risk(air: _Air, planting: Planting, garden: Garden, crops: Mapping[str, Crop]) -> _Risk | None:
    """The batch with its odds of harm when nothing is done; None below the least odds that anybody is asked for."""
    crop, place = crops[planting.crop], garden.place_of(planting)
    threshold_c = _threshold_c(planting, crop)
    if threshold_c is None or place.shelter is PlaceKind.INDOORS or _is_over(planting, crop, air.night):
        return None
    in_pot = place.kind is PlaceKind.CONTAINER or in_pots(planting, place, crop)
    odds = air.below(place, place.cover, in_pot, threshold_c)
    return _Risk(planting, place, crop, in_pot, threshold_c, odds) if odds > LEAST_ODDS else None


def _is_over(planting: Planting, crop: Crop, night: Night) -> bool:
    """An annual that was ready and whose season has closed: nobody goes out in November for what is left of it."""
    ready = planting.stage is Stage.READY and crop.life is Life.ANNUAL
    return ready and not in_season(planting, crop, night.evening_on)


def _finding(air: _Air, risk: _Risk, houses: list[Place], trip_min: float) -> Finding | None:
    carriers = people_needed(risk.place.wet_kg) if _carried(risk.place) and risk.place.wet_kg else 1
    chosen = _chosen(air, risk, houses, trip_min, carriers or MAX_TEAM)
    if chosen is None:
        return None
    way, ratio = chosen
    place, carried = risk.place, way.task is Task.BRING_IN
    severe = air.below(place, place.cover, risk.in_pot, risk.threshold_c - 2.0)
    return Finding(
        hazard=Hazard.COLD,
        window_on=air.night.evening_on,
        place_id=place.id,
        planting_id=risk.planting.id,
        support_id=None,
        task=way.task,
        severity=Severity.SEVERE if severe >= 0.5 else Severity.MODERATE if risk.odds >= 0.5 else Severity.SLIGHT,
        probability=risk.odds,
        threshold_c=risk.threshold_c,
        gust_ms=None,
        starts_at=air.night.sunset_at,
        ends_at=air.night.sunrise_at,
        due_at=air.night.sunset_at,
        minutes=way.minutes,
        people=(carriers or MAX_TEAM) if carried else 1,
        target_place_id=way.target_place_id,
        cover=way.cover,
        enough=way.left <= ratio,
        unliftable=carriers is None and carried,
        chain=(
            *at_plant_steps(
                air.night, place.shelter, place.cover, in_pot=risk.in_pot, taught=taught_there(air.night, place)
            ),
            Step(StepCode.THRESHOLD, risk.threshold_c, None, None, _threshold_source(risk.crop, risk.threshold_c)),
            Step(StepCode.ODDS, risk.odds, None, None, ""),
            Step(StepCode.COST_LOSS, ratio, None, None, "Murphy 1977"),
        ),
    )


def _chosen(air: _Air, risk: _Risk, houses: list[Place], trip_min: float, carriers: int) -> tuple[_Way, float] | None:
    """The first way that pays and is enough, else the one that pays and leaves least; with its cost-loss ratio."""
    paying = []
    for way in _ways(air, risk, houses):
        ratio = _ratio(risk, way, carriers if way.task is Task.BRING_IN else 1, trip_min)
        if risk.odds > ratio:
            paying.append((way, ratio))
    enough = next((one for one in paying if one[0].left <= one[1]), None)
    return enough or min(paying, key=lambda one: one[0].left, default=None)


def _ways(air: _Air, risk: _Risk, houses: list[Place]) -> Iterator[_Way]:
    """What could be done, the way to try first at the head: carry it in, earth it up, cover it."""
    planting, place, crop = risk.planting, risk.place, risk.crop
    trays = in_pots(planting, place, crop)
    if _carried(place) or trays:
        yield from _into_houses(air, risk, houses)
    short = planting.height_cm is None or planting.height_cm <= (crop.care.earth_up_cm or 0.0)
    if crop.cold.regrows and crop.care.earth_up_cm and short and not trays:
        yield _Way(Task.EARTH_UP, 0.0, EARTH_UP_MIN)
    area_m2 = (place.length_m or 1.0) * (place.width_m or 1.0)
    minutes = round(COVER_MIN + COVER_MIN_PER_M2 * area_m2)
    for cover in _HEAVIER[place.cover]:
        left = air.below(place, cover, risk.in_pot, risk.threshold_c)
        yield _Way(Task.COVER, left, minutes, cover=cover)


def _into_houses(air: _Air, risk: _Risk, houses: list[Place]) -> Iterator[_Way]:
    place = risk.place
    tall = (place.volume_l or 0.0) > FRAME_MAX_L or (risk.planting.height_cm or 0.0) > FRAME_MAX_CM
    for house in houses:
        ours = house.shared or house.plot_id is None or house.plot_id == place.plot_id
        if not ours or house.id == place.id or (house.kind is PlaceKind.FRAME and tall):
            continue
        left = air.below(house, house.cover, True, risk.threshold_c)
        if left < risk.odds:
            yield _Way(Task.BRING_IN, left, CARRY_MIN, target_place_id=house.id)


def _carried(place: Place) -> bool:
    return place.kind is PlaceKind.CONTAINER and place.movable and place.inside is None


def _threshold_source(crop: Crop, threshold_c: float) -> str:
    for name in ("tender_c", "flowering_c"):
        if getattr(crop.cold, name) == threshold_c:
            return crop.sources.get(f"cold.{name}", "practice")
    return crop.sources.get("cold.hardened_c", "practice")
