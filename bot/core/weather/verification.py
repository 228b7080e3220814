"""How good yes-or-no warnings and odds were, by the standard scores.

Definitions: Wilks 2019, Statistical Methods in the Atmospheric Sciences, 4th ed., ch. 9 (chapter not
confirmed); the CAWCR verification pages.
Ratios with nothing to divide by are None.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

Pair = tuple[float, bool]


@dataclass(frozen=True, slots=True)
class Table:
    """Counts of warnings against what happened."""

    hits: int
    false_alarms: int
    misses: int
    correct_negatives: int

    @property
    def total(self) -> int:
        return self.hits + self.false_alarms + self.misses + self.correct_negatives

    @property
    def accuracy(self) -> float | None:
        return _ratio(self.hits + self.correct_negatives, self.total)

    @property
    def bias(self) -> float | None:
        """Warnings given over events seen; 1 is even."""
        return _ratio(self.hits + self.false_alarms, self.hits + self.misses)

    @property
    def pod(self) -> float | None:
        """Share of events that were warned of."""
        return _ratio(self.hits, self.hits + self.misses)

    @property
    def far(self) -> float | None:
        """False alarm ratio: share of warnings that were for nothing."""
        return _ratio(self.false_alarms, self.hits + self.false_alarms)

    @property
    def pofd(self) -> float | None:
        """Share of quiet cases that were warned of (also called false alarm rate)."""
        return _ratio(self.false_alarms, self.false_alarms + self.correct_negatives)

    @property
    def csi(self) -> float | None:
        return _ratio(self.hits, self.hits + self.false_alarms + self.misses)

    @property
    def ets(self) -> float | None:
        """Equitable threat score, Gilbert's: CSI less the hits of chance."""
        if not self.total:
            return None
        chance = (self.hits + self.misses) * (self.hits + self.false_alarms) / self.total
        return _ratio(self.hits - chance, self.hits + self.false_alarms + self.misses - chance)

    @property
    def peirce(self) -> float | None:
        pod, pofd = self.pod, self.pofd
        return None if pod is None or pofd is None else pod - pofd

    @property
    def heidke(self) -> float | None:
        hits, false_alarms, misses, negatives = self.hits, self.false_alarms, self.misses, self.correct_negatives
        above = 2.0 * (hits * negatives - false_alarms * misses)
        return _ratio(
            above, (hits + misses) * (misses + negatives) + (hits + false_alarms) * (false_alarms + negatives)
        )

    @property
    def odds_ratio(self) -> float | None:
        return _ratio(self.hits * self.correct_negatives, self.false_alarms * self.misses)


def tabulate(pairs: Sequence[Pair], warn_from: float) -> Table:
    """The table of (odds, happened) pairs when a warning is given at odds of warn_from or more."""
    hits = sum(odds >= warn_from and happened for odds, happened in pairs)
    misses = sum(odds < warn_from and happened for odds, happened in pairs)
    false_alarms = sum(odds >= warn_from and not happened for odds, happened in pairs)
    return Table(hits, false_alarms, misses, len(pairs) - hits - misses - false_alarms)


def brier_score(pairs: Sequence[Pair]) -> float:
    """Mean squared difference of odds and outcome, 0 best (Brier 1950). ValueError without pairs."""
    if not pairs:
        raise ValueError("no forecasts to score; give at least one pair of odds and outcome")
    return sum((odds - happened) ** 2 for odds, happened in pairs) / len(pairs)


def skill(score: float, reference: float) -> float | None:
    """1 - score / reference: 1 perfect, 0 no better than the reference."""
    return None if reference == 0.0 else 1.0 - score / reference


@dataclass(frozen=True, slots=True)
class Bin:
    """Forecasts whose odds lie in low to high: their mean odds, the share that happened, how many."""

    low: float
    high: float
    mean_odds: float
    happened: float
    count: int


def reliability(pairs: Sequence[Pair], bins: int = 10) -> tuple[Bin, ...]:
    """Equal bins of odds from 0 to 1; empty ones are left out."""
    filled: dict[int, list[Pair]] = {}
    for pair in pairs:
        filled.setdefault(min(int(pair[0] * bins), bins - 1), []).append(pair)
    return tuple(
        Bin(
            low=index / bins,
            high=(index + 1) / bins,
            mean_odds=sum(odds for odds, _ in inside) / len(inside),
            happened=sum(happened for _, happened in inside) / len(inside),
            count=len(inside),
        )
        for index, inside in sorted(filled.items())
    )


@dataclass(frozen=True, slots=True)
class BrierParts:
    """reliability (less is better), resolution (more is better), uncertainty of the outcome itself."""

    reliability: float
    resolution: float
    uncertainty: float

    @property
    def score(self) -> float:
        return self.reliability - self.resolution + self.uncertainty


def brier_parts(pairs: Sequence[Pair]) -> BrierParts:
    """Murphy 1973, J. Appl. Meteor. 12:595-600: over groups of equal odds, so that the parts add up to the score."""
    if not pairs:
        raise ValueError("no forecasts to score; give at least one pair of odds and outcome")
    groups: dict[float, list[bool]] = {}
    for odds, happened in pairs:
        groups.setdefault(odds, []).append(happened)
    total, base = len(pairs), sum(happened for _, happened in pairs) / len(pairs)
    return BrierParts(
        reliability=sum(len(seen) * (odds - sum(seen) / len(seen)) ** 2 for odds, seen in groups.items()) / total,
        resolution=sum(len(seen) * (sum(seen) / len(seen) - base) ** 2 for seen in groups.values()) / total,
        uncertainty=base * (1.0 - base),
    )


def bootstrap_interval(
    pairs: Sequence[Pair],
    score: Callable[[Sequence[Pair]], float | None],
    share: float = 0.9,
    repeats: int = 1000,
    seed: int = 1,
) -> tuple[float, float] | None:
    """The central `share` of the score over resamples with replacement (Efron 1979, doi:10.1214/aos/1176344552).

    Nights are drawn singly, so runs of like weather make it somewhat too narrow. None when the score cannot be had.
    """
    dice = random.Random(seed)
    drawn = (score(dice.choices(pairs, k=len(pairs))) for _ in range(repeats if pairs else 0))
    found = sorted(value for value in drawn if value is not None)
    if not found:
        return None
    tail = 0.5 * (1.0 - share)
    return found[int(tail * (len(found) - 1))], found[round((1.0 - tail) * (len(found) - 1))]


def _ratio(above: float, below: float) -> float | None:
    return None if below == 0.0 else above / below
