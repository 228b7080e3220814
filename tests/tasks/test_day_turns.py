"""Walks of the day as rows, on both databases: planned once, given once, answered once."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import PlaceKind, Stage
from bot.core.tasks.daily_work import Part
from bot.core.weather.forecast import Forecast, Hour
from bot.crops.loader import load
from bot.services.look import Look
from bot.services.season import report
from bot.services.tasks import answers, completion
from bot.services.tasks.answers import Reply, Walk
from bot.services.tasks.daily import asking_today
from bot.services.tasks.daily.asking_today import Yours
from bot.storage.garden import gardens
from bot.storage.models import Ask, Garden, Member, PastDay, Person, Place, Planting, Task
from bot.storage.session import Database
from bot.storage.states import AskState, TaskState
from bot.storage.tasks import tasks

TODAY = date(2026, 7, 6)
NOW = datetime(2026, 7, 6, 7, 0, tzinfo=UTC)  # 8:00 summer time, a Monday


async def dry_garden(session: AsyncSession, people: int = 3) -> Garden:
    """A shared bed after three dry weeks, and some adults who can be written to."""
    row = Garden(name="Teasel Lane", chat_id=-7, latitude=50.8, longitude=-1.5, altitude_m=100.0, zone="Europe/London")
    session.add(row)
    await session.flush()
    place = Place(garden_id=row.id, name="Long bed", kind=PlaceKind.BED, shared=True, length_m=6.0, width_m=1.2)
    session.add(place)
    await session.flush()
    session.add(
        Planting(
            garden_id=row.id, place_id=place.id, crop="french-bean", count=40, stage=Stage.FLOWERING,
            sown_on=TODAY - timedelta(days=60),
        )
    )  # fmt: skip
    for n in range(people):
        person = Person(name=f"Neighbour {n}", user_id=900 + n, private_ok_at=NOW - timedelta(days=9))
        session.add(person)
        await session.flush()
        session.add(Member(garden_id=row.id, person_id=person.id, joined_at=NOW - timedelta(days=9)))
    for ago in range(1, 22):
        session.add(
            PastDay(
                garden_id=row.id, on=TODAY - timedelta(days=ago), source="open-meteo", noted_at=NOW, min_c=12.3,
                max_c=21.5, humidity_min_pct=63.0, humidity_max_pct=84.0, wind_ms=2.78, sun_mj_m2=22.07, rain_mm=0.0,
            )
        )  # fmt: skip
    await session.flush()
    return row


async def outlook(session: AsyncSession, row: Garden) -> Look:
    start_at = datetime.combine(TODAY, time(), UTC) - timedelta(hours=2)
    hours = tuple(
        Hour(start_at + timedelta(hours=n), air_c=17.0, wind_ms=2.0, gust_ms=4.0, rain_mm=0.0, thunder=False)
        for n in range(72)
    )
    seen = Forecast("open-meteo", 50.8, -1.5, 100.0, None, NOW, NOW, hours)
    return Look(await gardens.snapshot(session, row), load(), seen, (), (), (), ())


async def test_a_dry_bed_is_one_walk_given_to_one_person_however_often_one_looks(database: Database) -> None:
    async with database.begin() as session:
        row = await dry_garden(session)
        garden_id = row.id
        (given,) = await asking_today.look(session, row, await outlook(session, row), NOW)
        assert isinstance(given, Yours)
        ((turn,),) = (given.walks,)
        assert (turn.part, [line.place.name for line in turn.lines if line.site]) == (Part.MORNING, ["Long bed"])
    async with database.begin() as session:
        locked = await gardens.lock(session, garden_id)
        assert locked is not None
        assert (
            await asking_today.look(session, locked, await outlook(session, locked), NOW + timedelta(minutes=1)) == []
        )
        assert len((await session.scalars(select(Task))).all()) == 1
        assert len((await session.scalars(select(Ask))).all()) == 1


async def test_answers_in_any_order_settle_on_done(database: Database) -> None:
    async with database.begin() as session:
        row = await dry_garden(session)
        (given,) = await asking_today.look(session, row, await outlook(session, row), NOW)
        assert isinstance(given, Yours)
        member = await session.get_one(Member, given.member_id)
        turn = Walk(tuple(await tasks.walk(session, given.walks[0].id)))
        assert (await answers.pass_on(session, turn, member, NOW)).reply is Reply.PASSED
        assert (await answers.pass_on(session, turn, member, NOW)).reply is Reply.ALREADY
        assert (await completion.done(session, turn, member, NOW)).reply is Reply.THANKS, "they did it after all"
        assert (await completion.done(session, turn, member, NOW)).reply is Reply.ALREADY
        assert (await answers.pass_on(session, turn, member, NOW)).reply is Reply.NOT_NEEDED
        assert (await answers.accept(session, turn, member, NOW)).reply is Reply.NOT_NEEDED
        assert [(one.state, one.done_by) for one in turn.duties] == [(TaskState.DONE, member.id)]
        assert await asking_today.look(session, row, await outlook(session, row), NOW + timedelta(minutes=1)) == []


async def test_somebody_else_may_do_it_and_the_one_asked_is_free(database: Database) -> None:
    async with database.begin() as session:
        row = await dry_garden(session)
        (given,) = await asking_today.look(session, row, await outlook(session, row), NOW)
        assert isinstance(given, Yours)
        other = next(one for one in (await session.scalars(select(Member))).all() if one.id != given.member_id)
        turn = Walk(tuple(await tasks.walk(session, given.walks[0].id)))
        assert (await completion.done(session, turn, other, NOW)).reply is Reply.THANKS
        asks = {ask.member_id: ask.state for ask in await tasks.asks_of(session, [turn.duties[0].id])}
        assert asks == {given.member_id: AskState.RELEASED, other.id: AskState.ACCEPTED}


async def test_a_week_later_it_is_too_late_to_say_so(database: Database) -> None:
    async with database.begin() as session:
        row = await dry_garden(session)
        (given,) = await asking_today.look(session, row, await outlook(session, row), NOW)
        assert isinstance(given, Yours)
        member = await session.get_one(Member, given.member_id)
        turn = Walk(tuple(await tasks.walk(session, given.walks[0].id)))
        assert (await completion.done(session, turn, member, NOW + timedelta(days=7))).reply is Reply.TOO_LATE


async def test_a_garden_without_anybody_who_can_be_asked_calls_once(database: Database) -> None:
    async with database.begin() as session:
        row = await dry_garden(session, people=0)
        events = await asking_today.look(session, row, await outlook(session, row), NOW)
        assert [type(event).__name__ for event in events] == ["NobodyLeft"]
        assert await asking_today.look(session, row, await outlook(session, row), NOW + timedelta(minutes=1)) == []


async def test_the_season_s_report_counts_walks_among_the_turns_that_were_shared(database: Database) -> None:
    async with database.begin() as session:
        row = await dry_garden(session)
        events = await asking_today.look(session, row, await outlook(session, row), NOW)
        (given,) = [event for event in events if isinstance(event, Yours)]
        walk = Walk(tuple(await tasks.walk(session, given.walks[0].id)))
        member = await session.get_one(Member, given.member_id)
        await completion.done(session, walk, member, NOW + timedelta(hours=1))
        this, last = [await report.gather(session, row, NOW, year) for year in (2026, 2025)]
    assert (this.work.turns_n, this.work.helpers_n) == (1, 1)
    assert last.work.turns_n == 0
