"""Wind: supports with leaves on them, tall pots, covers, tunnels and glass, before it is too windy to be out.

Fleece, net, cloches and tunnels: the wind lifts them, their pins hold them. See docs/wind.md.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from statistics import NormalDist
from zoneinfo import ZoneInfo

from bot.core.finding import NOBODY, Called, Finding, Hazard, Severity, TaskKind
from bot.core.garden.place_state import NO_STATES, State
from bot.core.garden.snapshot import Cover, Garden, Place, PlaceKind, Planting, Stage, Support, SupportKind
from bot.core.growing.crop import Crop
from bot.core.people.lifting import by_trolley, load_kg, people_needed
from bot.core.warnings import supports
from bot.core.warnings.fastening import in_the_wind
from bot.core.warnings.hazard_cold import TRIP_MIN, loss_h
from bot.core.warnings.holding import Holding, Need, missing, steps
from bot.core.warnings.safety import GUST_MS, Limits, unsafe_outdoor_hours
from bot.core.weather.forecast import Forecast
from bot.core.weather.night_minima import lead_growth
from bot.core.weather.odds import Step, StepCode, cost_loss_ratio, pays
from bot.core.weather.sun import sun_day
from bot.core.weather.wind import TERRAIN, Gust, Terrain, gust_at_height, gusts, pressure_pa

# Greatest suction on the top of a single-span plastic greenhouse is near -1 of the velocity pressure over its plan:
# wind tunnel, HortTechnology 23(5):622 (2013), abstract read 2026-11-25. The mean over the whole is less; an open end
# adds to it.
_UPLIFT = 1.0
# A wire pin of 15 cm in firm soil, N: engineering estimate, no published figure, half to one and a half times.
PIN_N = 50.0
# Stakes driven in saturated soil hold about half of what they hold in the same soil dry: tent stake study, University
# of Illinois, read via intentsmag.com (2009), 2026-11-25.
_WET_SHARE = 0.5
_LOW, _HIGH = 0.5, 1.5
_PIN_EVERY_M = 1.0  # common practice, no source; a seller's sheet says about every 3 ft
_MOST_PINS_PER_M = 4.0
# Share of a cover that lets the wind through: engineering estimate for fleece; 0.33 is the open area of an insect net
# in Robertson et al. 2002, J. Wind Eng. Ind. Aerodyn. 90:461-474 (abstract; volume and pages not confirmed).
_POROSITY = {Cover.FLEECE: 0.1, Cover.DOUBLE_FLEECE: 0.0, Cover.CLOCHE: 0.0, Cover.NET: 0.33}
_LOW_COVER_M = 0.5


def porosity(cover: Cover) -> float:
    """Share of the cover that lets wind through, 0-1."""
    return _POROSITY.get(cover, 0.0)


def usual_pins(length_m: float, width_m: float) -> int:
    """How many pins hold a cover of this size when nobody has counted them: one a metre around its edge."""
    return max(4, math.ceil(2.0 * (length_m + width_m) / _PIN_EVERY_M))


def assess(place: Place, pins: int, *, wet_soil: bool = False, terrain: Terrain = Terrain.OPEN) -> Holding:
    """How a covered place or a tunnel stands in the wind: pull on its pins, N.

    The pins share the lift evenly. Raises ValueError when the place's length or width is not known.
    """
    if not place.length_m or not place.width_m:
        raise ValueError(f"{place.name}: length and width are not known, give both to judge its cover in the wind")
    solid = 1.0 if place.kind is PlaceKind.TUNNEL else 1.0 - porosity(place.cover)
    return Holding(
        height_m=place.height_m or _LOW_COVER_M,
        load_per_pa=_UPLIFT * solid * place.length_m * place.width_m,
        resists=pins * _pin_n(wet_soil),
        terrain=terrain,
        low=_LOW,
        high=_HIGH,
        source="engineering estimate",
    )


def needed(place: Place, holding: Holding, gust_ms: float, *, wet_soil: bool = False) -> Need:
    """Pins to add for a gust of `gust_ms` at 10 m; take it off (lay down) when that makes more than four a metre."""
    pins = math.ceil(missing(holding, gust_ms) / _pin_n(wet_soil))
    edge_m = 2.0 * ((place.length_m or 0.0) + (place.width_m or 0.0))
    all_pins = holding.resists / _pin_n(wet_soil) + pins
    return Need(lay_down=True) if all_pins > _MOST_PINS_PER_M * edge_m else Need(pins=pins)


def _pin_n(wet_soil: bool) -> float:
    return PIN_N * (_WET_SHARE if wet_soil else 1.0)


# Standard error of a forecast gust, m/s, and its share of the gust: common practice, no source. One published method
# reports a typical error of about 5 m/s in storms (wind gust estimate method, abstract read 2026-11-25; Brasseur 2001,
# Mon. Wea. Rev. 129:5-25, reference from memory), read here as most errors at 25 m/s; 3.5 m/s is one sd there. It is
# taken to grow with the days ahead as the error of temperatures does (lead.py): an assumption.
GUST_SD_MS, GUST_SD_SHARE = 0.5, 0.12
# A gale's gusts begin at 43 kn (Met Office marine glossary, read via a copy): walk-in houses are shut by then.
GALE_GUST_MS = 22.1
WALK_IN_M = 1.5
# Plants from this height lean or break in gusts about this strong at 10 m when nothing holds them: engineering estimate,
# no published figure (Cleugh, Miller and Boehm 1998, Agroforestry Systems 41:85-112, find none that holds for all crops).
LEANS_FROM_M, LEANS_MS = 0.6, 20.0
TIE_MIN, PIN_MIN, LAY_MIN, SHUT_MIN = 15, 10, 5, 10
COVER_LOSS_H = 3.0  # a cover torn off and to be made good: common practice, no source
_POINTS = (0.1, 0.3, 0.5, 0.7, 0.9)


@dataclass(frozen=True, slots=True)
class _Windy:
    """One local day's gusts, and the moments that bound safe work: unsafe hours and daylight. issued_at: of the forecast.

    called: ids of the places for which people have been called already.
    """

    on: date
    gusts: tuple[Gust, ...]
    worst: Gust
    unsafe_from: datetime | None
    light: tuple[tuple[datetime, datetime], ...]
    issued_at: datetime
    called: frozenset[int]

    def pays(self, place: Place, odds: float, ratio: float) -> bool:
        return pays(odds, ratio, called=place.id in self.called)

    def expected(self, gust: Gust) -> NormalDist:
        """The gust that comes, m/s, when this one is forecast."""
        ahead = lead_growth((gust.at - self.issued_at) / timedelta(hours=1))
        return NormalDist(gust.ms, math.hypot((GUST_SD_MS + GUST_SD_SHARE * gust.ms) * ahead, gust.estimate_sd_ms))

    def due_at(self, starts_at: datetime) -> datetime:
        """The last daylight moment before the harm, or before it is unsafe to be out."""
        latest = min(starts_at, self.unsafe_from or starts_at)
        return max((min(end, latest) for start, end in self.light if start < latest), default=latest)


@dataclass(frozen=True, slots=True)
class _Thing:
    """One thing in the wind and what would be asked for it. least_ms: the gust below which nobody is asked."""

    place: Place
    holding: Holding
    task: TaskKind
    minutes: int
    loss_h: float
    support: Support | None = None
    planting: Planting | None = None
    least_ms: float = 0.0

    def need(self, gust_ms: float) -> Need:
        if self.support is not None:
            return supports.needed(self.support, self.holding, gust_ms)
        return needed(self.place, self.holding, gust_ms) if self.task is TaskKind.PIN else Need()


def wind(
    garden: Garden,
    crops: Mapping[str, Crop],
    forecast: Forecast,
    now: datetime,
    states: Mapping[int, State] = NO_STATES,
    called: Called = NOBODY,
    fallen: Collection[int] = (),
) -> Iterator[Finding]:
    """Findings of every day with gusts that a support, a pot, a cover or a house may not hold.

    called: see `finding.Called`. fallen: ids of plantings whose tops a frost has taken; nobody ties these up.
    states: covers that lie there for a night, or perhaps still do. Pots are taken to stand where they always do.
    """
    windy = _windy_days(garden, forecast, now, called)
    if not windy:
        return
    growing: dict[int, list[Planting]] = defaultdict(list)
    for planting in garden.plantings:
        if planting.id not in fallen and planting.crop in crops and planting.stage not in (Stage.SOWN, Stage.ENDED):
            growing[planting.place_id].append(planting)
    things = [
        *_supports(garden, crops, growing),
        *_unstaked(garden, crops, growing),
        *_pots(garden, crops, growing),
        *_covers(_covered(garden, states), crops, growing, TERRAIN[garden.around]),
    ]
    houses = [one for one in garden.places if _walk_in(one)]
    for day in windy:
        yield from (found for thing in things if (found := _of_thing(day, thing)) is not None)
        yield from (found for house in houses if (found := _of_house(day, house)) is not None)


def _supports(garden: Garden, crops: Mapping[str, Crop], growing: Mapping[int, list[Planting]]) -> Iterator[_Thing]:
    for support in garden.supports:
        place = garden.place_by_id[support.place_id]
        batch = [one for one in growing[support.place_id] if crops[one.crop].support is not None]
        if not batch or place.shelter not in (PlaceKind.BED, PlaceKind.CONTAINER):
            continue
        walls = [supports.leaf_wall(one, support.height_m) for one in batch]
        tallest = max(walls, key=lambda wall: wall.height_m * wall.solidity)
        holding = supports.assess(support, tallest.height_m, tallest.solidity, TERRAIN[garden.around])
        lost_h = sum(loss_h(one, crops[one.crop]) for one in batch)
        yield _Thing(place, holding, TaskKind.TIE, TIE_MIN, lost_h, support=support, planting=batch[0])


def _unstaked(garden: Garden, crops: Mapping[str, Crop], growing: Mapping[int, list[Planting]]) -> Iterator[_Thing]:
    """Tall plants in the open that want stakes and have none on record: broad beans, sprouts, dahlias."""
    supported = {support.place_id for support in garden.supports}
    for place in garden.places:
        if place.shelter is not PlaceKind.BED or place.id in supported:
            continue
        for planting in growing[place.id]:
            need = crops[planting.crop].support
            if need is None or need.kind is not SupportKind.STAKES:
                continue
            height_m = supports.leaf_wall(planting, need.height_m).height_m
            if height_m >= max(LEANS_FROM_M, need.from_cm / 100):
                lost_h = loss_h(planting, crops[planting.crop]) / 2  # they lean and break, few die: practice
                yield _Thing(
                    place, _standing(height_m), TaskKind.TIE, TIE_MIN, lost_h, planting=planting, least_ms=GUST_MS
                )


def _standing(height_m: float) -> Holding:
    """Plants that stand by themselves, as a load of 1 a Pa against the pressure at which they lean."""
    leans_pa = pressure_pa(gust_at_height(LEANS_MS, height_m))
    return Holding(height_m, 1.0, leans_pa, Terrain.OPEN, 0.5, 1.5, "engineering estimate")


def _pots(garden: Garden, crops: Mapping[str, Crop], growing: Mapping[int, list[Planting]]) -> Iterator[_Thing]:
    """Pots that are called for only in dangerous gusts: what tips in less is fastened once and for all."""
    for place in garden.places:
        standing = None if place.fastened else in_the_wind(place, growing[place.id], crops, TERRAIN[garden.around])
        if standing is not None:
            tallest, holding = standing
            light = place.movable and not by_trolley(load_kg(place) or 0.0)
            task = TaskKind.LAY_DOWN if light else TaskKind.TIE  # half its weight would rest on the hands
            lost_h = loss_h(tallest, crops[tallest.crop]) / 2  # a pot that falls breaks stems, seldom kills: practice
            yield _Thing(place, holding, task, LAY_MIN, lost_h, planting=tallest, least_ms=GUST_MS)


def _covered(garden: Garden, states: Mapping[int, State]) -> Iterator[Place]:
    """Places with what lies over them now, surely or perhaps."""
    for place in garden.places:
        stands = states.get(place.id)
        yield place if stands is None else replace(place, cover=stands.lies_over[0])


def _covers(
    places: Iterable[Place], crops: Mapping[str, Crop], growing: Mapping[int, list[Planting]], terrain: Terrain
) -> Iterator[_Thing]:
    for place in places:
        low_tunnel = place.kind is PlaceKind.TUNNEL and not _walk_in(place)
        covered = place.kind is PlaceKind.BED and place.cover is not Cover.NONE
        if (covered or low_tunnel) and place.length_m and place.width_m:
            holding = assess(place, usual_pins(place.length_m, place.width_m), terrain=terrain)
            under_h = sum(loss_h(one, crops[one.crop]) for one in growing[place.id]) / 4
            yield _Thing(place, holding, TaskKind.PIN, PIN_MIN, COVER_LOSS_H + under_h)


def _of_thing(day: _Windy, thing: _Thing) -> Finding | None:
    if day.worst.ms < thing.least_ms:
        return None
    odds = _odds(day.expected(day.worst), thing.holding)
    ratio = cost_loss_ratio((thing.minutes + TRIP_MIN) / 60, thing.loss_h)
    if not day.pays(thing.place, odds, ratio):
        return None
    need = thing.need(day.worst.ms + day.expected(day.worst).stdev)
    chain = (*steps(thing.holding, day.worst.ms, estimated=day.worst.estimated), *_odds_steps(odds, ratio))
    kg = load_kg(thing.place) if thing.task is TaskKind.LAY_DOWN else None
    people = people_needed(kg) or 1 if kg is not None else 1
    return _found(
        day, thing.place, thing.task, thing.minutes, odds, thing.holding.gust_ms, chain,
        planting=thing.planting, support=thing.support, need=need, people=people,
    )  # fmt: skip


def _of_house(day: _Windy, house: Place) -> Finding | None:
    odds = 1.0 - day.expected(day.worst).cdf(GALE_GUST_MS)
    ratio = cost_loss_ratio((SHUT_MIN + TRIP_MIN) / 60, COVER_LOSS_H)
    if not day.pays(house, odds, ratio):
        return None
    source = "mean-wind" if day.worst.estimated else "forecast"
    chain = (
        Step(StepCode.GUST, day.worst.ms, None, None, source),
        Step(StepCode.HOLDS, GALE_GUST_MS, None, None, "Met Office marine glossary, gale gusts"),
        *_odds_steps(odds, ratio),
    )
    return _found(day, house, TaskKind.PIN, SHUT_MIN, odds, GALE_GUST_MS, chain)


def _found(
    day: _Windy, place: Place, task: TaskKind, minutes: int, odds: float, holds_ms: float, chain: tuple[Step, ...], *,
    planting: Planting | None = None, support: Support | None = None, need: Need | None = None, people: int = 1,
) -> Finding:  # fmt: skip
    need = need or Need()
    rough = [gust for gust in day.gusts if gust.ms + day.expected(gust).stdev >= min(holds_ms, day.worst.ms)]
    starts_at = rough[0].at - timedelta(hours=1)
    return Finding(
        hazard=Hazard.WIND,
        window_on=day.on,
        place_id=place.id,
        planting_id=planting.id if planting else None,
        support_id=support.id if support else None,
        task=task,
        severity=Severity.SEVERE if odds >= 0.8 else Severity.MODERATE if odds >= 0.5 else Severity.SLIGHT,
        probability=odds,
        threshold_c=None,
        gust_ms=holds_ms,
        starts_at=starts_at,
        ends_at=rough[-1].at,
        due_at=day.due_at(starts_at),
        minutes=minutes,
        people=people,
        enough=not need.lay_down,
        add_n=need.ties + need.pins,
        chain=chain,
    )


def _odds(coming: NormalDist, holding: Holding) -> float:
    """P(the gust that comes is more than the thing holds): forecast error and the range of its strength together."""
    if holding.load_per_pa <= 0.0:
        return 0.0
    low_ms, high_ms = holding.range_ms
    holds = (low_ms + (high_ms - low_ms) * point for point in _POINTS)
    return sum(1.0 - coming.cdf(one) for one in holds) / len(_POINTS)


def _odds_steps(odds: float, ratio: float) -> tuple[Step, Step]:
    return Step(StepCode.ODDS, odds, None, None, ""), Step(StepCode.COST_LOSS, ratio, None, None, "Murphy 1977")


def _windy_days(garden: Garden, forecast: Forecast, now: datetime, called: Called) -> tuple[_Windy, ...]:
    zone = ZoneInfo(garden.zone)
    by_day: dict[date, list[Gust]] = defaultdict(list)
    for gust in gusts(forecast):
        if gust.at > now:  # stamped at the end of its hour, so it belongs to the day in which that hour began
            by_day[(gust.at - timedelta(minutes=1)).astimezone(zone).date()].append(gust)
    unsafe: dict[date, datetime] = {}
    for hour in unsafe_outdoor_hours(forecast, Limits.of(garden)):
        if hour.end_at > now:
            unsafe.setdefault(hour.start_at.astimezone(zone).date(), hour.start_at)
    issued_at = forecast.issued_at or forecast.fetched_at or now
    by_called: dict[date, set[int]] = defaultdict(set)
    for hazard, on, place_id in called:
        if hazard is Hazard.WIND:
            by_called[on].add(place_id)
    return tuple(
        _windy(garden, zone, on, tuple(found), unsafe.get(on), issued_at, frozenset(by_called[on]))
        for on, found in sorted(by_day.items())
    )


def _windy(
    garden: Garden,
    zone: ZoneInfo,
    on: date,
    found: tuple[Gust, ...],
    unsafe_from: datetime | None,
    issued_at: datetime,
    called: frozenset[int],
) -> _Windy:
    light = []
    for day in (on - timedelta(days=1), on):
        sun = sun_day(day, zone, garden.latitude, garden.longitude)
        if sun.sunrise_at and sun.sunset_at:
            light.append((sun.sunrise_at, sun.sunset_at))
    return _Windy(on, found, max(found, key=lambda gust: gust.ms), unsafe_from, tuple(light), issued_at, called)


def _walk_in(place: Place) -> bool:
    """A house one stands in: dug in or built, so that pins are not what holds it."""
    tall = (place.height_m or 2.0) >= WALK_IN_M
    return place.kind is PlaceKind.GREENHOUSE or (place.kind is PlaceKind.TUNNEL and tall)
