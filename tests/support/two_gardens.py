"""Two invented gardens side by side, in the first week of May, of which one must hear nothing of the other."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Role
from bot.storage.garden import gardens
from bot.storage.models import Garden, Member, Person
from bot.storage.session import Database
from tests.support.group_messages import furnished

START_AT = datetime(2026, 5, 3, 11, 0, tzinfo=UTC)  # a Sunday


async def both(database: Database) -> None:
    await furnished(database, START_AT)
    async with database.begin() as session:
        await sorrel_yard(session, (await gardens.all_gardens(session))[0], START_AT)


async def sorrel_yard(session: AsyncSession, like: Garden, joined_at: datetime) -> None:
    """A second invented garden, of whose matters nobody at the first may hear."""
    garden = Garden(
        name="Sorrel Yard", latitude=like.latitude, longitude=like.longitude, altitude_m=like.altitude_m, zone=like.zone
    )
    session.add(garden)
    await session.flush()
    for name, role in (("Petra", Role.ORGANISER), ("Ivo", Role.MEMBER)):
        person = Person(name=name)
        session.add(person)
        await session.flush()
        session.add(Member(garden_id=garden.id, person_id=person.id, role=role, joined_at=joined_at))
    await session.flush()
