"""Whether a changed forecast speaks again, is edited in, or says nothing; as the design of warnings states it.

Worse is a class of severity up on the loudest that was said aloud, or six hours earlier than was said aloud.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from bot.core.warnings.alerts import Change, Said, Threat, change, continued, gather, worst
from bot.core.warnings.hazards import Finding, Hazard, Severity, TaskKind

DUE_AT = datetime(2026, 5, 5, 19, 30, tzinfo=UTC)
BED_1 = Finding(
    hazard=Hazard.COLD,
    window_on=date(2026, 5, 5),
    place_id=1,
    planting_id=1,
    support_id=None,
    task=TaskKind.COVER,
    severity=Severity.MODERATE,
    probability=0.6,
    threshold_c=-1.0,
    gust_ms=None,
    starts_at=DUE_AT,
    ends_at=DUE_AT + timedelta(hours=9),
    due_at=DUE_AT,
    minutes=15,
    people=1,
)
BED_2 = replace(BED_1, place_id=2, planting_id=2)
SAID = Said(
    severity=Severity.MODERATE,
    due_at=DUE_AT,
    needs=frozenset({(1, 0, "cover")}),
    probability=0.6,
    loudest=Severity.MODERATE,
    spoken_due_at=DUE_AT,
)


def threat(*findings: Finding) -> Threat:
    (only,) = gather(findings)
    return only


@pytest.mark.parametrize(
    ("now_found", "expected"),
    [
        (BED_1, Change.NONE),
        (replace(BED_1, probability=0.7), Change.NONE),
        (replace(BED_1, probability=0.8), Change.SMALL),
        (replace(BED_1, due_at=DUE_AT - timedelta(minutes=9)), Change.NONE),
        (replace(BED_1, due_at=DUE_AT - timedelta(minutes=10)), Change.SMALL),
        (replace(BED_1, due_at=DUE_AT - timedelta(hours=5, minutes=59)), Change.SMALL),
        (replace(BED_1, due_at=DUE_AT - timedelta(hours=6)), Change.WORSE),
        (replace(BED_1, due_at=DUE_AT + timedelta(hours=8)), Change.SMALL),
        (replace(BED_1, severity=Severity.SLIGHT), Change.SMALL),
        (replace(BED_1, severity=Severity.SEVERE), Change.WORSE),
        (replace(BED_1, task=TaskKind.BRING_IN), Change.SMALL),
    ],
)
def test_a_class_up_or_six_hours_earlier_is_worse_and_all_else_is_an_edit(now_found: Finding, expected: Change) -> None:
    assert change(SAID, threat(now_found)) is expected


def test_one_bed_more_is_an_edit() -> None:
    assert change(SAID, threat(BED_1, BED_2)) is Change.SMALL


def test_a_severity_that_flips_is_spoken_of_once() -> None:
    """Severe was said aloud, then an edit said moderate: severe again is no news that rings."""
    eased = replace(SAID, severity=Severity.MODERATE, loudest=Severity.SEVERE)
    assert change(eased, threat(replace(BED_1, severity=Severity.SEVERE))) is Change.SMALL


def test_creeping_earlier_in_edits_rings_once_it_is_six_hours_from_what_was_said_aloud() -> None:
    crept = replace(SAID, due_at=DUE_AT - timedelta(hours=5))
    assert change(crept, threat(replace(BED_1, due_at=DUE_AT - timedelta(hours=6)))) is Change.WORSE


def test_findings_of_one_window_are_one_threat_due_at_the_earliest_and_as_bad_as_the_worst() -> None:
    early = replace(BED_2, due_at=DUE_AT - timedelta(hours=1), severity=Severity.SEVERE, probability=0.9)
    whole = threat(BED_1, early)
    assert (whole.due_at, whole.severity, whole.probability) == (early.due_at, Severity.SEVERE, 0.9)
    assert whole.needs == {(1, 0, "cover"), (2, 0, "cover")}


def test_each_night_and_each_hazard_is_a_threat_of_its_own_the_soonest_first() -> None:
    wind = replace(BED_1, hazard=Hazard.WIND, due_at=DUE_AT - timedelta(hours=3))
    next_night = replace(BED_1, window_on=date(2026, 5, 6), due_at=DUE_AT + timedelta(days=1))
    found = gather([next_night, BED_1, wind, BED_2])
    assert [(one.hazard, one.window_on.day, len(one.findings)) for one in found] == [
        (Hazard.WIND, 5, 1),
        (Hazard.COLD, 5, 2),
        (Hazard.COLD, 6, 1),
    ]
    assert gather([]) == ()


def test_the_worst_of_the_classes_is_found_whatever_their_order() -> None:
    assert worst([Severity.SLIGHT, Severity.SEVERE, Severity.MODERATE]) is Severity.SEVERE


def windy(day: int) -> Finding:
    at = datetime(2026, 5, day, 12, tzinfo=UTC)
    return replace(BED_1, hazard=Hazard.WIND, window_on=at.date(), starts_at=at, ends_at=at + timedelta(hours=4))


def test_windy_days_that_follow_each_other_are_one_spell_and_a_calm_day_between_parts_them() -> None:
    found = gather([windy(9), windy(5), windy(6), windy(7)])
    assert [(one.window_on.day, len(one.findings), one.ends_at.day) for one in found] == [(5, 3, 7), (9, 1, 9)]


def test_a_wind_goes_on_as_the_spell_that_was_warned_of_and_not_as_a_new_one() -> None:
    """Its first day is past, and the forecast speaks of the next ones only."""
    left = gather([windy(6), windy(7)])
    running = ((date(2026, 5, 5), datetime(2026, 5, 5, 16, tzinfo=UTC)),)
    assert [one.window_on.day for one in continued(left, running)] == [5]


def test_a_wind_two_days_after_the_last_gust_of_a_spell_is_a_new_one() -> None:
    later = gather([windy(8)])
    running = ((date(2026, 5, 5), datetime(2026, 5, 5, 16, tzinfo=UTC)),)
    assert [one.window_on.day for one in continued(later, running)] == [8]


def test_a_spell_whose_middle_has_become_calm_stays_one_warning() -> None:
    """Two winds that lie within what was warned of never speak through one warning in turn."""
    parted = gather([windy(5), windy(7), windy(8)])
    running = ((date(2026, 5, 5), datetime(2026, 5, 8, 16, tzinfo=UTC)),)
    assert [one.window_on.day for one in parted] == [5, 7]
    assert [(one.window_on.day, len(one.findings), one.ends_at.day) for one in continued(parted, running)] == [
        (5, 3, 8)
    ]
