"""Official warnings by the Common Alerting Protocol 1.2 (OASIS, 2010): which of them hold for a garden, and when.

What a message means is taken from the standard's element definitions (3.2.1 to 3.2.4). Nothing here softens one: a
message that cannot be placed is said to be unplaced, never taken as meant for somebody else.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

_EARTH_KM = 6371.0
#: How long a message without an expiry is taken to hold: the standard leaves it to the recipient (3.2.2, expires).
UNSAID_END = timedelta(hours=24)
#: What a garden's people are told of: weather, floods and slides, fire, air, poisons, general safety (3.2.2, category).
#: What the police, hospitals and railways send out is nothing that this bot should pass on.
_OUTDOORS = frozenset({"Met", "Geo", "Fire", "Env", "CBRNE", "Safety"})
_RANK = ("Minor", "Moderate", "Unknown", "Severe", "Extreme")

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Shape:
    """A polygon (points of latitude and longitude, first and last alike), or a circle about one with radius_km."""

    points: tuple[Point, ...]
    radius_km: float | None = None


@dataclass(frozen=True, slots=True)
class Area:
    """words: areaDesc. shapes, codes (name of the system, value): the area is all of them together."""

    words: str
    shapes: tuple[Shape, ...] = ()
    codes: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Info:
    """One language's words about one event, as the file has them. Moments are aware, UTC."""

    language: str
    event: str
    urgency: str
    severity: str
    certainty: str
    categories: tuple[str, ...] = ()
    responses: tuple[str, ...] = ()
    effective_at: datetime | None = None
    onset_at: datetime | None = None
    expires_at: datetime | None = None
    issuer: str = ""
    headline: str = ""
    description: str = ""
    instruction: str = ""
    web: str = ""
    areas: tuple[Area, ...] = ()


@dataclass(frozen=True, slots=True)
class Reference:
    """Which message is meant: its sender, identifier and time of sending are unique together."""

    sender: str
    identifier: str
    sent_at: datetime


@dataclass(frozen=True, slots=True)
class Alert:
    """One message. kind: msgType. references: earlier messages that it takes the place of, or calls off."""

    me: Reference
    status: str
    kind: str
    scope: str
    references: tuple[Reference, ...] = ()
    infos: tuple[Info, ...] = ()


@dataclass(frozen=True, slots=True)
class Held:
    """An official warning that holds for a place. infos: of its worst severity there, one a language."""

    alert: Alert
    infos: tuple[Info, ...]
    starts_at: datetime
    ends_at: datetime

    @property
    def severity(self) -> str:
        return self.infos[0].severity


def held(
    alerts: Iterable[Alert], latitude: float, longitude: float, codes: Collection[tuple[str, str]], now: datetime
) -> tuple[Held, ...]:
    """The warnings that are meant, not taken back, not over, and for this place; the soonest first.

    codes: of the areas in which the place lies, by the systems that its country's service uses.
    """
    real = [one for one in alerts if one.status == "Actual" and one.scope == "Public"]
    replaced = {_key(old) for one in real if one.kind in ("Update", "Cancel") for old in one.references}
    standing = {_key(one.me): one for one in real if one.kind in ("Alert", "Update") and _key(one.me) not in replaced}
    found = (_held(one, latitude, longitude, codes) for one in standing.values())
    return tuple(
        sorted(
            (one for one in found if one is not None and one.ends_at > now),
            key=lambda one: (one.starts_at, one.ends_at),
        )
    )


def _key(reference: Reference) -> tuple[str, str, datetime]:
    return reference.sender, reference.identifier, reference.sent_at


def _held(alert: Alert, latitude: float, longitude: float, codes: Collection[tuple[str, str]]) -> Held | None:
    here = [
        one
        for one in alert.infos
        if one.urgency != "Past"
        and _OUTDOORS.intersection(one.categories)
        and "AllClear" not in one.responses
        and any(covers(area, latitude, longitude, codes) for area in one.areas)
    ]
    if not here:
        return None
    worst = max(here, key=lambda one: _rank(one.severity)).severity
    starts = [one.onset_at or one.effective_at or alert.me.sent_at for one in here]
    ends = [one.expires_at or start_at + UNSAID_END for one, start_at in zip(here, starts, strict=True)]
    return Held(alert, tuple(one for one in here if one.severity == worst), min(starts), max(ends))


def _rank(severity: str) -> int:
    return _RANK.index(severity) if severity in _RANK else _RANK.index("Unknown")


def is_told(severity: str) -> bool:
    """Whether people hear of it unasked: what is severe or worse, and what is of unknown severity."""
    return _rank(severity) >= _RANK.index("Unknown")


def closes(severity: str) -> bool:
    """Whether nobody is sent out in its hours."""
    return _rank(severity) >= _RANK.index("Severe")


def covers(area: Area, latitude: float, longitude: float, codes: Collection[tuple[str, str]]) -> bool:
    """Whether a place lies in any of the area's shapes, or in an area of one of its codes."""
    own = {(name.casefold(), value.casefold()) for name, value in codes}
    if any((name.casefold(), value.casefold()) in own for name, value in area.codes):
        return True
    return any(_inside(shape, latitude, longitude) for shape in area.shapes)


def unplaced(alert: Alert) -> tuple[str, ...]:
    """Areas that only words describe: nobody can tell whether a garden lies in them."""
    return tuple(area.words for one in alert.infos for area in one.areas if not area.shapes and not area.codes)


def _inside(shape: Shape, latitude: float, longitude: float) -> bool:
    if shape.radius_km is not None:
        return _distance_km(shape.points[0], (latitude, longitude)) <= shape.radius_km
    return _in_polygon(shape.points, latitude, longitude)


def _in_polygon(points: Sequence[Point], latitude: float, longitude: float) -> bool:
    """By how often a ray to the north crosses its sides; on WGS 84, sides straight between their degrees.

    No side is longer than half the globe, so that one over the date line is what it looks like on a globe.
    """
    unrolled = [points[0]]
    for south, east in points[1:]:
        before = unrolled[-1][1]
        unrolled.append((south, before + (east - before + 180.0) % 360.0 - 180.0))
    return any(_crossed(unrolled, latitude, longitude + turn) for turn in (-360.0, 0.0, 360.0))


def _crossed(points: Sequence[Point], latitude: float, longitude: float) -> bool:
    inside = False
    for (south, west), (north, east) in pairwise(points):
        if (west > longitude) != (east > longitude):
            inside ^= latitude < south + (north - south) * (longitude - west) / (east - west)
    return inside


def _distance_km(one: Point, other: Point) -> float:
    """Along a great circle, by haversines."""
    (south, west), (north, east) = (tuple(math.radians(degrees) for degrees in point) for point in (one, other))
    chord = math.sin((north - south) / 2) ** 2 + math.cos(south) * math.cos(north) * math.sin((east - west) / 2) ** 2
    return 2 * _EARTH_KM * math.asin(math.sqrt(min(chord, 1.0)))
