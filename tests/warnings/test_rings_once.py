"""What a group hears at one moment rings once, however many warnings and languages it takes; each message is there."""

from __future__ import annotations

from collections import Counter

from sqlalchemy import select, update

from bot.storage.models import Garden, Outbox
from tests.support.talk import COLD, Talk

GALE = (0.0, 9.0, 90.0, 10.0, 25.0, 3.0)


async def test_frost_and_gale_in_two_languages_ring_once_at_a_moment(lane: Talk) -> None:
    async with lane.stage.app.database.begin() as session:
        await session.execute(update(Garden).values(second_language="pl"))
    lane.weather([GALE, COLD])
    await lane.until(4, "21:00", every_min=20)
    async with lane.stage.app.database.read() as session:
        said = (
            await session.scalars(
                select(Outbox).where(Outbox.chat_id < 0, Outbox.method == "sendMessage").order_by(Outbox.id)
            )
        ).all()
    rung = Counter(row.queued_at for row in said if not row.payload.get("disable_notification"))
    together = Counter(row.queued_at for row in said)
    assert max(together.values()) > 2, "several warnings were told at one moment"
    assert set(rung) == set(together), "and no moment passed in silence"
    assert set(rung.values()) == {1}
