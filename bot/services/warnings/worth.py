"""What is done with less than was asked for, in odds of harm."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bot.core.garden.place_state import less
from bot.core.garden.snapshot import Cover
from bot.core.warnings.hazard_cold import odds_there
from bot.core.warnings.hazards import Hazard, TaskKind
from bot.services.look import Look
from bot.services.warnings.settling import Answered, want_of


@dataclass(frozen=True, slots=True)
class Worth:
    """Odds of harm to what is most at risk there: with what was given, and with what was asked for."""

    given: float
    asked: float


def left_by(outlook: Look, one: Answered) -> Worth | None:
    """None where as much was done as asked, where the forecast no longer speaks of it, and for anything but cold."""
    warning, duty = one.warning, one.duty
    if not less(one.on, want_of(warning, duty)):
        return None
    nights = {night.evening_on: night for night in (*outlook.nights, *outlook.called)}
    night = nights.get(warning.window_on)
    found = [
        finding
        for finding in outlook.findings
        if (finding.hazard, finding.window_on, finding.place_id) == (Hazard.COLD, warning.window_on, duty.place_id)
    ]
    if night is None or not found or one.on.report.cover is None:
        return None
    garden = outlook.garden
    place = garden.place_by_id[duty.where_id]
    house = garden.place_by_id.get(duty.target_place_id or 0)
    as_asked = replace(place, cover=duty.cover or Cover.NONE) if duty.kind is TaskKind.COVER else house
    given = replace(place, cover=one.on.report.cover)
    harm = [
        (
            odds_there(night, finding, given, garden, outlook.crops),
            odds_there(night, finding, as_asked, garden, outlook.crops) if as_asked is not None else 0.0,
        )
        for finding in found
    ]
    return Worth(max(one for one, _ in harm), max(one for _, one in harm))
