"""Members of Teasel Lane writing to the garden, and what comes of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.language import understand
from bot.core.garden.place_state import Sure
from bot.core.garden.snapshot import Cover, Stage
from bot.core.growing.crop import Crop
from bot.core.weather.forecast import Forecast
from bot.services import journal
from bot.services.garden import place_ledger
from bot.services.growing import rules
from bot.services.journal.outcome import Outcome, Question, Recorded
from bot.storage.garden import gardens
from bot.storage.models import Entry, Garden, Member, Planting
from tests.journal.teasel_lane import ENGLISH, NOW, PLACE_IDS, TODAY, known


@dataclass(slots=True)
class Telling:
    """Each message a minute after the last."""

    session: AsyncSession
    forecast: Forecast | None = None
    now: datetime = field(default=NOW)

    async def tell(self, member_id: int, text: str, photo_id: str | None = None) -> list[Outcome]:
        self.now += timedelta(minutes=1)
        garden, member, crops = await self._who(member_id)
        return [
            await journal.record(
                self.session, garden, member, note, crops, self.now, forecast=self.forecast, photo_id=photo_id
            )
            for note in understand(text, ENGLISH, known(), TODAY)
        ]

    async def told(self, member_id: int, text: str) -> Recorded:
        """What was kept of a message that says one thing."""
        (outcome,) = await self.tell(member_id, text)
        assert isinstance(outcome, Recorded), outcome
        return outcome

    async def asked(self, member_id: int, text: str) -> Question:
        (outcome,) = await self.tell(member_id, text)
        assert isinstance(outcome, Question), outcome
        return outcome

    async def press(self, member_id: int, question: Question, option: int) -> Outcome:
        self.now += timedelta(minutes=1)
        garden, member, crops = await self._who(member_id)
        return await journal.answer(
            self.session, garden, member, question.pending_id, option, crops, self.now, forecast=self.forecast
        )

    async def undo(self, member_id: int, entry_id: int | None = None) -> Outcome:
        self.now += timedelta(minutes=1)
        _, member, _ = await self._who(member_id)
        return await journal.undo(self.session, member, self.now, entry_id)

    async def lies_over(self, place: str, days: int = 0) -> tuple[Cover, Sure]:
        """What lies over a place so many days from now, by what was told so far."""
        await self.session.flush()
        garden = await gardens.snapshot(self.session, await self.session.get_one(Garden, 1))
        found = (await place_ledger.states(self.session, garden, self.now + timedelta(days=days))).get(PLACE_IDS[place])
        return found.lies_over if found is not None else (Cover.NONE, Sure.NOT)

    async def growing(self, crop: str) -> list[tuple[int, Stage, int]]:
        """(place id, stage, count) of every batch of a crop, as stored."""
        await self.session.flush()
        rows = await self.session.execute(
            select(Planting.place_id, Planting.stage, Planting.count).where(Planting.crop == crop).order_by(Planting.id)
        )
        return [(place_id, stage, count) for place_id, stage, count in rows]

    async def entries(self) -> list[Entry]:
        return list(await self.session.scalars(select(Entry).order_by(Entry.id)))

    async def _who(self, member_id: int) -> tuple[Garden, Member, Mapping[str, Crop]]:
        garden = await self.session.get_one(Garden, 1)
        return garden, await self.session.get_one(Member, member_id), await rules.of_garden(self.session, 1)
