"""The calendar of Teasel Lane in a database: drafts, publishing, changes and their trace, reminders, the file."""

from __future__ import annotations

from collections.abc import AsyncIterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
import vobject
from sqlalchemy import delete
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.calendar.entry import Entry, EntryKind, EntryState
from bot.core.garden.snapshot import Stage
from bot.core.growing.crop import Days, MonthDay
from bot.services.calendar import entries as calendar
from bot.services.calendar import proposed_season, reading
from bot.services.calendar.entries import as_entry, history
from bot.services.calendar.ical_in import read_ical
from bot.services.growing import rules
from bot.storage.calendar.calendar_rows import CalendarEntry
from bot.storage.models import Garden, Member, NightMinimum, Person, Place, Planting
from bot.storage.session import Database

NOW = datetime(2026, 4, 20, 9, tzinfo=UTC)
LONDON = ZoneInfo("Europe/London")
BEANS = Entry("Plant out runner beans", EntryKind.PLANT_OUT, date(2026, 5, 12), date(2026, 5, 20), crop="runner-bean")
WORK = Entry(
    "Work day", EntryKind.WORK, date(2026, 5, 2), date(2026, 5, 2), time(10), time(12), "FREQ=MONTHLY;BYDAY=1SA"
)


@dataclass
class Lane:
    session: AsyncSession
    garden: Garden
    wanda: Member

    async def published(self, *entries: Entry) -> list[CalendarEntry]:
        await calendar.put(self.session, self.garden.id, self.wanda, entries, NOW)
        return list(await calendar.publish(self.session, self.garden.id, self.wanda, NOW))

    async def file(self) -> bytes:
        data = await reading.ics(self.session, self.garden)
        assert data is not None
        return data


@pytest.fixture
async def lane(database: Database) -> AsyncIterator[Lane]:
    async with database.begin() as session:
        garden = Garden(name="Teasel Lane", latitude=52.49, longitude=-1.89, zone="Europe/London")
        session.add(garden)
        await session.flush()
        wanda = Member(garden_id=garden.id, person=Person(name="Ines"), joined_at=NOW)
        session.add(wanda)
        await session.flush()
        yield Lane(session, garden, wanda)


async def test_a_draft_is_seen_by_nobody_until_it_is_published(lane: Lane) -> None:
    await calendar.put(lane.session, lane.garden.id, lane.wanda, [BEANS], NOW)
    may = (date(2026, 5, 1), date(2026, 5, 31))
    assert await reading.between(lane.session, lane.garden.id, *may) == ()
    assert await reading.ics(lane.session, lane.garden) is None
    await calendar.publish(lane.session, lane.garden.id, lane.wanda, NOW)
    assert [one.entry.title for one in await reading.between(lane.session, lane.garden.id, *may)] == [BEANS.title]


async def test_an_edit_keeps_the_uid_counts_up_and_leaves_a_trace(lane: Lane) -> None:
    (row,) = await lane.published(BEANS)
    uid, sequence = row.uid, row.sequence
    later = replace(as_entry(row), first_on=date(2026, 5, 16), last_on=date(2026, 5, 24))
    assert await calendar.edit(lane.session, row, lane.wanda, later, NOW + timedelta(hours=1))
    assert (row.uid, row.sequence > sequence, row.first_on) == (uid, True, date(2026, 5, 16))
    last = (await history(lane.session, row))[0]
    assert (last.by, last.before) == ("Ines", replace(BEANS, uid=uid))


async def test_an_edit_that_says_nothing_new_changes_nothing(lane: Lane) -> None:
    (row,) = await lane.published(BEANS)
    steps, sequence = len(await history(lane.session, row)), row.sequence
    assert not await calendar.edit(lane.session, row, lane.wanda, as_entry(row), NOW + timedelta(hours=1))
    assert (len(await history(lane.session, row)), row.sequence) == (steps, sequence)


async def test_a_withdrawn_entry_stays_in_the_file_as_cancelled(lane: Lane) -> None:
    (row,) = await lane.published(BEANS)
    before = vobject.readOne((await lane.file()).decode()).vevent
    assert await calendar.withdraw(lane.session, row, lane.wanda, NOW + timedelta(hours=1))
    assert not await calendar.withdraw(lane.session, row, lane.wanda, NOW + timedelta(hours=2))
    after = vobject.readOne((await lane.file()).decode()).vevent
    assert (after.uid.value, after.status.value) == (before.uid.value, "CANCELLED")
    assert int(after.sequence.value) > int(before.sequence.value)
    assert await reading.between(lane.session, lane.garden.id, date(2026, 5, 1), date(2026, 5, 31)) == ()


