"""Running to seed: chill after the juvenile stage, heat, long days and drought. See docs/water.md.

Chill sums and their thresholds are published for few crops; the rest is the crop rule's own figures. A swing between
cold and warm within days is a stated suspicion: no published relation turns it into odds.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from bot.core.garden.snapshot import Planting, Stage
from bot.core.growing.crop import Crop, Life
from bot.core.growing.evapotranspiration import daylight_h
from bot.core.weather.days import Day

# "From 1 to 20 degrees within days upsets many plants": growers' word, common practice, no source.
_SWING_LOW_C, _SWING_HIGH_C, _SWING_DAYS = 1.0, 20.0, 4
_HOT_DAYS = 2  # days running above the crop's heat limit: common practice, no source
_SHOWING = (Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING, Stage.HARDENED, Stage.GROWING)


class Verdict(StrEnum):
    """RISK: a threshold was passed, with numbers. SUSPICION: a swing, not a calculation. UNKNOWN: too little known."""

    RISK = "risk"
    SUSPICION = "suspicion"
    NONE = "none"
    UNKNOWN = "unknown"


class Reason(StrEnum):
    CHILL = "chill"
    HEAT = "heat"
    DAY_LENGTH = "day length"
    DROUGHT = "drought"
    SWING = "swing"


@dataclass(frozen=True, slots=True)
class Chill:
    """Chilling response: none below base_c, most at best_c, none above top_c; degree-days for the first bolter and for
    nine in ten; halfway between the two is taken as the risk: an ordinary British spring brings the first (practice).
    """

    base_c: float
    best_c: float
    top_c: float
    first_cd: float
    most_cd: float


# Carrot 'Chantenay Red Cored', from 8-12 leaves: Atherton, Craigon & Basher 1990, J. Hort. Sci. 65:423-429.
CARROT = Chill(base_c=-1.0, best_c=6.5, top_c=16.0, first_cd=126.0, most_cd=336.0)
_PUBLISHED = {"carrot": CARROT}


@dataclass(frozen=True, slots=True)
class Bolt:
    """The verdict, every reason that holds, and the numbers: chill so far and where it begins to matter (degree-days
    for crops with a published sum, else days; None without a limit), the hottest day, the longest daylight.
    """

    verdict: Verdict
    reasons: tuple[Reason, ...]
    chill: float = 0.0
    chill_needed: float | None = None
    hottest_c: float | None = None
    longest_h: float = 0.0


def chill_degree_days(mean_c: float, chill: Chill) -> float:
    """Chilling of one day, degree-days: mean less base up to the best temperature, then falling to none at top."""
    if not chill.base_c < mean_c < chill.top_c:
        return 0.0
    if mean_c <= chill.best_c:
        return mean_c - chill.base_c
    return (chill.best_c - chill.base_c) * (chill.top_c - mean_c) / (chill.top_c - chill.best_c)


def chill_sum(means_c: Iterable[float], chill: Chill) -> float:
    """The sum over days of `chill_degree_days`. Warm days are not counted off, though long heat can undo chill."""
    return sum(chill_degree_days(mean_c, chill) for mean_c in means_c)


def swing(days: Sequence[Day]) -> bool:
    """Whether a night of 1 degree or less and a day of 20 or more come within four days of each other."""
    cold = [day.on for day in days if day.min_c is not None and day.min_c <= _SWING_LOW_C]
    warm = [day.on for day in days if day.max_c is not None and day.max_c >= _SWING_HIGH_C]
    return any(abs((a - b).days) < _SWING_DAYS for a in cold for b in warm)


def judge(
    planting: Planting,
    crop: Crop,
    days: Sequence[Day],
    latitude: float,
    *,
    dry: bool | None = None,
    past: Sequence[Day] = (),
) -> Bolt:
    """Whether a batch is at risk of running to seed, on the days of the forecast and, for its chill, those before.

    dry: whether its root zone is past what is readily drawn, None when not known. Chill counts outdoors, from the end of
    the juvenile stage (weeks after sowing); where a crop needs chill, long days are a reason only after it.
    """
    rule = crop.bolting
    if rule is None or planting.stage not in _SHOWING:
        return Bolt(Verdict.NONE, ())
    ordered = sorted(days, key=lambda day: day.on)
    since = _mature_on(planting, crop, rule.juvenile_weeks)
    coming = {day.on for day in ordered}
    counted = [*(day for day in past if day.on not in coming), *ordered]
    mature = [day for day in counted if since is not None and day.on >= since]
    chill, needed = _chill(crop, mature)
    longest_h = _longest_h(ordered, latitude)
    chilled = needed is None or chill >= needed
    holding = {
        Reason.CHILL: needed is not None and chilled,
        Reason.HEAT: rule.heat_c is not None and _hot(ordered, rule.heat_c),
        Reason.DAY_LENGTH: rule.day_h is not None and longest_h >= rule.day_h and chilled,
        Reason.DROUGHT: rule.drought and dry is True,
    }
    reasons = tuple(reason for reason, holds in holding.items() if holds)
    verdict = Verdict.RISK if reasons else Verdict.NONE
    if not reasons and swing(ordered) and crop.life is not Life.PERENNIAL:
        verdict, reasons = Verdict.SUSPICION, (Reason.SWING,)
    elif not reasons and needed is not None and (since is None or any(day.mean_c is None for day in mature)):
        verdict = Verdict.UNKNOWN
    hottest_c = max((day.max_c for day in ordered if day.max_c is not None), default=None)
    return Bolt(verdict, reasons, chill, needed, hottest_c, longest_h)


def _mature_on(planting: Planting, crop: Crop, juvenile_weeks: int | None) -> date | None:
    """The day from which chill counts: grown past its youth, and outdoors; what is raised under cover is kept from it."""
    out_on = planting.planted_on or planting.hardening_on
    if planting.sown_on is None:
        return out_on
    grown_on = planting.sown_on + timedelta(weeks=juvenile_weeks or 0)
    in_tray = crop.raising is not None and planting.stage in (Stage.SEEDLING, Stage.POTTED_ON)
    if out_on is None and in_tray:
        return date.max
    return max(grown_on, out_on) if out_on is not None else grown_on


def _chill(crop: Crop, mature: Sequence[Day]) -> tuple[float, float | None]:
    means = [day.mean_c for day in mature if day.mean_c is not None]
    if (published := _PUBLISHED.get(crop.key)) is not None:
        return chill_sum(means, published), (published.first_cd + published.most_cd) / 2
    rule = crop.bolting
    if rule is None or rule.chill_c is None or rule.chill_days is None:
        return 0.0, None
    limit_c = rule.chill_c
    return float(sum(mean_c < limit_c for mean_c in means)), float(rule.chill_days)


def _hot(days: Sequence[Day], heat_c: float) -> bool:
    hot = {day.on for day in days if day.max_c is not None and day.max_c > heat_c}
    return any(all(on + timedelta(days=step) in hot for step in range(_HOT_DAYS)) for on in hot)


def _longest_h(days: Sequence[Day], latitude: float) -> float:
    return max((daylight_h(latitude, day.on.timetuple().tm_yday) for day in days), default=0.0)
