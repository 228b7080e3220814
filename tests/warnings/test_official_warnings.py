"""An official warning comes by itself: said with who issued it, its hours closed, changed and called off as it is.

The messages are the standard's example A.2 (OASIS, CAP 1.2), moved to this garden and this week.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from pathlib import Path

import httpx
import pytest
from sqlalchemy import select, update

from bot.services.warnings import expected, official
from bot.storage.models import Garden, OfficialWarning, Person, WarningFeed, WarningFile
from tests.support.talk import COLD, MONDAY_AT, Talk, texts

OASIS = (Path(__file__).parent.parent / "forecasts/data/cap-oasis-thunderstorm.xml").read_text(encoding="utf-8")
FEED = "https://warn.example/feed.atom"
POLYGON = "38.47,-120.14 38.34,-119.95 38.52,-119.74 38.62,-119.89 38.47,-120.14"
#: A square about the garden, which is at 52.5 north, 1.9 west (tests/support/group_messages.py).
HERE = "52.0,-2.5 52.0,-1.0 53.0,-1.0 53.0,-2.5 52.0,-2.5"
SENT_AT = MONDAY_AT + timedelta(minutes=5)


def cap(number: int, *, kind: str = "Alert", until: datetime | None = None, of: int | None = None, **other: str) -> str:
    """One message; words of the example are changed by name: severity, status, language."""
    until = until or MONDAY_AT + timedelta(hours=9)
    refers = f"<references>KSTO@NWS.NOAA.GOV,{of},{SENT_AT.isoformat()}</references>" if of is not None else ""
    text = (
        OASIS.replace("KSTO1055887203", str(number))
        .replace("2003-06-17T14:57:00-07:00", SENT_AT.isoformat())
        .replace("2003-06-17T16:00:00-07:00", until.isoformat())
        .replace("<msgType>Alert</msgType>", f"<msgType>{kind}</msgType>")
        .replace("</scope>", f"</scope>{refers}")
        .replace(POLYGON, other.get("polygon", HERE))
        .replace("<severity>Severe", f"<severity>{other.get('severity', 'Severe')}")
        .replace("<status>Actual", f"<status>{other.get('status', 'Actual')}")
        .replace("<headline>", "<web>https://warn.example/storm</web><headline>")
    )
    if "polish" in other:
        start, end = text.index("<info>"), text.index("</info>") + len("</info>")
        polish = text[start:end].replace("SEVERE THUNDERSTORM<", f"{other['polish']}<")
        text = text[:end] + polish.replace("<info>", "<info><language>pl-PL</language>") + text[end:]
    return text


@dataclass
class Service:
    """A feed of these files; what is asked of it is remembered."""

    files: dict[str, str] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)
    status: int = 200

    def __call__(self, request: httpx.Request) -> httpx.Response:
        self.asked.append(str(request.url))
        if self.status != 200:
            return httpx.Response(self.status)
        if str(request.url) == FEED:
            entries = "".join(
                f'<entry><link type="application/cap+xml" href="/{name}"/></entry>' for name in self.files
            )
            headers = {"Expires": format_datetime(datetime(2026, 1, 1, tzinfo=UTC), usegmt=True)}
            return httpx.Response(
                200, text=f'<feed xmlns="http://www.w3.org/2005/Atom">{entries}</feed>', headers=headers
            )
        return httpx.Response(200, text=self.files[request.url.path[1:]])


async def anywhere(host: str) -> bool:
    return True


@dataclass
class Street:
    lane: Talk
    service: Service

    async def look(self, minutes: int = 6) -> list[str]:
        """Time passes, the feed is asked, the watch looks; gives what the group newly hears."""
        self.lane.stage.clock.at += timedelta(minutes=minutes)
        app = self.lane.stage.app
        async with httpx.AsyncClient(transport=httpx.MockTransport(self.service)) as http:
            await official.refresh(app.database, app.now(), http, "", anywhere)
        said = await self.lane.look()
        return [one.text for one in said if one.chat_id == self.lane.group_id]

    async def rows(self) -> list[OfficialWarning]:
        async with self.lane.stage.app.database.begin() as session:
            return list(await session.scalars(select(OfficialWarning).order_by(OfficialWarning.id)))

    async def is_closed(self) -> bool:
        app = self.lane.stage.app
        async with app.database.begin() as session:
            row = (await session.scalars(select(Garden))).one()
            return await expected.closed_now(session, row.id, app.now())


@pytest.fixture
async def street(lane: Talk) -> Street:
    async with lane.stage.app.database.begin() as session:
        row = (await session.scalars(select(Garden))).one()
        row.latitude, row.longitude = 52.5, -1.9
        session.add(WarningFeed(garden_id=row.id, url=FEED, named_at=MONDAY_AT))
    await lane.look()
    return Street(lane, Service())


async def test_it_is_said_once_with_its_issuer_its_words_and_a_link_and_nobody_goes_out(street: Street) -> None:
    assert not await street.is_closed()
    street.service.files["1.xml"] = cap(1)
    (said,) = await street.look()
    assert "Official warning: SEVERE THUNDERSTORM, now, until 19:00." in said
    assert "Issued by NATIONAL WEATHER SERVICE SACRAMENTO CA." in said
    assert "TAKE COVER IN A SUBSTANTIAL SHELTER UNTIL THE STORM PASSES." in said
    assert "Full text: warn.example" in said
    assert "Nobody goes to the garden" in said
    assert await street.is_closed()
    assert await street.look() == []
    assert street.service.asked.count("https://warn.example/1.xml") == 1, "a file never changes, so it is fetched once"


async def test_its_hours_close_for_duties_of_our_own_warnings_too(street: Street) -> None:
    """A frost tonight is due at sunset; until 23:00 nobody may be out, so that it is due before the storm."""
    street.lane.weather([COLD, COLD])
    await street.look()
    due_before = {duty.due_at for duty, _ in await street.lane.duties()}
    assert due_before
    start_at = MONDAY_AT + timedelta(hours=6)
    text = cap(1, until=MONDAY_AT + timedelta(hours=14))
    street.service.files["1.xml"] = text.replace("<expires>", f"<onset>{start_at.isoformat()}</onset><expires>")
    await street.look()
    due_after = {duty.due_at for duty, _ in await street.lane.duties()}
    assert max(due_after) <= start_at < max(due_before)
    assert await street.lane.warnings(), "and ours stands"


@pytest.mark.parametrize(
    ("event", "category"),
    [
        ("HIGH WIND", "Met"),
        ("FLASH FLOOD", "Met"),
        ("LANDSLIDE", "Geo"),
        ("EXTREME HEAT", "Safety"),
        ("ICE STORM", "Env"),
    ],
)
async def test_whatever_is_severe_outdoors_closes_its_hours(street: Street, event: str, category: str) -> None:
    """By severity and category alone (CAP 1.2, 3.2.2): the words for events are each issuer's own."""
    text = cap(1).replace("SEVERE THUNDERSTORM<", f"{event}<")
    street.service.files["1.xml"] = text.replace("<category>Met", f"<category>{category}")
    (said,) = await street.look()
    assert f"Official warning: {event}" in said
    assert await street.is_closed()


