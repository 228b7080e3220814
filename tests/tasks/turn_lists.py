"""The morning's lists, as the stories of the daily turns read them."""

from __future__ import annotations

from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.services.tasks.daily.walk_views import by_walk
from bot.storage.models import Ask, Task
from tests.support.invented_weather import calm
from tests.support.talk import Talk

__all__ = ["EVERYBODY", "FIRST", "HOT", "WARM", "asked", "lists", "name_of", "rows", "tuesday"]

#: Sunny and mild: glass passes 27 C more likely than not, not surely enough to warn the group. Invented.
WARM = (11.0, 21.0, 45.0, 2.0, 5.0, 0.0)
#: Hot enough under glass that the group is warned. Invented.
HOT = (14.0, 29.0, 0.0, 2.0, 5.0, 0.0)
EVERYBODY = ("Miriam", "Tobias", "Kasia", "Deepa", "Owen", "Leila", "Marcus", "Hana", "Robin")
FIRST = "Your turn at the garden today"
_FIRST = (FIRST, "Twój dyżur w ogrodzie dzisiaj")  # Kasia reads Polish


def lists(lane: Talk, name: str) -> list[Message]:
    return [one for one in lane.private(name) if one.text.startswith(_FIRST)]


def asked(lane: Talk) -> list[str]:
    """Who has a list, as it stands."""
    return [name for name in EVERYBODY if lists(lane, name)]


async def tuesday(lane: Talk, at: str = "07:30") -> Message:
    """A calm Monday; on Tuesday morning a warm day is foreseen. Gives the list that somebody got."""
    await lane.until(4, "21:30", every_min=240)
    lane.weather([calm()] + [WARM] * 3)
    await lane.until(5, "06:30", every_min=240)
    lane.weather([WARM] * 3)
    await lane.until(5, at, every_min=30)
    (name,) = asked(lane)
    return lists(lane, name)[-1]


def name_of(lane: Talk, message: Message) -> str:
    return next(name for name in EVERYBODY if lane.user(name) == message.chat_id)


async def rows(lane: Talk) -> list[tuple[list[Task], list[Ask]]]:
    """The walks of the days, each with whoever was asked for it, the first task's asks for all of it."""
    async with lane.stage.app.database.begin() as session:
        asks = (await session.scalars(select(Ask).order_by(Ask.id))).all()
        found = (await session.scalars(select(Task).where(Task.warning_id.is_(None)).order_by(Task.id))).all()
        return [(walk, [ask for ask in asks if ask.task_id == walk[0].id]) for walk in by_walk(found)]
