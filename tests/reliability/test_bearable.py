"""A frosty April week in the demo's garden: few messages, short ones, and nothing missed.

The bounds are this project's own promise. What needed protecting is asked of the forecast at the last look before each
dusk, apart from any warning, and what was done of the ledger of what its willing members reported.
"""

from __future__ import annotations

import asyncio
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.support.rings import FROM_AT, GROUP, TO_AT, Played, frosty, play

#: Nobody but organisers, who hear of what goes wrong besides.
MEMBERS = ("Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana")
TAP = "answer to a tap"
WARNS = {"heads-up", "call", "worse", "too late", "open call", "called off", "after", "ask", "remind", "earlier"}
#: The cold evenings of the week, by its invented weather.
COLD_ON = [date(2026, 4, day) for day in (21, 22, 23, 25)]


@pytest.fixture(scope="module")
def week(tmp_path_factory: pytest.TempPathFactory) -> Played:
    folder: Path = tmp_path_factory.mktemp("week")
    return asyncio.run(play(folder, frosty, FROM_AT, TO_AT, timedelta(hours=1)))


def test_a_frosty_week_is_at_most_eight_in_the_group_and_eight_to_a_willing_member(week: Played) -> None:
    assert len(week.of(GROUP)) <= 8, week.kinds(GROUP)
    for name in MEMBERS:
        rings = [one for one in week.of(name) if one.kind != TAP]
        assert len(rings) <= 8, (name, week.kinds(name))


def test_and_nothing_is_missed(week: Played) -> None:
    """Every place that the forecast wanted protected before a dusk was asked for, and reported as protected by then."""
    assert sorted(week.wanted) == COLD_ON
    assert all(len(places) >= 8 for places in week.wanted.values()), week.wanted
    assert not week.bare, week.bare
    assert set().union(*week.wanted.values()) <= week.asked, week.asked


def test_every_message_fits_a_phone(week: Played) -> None:
    long = [one for one in week.heard if one.rows > 12]
    assert not long, [one.text for one in long]


def test_a_spell_of_three_nights_is_one_heads_up_one_call_and_one_all_clear(week: Played) -> None:
    spell = [one for one in week.of(GROUP) if one.at.date() <= date(2026, 4, 24) and one.kind in WARNS]
    kinds = [one.kind for one in spell if "Sat 25" not in one.text and "Tomorrow night: " not in one.text]
    assert kinds == ["heads-up", "call", "after"], [(one.at, one.kind, one.text) for one in spell]
    for one in spell[:2]:
        assert "Thu 23 Apr" in one.text, "it says until when"


def test_the_morning_s_undoing_is_one_message_a_person(week: Played) -> None:
    for name in MEMBERS:
        mornings = [one.at.date() for one in week.of(name) if "Uncover:" in one.text or "Put back outside:" in one.text]
        asked = [one.at.date() for one in week.of(name) if one.kind == "ask" and one.at.date() in mornings]
        undoing = [
            one
            for one in week.of(name)
            if one.kind == "ask" and ("Uncover:" in one.text or "Put back outside:" in one.text)
        ]
        assert len({one.at.date() for one in undoing}) == len(undoing), (name, asked)