async def test_the_same_lines_sent_twice_make_one_entry(lane: Lane) -> None:
    await lane.published(BEANS, WORK)
    again = await calendar.compare(lane.session, lane.garden.id, [BEANS, WORK, replace(BEANS, title="Sow kale")])
    assert ([entry.title for entry in again.new], again.changed, len(again.same)) == (["Sow kale"], (), 2)
    await lane.published(BEANS)
    assert len(await reading.published(lane.session, lane.garden.id)) == 2


async def test_the_gardens_own_file_read_again_changes_nothing(lane: Lane) -> None:
    await lane.published(BEANS, replace(WORK, skips=(date(2026, 6, 6),)))
    incoming = read_ical(await lane.file(), LONDON, date(2026, 4, 20))
    assert incoming.remarks == ()
    stored = {row.uid: as_entry(row) for row in await reading.published(lane.session, lane.garden.id)}
    given = [replace(entry, kind=stored[entry.uid].kind, crop=stored[entry.uid].crop) for entry in incoming.entries]
    compared = await calendar.compare(lane.session, lane.garden.id, given)
    assert (compared.new, compared.changed, len(compared.same)) == ((), (), 2)


async def test_a_changed_event_of_a_file_changes_the_entry_that_it_became(lane: Lane) -> None:
    theirs = replace(BEANS, uid="their-uid@example.org")
    await calendar.put(lane.session, lane.garden.id, lane.wanda, [theirs], NOW, {theirs.uid: 3})
    await calendar.publish(lane.session, lane.garden.id, lane.wanda, NOW)
    moved = replace(theirs, last_on=date(2026, 5, 22))
    (row,) = await calendar.put(lane.session, lane.garden.id, lane.wanda, [moved], NOW, {theirs.uid: 9})
    assert (row.uid, row.last_on, row.state) == (theirs.uid, date(2026, 5, 22), EntryState.PUBLISHED)
    assert row.sequence >= 9


async def test_moving_one_time_of_what_repeats_leaves_the_others(lane: Lane) -> None:
    (row,) = await lane.published(WORK)
    own = await calendar.move(lane.session, row, lane.wanda, date(2026, 6, 6), date(2026, 6, 7), NOW)
    found = await reading.between(lane.session, lane.garden.id, date(2026, 5, 1), date(2026, 7, 31))
    assert [one.first_on for one in found] == [date(2026, 5, 2), date(2026, 6, 7), date(2026, 7, 4)]
    assert (own.starts, own.ends, own.uid != row.uid) == (time(10), time(12), True)


async def test_dropped_drafts_are_gone(lane: Lane) -> None:
    (row,) = await calendar.put(lane.session, lane.garden.id, lane.wanda, [BEANS], NOW)
    assert await calendar.drop_drafts(lane.session, lane.garden.id, [row.uid]) == 1
    assert await calendar.drafts(lane.session, lane.garden.id) == []


async def test_a_reminder_is_due_from_five_the_day_before_until_it_begins(lane: Lane) -> None:
    await lane.published(WORK)

    async def due(at: datetime) -> list[str]:
        return [one.key for one in await reading.reminders_due(lane.session, lane.garden, at)]

    friday = datetime(2026, 5, 1, tzinfo=LONDON)
    assert await due(friday.replace(hour=16, minute=59).astimezone(UTC)) == []
    first = await due(friday.replace(hour=17).astimezone(UTC))
    assert len(first) == 1
    assert await due(friday.replace(hour=20).astimezone(UTC)) == first  # the same key, so it is sent once
    assert await due(friday.replace(hour=22).astimezone(UTC)) == []  # quiet hours
    assert await due((friday + timedelta(days=1)).replace(hour=9, minute=59).astimezone(UTC)) == first
    assert await due((friday + timedelta(days=1)).replace(hour=10).astimezone(UTC)) == []


async def test_what_repeats_every_day_is_reminded_of_once(lane: Lane) -> None:
    await lane.published(
        Entry("Water", EntryKind.WATER, date(2026, 7, 1), date(2026, 7, 1), rrule="FREQ=DAILY;COUNT=5")
    )
    evenings = [datetime(2026, 6, 30, 18, tzinfo=LONDON) + timedelta(days=n) for n in range(5)]
    counts = [len(await reading.reminders_due(lane.session, lane.garden, at.astimezone(UTC))) for at in evenings]
    assert counts == [1, 0, 0, 0, 0]


async def test_the_week_names_what_goes_on_and_what_begins(lane: Lane) -> None:
    await lane.published(BEANS, WORK)
    assert [one.entry.title for one in await reading.coming(lane.session, lane.garden, NOW)] == []
    mid_may = datetime(2026, 5, 18, 9, tzinfo=UTC)
    assert [one.entry.title for one in await reading.coming(lane.session, lane.garden, mid_may)] == [BEANS.title]
    after_work = datetime(2026, 5, 2, 11, 30, tzinfo=UTC)  # the work day ended at 12:00 British Summer Time
    assert [one.entry.title for one in await reading.coming(lane.session, lane.garden, after_work)] == []


