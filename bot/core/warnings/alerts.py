"""New, changed, worse, better, over: what a warning has to say, and when. Pure: a moment and what was said go in.

The steps are counted back from the latest safe time, so that they can be read as a table; a hazard found late begins
with the call.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from bot.core.warnings.hazards import Finding, Hazard, Severity

_ORDER = {Severity.SLIGHT: 0, Severity.MODERATE: 1, Severity.SEVERE: 2}
_EARLIER = timedelta(hours=6)
_A_DAY = timedelta(days=1)
#: A change of the latest safe time that the people on a duty must hear of by a new message (an edit rings no phone).
NOTABLE = timedelta(minutes=30)
#: A hazard must stay away from the forecast this long before it is called off, so that flips do not make it stutter:
#: longer than the six hours from one run of a global weather model to the next.
CLEAR_FOR = timedelta(hours=7)


class Moment(StrEnum):
    """The steps of a warning, in order."""

    WAIT = "wait"
    HEADS_UP = "heads-up"
    CALL = "call"
    OPEN_CALL = "open call"
    TOO_LATE = "too late"
    OVER = "over"


#: How long before the latest safe time each step begins.
TIMELINE: tuple[tuple[Moment, timedelta], ...] = (
    (Moment.OPEN_CALL, timedelta(hours=2)),
    (Moment.CALL, timedelta(hours=32)),
    (Moment.HEADS_UP, timedelta(hours=56)),
)
_OPEN_BEFORE = dict(TIMELINE)[Moment.OPEN_CALL]
#: What is due early in the morning needs no more than the day before: people are called in its morning.
_BEFORE_EVENING = timedelta(hours=12)
#: So much of the time that is left until everybody would be asked is somebody's own to answer in, and again from their
#: reminder; with no more left than the latter, the next person is asked with it. All three: this project's own choice.
_OWN_SHARE, _SHORT = 1 / 3, timedelta(hours=12)
#: So many who say nothing are passed by for each person that a task needs; with the next, the group is the next to be asked.
SILENT_N = 2
#: Somebody needs this long to see a message and answer, however late it is.
ANSWER_TIME = timedelta(minutes=45)


class Change(StrEnum):
    NONE = "none"
    SMALL = "small"  # edit the standing message
    WORSE = "worse"  # speak again


@dataclass(frozen=True, slots=True)
class Quiet:
    """Hours of the garden's clock in which what can wait is held; over midnight when from_h is the later.

    call_before: how long before the latest safe time this group is called; None for as early as anybody (TIMELINE).
    """

    from_h: int
    to_h: int
    zone: str
    call_before: timedelta | None = None

    def ends_at(self, now: datetime) -> datetime:
        """`now` outside the quiet hours, else the moment at which they end."""
        local = now.astimezone(ZoneInfo(self.zone))
        overnight = self.from_h > self.to_h
        inside = (
            (local.hour >= self.from_h or local.hour < self.to_h)
            if overnight
            else self.from_h <= local.hour < self.to_h
        )
        if not inside:
            return now
        ends_on = local.date() + timedelta(days=1 if overnight and local.hour >= self.from_h else 0)
        return datetime.combine(ends_on, time(self.to_h), local.tzinfo).astimezone(now.tzinfo)

    def evening_before(self, due_at: datetime) -> datetime | None:
        """When the quiet hours before an early `due_at` begin; None when there is time enough after them."""
        local = due_at.astimezone(ZoneInfo(self.zone))
        if local.hour >= self.to_h + 5 or self.from_h <= self.to_h:
            return None
        evening_on = local.date() - timedelta(days=1)
        return datetime.combine(evening_on, time(self.from_h), local.tzinfo).astimezone(due_at.tzinfo)

    def found_by(self, at: datetime, due_at: datetime) -> datetime:
        """By when people are to be found, seen from `at`: by the evening before what is due early, while it is to come."""
        evening_at = self.evening_before(due_at)
        return evening_at if evening_at is not None and at < evening_at else due_at

    def holds(self, now: datetime, due_at: datetime) -> bool:
        """Whether something said now can wait: the quiet hours end well before the latest safe time."""
        ends_at = self.ends_at(now)
        return ends_at > now and due_at - ends_at >= timedelta(hours=3)


@dataclass(frozen=True, slots=True)
class Threat:
    """Every finding of one hazard in one window, as one thing to warn of. due_at: the earliest latest safe time."""

    hazard: Hazard
    window_on: date
    findings: tuple[Finding, ...]

    @property
    def severity(self) -> Severity:
        return worst(finding.severity for finding in self.findings)

    @property
    def probability(self) -> float:
        return max(finding.probability for finding in self.findings)

    @property
    def starts_at(self) -> datetime:
        return min(finding.starts_at for finding in self.findings)

    @property
    def ends_at(self) -> datetime:
        return max(finding.ends_at for finding in self.findings)

    @property
    def due_at(self) -> datetime:
        return min(finding.due_at for finding in self.findings)

    @property
    def needs(self) -> frozenset[tuple[int, int, str]]:
        """What is to be done: (place, support or 0, task)."""
        return frozenset((found.place_id, found.support_id or 0, found.task.value) for found in self.findings)


@dataclass(frozen=True, slots=True)
class Said:
    """What the last message about a warning said, edits included.

    loudest, spoken_due_at: the worst severity, and the latest safe time, of the messages that rang; a forecast that
    flips between two classes is spoken of once.
    """

    severity: Severity
    due_at: datetime
    needs: frozenset[tuple[int, int, str]]
    probability: float
    loudest: Severity
    spoken_due_at: datetime


def worst(severities: Iterable[Severity]) -> Severity:
    return max(severities, key=_ORDER.__getitem__)


def gather(findings: Iterable[Finding]) -> tuple[Threat, ...]:
    """Findings by hazard and window, the soonest first; windy days that follow each other are one spell."""
    groups: dict[tuple[Hazard, date], list[Finding]] = defaultdict(list)
    spell_on: date | None = None
    last_on = date.min
    for finding in sorted(findings, key=lambda one: one.window_on):
        window_on = finding.window_on
        if finding.hazard is Hazard.WIND:
            spell_on = spell_on if spell_on and window_on - last_on <= _A_DAY else window_on
            last_on, window_on = window_on, spell_on
        groups[finding.hazard, window_on].append(finding)
    return _soonest_first(Threat(hazard, on, tuple(group)) for (hazard, on), group in groups.items())


def _soonest_first(threats: Iterable[Threat]) -> tuple[Threat, ...]:
    return tuple(sorted(threats, key=lambda threat: (threat.due_at, threat.hazard)))


def continued(threats: Iterable[Threat], running: Iterable[tuple[date, datetime]]) -> tuple[Threat, ...]:
    """The threats, with winds that follow a running spell within a day, or lie within what was warned of, as that spell.

    Days that have become calm within it leave it one spell, so that one warning does not speak of two winds in turn.
    running: the first day, and the end so far, of each spell of wind that was warned of and is not over.
    """
    spells = sorted(running)
    winds: dict[date, list[Finding]] = defaultdict(list)
    others = []
    for threat in threats:
        if threat.hazard is Hazard.WIND:
            days = [on for on, ends_at in spells if on <= threat.window_on and threat.starts_at <= ends_at + _A_DAY]
            winds[max(days, default=threat.window_on)] += threat.findings
        else:
            others.append(threat)
    return _soonest_first([*others, *(Threat(Hazard.WIND, on, tuple(found)) for on, found in winds.items())])


def change(said: Said, threat: Threat) -> Change:
    """Whether what is now expected is worse than what was said (a class up, or 6 h earlier), a detail, or the same."""
    if _ORDER[threat.severity] > _ORDER[said.loudest] or said.spoken_due_at - threat.due_at >= _EARLIER:
        return Change.WORSE
    differs = (
        threat.severity is not said.severity
        or threat.needs != said.needs
        or abs(threat.due_at - said.due_at) >= timedelta(minutes=10)
        or abs(threat.probability - said.probability) >= 0.15
    )
    return Change.SMALL if differs else Change.NONE


def moment(now: datetime, due_at: datetime, ends_at: datetime, quiet: Quiet) -> Moment:
    """The step that `now` belongs to, by the time left until the latest safe time.

    Where that time is soon after the quiet hours, the open call is counted back from the evening before, while people
    can still be reached, and they are called twelve hours before that evening at the latest; unless it is later already.
    """
    if now >= ends_at:
        return Moment.OVER
    if now >= due_at:
        return Moment.TOO_LATE
    found_by = quiet.found_by(now, due_at)
    begins = {step: due_at - before for step, before in TIMELINE} | {Moment.OPEN_CALL: open_at(now, due_at, quiet)}
    if quiet.call_before is not None:
        begins[Moment.CALL] = due_at - quiet.call_before
    if found_by < due_at:
        begins[Moment.CALL] = min(begins[Moment.CALL], found_by - _BEFORE_EVENING)
    return next((step for step, at in begins.items() if now >= at), Moment.WAIT)


def answer_wait(said_at: datetime, due_at: datetime, quiet: Quiet) -> timedelta:
    """How long after they were asked somebody is reminded, and how long after that the next person is asked, too."""
    return max(ANSWER_TIME, (open_at(said_at, due_at, quiet) - said_at) * _OWN_SHARE)


def is_short(now: datetime, due_at: datetime, quiet: Quiet) -> bool:
    """Whether the next person is asked in the moment of a reminder: whoever says yes first has the turn."""
    return open_at(now, due_at, quiet) - now <= _SHORT


def open_at(now: datetime, due_at: datetime, quiet: Quiet) -> datetime:
    """From when everybody is asked openly."""
    return quiet.found_by(now, due_at) - _OPEN_BEFORE


def morning_after(ends_at: datetime, quiet: Quiet) -> datetime:
    """When to thank, to ask how it went and to have things uncovered: after the hazard, outside the quiet hours."""
    return quiet.ends_at(ends_at)
