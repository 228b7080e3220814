"""What can be done for one batch before a cold night: pick it, carry it in, draw soil over it, cover it.

Figures of work and room are common practice, no source, unless named.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from bot.core.finding import TaskKind
from bot.core.garden.snapshot import HOUSES, Cover, Garden, Place, PlaceKind, Planting, Stage, Taught
from bot.core.growing.crop import Crop, Life
from bot.core.growing.hardiness import TRAYS
from bot.core.growing.seasons import closes_on, harvest_days, in_window, on_day
from bot.core.people.lifting import movers
from bot.core.weather.cold import at_plant, taught_there
from bot.core.weather.night import Night
from bot.core.weather.odds import Estimate, pays

COVER_MIN, COVER_MIN_PER_M2 = 10, 1.5
CARRY_MIN, EARTH_UP_MIN, PICK_MIN = 8, 15, 15
REACH_CM = 250.0  # no cover is laid over what is taller, since nobody is sent up a ladder
FRAME_MAX_L, FRAME_MAX_CM = 10.0, 40.0  # bigger pots and taller plants do not go under a frame's light
#: Nothing is carried for less: the ranges of two cold houses differ by less than their own width.
WARMER_C = 1.0
_SMALL = (Stage.CHITTING, Stage.SOWN, Stage.SEEDLING)
#: The ground that a plant in a tray, a potted-on one and a pot of unknown width take up, and how much of a house's
#: floor may be filled.
_TRAY_M2, _POTTED_M2, _POT_M = 0.004, 0.012, 0.35
_FLOOR_SHARE = 0.7
_STORES_WEEKS = 8  # what keeps so long is brought in as soon as it is ripe and frost threatens
# From coming through, and from planting until then, where nobody has seen it: common practice, no source.
_SHORT_DAYS, _UP_DAYS = 28, 21
_ENDING_DAYS = 7  # of the harvest season that are left
_HOPELESS = 0.75  # odds that remain under the best cover, from which what is ripe is picked instead
_LEFT_DAYS = 21  # after the season's end there may still be something worth a walk
_HEAVIER = {
    Cover.NONE: (Cover.FLEECE, Cover.DOUBLE_FLEECE),
    Cover.NET: (Cover.FLEECE, Cover.DOUBLE_FLEECE),
    Cover.FLEECE: (Cover.DOUBLE_FLEECE,),
    Cover.CLOCHE: (Cover.DOUBLE_FLEECE,),
    Cover.DOUBLE_FLEECE: (),
}


@dataclass(frozen=True, slots=True)
class Air:
    """A night's temperatures by place, each reckoned once however many plantings stand there.

    called: ids of the places for which people have been called already.
    """

    night: Night
    called: frozenset[int] = frozenset()
    known: dict[tuple[PlaceKind, Cover, bool, bool, Taught | None], Estimate] = field(default_factory=dict)
    odds: dict[tuple[PlaceKind, Cover, bool, bool, Taught | None, float], float] = field(default_factory=dict)

    def there(self, place: Place, cover: Cover, in_pot: bool, *, opened: bool = False) -> Estimate:
        """The night's minimum at a plant in this place, were it under `cover`, its doors and vents shut or open."""
        taught = None if opened else taught_there(self.night, place)
        spot = (place.shelter, cover, in_pot, opened, taught)
        if spot not in self.known:
            self.known[spot] = at_plant(self.night, place.shelter, cover, in_pot=in_pot, opened=opened, taught=taught)
        return self.known[spot]

    def below(self, place: Place, cover: Cover, in_pot: bool, threshold_c: float, *, opened: bool = False) -> float:
        """Odds of a night colder than that in this place, were it under `cover`, its doors and vents shut or open."""
        taught = None if opened else taught_there(self.night, place)
        key = (place.shelter, cover, in_pot, opened, taught, threshold_c)
        if key not in self.odds:
            self.odds[key] = self.there(place, cover, in_pot, opened=opened).below(threshold_c)
        return self.odds[key]

    def pays(self, place: Place, odds: float, ratio: float) -> bool:
        """Whether to act there at these odds."""
        return pays(odds, ratio, called=place.id in self.called)


