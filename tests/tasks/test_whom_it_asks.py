"""Whom the rota asks, as rows: the free before the silent, the solution as a whole, and what counts as one turn."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Cover, PlaceKind
from bot.core.tasks.rota import Helper
from bot.core.tasks.rota_rules import turn_weight
from bot.core.tasks.rota_solver import solve
from bot.core.warnings.hazards import Hazard, Severity, TaskKind
from bot.crops.loader import load
from bot.services.look import Look, quiet
from bot.services.tasks import rota
from bot.services.warnings import notices
from bot.services.warnings.events import ToMember, What
from bot.storage.garden import gardens
from bot.storage.models import Ask, Garden, Member, Person, Place, Plot, PlotHolder, Task, Warning
from bot.storage.session import Database
from bot.storage.states import AskState, TaskState, WarningState

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)  # a Monday morning in Britain
DUE_AT = datetime(2026, 5, 4, 19, 0, tzinfo=UTC)


async def garden(session: AsyncSession, people: int) -> tuple[Garden, Warning, list[int]]:
    """A garden in which everybody is free and equal, and a cold night; ids of the members."""
    row = Garden(
        name="Teasel Lane", chat_id=-7, latitude=52.49, longitude=-1.89, altitude_m=130.0, zone="Europe/London"
    )
    session.add(row)
    await session.flush()
    warning = Warning(
        garden_id=row.id, hazard=Hazard.COLD, window_on=date(2026, 5, 4), state=WarningState.CALLED,
        severity=Severity.SEVERE, starts_at=DUE_AT + timedelta(hours=4), ends_at=DUE_AT + timedelta(hours=11),
        due_at=DUE_AT, probability=0.9, detected_at=NOW, called_at=NOW,
    )  # fmt: skip
    session.add(warning)
    ids = []
    for n in range(people):
        person = Person(name=f"Neighbour {n}", user_id=900 + n, private_ok_at=NOW - timedelta(days=9))
        session.add(person)
        await session.flush()
        member = Member(garden_id=row.id, person_id=person.id, joined_at=NOW - timedelta(days=9))
        session.add(member)
        await session.flush()
        ids.append(member.id)
    return row, warning, ids


async def duty(
    session: AsyncSession,
    row: Garden,
    warning: Warning,
    name: str,
    *,
    minutes: int = 20,
    people: int = 1,
    needs_key: bool = False,
) -> Task:
    """One bed to cover; two of 25 minutes are more than one walk."""
    place = Place(
        garden_id=row.id, name=name, kind=PlaceKind.BED, shared=True, length_m=4.0, width_m=1.2, needs_key=needs_key
    )
    session.add(place)
    await session.flush()
    one = Task(
        garden_id=warning.garden_id, on=warning.window_on, warning_id=warning.id, place_id=place.id, support_id=0,
        kind=TaskKind.COVER, cover=Cover.FLEECE, people=people,
        minutes=minutes, starts_at=NOW, due_at=DUE_AT, state=TaskState.OPEN,
    )  # fmt: skip
    session.add(one)
    await session.flush()
    return one


async def asked(session: AsyncSession, row: Garden, warning: Warning, now: datetime) -> list[Ask]:
    """The asks that one look makes."""
    walks = await rota.problem(session, await gardens.snapshot(session, row), quiet(row), [warning.id], now)
    return [] if walks is None else await rota.ask(session, walks, solve(walks.problem), now)


async def asks(session: AsyncSession) -> Sequence[Ask]:
    return (await session.scalars(select(Ask).order_by(Ask.id))).all()


async def test_three_free_people_are_asked_before_six_silent_ones_get_each_others_walks(database: Database) -> None:
    async with database.begin() as session:
        row, warning, ids = await garden(session, 9)
        for n in range(6):
            await duty(session, row, warning, f"Bed {n}", minutes=25)
        first = await asked(session, row, warning, NOW)
        silent = {ask.member_id for ask in first}
        assert len(silent) == 6, "the story needs a walk for each of six"
        for ask in first:
            ask.state = AskState.SILENT
        second = await asked(session, row, warning, NOW + timedelta(hours=2))
        assert len(second) == 6
        assert {ask.member_id for ask in second} == set(ids) - silent


async def test_whoever_refused_is_not_asked_again_two_hours_later_while_somebody_else_is_free(
    database: Database,
) -> None:
    async with database.begin() as session:
        row, warning, ids = await garden(session, 3)
        for n in range(2):
            await duty(session, row, warning, f"Bed {n}", minutes=25)
        first = await asked(session, row, warning, NOW)
        for ask in first:
            ask.state = AskState.PASSED
        (free,) = set(ids) - {ask.member_id for ask in first}
        assert {ask.member_id for ask in await asked(session, row, warning, NOW + timedelta(hours=2))} == {free}


async def test_whoever_let_two_warnings_pass_without_a_word_is_asked_after_everybody_else_until_they_answer(
    database: Database,
) -> None:
    """A steward does not begin with whoever has not answered of late, though they have done least."""
    async with database.begin() as session:
        row, warning, (mute, other) = await garden(session, 2)
        earlier = [NOW - timedelta(days=n) for n in (9, 4)]
        for at in earlier:
            past = Warning(
                garden_id=row.id, hazard=Hazard.COLD, window_on=at.date(), state=WarningState.OVER, over_at=at,
                severity=Severity.SEVERE, starts_at=at, ends_at=at, due_at=at, probability=0.9, detected_at=at,
            )  # fmt: skip
            session.add(past)
            await session.flush()
            one = await duty(session, row, past, f"Bed of {at:%d}")
            one.state = TaskState.MISSED
            session.add(Ask(task_id=one.id, member_id=mute, asked_at=at, state=AskState.SILENT))
        bed = await duty(session, row, warning, "Bed 1")
        (ask,) = await asked(session, row, warning, NOW)
        assert ask.member_id == other
        ask.state = AskState.PASSED
        (ask,) = await asked(session, row, warning, NOW + timedelta(hours=1))
        assert ask.member_id == mute, "nobody else is left"
        ask.state, ask.answered_at = AskState.PASSED, NOW + timedelta(hours=2)
        bed.state = TaskState.DROPPED
        await duty(session, row, warning, "Bed 2")
        (ask,) = await asked(session, row, warning, NOW + timedelta(hours=3))
        assert ask.member_id == mute, "the first by id again, of two who have done nothing"


async def test_a_plots_bed_is_anybodys_where_its_holder_has_no_turn_left(database: Database) -> None:
    async with database.begin() as session:
        row, warning, (holder, other) = await garden(session, 2)
        plot = Plot(garden_id=row.id, name="Plot 1")
        session.add(plot)
        await session.flush()
        session.add(PlotHolder(plot_id=plot.id, member_id=holder))
        bed = await duty(session, row, warning, "Bed 1")
        place = await session.get_one(Place, bed.place_id)
        place.shared, place.plot_id = False, plot.id
        wishes = await session.get_one(Member, holder)
        wishes.per_week = 0
        await session.flush()
        assert [ask.member_id for ask in await asked(session, row, warning, NOW)] == [other]


async def test_where_everybody_has_refused_something_the_others_walks_are_still_asked_for(database: Database) -> None:
    async with database.begin() as session:
        row, warning, _ = await garden(session, 2)
        for n in range(2):
            await duty(session, row, warning, f"Bed {n}", minutes=25)
        for ask in await asked(session, row, warning, NOW):
            ask.state = AskState.PASSED
        assert len(await asked(session, row, warning, NOW + timedelta(hours=2))) == 2


async def test_whoever_is_needed_for_what_only_they_can_do_is_freed_of_what_others_can_and_hears_of_it(
    database: Database,
) -> None:
    """They wish for one turn a week, and hold the only key."""
    async with database.begin() as session:
        row, warning, (holder, other) = await garden(session, 2)
        keys = await session.get_one(Member, holder)
        keys.has_key, keys.per_week = True, 1
        open_bed = await duty(session, row, warning, "Open bed")
        assert [ask.member_id for ask in await asked(session, row, warning, NOW)] == [holder]
        locked = await duty(session, row, warning, "Locked house", needs_key=True)
        now = NOW + timedelta(hours=1)
        fresh = await asked(session, row, warning, now)
        assert {(ask.task_id, ask.member_id) for ask in fresh} == {(open_bed.id, other), (locked.id, holder)}
        held = [ask for ask in await asks(session) if ask.member_id == holder]
        keeping = [ask.task_id for ask in held if ask.state in (AskState.ASKED, AskState.ACCEPTED)]
        assert keeping == [locked.id], "one turn a week, as they wish"
        outlook = Look(await gardens.snapshot(session, row), load(), None, (), (), (), ())
        events = await notices.to_freed(session, row, outlook, now)
        told = [(one.what, one.member_id, [d.id for d in one.duties]) for one in events if isinstance(one, ToMember)]
        assert told == [(What.RELEASED, holder, [open_bed.id])]


async def test_whoever_has_said_yes_is_not_sent_to_two_places_at_once(database: Database) -> None:
    """The solver moves a yes only where else a duty would go undone; then the first is somebody else's."""
    async with database.begin() as session:
        row, warning, (holder, other) = await garden(session, 2)
        keys = await session.get_one(Member, holder)
        keys.has_key = True
        open_bed = await duty(session, row, warning, "Open bed", minutes=150)
        (ask,) = await asked(session, row, warning, NOW)
        ask.state, ask.answered_at, open_bed.state = AskState.ACCEPTED, NOW, TaskState.ACCEPTED
        assert ask.member_id == holder
        locked = await duty(session, row, warning, "Locked house", minutes=140, needs_key=True)
        fresh = await asked(session, row, warning, NOW + timedelta(hours=1))
        assert {(one.task_id, one.member_id) for one in fresh} == {(open_bed.id, other), (locked.id, holder)}
        assert (ask.state, open_bed.state) == (AskState.FREED, TaskState.OPEN)


