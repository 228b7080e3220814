"""How cold was it? Asked once after a cold warning's night, answered by one tap, kept as a reading of the thermometer.

One reading counts a thermometer and night, however many members press: of each member their newest that is accepted,
and of these the median, of an even number the colder of the two in the middle.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.growing.crop import Crop
from bot.core.warnings.hazards import Hazard
from bot.core.weather.forecast import Forecast
from bot.services import journal
from bot.services.journal.note import Action, Note
from bot.services.journal.outcome import Outcome
from bot.services.weather import readings
from bot.storage.models import Entry, Garden, Member, NightOdds, Reading, Thermometer, Warning
from bot.storage.states import WarningState

#: How long after the night an answer is taken.
OPEN_FOR = timedelta(days=3)
#: Degrees C on either side of what was expected that stand on buttons.
SPREAD_C = 3


@dataclass(frozen=True, slots=True)
class HowCold:
    """values_c: whole degrees on the buttons, ascending. reading_c: what counts so far; by: whose answer was newest."""

    thermometer_id: int
    thermometer: str
    values_c: tuple[int, ...]
    reading_c: float | None
    by: str | None


async def question(session: AsyncSession, warning: Warning) -> HowCold | None:
    """What to ask about a night that is past; None for other hazards, and where no thermometer can say."""
    if warning.hazard is not Hazard.COLD or warning.state is not WarningState.OVER or warning.cleared:
        return None
    thermometer = await _asked_of(session, warning.garden_id)
    if thermometer is None:
        return None
    odds = await session.get(NightOdds, (warning.garden_id, warning.window_on))
    expected_c = round(odds.mean_c if odds else warning.plant_c or 0.0)
    rows = await _readings(session, thermometer.id, warning.window_on)
    newest = rows[-1] if rows else None
    writer = await session.get(Member, newest.member_id) if newest and newest.member_id else None
    return HowCold(
        thermometer.id,
        thermometer.name,
        tuple(range(expected_c - SPREAD_C, expected_c + SPREAD_C + 1)),
        counted((row.member_id, row.value_c) for row in rows),
        writer.person.name if writer else None,
    )


async def answer(
    session: AsyncSession,
    row: Garden,
    member: Member,
    warning: Warning,
    value_c: float,
    crops: Mapping[str, Crop],
    now: datetime,
    forecast: Forecast | None,
) -> Outcome | None:
    """Keep what this member saw, in place of what they said before; None where nothing changes or it is too late."""
    asked = await question(session, warning)
    if asked is None or now > warning.ends_at + OPEN_FOR:
        return None
    mine = [
        one for one in await _readings(session, asked.thermometer_id, warning.window_on) if one.member_id == member.id
    ]
    if mine and mine[-1].value_c == value_c:
        return None
    if mine:
        await _correct(session, member, mine[-1], now)
    note = Note(
        action=Action.READING,
        words=f"{value_c:g} C",
        done_on=warning.window_on,
        evening_on=warning.window_on,
        thermometers=(asked.thermometer_id,),
        amount=value_c,
    )
    return await journal.record(session, row, member, note, crops, now, forecast=forecast)


def counted(readings_by_member: Iterable[tuple[int | None, float]]) -> float | None:
    """The one value of a thermometer's night, from accepted readings in the order they came; None without any."""
    newest: dict[int | str, float] = {}
    for n, (member_id, value_c) in enumerate(readings_by_member):
        newest[f"forgotten {n}" if member_id is None else member_id] = value_c
    ordered = sorted(newest.values())
    return ordered[(len(ordered) - 1) // 2] if ordered else None


async def _asked_of(session: AsyncSession, garden_id: int) -> Thermometer | None:
    """The thermometer that keeps a minimum in the shade; one at screen height before others."""
    found = [one for one in await readings.thermometers(session, garden_id) if one.shaded and not one.momentary]
    return min(found, key=lambda one: (not 1.0 <= one.height_m <= 2.0, one.id), default=None)


async def _readings(session: AsyncSession, thermometer_id: int, night_on: date) -> Sequence[Reading]:
    query = select(Reading).where(
        Reading.thermometer_id == thermometer_id, Reading.night_on == night_on, Reading.accepted.is_(True)
    )
    return (await session.scalars(query.order_by(Reading.read_at, Reading.id))).all()


async def _correct(session: AsyncSession, member: Member, reading: Reading, now: datetime) -> None:
    """The earlier answer counts no more, and the journal keeps both. Where later nights rest on what it taught, it
    stays as a lesson, and the newer one counts all the same.
    """
    query = select(Entry).where(
        Entry.member_id == member.id, Entry.action == Action.READING.value, Entry.undone_at.is_(None)
    )
    for entry in await session.scalars(query.order_by(Entry.id.desc())):
        undo = (entry.undo or {}).get("reading") or {}
        if undo.get("reading") == reading.id:
            if await readings.take_back(session, undo):
                entry.undone_at = now
            return