@dataclass(frozen=True, slots=True)
class Risk:
    """One batch on one night, and its odds of harm when nothing is done. key: of the figure it rests on.

    most_c: at which nearly all is lost, where published.
    """

    planting: Planting
    place: Place
    crop: Crop
    in_pot: bool
    in_trays: bool
    threshold_c: float
    key: str
    odds: float
    most_c: float | None = None


@dataclass(frozen=True, slots=True)
class Way:
    """One thing to do. left: odds of harm that remain. people: to carry it together. trips: there and back again."""

    task: TaskKind
    left: float
    minutes: int
    people: int = 1
    trips: int = 2
    target_place_id: int | None = None
    cover: Cover | None = None


@dataclass(slots=True)
class Room:
    """The ground that is still free in each house on one night, m2; a house of unknown size takes what comes."""

    free_m2: dict[int, float]

    @classmethod
    def of(cls, garden: Garden, crops: Mapping[str, Crop]) -> Room:
        free = {
            one.id: one.length_m * one.width_m * (1.0 if one.kind is PlaceKind.INDOORS else _FLOOR_SHARE)
            for one in garden.places
            if one.kind in HOUSES and one.length_m and one.width_m
        }
        for planting in garden.plantings:
            if planting.place_id in free and planting.stage is not Stage.ENDED:
                free[planting.place_id] -= _filled_m2(planting, crops.get(planting.crop))
        return cls(free)

    def takes(self, house: Place, risk: Risk) -> bool:
        return self.free_m2.get(house.id, 1e9) >= _ground_m2(risk.planting, risk.place)

    def fill(self, house_id: int, risk: Risk) -> None:
        if house_id in self.free_m2:
            self.free_m2[house_id] -= _ground_m2(risk.planting, risk.place)


def ways(air: Air, risk: Risk, houses: list[Place], room: Room) -> Iterator[Way]:
    """What could be done, the way to try first at the head."""
    planting, place, crop = risk.planting, risk.place, risk.crop
    on = air.night.evening_on
    if to_pick(planting, crop, on):
        yield Way(TaskKind.PICK, 0.0, PICK_MIN, trips=1)
    yield from _into_houses(air, risk, houses, room)
    if crop.cold.regrows and crop.care.earth_up_cm and _is_short(planting, crop, on) and not risk.in_trays:
        yield Way(TaskKind.EARTH_UP, 0.0, EARTH_UP_MIN, trips=1)
    area_m2 = (place.length_m or 1.0) * (place.width_m or 1.0)
    minutes = round(COVER_MIN + COVER_MIN_PER_M2 * area_m2)
    if (planting.height_cm or 0.0) > REACH_CM:
        return
    covers = [(one, air.below(place, one, risk.in_pot, risk.threshold_c)) for one in _HEAVIER[place.cover]]
    yield from (Way(TaskKind.COVER, left, minutes, cover=cover) for cover, left in covers)
    hopeless = min((left for _, left in covers), default=risk.odds) >= _HOPELESS
    if hopeless and planting.stage is Stage.READY and crop.harvest.before_frost:
        yield Way(TaskKind.PICK, 0.0, PICK_MIN, trips=1)


def _is_short(planting: Planting, crop: Crop, on: date) -> bool:
    """Whether soil can be drawn over it; where nobody measures, for some weeks after it came through."""
    if planting.height_cm is not None:
        return planting.height_cm <= (crop.care.earth_up_cm or 0.0)
    if planting.stage_on is not None:
        return (on - planting.stage_on).days <= _SHORT_DAYS
    return planting.planted_on is None or (on - planting.planted_on).days <= _UP_DAYS + _SHORT_DAYS


def to_pick(planting: Planting, crop: Crop, on: date) -> bool:
    """Whether it is brought home rather than protected: what stores, or what has come to the end of its season."""
    if crop.harvest.before_frost is None:
        return False
    if crop.life is Life.PERENNIAL:  # ripe fruit on a tree
        return planting.stage is Stage.READY
    keeps = crop.harvest.storage is not None and crop.harvest.storage.weeks[1] >= _STORES_WEEKS
    lifted = keeps or crop.cold.ready_c is not None
    return is_ending(planting, crop, on) or (planting.stage is Stage.READY and lifted)