async def test_a_yes_to_what_still_lacks_somebody_is_never_given_up(database: Database) -> None:
    """Two are wanted and only one is found: whoever said yes stays on it."""
    async with database.begin() as session:
        row, warning, _ = await garden(session, 1)
        carry = await duty(session, row, warning, "Bed", people=2)
        (ask,) = await asked(session, row, warning, NOW)
        ask.state = AskState.ACCEPTED
        await asked(session, row, warning, NOW + timedelta(hours=1))
        assert (ask.state, carry.state) == (AskState.ACCEPTED, TaskState.OPEN)


async def done(session: AsyncSession, those: Sequence[Task], asks: Sequence[Ask], at: datetime) -> None:
    for ask in asks:
        ask.state = AskState.ACCEPTED
    for one in those:
        one.state, one.done_at = TaskState.DONE, at
    await session.flush()


async def helper(session: AsyncSession, row: Garden, member_id: int, now: datetime) -> Helper:
    found = await rota.helpers(session, await gardens.snapshot(session, row), now)
    return next(one for one in found if one.id == member_id)


async def test_the_places_of_one_walk_are_one_turn(database: Database) -> None:
    async with database.begin() as session:
        row, warning, (one,) = await garden(session, 1)
        beds = [await duty(session, row, warning, f"Bed {n}", minutes=10) for n in range(3)]
        await done(session, beds, await asked(session, row, warning, NOW), DUE_AT)
        found = await helper(session, row, one, DUE_AT)
        assert found.turns_on == (DUE_AT.date(),)
        # Half a turn for coming and half an hour of work; eight in the evening is no unsocial hour.
        assert found.burden == pytest.approx(1.0)


