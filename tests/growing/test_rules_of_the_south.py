"""A garden south of the equator has the rules turned round, and its own changes on top of them."""

from __future__ import annotations

from datetime import UTC, datetime

from bot.core.garden.snapshot import Role
from bot.services.growing import rules
from bot.storage.models import Garden, Member, Person
from bot.storage.session import Database

NOW = datetime(2026, 9, 1, 9, tzinfo=UTC)


async def test_the_rules_of_a_southern_garden_are_turned_round_and_its_own_days_stand(database: Database) -> None:
    async with database.begin() as session:
        south = Garden(name="Kowhai Lane", latitude=-41.3, longitude=174.8, altitude_m=20.0, zone="Pacific/Auckland")
        north = Garden(name="Teasel Lane", latitude=52.2, longitude=-1.5, altitude_m=74.0, zone="Europe/London")
        session.add_all([south, north])
        await session.flush()
        person = Person(user_id=7, name="Aroha", language="en")
        session.add(person)
        await session.flush()
        organiser = Member(garden_id=south.id, person_id=person.id, role=Role.ORGANISER, joined_at=NOW)
        session.add(organiser)
        await session.flush()
        before = (await rules.of_garden(session, south.id))["tomato"]
        assert before.south and before.planting.out is not None and before.planting.out[0][0] in (10, 11, 12)
        assert not (await rules.of_garden(session, north.id))["tomato"].south
        await rules.change(session, organiser, "tomato", "planting.out.from", "11-01", NOW)
        after = (await rules.of_garden(session, south.id))["tomato"]
        assert after.south and after.planting.out == ((11, 1), before.planting.out[1])
        (own,) = await rules.differences(session, south.id)
        assert own.shared == f"{before.planting.out[0][0]:02}-{before.planting.out[0][1]:02}"