def is_ending(planting: Planting, crop: Crop, on: date) -> bool:
    """Whether its harvest season closes within days, or has closed, and there may be something on it.

    A batch of this year that the records still have growing after its season stands as it does.
    """
    if planting.stage not in (Stage.GROWING, Stage.FLOWERING, Stage.READY) or _is_young(planting, crop, on):
        return False
    if in_window(on, crop.harvest.window):
        return planting.stage is Stage.READY and closes_on(on, crop.harvest.window) - on <= timedelta(days=_ENDING_DAYS)
    return _past_season(crop, on) <= timedelta(days=_LEFT_DAYS)


def _is_young(planting: Planting, crop: Crop, on: date) -> bool:
    """Whether it was sown or planted too lately to have had its season: next year's crop."""
    started_on = planting.sown_on or planting.planted_on
    closed_on = on - _past_season(crop, on)
    return started_on is not None and (closed_on - started_on).days < harvest_days(crop, started_on)[0]


def is_over(planting: Planting, crop: Crop, on: date) -> bool:
    """What was ready and whose season is long past: nobody goes out in November for what is left of it."""
    ready = planting.stage is Stage.READY and crop.life is not Life.PERENNIAL
    seen = planting.stage_on is not None and timedelta(0) <= on - planting.stage_on <= timedelta(days=2 * _LEFT_DAYS)
    past = not in_window(on, crop.harvest.window) and _past_season(crop, on) > timedelta(days=_LEFT_DAYS)
    return ready and past and not seen


def _past_season(crop: Crop, on: date) -> timedelta:
    """How long ago the season last closed, nothing while it is open."""
    if in_window(on, crop.harvest.window):
        return timedelta(0)
    closed_on = on_day(on.year, crop.harvest.window[1])
    return on - (closed_on if closed_on < on else on_day(on.year - 1, crop.harvest.window[1]))


def _into_houses(air: Air, risk: Risk, houses: list[Place], room: Room) -> Iterator[Way]:
    """Places of the garden that are warmer by more than a hair, have room, and may be used.

    A house is never carried; trays are carried out of one. What is too heavy for hands stays where it is.
    """
    place, planting = risk.place, risk.planting
    pot = place.kind is PlaceKind.CONTAINER and place.movable and place.inside is None
    if not (pot or (risk.in_trays and place.kind is not PlaceKind.CONTAINER)):
        return
    people = movers(place)
    if people is None:
        return
    here_c = air.there(place, place.cover, risk.in_pot).mean_c
    tall = (place.volume_l or 0.0) > FRAME_MAX_L or (planting.height_cm or 0.0) > FRAME_MAX_CM
    for house in houses:
        ours = house.shared or house.plot_id is None or house.plot_id == place.plot_id
        if not ours or house.id == place.id or (house.kind is PlaceKind.FRAME and tall):
            continue
        left = air.below(house, house.cover, True, risk.threshold_c)
        warmer = air.there(house, house.cover, True).mean_c - here_c >= WARMER_C
        if left < risk.odds and warmer and room.takes(house, risk):
            yield Way(TaskKind.BRING_IN, left, CARRY_MIN, people, target_place_id=house.id)


def _filled_m2(planting: Planting, crop: Crop | None) -> float:
    """The floor that a batch takes up in the house where it stands: in trays, or in its rows."""
    if crop is None or planting.stage in TRAYS:
        return planting.count * (_TRAY_M2 if planting.stage in _SMALL else _POTTED_M2)
    return planting.count * crop.planting.in_row_cm * crop.planting.rows_cm / 1e4


def _ground_m2(planting: Planting, place: Place) -> float:
    """What a pot, or a batch in trays, takes up where it is carried to."""
    if place.kind is PlaceKind.CONTAINER:
        return (place.width_m or _POT_M) * (place.length_m or place.width_m or _POT_M)
    return planting.count * (_TRAY_M2 if planting.stage in _SMALL else _POTTED_M2)
