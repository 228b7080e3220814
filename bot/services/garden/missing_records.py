"""What a garden still lacks, from its own records; what works meanwhile is for the wording to say."""

from __future__ import annotations

from enum import StrEnum

from sqlalchemy import func, select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import PlaceKind, Stage
from bot.services.people.membership import reachable
from bot.storage.models import Garden, Place, Planting, Thermometer
from bot.storage.people import members

__all__ = ["Lack", "of_garden"]


class Lack(StrEnum):
    """In the order in which members need it."""

    GROUP = "group"
    # There is one that can't be written to as it should; the words of `Shut`.
    REMOVED = "removed"
    GONE = "gone"
    MUTED = "muted"
    CLOSED = "closed"
    TOPIC_CLOSED = "topic closed"
    TOPIC_GONE = "topic gone"
    ADMIN = "admin"  # the bot may neither pin nor look members up
    PIN = "pin"
    PRIVACY = "privacy"  # the bot sees only commands and what is addressed to it
    MEMBERS = "members"  # nobody but organisers
    UNREACHABLE = "unreachable"  # members who have not opened the private chat
    PLACES = "places"
    PLANTINGS = "plantings"
    CONTAINERS = "containers"
    THERMOMETER = "thermometer"


async def of_garden(session: AsyncSession, garden: Garden, *, reads_all: bool | None = None) -> list[Lack]:
    """reads_all: whether the bot's privacy mode is off, None where nobody can say. An administrator reads all anyway."""
    found: list[Lack] = []
    admin = garden.bot_status.startswith("administrator")
    if garden.shut:
        found.append(Lack(garden.shut))
    elif garden.chat_id is None:
        found.append(Lack.GROUP)
    elif garden.bot_status and not admin:
        found.append(Lack.ADMIN)
        if reads_all is False:
            found.append(Lack.PRIVACY)
    elif garden.bot_status == "administrator":
        found.append(Lack.PIN)
    people = await members.in_garden(session, garden.id)
    if len(people) < 2:
        found.append(Lack.MEMBERS)
    elif not all(reachable(one) for one in people):
        found.append(Lack.UNREACHABLE)
    count = select(func.count())
    here = Place.garden_id == garden.id
    pots = (here, Place.kind == PlaceKind.CONTAINER)
    growing = (Planting.garden_id == garden.id, Planting.stage != Stage.ENDED)
    for lack, table, conditions in (
        (Lack.PLACES, Place, (here,)),
        (Lack.PLANTINGS, Planting, growing),
        (Lack.CONTAINERS, Place, pots),
        (Lack.THERMOMETER, Thermometer, (Thermometer.garden_id == garden.id,)),
    ):
        if not await session.scalar(count.select_from(table).where(*conditions)):
            found.append(lack)
    return [lack for lack in found if lack is not Lack.CONTAINERS or Lack.PLACES not in found]