async def test_a_member_reads_it_in_their_own_language(street: Street) -> None:
    street.service.files["1.xml"] = cap(1, polish="GWAŁTOWNA BURZA")
    (said,) = await street.look()
    assert "SEVERE THUNDERSTORM" in said, "the group's language is English"
    async with street.lane.stage.app.database.begin() as session:
        await session.execute(update(Person).where(Person.name == "Robin").values(language="pl"))
    assert "GWAŁTOWNA BURZA" in (await street.lane.said("Robin", "/weather")).text
    assert "SEVERE THUNDERSTORM" in (await street.lane.said("Owen", "/weather")).text


async def test_elsewhere_a_test_or_a_slight_one_rings_nobody(street: Street) -> None:
    street.service.files = {
        "1.xml": cap(1, polygon=POLYGON),
        "2.xml": cap(2, status="Test"),
        "3.xml": cap(3, severity="Moderate"),
        "4.xml": cap(4, status="Exercise"),
    }
    assert await street.look() == []
    assert not await street.is_closed()
    assert [(one.identifier, one.severity) for one in await street.rows()] == [("3", "Moderate")]
    weather = await street.lane.said("Robin", "/weather")
    assert "Official warning: SEVERE THUNDERSTORM" in weather.text, "whoever looks reads the slight one, too"


async def test_an_update_that_is_worse_speaks_again_and_one_that_is_not_is_silent(street: Street) -> None:
    street.service.files["1.xml"] = cap(1)
    await street.look()
    street.service.files["2.xml"] = cap(2, kind="Update", of=1)
    assert await street.look() == []
    street.service.files["3.xml"] = cap(3, kind="Update", of=2, severity="Extreme")
    (said,) = await street.look()
    assert "Official warning, changed:" in said
    assert len(await street.rows()) == 1


async def test_a_cancel_opens_the_hours_and_is_said(street: Street) -> None:
    street.service.files["1.xml"] = cap(1)
    await street.look()
    street.service.files["2.xml"] = cap(2, kind="Cancel", of=1)
    (said,) = await street.look()
    assert "Called off by NATIONAL WEATHER SERVICE SACRAMENTO CA" in said
    assert not await street.is_closed()
    assert await street.look() == []


async def test_what_ends_by_itself_is_not_spoken_of_again(street: Street) -> None:
    street.service.files["1.xml"] = cap(1, until=MONDAY_AT + timedelta(hours=1))
    await street.look()
    assert await street.look(minutes=70) == []
    assert not await street.is_closed()
    assert [one.ended_at is not None for one in await street.rows()] == [True]


