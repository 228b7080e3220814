"""When each step of a warning falls, as tables: a moment, and the step that it belongs to.

Counted back from the latest safe time: 56 h heads-up, 32 h call, 2 h open call; whoever was asked has a third of the
time until then to answer, and as long again once reminded, unless that is within half a day. These are this program's own
rule (common practice, no source); quiet hours are the garden's clock. The days on which clocks change are those of 2026 in
the European Union and the United Kingdom: 29 March and 25 October, 01:00 UTC (Directive 2000/84/EC, Articles 2 and 3; from
memory).
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.core.warnings.alerts import SILENT_N, TIMELINE, Moment, Quiet, answer_wait, is_short, moment, morning_after

LONDON = ZoneInfo("Europe/London")
QUIET = Quiet(21, 7, "Europe/London")
#: A night of cold: due at sunset, over at sunrise (times of the garden's clock, in May).
DUE_AT, ENDS_AT = datetime(2026, 5, 5, 20, 30, tzinfo=LONDON), datetime(2026, 5, 6, 5, 25, tzinfo=LONDON)


def at(day: int, clock: str, month: int = 5) -> datetime:
    hour, minute = (int(part) for part in clock.split(":"))
    return datetime(2026, month, day, hour, minute, tzinfo=LONDON).astimezone(UTC)


@pytest.mark.parametrize(
    ("now", "step"),
    [
        (at(3, "12:00"), Moment.WAIT),
        (at(3, "12:30"), Moment.HEADS_UP),  # 56 h before
        (at(4, "12:29"), Moment.HEADS_UP),
        (at(4, "12:30"), Moment.CALL),  # 32 h before
        (at(5, "18:29"), Moment.CALL),
        (at(5, "18:30"), Moment.OPEN_CALL),  # 2 h before
        (at(5, "20:29"), Moment.OPEN_CALL),
        (at(5, "20:30"), Moment.TOO_LATE),
        (at(6, "05:24"), Moment.TOO_LATE),
        (at(6, "05:25"), Moment.OVER),
    ],
)
def test_the_steps_of_a_cold_night_are_counted_back_from_sunset(now: datetime, step: Moment) -> None:
    assert moment(now, DUE_AT, ENDS_AT, QUIET) is step


@pytest.mark.parametrize(
    ("found", "step"),
    [
        (at(5, "09:00"), Moment.CALL),
        (at(5, "17:00"), Moment.CALL),
        (at(5, "19:45"), Moment.OPEN_CALL),
        (at(5, "21:00"), Moment.TOO_LATE),
    ],
)
def test_a_hazard_found_late_is_at_the_step_of_its_time_left_and_never_at_a_heads_up(
    found: datetime, step: Moment
) -> None:
    assert moment(found, DUE_AT, ENDS_AT, QUIET) is step


@pytest.mark.parametrize(
    ("now", "step"),
    [
        (at(3, "22:59"), Moment.WAIT),
        (at(3, "23:00"), Moment.HEADS_UP),  # 56 h before
        (at(4, "22:59"), Moment.HEADS_UP),
        (at(4, "23:00"), Moment.CALL),  # 32 h before: in the quiet hours, so in the morning
        (at(5, "18:59"), Moment.CALL),
        (at(5, "19:00"), Moment.OPEN_CALL),  # of the evening before at 21:00, not of dawn
        (at(5, "21:00"), Moment.CALL),  # after the evening: what is left until dawn counts again
        (at(6, "05:00"), Moment.OPEN_CALL),
        (at(6, "07:00"), Moment.TOO_LATE),
    ],
)
def test_what_is_due_at_dawn_is_asked_for_openly_on_the_evening_before(now: datetime, step: Moment) -> None:
    due_at = datetime(2026, 5, 6, 7, 0, tzinfo=LONDON)
    assert moment(now, due_at, due_at + timedelta(hours=9), QUIET) is step


def test_a_group_that_is_called_late_is_called_on_the_morning_before_an_early_hour() -> None:
    """Fourteen hours before 11:00 everybody sleeps soon; twelve before that evening they have the day to answer in."""
    due_at, soon = at(6, "11:00"), Quiet(21, 7, "Europe/London", timedelta(hours=14))
    steps = [moment(at(5, clock), due_at, due_at + timedelta(hours=5), soon) for clock in ("08:59", "09:00", "19:00")]
    assert steps == [Moment.HEADS_UP, Moment.CALL, Moment.OPEN_CALL]


@pytest.mark.parametrize(
    ("said", "due", "wait", "short"),
    [
        (at(4, "12:30"), at(5, "20:30"), timedelta(hours=10), False),  # a third of the 30 h until 18:30
        (at(5, "06:00"), at(5, "20:30"), timedelta(minutes=250), False),
        (at(5, "10:30"), at(5, "20:30"), timedelta(minutes=160), True),  # within half a day
        (at(5, "17:00"), at(5, "20:30"), timedelta(minutes=45), True),  # it takes so long to see a message and answer
        (at(5, "20:00"), at(5, "20:30"), timedelta(minutes=45), True),
        (at(5, "07:00"), at(6, "09:00"), timedelta(hours=4), True),  # 12 h until 19:00 on the evening before
        (at(6, "05:00"), at(6, "09:00"), timedelta(minutes=45), True),  # found in the night
    ],
)
def test_whoever_is_asked_has_a_third_of_the_time_that_is_left_and_the_next_one_of_what_is_left_then(
    said: datetime, due: datetime, wait: timedelta, *, short: bool
) -> None:
    assert (answer_wait(said, due, QUIET), is_short(said, due, QUIET)) == (wait, short)


def test_three_people_can_be_asked_one_after_the_other_before_the_group_is() -> None:
    """Each of them says nothing; nobody is reminded, and nobody new is asked, in the quiet hours."""
    due_at, asked_at, asked = at(5, "20:30"), at(4, "12:30"), 0
    while asked_at < due_at - timedelta(hours=2):
        asked += 1
        reminded_at = QUIET.ends_at(asked_at + answer_wait(asked_at, due_at, QUIET))
        wait = timedelta() if is_short(reminded_at, due_at, QUIET) else answer_wait(reminded_at, due_at, QUIET)
        asked_at = QUIET.ends_at(reminded_at + wait)
    assert asked >= SILENT_N + 1 == 3


@pytest.mark.parametrize(
    ("due", "evening"),
    [
        (at(6, "05:00"), at(5, "21:00")),
        (at(6, "11:59"), at(5, "21:00")),
        (at(6, "12:00"), None),  # five hours after the quiet hours there is time enough
        (at(6, "20:30"), None),
    ],
)
def test_the_evening_before_counts_only_for_what_is_due_early(due: datetime, evening: datetime | None) -> None:
    assert QUIET.evening_before(due) == evening


@pytest.mark.parametrize(
    ("now", "ends"),
    [
        (at(5, "20:59"), at(5, "20:59")),
        (at(5, "21:00"), at(6, "07:00")),
        (at(6, "03:00"), at(6, "07:00")),
        (at(6, "06:59"), at(6, "07:00")),
        (at(6, "07:00"), at(6, "07:00")),
    ],
)
def test_quiet_hours_over_midnight_end_in_the_morning(now: datetime, ends: datetime) -> None:
    assert QUIET.ends_at(now) == ends
    assert morning_after(now, QUIET) == ends


def test_quiet_hours_within_a_day_end_on_that_day() -> None:
    siesta = Quiet(13, 16, "Europe/London")
    assert siesta.ends_at(at(5, "14:00")) == at(5, "16:00")
    assert siesta.ends_at(at(5, "12:59")) == at(5, "12:59")
    assert siesta.evening_before(at(6, "05:00")) is None


def test_quiet_hours_from_and_to_the_same_hour_are_none() -> None:
    assert Quiet(0, 0, "Europe/London").ends_at(at(5, "03:00")) == at(5, "03:00")


@pytest.mark.parametrize(
    ("now", "due", "holds"),
    [
        (at(5, "12:00"), at(5, "20:30"), False),
        (at(5, "22:00"), at(6, "20:30"), True),
        (at(5, "22:00"), at(6, "10:00"), True),  # three hours are left in the morning
        (at(5, "22:00"), at(6, "09:59"), False),
        (at(5, "22:00"), at(6, "05:00"), False),
    ],
)
def test_what_leaves_three_hours_in_the_morning_waits_for_it(now: datetime, due: datetime, holds: bool) -> None:
    assert QUIET.holds(now, due) is holds


@pytest.mark.parametrize(
    ("now", "ends_utc"),
    [
        # 29 March 2026, clocks go from 01:00 to 02:00: the night is an hour short, 07:00 is 06:00 UTC.
        (at(28, "22:00", 3), datetime(2026, 3, 29, 6, 0, tzinfo=UTC)),
        (datetime(2026, 3, 29, 1, 30, tzinfo=UTC), datetime(2026, 3, 29, 6, 0, tzinfo=UTC)),
        # 25 October 2026, clocks go from 02:00 back to 01:00: an hour longer, 07:00 is 07:00 UTC.
        (at(24, "22:00", 10), datetime(2026, 10, 25, 7, 0, tzinfo=UTC)),
        (datetime(2026, 10, 25, 0, 30, tzinfo=UTC), datetime(2026, 10, 25, 7, 0, tzinfo=UTC)),
        (datetime(2026, 10, 25, 1, 30, tzinfo=UTC), datetime(2026, 10, 25, 7, 0, tzinfo=UTC)),
    ],
)
def test_quiet_hours_end_by_the_clock_on_the_days_on_which_clocks_change(now: datetime, ends_utc: datetime) -> None:
    assert QUIET.ends_at(now) == ends_utc


def test_the_evening_before_a_changed_clock_is_by_the_clock_too() -> None:
    # Due at 06:00 summer time on 29 March, 05:00 UTC; the evening before is still winter time, 21:00 UTC.
    assert QUIET.evening_before(datetime(2026, 3, 29, 5, 0, tzinfo=UTC)) == datetime(2026, 3, 28, 21, 0, tzinfo=UTC)
    # Due at 06:00 winter time on 25 October, 06:00 UTC; the evening before is summer time, 20:00 UTC.
    assert QUIET.evening_before(datetime(2026, 10, 25, 6, 0, tzinfo=UTC)) == datetime(2026, 10, 24, 20, 0, tzinfo=UTC)


def test_steps_are_hours_that_pass_not_hours_on_the_clock() -> None:
    """Two hours before dawn of 29 March are two hours, though the clock shows three from 00:30 on."""
    due_at = datetime(2026, 3, 29, 2, 30, tzinfo=UTC)  # 03:30 on the changed clock
    ends_at = due_at + timedelta(hours=9)
    never = Quiet(0, 0, "Europe/London")
    assert moment(datetime(2026, 3, 29, 0, 30, tzinfo=UTC), due_at, ends_at, never) is Moment.OPEN_CALL
    assert moment(datetime(2026, 3, 29, 0, 29, tzinfo=UTC), due_at, ends_at, never) is Moment.CALL


@given(
    before=st.timedeltas(min_value=timedelta(0), max_value=timedelta(hours=80)),
    later=st.timedeltas(min_value=timedelta(0), max_value=timedelta(hours=20)),
    hour=st.integers(12, 23),
    zone=st.sampled_from(["Europe/London", "America/New_York", "Australia/Lord_Howe", "UTC"]),
)
@settings(max_examples=150)
def test_steps_only_ever_go_forward_for_what_is_due_in_the_afternoon(
    before: timedelta, later: timedelta, hour: int, zone: str
) -> None:
    order = list(Moment)
    due_at = datetime(2026, 10, 25, hour, 0, tzinfo=ZoneInfo(zone)).astimezone(UTC)
    ends_at = due_at + timedelta(hours=10)
    quiet = Quiet(21, 7, zone)
    first = moment(due_at - before, due_at, ends_at, quiet)
    second = moment(due_at - before + later, due_at, ends_at, quiet)
    assert order.index(first) <= order.index(second)


def test_the_table_of_steps_is_in_order_of_time() -> None:
    before = [hours for _, hours in TIMELINE]
    assert before == sorted(before) and before[0] > timedelta(minutes=90), "time to answer twice"