async def test_a_garden_never_sees_the_calendar_of_another(lane: Lane) -> None:
    (row,) = await lane.published(BEANS)
    other = Garden(name="Burdock Row", latitude=52.0, longitude=0.0, zone="Europe/London")
    lane.session.add(other)
    await lane.session.flush()
    assert await reading.between(lane.session, other.id, date(2026, 1, 1), date(2026, 12, 31)) == ()
    assert await calendar.by_uid(lane.session, other.id, row.uid) is None
    assert await calendar.drop_drafts(lane.session, other.id, [row.uid]) == 0


async def test_a_proposal_is_of_what_the_garden_grows_and_is_taken_once(lane: Lane) -> None:
    place = Place(garden_id=lane.garden.id, name="Bed 1", kind="open bed")
    lane.session.add(place)
    await lane.session.flush()
    lane.session.add(
        Planting(garden_id=lane.garden.id, place_id=place.id, crop="runner-bean", count=12, stage=Stage.GROWING)
    )
    await lane.session.flush()
    proposal = await proposed_season.proposal(lane.session, lane.garden, NOW, also=["kale"])
    assert proposal is not None
    assert {one.crop for one in proposal.entries} == {"runner-bean", "kale"}
    chosen = [(one, f"{one.kind} {one.crop}") for one in proposal.entries]
    for _ in range(2):
        await lane.published(*await proposed_season.taken(lane.session, lane.garden, chosen))
    assert len(await reading.published(lane.session, lane.garden.id)) == len(chosen)


async def test_a_southern_garden_is_proposed_its_own_spring(lane: Lane) -> None:
    lane.garden.latitude, lane.garden.longitude = -43.5, 172.6
    await lane.session.flush()
    found = await proposed_season.proposal(lane.session, lane.garden, NOW, also=["tomato"])
    assert found is not None
    (out,) = [one for one in found.entries if one.kind is EntryKind.PLANT_OUT]
    assert out.first_on.month in (10, 11, 12)  # Canterbury Horticultural Society: tomatoes in November


async def test_between_the_tropics_nothing_is_proposed(lane: Lane) -> None:
    lane.garden.latitude = 13.7
    await lane.session.flush()
    assert await proposed_season.proposal(lane.session, lane.garden, NOW, also=["tomato"]) is None


async def test_past_nights_near_the_garden_move_its_season(lane: Lane) -> None:
    # Ada, Minnesota: normals of the National Weather Service; Upper Midwest, after 20 May: NDSU Extension.
    nights_c = [
        round((one - 32) / 1.8, 1) for one in (-4.7, 1.7, 16.5, 31.5, 43.1, 53.2, 58.0, 55.5, 46.0, 35.0, 19.6, 2.6)
    ]
    for year in range(2001, 2013):
        for n in range(365):
            on = date(year, 1, 1) + timedelta(days=n)
            lane.session.add(
                NightMinimum(garden_id=lane.garden.id, on=on, min_c=nights_c[on.month - 1], source="published normals")
            )
    await lane.session.flush()
    found = await rules.of_garden(lane.session, lane.garden.id)
    assert found["tomato"].days is Days.CARRIED and found["tomato"].planting.out is not None
    assert (5, 15) <= found["tomato"].planting.out[0] <= (5, 31)


async def test_cool_days_keep_hardy_crops_waiting_after_mild_nights(lane: Lane) -> None:
    # Royal Botanic Garden Edinburgh, 1981-2010. Earlies there in the first days of April: Linlithgow and District
    # Allotment Society, "normally in the ground by now".
    lows_c = (1.4, 1.5, 2.8, 4.4, 6.8, 9.6, 11.4, 11.4, 9.4, 6.5, 3.7, 1.3)
    highs_c = (7.0, 7.6, 9.5, 11.7, 14.6, 17.2, 19.1, 18.9, 16.5, 13.1, 9.6, 7.0)

    async def opened(highs: bool) -> MonthDay:
        await lane.session.execute(delete(NightMinimum))
        for n in range(12 * 365):
            on = date(2001, 1, 1) + timedelta(days=n)
            high_c = highs_c[on.month - 1] if highs else None
            low_c = lows_c[on.month - 1]
            lane.session.add(
                NightMinimum(garden_id=lane.garden.id, on=on, min_c=low_c, max_c=high_c, source="published normals")
            )
        await lane.session.flush()
        out = (await rules.of_garden(lane.session, lane.garden.id))["potato-first-early"].sowing.outdoors
        assert out is not None
        return out[0]

    assert await opened(highs=False) < (3, 25)
    assert (3, 26) <= await opened(highs=True) <= (4, 9)
