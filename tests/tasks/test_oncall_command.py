"""The weeks on call: fair, kept as they were shown, and shown to the group once."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import vobject
from sqlalchemy import func, select

from bot.services.tasks import weeks_on_call
from bot.storage.garden import gardens
from bot.storage.models import OnCall
from bot.storage.session import Database
from tests.support.talk import Talk, labels

MONDAY = date(2026, 4, 27)  # of the week that the Sunday belongs to


async def _weeks(two_gardens: Database, street: Talk) -> dict[date, tuple[str, ...]]:
    async with two_gardens.begin() as session:
        garden = (await gardens.all_gardens(session))[0]
        weeks = await weeks_on_call.weeks(session, garden, street.stage.clock.at)
        names = {(await street.row_of(session, user.first_name)).id: user.first_name for user in street.stage.people()}
    return {week.starts_on: tuple(names[one] for one in week.people) for week in weeks}


async def test_six_weeks_with_two_adults_each_shared_evenly(street: Talk, two_gardens: Database) -> None:
    weeks = await _weeks(two_gardens, street)
    assert list(weeks) == [MONDAY + timedelta(weeks=n) for n in range(6)]
    served = [name for people in weeks.values() for name in people]
    assert {len(people) for people in weeks.values()} == {2}
    assert "Robin" not in served, "only adults"
    assert not {"Petra", "Ivo"} & set(served), "another garden's"
    counts = [served.count(name) for name in set(served)]
    assert len(set(served)) == 8 and max(counts) - min(counts) <= 1, "as taking turns would"


async def test_weeks_stay_as_shown_and_the_next_one_goes_to_whoever_had_fewest(
    street: Talk, two_gardens: Database
) -> None:
    before = await _weeks(two_gardens, street)
    street.stage.clock.at += timedelta(weeks=1)
    after = await _weeks(two_gardens, street)
    assert {monday: after[monday] for monday in list(before)[1:]} == {m: before[m] for m in list(before)[1:]}
    served = [name for people in before.values() for name in people]
    new = after[MONDAY + timedelta(weeks=6)]
    assert all(served.count(name) == min(served.count(each) for each in set(served)) for name in new)


async def test_whoever_is_away_is_replaced_and_nobody_else_moves(street: Talk, two_gardens: Database) -> None:
    before = await _weeks(two_gardens, street)
    third = MONDAY + timedelta(weeks=2)
    gone, stays = before[third]
    await street.write(gone, f"/away {third.isoformat()} {(third + timedelta(days=2)).isoformat()}")
    await street.write(gone, "yes")
    after = await _weeks(two_gardens, street)
    assert gone not in after[third] and stays in after[third] and len(after[third]) == 2
    assert {m: p for m, p in after.items() if m != third} == {m: p for m, p in before.items() if m != third}


async def test_an_organiser_shows_it_to_the_group_once(street: Talk) -> None:
    (shown,) = await street.write("Miriam", "/oncall")
    assert shown.text.count("• Week of") == 6
    message = street.under("Miriam", "Show it to the group")
    await street.press("Miriam", message, "Show it to the group")
    await street.press("Miriam", message, "Show it to the group")
    assert len([text for text in street.said_in_group("Miriam") if text.startswith("On call in Teasel Lane:")]) == 1


async def test_members_read_it_and_do_not_post_it(street: Talk, two_gardens: Database) -> None:
    (shown,) = await street.write("Owen", "/oncall")
    assert labels(shown) == []
    async with two_gardens.begin() as session:
        garden_id = (await street.row_of(session, "Owen")).garden_id
    for who in ("Owen", "Petra"):
        await street.write(who, "/help")
        await street.forge(who, f"oncall:{garden_id}")
    assert street.said_in_group("Owen") == []


async def test_the_rota_is_a_calendar_file_that_replaces_the_one_before(street: Talk, two_gardens: Database) -> None:
    """Read back by another library; whole days end exclusively (RFC 5545, 3.6.1), higher SEQUENCE wins (3.8.7.4)."""
    weeks = await _weeks(two_gardens, street)
    first = await _file(street, "Owen")
    assert [event.dtstart.value for event in first] == list(weeks)
    assert all(event.dtend.value - event.dtstart.value == timedelta(weeks=1) for event in first)
    for event in first:
        assert event.summary.value.startswith("On call: ")
        assert all(name in event.summary.value for name in weeks[event.dtstart.value])
    third = MONDAY + timedelta(weeks=2)
    gone, _ = weeks[third]
    street.stage.clock.at += timedelta(minutes=5)
    await street.write(gone, f"/away {third.isoformat()} {third.isoformat()}")
    await street.write(gone, "yes")
    later = await _file(street, "Miriam")
    assert [event.uid.value for event in later] == [event.uid.value for event in first]
    assert all(int(new.sequence.value) > int(old.sequence.value) for new, old in zip(later, first, strict=True))
    assert gone not in later[2].summary.value
    assert not {event.uid.value for event in await _file(street, "Ivo")} & {event.uid.value for event in first}


async def _file(street: Talk, who: str) -> list[Any]:
    (sent,) = await street.write(who, "/oncall file")
    assert sent.kind == "document" and sent.file_name == "on-call.ics"
    data = street.stage.api.files[sent.file_id or ""]
    return list(vobject.readOne(data.decode()).vevent_list)


async def test_another_garden_has_weeks_of_its_own(street: Talk, two_gardens: Database) -> None:
    (shown,) = await street.write("Ivo", "/oncall")
    assert "On call in Sorrel Yard:" in shown.text and "Miriam" not in shown.text
    async with two_gardens.begin() as session:
        rows = await session.scalar(select(func.count()).select_from(OnCall))
    assert rows == 6 * 2