async def test_in_the_night_it_waits_unless_it_is_soon(street: Street) -> None:
    """Quiet hours are from 22 to 7; a storm of the afternoon waits until 7, one of the night does not."""
    await street.lane.until(4, "23:00")
    afternoon_at, night_at = datetime(2026, 5, 5, 13, tzinfo=UTC), datetime(2026, 5, 5, 1, tzinfo=UTC)
    text = cap(1, until=afternoon_at + timedelta(hours=3))
    street.service.files["1.xml"] = text.replace("<expires>", f"<onset>{afternoon_at.isoformat()}</onset><expires>")
    assert await street.look() == []
    text = cap(2, until=night_at + timedelta(hours=3))
    street.service.files["2.xml"] = text.replace("<expires>", f"<onset>{night_at.isoformat()}</onset><expires>")
    (said,) = await street.look()
    assert "02:00" in said
    later = texts(await street.lane.until(5, "07:30"))
    assert "Official warning" in later


async def test_the_words_are_those_of_the_gardens_language_where_the_file_has_them(street: Street) -> None:
    async with street.lane.stage.app.database.begin() as session:
        (await session.scalars(select(Garden))).one().language = "pl"
    street.service.files["1.xml"] = cap(1, polish="GWAŁTOWNA BURZA")
    (said,) = await street.look()
    assert "GWAŁTOWNA BURZA" in said and "Urzędowe ostrzeżenie" in said


async def test_a_feed_that_fails_is_asked_ever_later_and_organisers_hear_once(street: Street) -> None:
    street.service.files["1.xml"] = cap(1)
    await street.look()
    street.service.status = 503
    heard = []
    for _ in range(70):
        await street.look(minutes=10)
    for organiser in ("Miriam", "Owen", "Robin"):
        heard += [
            one.text
            for one in street.lane.private(organiser)
            if "could not read the official weather warnings" in one.text
        ]
    assert len(heard) >= 1 and len(set(heard)) == 1
    assert street.service.asked.count(FEED) < 15
    assert len(await street.rows()) == 1, "what was said stands until it ends"


async def test_a_file_that_is_no_warning_is_noted_and_not_asked_for_again(street: Street) -> None:
    street.service.files = {"bad.xml": "<html>Sorry</html>", "1.xml": cap(1)}
    (said,) = await street.look()
    assert "SEVERE THUNDERSTORM" in said
    await street.look()
    assert street.service.asked.count("https://warn.example/bad.xml") == 1
    async with street.lane.stage.app.database.begin() as session:
        notes = (await session.scalars(select(WarningFile.note).where(WarningFile.body == ""))).all()
    assert len(notes) == 1 and "expected a CAP" in notes[0]


async def test_a_feed_that_is_named_no_more_closes_nothing_and_nobody_is_told_that_it_was_called_off(
    street: Street,
) -> None:
    street.service.files["1.xml"] = cap(1)
    await street.look()
    assert await street.is_closed()
    await street.lane.write("Miriam", "/official off")
    assert await street.look() == []
    assert not await street.is_closed()


async def test_an_organiser_names_a_feed_and_areas_and_sees_how_it_goes(street: Street) -> None:
    for bad in ("http://warn.example/feed", "https://localhost/feed", "the weather service"):
        assert "begins with https://" in (await street.lane.said("Miriam", f"/official {bad}")).text
    await street.lane.said("Miriam", "/official https://warn.example/feed.atom")
    shown = (await street.lane.said("Miriam", "/official area SAME 006003")).text
    assert "SAME 006003" in shown and "There is none now." in shown
    street.service.files["1.xml"] = cap(1, polygon=POLYGON)
    (said,) = await street.look()
    assert "SEVERE THUNDERSTORM" in said, "by the code of its county, whatever its polygon"
    assert "SEVERE THUNDERSTORM" in (await street.lane.said("Miriam", "/official")).text


async def test_nothing_is_written_while_nothing_changes(street: Street) -> None:
    """The garden's revision, by which looks are kept, stays as it is from one tick to the next."""
    street.service.files["1.xml"] = cap(1)
    await street.look()
    await street.lane.look()
    async with street.lane.stage.app.database.begin() as session:
        before = await session.scalar(select(Garden.revision))
    for _ in range(3):
        await street.lane.look()
    async with street.lane.stage.app.database.begin() as session:
        assert await session.scalar(select(Garden.revision)) == before


async def test_the_first_one_after_the_last_was_removed_is_said(street: Street) -> None:
    """Its file has the number of the one that is gone, and nobody has looked in between."""
    app = street.lane.stage.app
    street.service.files["1.xml"] = cap(1)
    await street.look()
    del street.service.files["1.xml"]
    street.lane.stage.clock.at += timedelta(days=8)
    await street.lane.look()
    async with app.database.begin() as session:
        await official.forget_old(session, app.now())
        assert not (await session.scalars(select(WarningFile))).all()
    street.service.files["2.xml"] = cap(2, until=app.now() + timedelta(hours=9))
    assert any("Official warning: SEVERE THUNDERSTORM" in one for one in await street.look())
