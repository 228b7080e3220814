"""What a season taught, from its records alone: what cold took and when, frosts that nobody was called for, gluts and gaps.

Nothing here names anybody. The thresholds below are common practice, no source: they only decide what is worth a line.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from itertools import pairwise

#: Harm from cold shows within days, and is written down when somebody next comes by.
COLD_SHOWS = timedelta(days=3)
_SPRING_ENDS = 7  # the last month whose cold is spring's, on the northern half; see `lessons`
_GLUT_SHARE, _GLUT_WEEKS, _GLUT_KG = 0.5, 3, 5.0
_GAP = timedelta(days=21)
_FALSE_FROM, _FALSE_SHARE = 4, 0.5
_FEW_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class Loss:
    """So many plants of a crop (its key), written down on a day."""

    crop: str
    count: int
    on: date


@dataclass(frozen=True, slots=True)
class Picked:
    """kg of a crop (its key) on one day."""

    crop: str
    kg: float
    on: date


@dataclass(frozen=True, slots=True)
class Shares:
    """How turns were shared: members in the garden, helpers among them, turns in all, fewest and most of a helper."""

    members_n: int
    helpers_n: int
    turns_n: int
    fewest_n: int
    most_n: int


class LessonKind(StrEnum):
    LATER = "plant out later"
    EARLIER = "bring in earlier"
    UNCALLED = "frost without a call"
    NEEDLESS = "calls for nothing"
    UNDONE = "jobs left undone"
    FEW_HANDS = "few hands"
    GLUT = "glut"
    GAP = "gap"


@dataclass(frozen=True, slots=True)
class Lesson:
    """crop: a key. on, until_on: the days that it is about. n of of_n: how many. kg: of a glut."""

    kind: LessonKind
    crop: str | None = None
    on: date | None = None
    until_on: date | None = None
    n: int = 0
    of_n: int = 0
    kg: float = 0.0


def taken_by_cold(losses: Iterable[Loss], cold_nights: Collection[date]) -> tuple[Loss, ...]:
    """Losses written down within three days of a cold night. cold_nights: evenings."""
    return tuple(
        one for one in losses if any(timedelta(0) <= one.on - evening <= COLD_SHOWS for evening in cold_nights)
    )


def shares(turns: Mapping[int, int], members_n: int) -> Shares:
    """turns: done, by member."""
    counts = [n for n in turns.values() if n > 0]
    return Shares(members_n, len(counts), sum(counts), min(counts, default=0), max(counts, default=0))


def lessons(
    *,
    cold_losses: Sequence[Loss],
    uncalled: Sequence[date],
    needless_n: int,
    calls_n: int,
    undone_n: int,
    duties_n: int,
    work: Shares,
    picked: Sequence[Picked],
    south: bool = False,
) -> tuple[Lesson, ...]:
    """What to change, what costs plants first. uncalled: frosty evenings for which nobody was called."""
    found = [*_cold(cold_losses, south)]
    if uncalled:
        found.append(Lesson(LessonKind.UNCALLED, on=min(uncalled), n=len(uncalled)))
    if calls_n >= _FALSE_FROM and needless_n > _FALSE_SHARE * calls_n:
        found.append(Lesson(LessonKind.NEEDLESS, n=needless_n, of_n=calls_n))
    if undone_n:
        found.append(Lesson(LessonKind.UNDONE, n=undone_n, of_n=duties_n))
    if work.turns_n and work.helpers_n < _FEW_SHARE * work.members_n:
        found.append(Lesson(LessonKind.FEW_HANDS, n=work.helpers_n, of_n=work.members_n))
    return (*found, *_gluts(picked), *_gap(picked))


def _cold(losses: Sequence[Loss], south: bool) -> Iterable[Lesson]:
    """For each crop: after the last day on which spring took some, before the first on which autumn did."""
    spring: dict[str, list[Loss]] = defaultdict(list)
    autumn: dict[str, list[Loss]] = defaultdict(list)
    for one in losses:
        is_spring = (one.on.month <= _SPRING_ENDS) is not south
        (spring if is_spring else autumn)[one.crop].append(one)
    for crop, lost in sorted(spring.items()):
        yield Lesson(LessonKind.LATER, crop, on=max(one.on for one in lost), n=sum(one.count for one in lost))
    for crop, lost in sorted(autumn.items()):
        yield Lesson(LessonKind.EARLIER, crop, on=min(one.on for one in lost), n=sum(one.count for one in lost))


def _gluts(picked: Sequence[Picked]) -> Iterable[Lesson]:
    """A crop of which more than half came in a single week, though it was picked in three or more."""
    weeks: dict[str, dict[date, float]] = defaultdict(lambda: defaultdict(float))
    for one in picked:
        weeks[one.crop][one.on - timedelta(days=one.on.weekday())] += one.kg
    for crop, by_week in sorted(weeks.items()):
        total_kg = sum(by_week.values())
        monday, kg = max(by_week.items(), key=lambda week: (week[1], week[0]))
        if len(by_week) >= _GLUT_WEEKS and total_kg >= _GLUT_KG and kg > _GLUT_SHARE * total_kg:
            yield Lesson(LessonKind.GLUT, crop, on=monday, kg=kg)


def _gap(picked: Sequence[Picked]) -> Iterable[Lesson]:
    """The longest time of three weeks or more between two harvests in which nothing at all was picked."""
    days = sorted({one.on for one in picked})
    gaps = [(later - earlier, earlier, later) for earlier, later in pairwise(days)]
    longest = max(gaps, default=None)
    if longest is not None and longest[0] >= _GAP:
        yield Lesson(LessonKind.GAP, on=longest[1], until_on=longest[2])