async def test_two_walks_asked_for_at_one_moment_are_two_turns(database: Database) -> None:
    async with database.begin() as session:
        row, warning, (one,) = await garden(session, 1)
        beds = [await duty(session, row, warning, f"Bed {n}", minutes=30) for n in range(2)]
        await done(session, beds, await asked(session, row, warning, NOW), DUE_AT)
        assert len((await helper(session, row, one, DUE_AT)).turns_on) == 2


async def test_what_three_carried_is_a_turn_for_each_of_the_three(database: Database) -> None:
    async with database.begin() as session:
        row, warning, ids = await garden(session, 3)
        carry = await duty(session, row, warning, "Bed", people=3, minutes=15)
        await done(session, [carry], await asked(session, row, warning, NOW), DUE_AT)
        weight = turn_weight(15, 0.0, DUE_AT.time(), after_sunset=False)
        for one in ids:
            found = await helper(session, row, one, DUE_AT)
            assert found.turns_on == (DUE_AT.date(),)
            assert found.burden == pytest.approx(weight)


async def test_a_yes_that_is_still_to_be_done_counts_in_the_week_and_in_full(database: Database) -> None:
    """Another warning's walks are not in the problem: what was promised there is a turn of the week all the same."""
    async with database.begin() as session:
        row, warning, (one,) = await garden(session, 1)
        await duty(session, row, warning, "Bed", minutes=30)
        (ask,) = await asked(session, row, warning, NOW)
        ask.state = AskState.ACCEPTED
        await session.flush()
        found = await helper(session, row, one, NOW)
        assert found.turns_on == (DUE_AT.date(),)
        assert found.burden == pytest.approx(1.0)
