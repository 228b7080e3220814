"""Organisers call a warning by hand, after a preview; it asks people like any other, and nobody goes out in a storm."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from sqlalchemy import select

from bot.chat.language.called import Expected, NotSo, Unclear, called
from bot.chat.warnings.manual_words import code, decode
from bot.core.warnings.assumed import Blow, ColdNight
from bot.core.warnings.hazards import Hazard, TaskKind
from bot.core.warnings.safety import Closed
from bot.i18n import say
from bot.storage.models import NightOdds, Place, Task, Warning
from bot.storage.session import Database
from bot.storage.states import WarningState
from tests.support.talk import Talk, labels
from tests.support.two_gardens import START_AT

ENGLISH = say("en", "Europe/London")
TODAY = START_AT.date()
MONDAY = TODAY + timedelta(days=1)


def _at(day: int, hour: int) -> datetime:
    """Of May 2026; the garden's clock is an hour ahead of UTC."""
    return datetime(2026, 5, day, hour - 1, 0, tzinfo=UTC)


# 1 mph is 0.44704 m/s, 1 kn is 1852/3600 m/s, by definition.
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("cold tonight", ColdNight(TODAY, -2.0)),
        ("frost tomorrow -4", ColdNight(MONDAY, -4.0)),
        ("cold tonight minus 3", ColdNight(TODAY, -3.0)),
        ("Cold Tuesday −1,5 °C", ColdNight(MONDAY + timedelta(days=1), -1.5)),
        ("cold 2026-05-06 0 C", ColdNight(datetime(2026, 5, 6, tzinfo=UTC).date(), 0.0)),
        ("wind tomorrow 14:00 60 mph", Blow(_at(4, 14), _at(4, 18), 60 * 0.44704)),
        ("gale tomorrow 14:00-16:00 90 km/h", Blow(_at(4, 14), _at(4, 16), 25.0)),
        ("wind tomorrow 50 knots", Blow(_at(4, 8), _at(4, 20), 50 * 1852 / 3600)),
        ("wind tomorrow 55", Blow(_at(4, 8), _at(4, 20), 55 * 0.44704)),
        ("official storm warning tomorrow 12:00 18:00", Closed(_at(4, 12), _at(4, 18))),
        ("severe tonight 22:00 03:00", Closed(_at(3, 22), _at(4, 3))),
        ("tomorrow", Unclear.WHAT),
        ("wind today 06:00 08:00 60 mph", Unclear.PAST),
        ("cold 2026-05-01", Unclear.PAST),
        ("cold 2026-06-01", Unclear.TOO_FAR),
        ("cold tonight -40", Unclear.TEMPERATURE),
        ("wind tomorrow 400 mph", Unclear.SPEED),
    ],
)
def test_a_call_is_read_as_people_write_it(text: str, expected: Expected | Unclear) -> None:
    read = called(text, ENGLISH, START_AT)
    if isinstance(read, Blow) and isinstance(expected, Blow):
        assert (read.start_at, read.end_at) == (expected.start_at, expected.end_at)
        assert read.gust_ms == pytest.approx(expected.gust_ms)
    elif isinstance(expected, Unclear):
        assert isinstance(read, NotSo) and read.why is expected
    else:
        assert read == expected


@pytest.mark.parametrize(
    ("english", "polish", "expected"),
    [
        ("cold 5 May -3", "mróz 5 maja -3", ColdNight(date(2026, 5, 5), -3.0)),
        ("cold -3 5 May", "mróz -3 5 maja", ColdNight(date(2026, 5, 5), -3.0)),
        ("frost on the 5th -3", "mróz -3 5/5", ColdNight(date(2026, 5, 5), -3.0)),
        ("cold 5/5 3 C", "mróz 5/5 3 stopnie", ColdNight(date(2026, 5, 5), 3.0)),
        ("cold Friday night minus 4", "mróz w piątek w nocy minus 4", ColdNight(date(2026, 5, 8), -4.0)),
        ("cold tomorrow morning -2", "mróz jutro rano -2", ColdNight(date(2026, 5, 3), -2.0)),
        ("cold Tuesday 4am -2", "mróz we wtorek 04:00 -2", ColdNight(date(2026, 5, 4), -2.0)),
        ("wind Friday 2pm 60mph", "wiatr w piątek 14:00 60mph", Blow(_at(8, 14), _at(8, 18), 60 * 0.44704)),
        ("wind 60 mph Friday at 14", "wiatr 60 mph w piątek o 14", Blow(_at(8, 14), _at(8, 18), 60 * 0.44704)),
        ("wind 8 May 2pm-6pm 25 m/s", "wiatr 8 maja 14-18 25 m/s", Blow(_at(8, 14), _at(8, 18), 25.0)),
        ("wind Friday afternoon 90 km/h", "wiatr w piątek po południu 90 km/h", Blow(_at(8, 12), _at(8, 18), 25.0)),
        ("gale tomorrow from 10 to noon 50 knots", "wichura jutro 10-12 50 kn", Blow(_at(4, 10), _at(4, 12), 50 * 1852 / 3600)),
        ("severe Friday 12:00-18:00", "alert w piątek 12:00-18:00", Closed(_at(8, 12), _at(8, 18))),
        ("cold 5-7 May -3", "mróz 5-7 maja -3", Unclear.SEVERAL_DAYS),
        ("cold tonight 3", "mróz dziś w nocy 3", Unclear.LEFT_OVER),
        ("wind Friday 60 mph 70", "wiatr w piątek 60 mph 70", Unclear.LEFT_OVER),
        ("cold 35 May -3", "mróz 35 maja -3", Unclear.NO_SUCH_DAY),
        ("wind Friday 25:00 60 mph", "wiatr w piątek 25:00 60 mph", Unclear.NO_SUCH_TIME),
    ],
)  # fmt: skip
def test_days_hours_and_figures_are_told_apart(english: str, polish: str, expected: Expected | Unclear) -> None:
    for words, voice in ((english, ENGLISH), (polish, say("pl", "Europe/London"))):
        read = called(words, voice, START_AT)
        if isinstance(expected, Unclear):
            assert isinstance(read, NotSo) and read.why is expected, words
        elif isinstance(expected, Blow):
            assert isinstance(read, Blow), words
            assert (read.start_at, read.end_at) == (expected.start_at, expected.end_at), words
            assert read.gust_ms == pytest.approx(expected.gust_ms), words
        else:
            assert read == expected, words


async def test_what_was_read_is_shown_before_anybody_is_called(street: Talk, two_gardens: Database) -> None:
    (cold,) = await street.write("Miriam", "/warn cold 5 May -3")
    assert "The night from Tue 5 May to Wed 6 May: −3\N{NO-BREAK SPACE}°C" in cold.text
    (wind,) = await street.write("Miriam", "/warn wind Friday 2pm 60mph")
    assert "Fri 8 May, 14:00 to 18:00: gusts of 60\N{NO-BREAK SPACE}mph" in wind.text
    (several,) = await street.write("Miriam", "/warn cold 5-7 May -3")
    assert "one day or night" in several.text
    await street.look()
    assert await _warnings(two_gardens) == []


@pytest.mark.parametrize("text", ["cold tonight -3", "wind tomorrow 14:00 60 mph", "severe tomorrow 12:00 18:00"])
def test_a_button_carries_a_call_unchanged(text: str) -> None:
    read = called(text, ENGLISH, START_AT)
    assert not isinstance(read, NotSo)
    carried = decode(code(read))
    assert carried is not None and code(carried) == code(read)
    assert len(f"warn:999999999:see:{code(read)}".encode()) <= 64  # Bot API 10.0: callback data has 1-64 bytes


async def _warnings(two_gardens: Database) -> list[Warning]:
    async with two_gardens.begin() as session:
        return list(await session.scalars(select(Warning).order_by(Warning.id)))


async def _asked_for(two_gardens: Database) -> dict[str, TaskKind]:
    async with two_gardens.begin() as session:
        rows = await session.execute(select(Place.name, Task.kind).join(Place, Place.id == Task.place_id))
        return {row.name: row.kind for row in rows}


async def test_nothing_is_called_before_the_preview_is_agreed_to(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/warn")
    (shown,) = await street.tap("Miriam", "Cold tonight")
    assert "• Bring in: Pot 1, Pot 2, Pot 3 and Pot 4." in shown.text and "Bed 1" not in shown.text
    (no,) = await street.tap("Miriam", "No")
    assert no.text == "All right, I will not send a warning."
    await street.look()
    assert await _warnings(two_gardens) == [] and street.said_in_group("Miriam") == []


async def test_called_it_asks_people_for_what_is_tender_and_says_who_called(
    street: Talk, two_gardens: Database
) -> None:
    await street.write("Miriam", "/warn cold tonight")
    message = street.under("Miriam", "Send the warning")
    await street.press("Miriam", message, "Send the warning")
    (again,) = await street.press("Miriam", message, "Send the warning")
    assert again.text == "That warning is already out."
    await street.look()
    (text,) = street.said_in_group("Miriam")
    assert (
        text.startswith("Tonight: about −2\N{NO-BREAK SPACE}°C at the plants.")
        and "This warning comes from an organiser." in text
    )
    asked = await _asked_for(two_gardens)
    # Potato foliage is harmed at 0 to -2, onions and broccoli leaves stand -4 to -7 degrees C (PMC10202904, Table 2).
    assert asked["Pot 1"] is TaskKind.BRING_IN and "Bed 1" not in asked and "Bed 4" not in asked
    assert any("Can you help by" in line for line in street.said_to("Tobias"))
    assert street.said_in_group("Petra") == []


async def test_a_mild_forecast_does_not_call_it_off_and_the_forecast_s_own_score_is_kept_clean(
    street: Talk, two_gardens: Database
) -> None:
    await street.write("Miriam", "/warn cold tonight -6")
    await street.tap("Miriam", "Send the warning")
    for _ in range(10):
        await street.look()
        street.stage.clock.at += timedelta(hours=1)
    (warning, *_) = await _warnings(two_gardens)
    assert warning.state is WarningState.CALLED and warning.clear_since_at is None
    async with two_gardens.begin() as session:
        kept = select(NightOdds).where(NightOdds.evening_on == TODAY, NightOdds.garden_id == warning.garden_id)
        odds = (await session.scalars(kept)).one()
    assert odds.forecast_c > 0.0 and odds.frost_odds < 0.5, "the odds kept for scoring are the forecast's"


async def test_why_says_that_the_figures_are_an_organiser_s(street: Talk) -> None:
    await street.write("Miriam", "/warn cold tonight")
    await street.tap("Miriam", "Send the warning")
    await street.look()
    await street.tap("Tobias", "Why")
    assert "An organiser sent this by hand" in street.said_to("Tobias")[-1]


async def test_wind_is_due_before_it_begins(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/warn wind tomorrow 14:00 60 mph")
    await street.tap("Miriam", "Send the warning")
    await street.look()
    (warning,) = await _warnings(two_gardens)
    assert (warning.hazard, warning.window_on) == (Hazard.WIND, MONDAY)
    async with two_gardens.begin() as session:
        assert all(duty.due_at <= _at(4, 14) for duty in await session.scalars(select(Task)))
    assert "gusts of about 60\N{NO-BREAK SPACE}mph" in street.said_in_group("Miriam")[0]


async def test_what_harms_nothing_is_not_called(street: Talk, two_gardens: Database) -> None:
    (shown,) = await street.write("Miriam", "/warn cold tonight 5 C")
    assert "no warning to send" in shown.text and "Send the warning" not in labels(shown)


async def test_after_an_official_warning_nothing_is_due_in_its_hours(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/warn cold tonight")
    await street.tap("Miriam", "Send the warning")
    await street.write("Miriam", "/warn severe today 18:00 23:00")
    await street.tap("Miriam", "Send the warning")
    await street.look()
    async with two_gardens.begin() as session:
        due = {duty.due_at for duty in await session.scalars(select(Task))}
    assert due == {_at(3, 18)}, "before it, not by sunset within it"
    assert any(
        "an official severe weather warning. Nobody goes to the garden" in text
        for text in street.said_in_group("Miriam")
    )


async def test_an_official_warning_alone_is_told_and_its_end_too(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/warn severe today 15:00 17:00")
    await street.tap("Miriam", "Send the warning")
    await street.look()
    (text,) = street.said_in_group("Miriam")
    assert text.startswith("Today, 15:00 to 17:00: an official severe weather warning.")
    street.stage.clock.at = _at(3, 17) + timedelta(minutes=5)
    await street.look()
    assert "The official severe weather warning is over." in street.said_in_group("Miriam")


async def test_what_undoes_a_duty_waits_for_the_end_of_an_official_warning(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/warn cold tonight")
    await street.tap("Miriam", "Send the warning")
    await street.look()
    await street.write("Kasia", "zrobione")
    street.stage.clock.at = _at(4, 7)
    await street.write("Miriam", "/warn severe today 05:00 12:00")
    await street.tap("Miriam", "Send the warning")
    await street.look()
    assert not any("Now please" in text for text in street.said_in_group("Miriam"))
    street.stage.clock.at = _at(4, 12) + timedelta(minutes=5)
    await street.look()
    assert any("Now please" in text for text in street.said_in_group("Miriam"))


async def test_called_too_late_nobody_is_sent_out(street: Talk) -> None:
    street.stage.clock.at = _at(3, 22)
    (shown,) = await street.write("Miriam", "/warn cold tonight")
    assert "There is no safe time left before it" in shown.text


async def test_members_and_other_gardens_call_nothing(street: Talk, two_gardens: Database) -> None:
    await street.write("Miriam", "/warn cold tonight")
    message = street.under("Miriam", "Send the warning")
    data = next(key["callback_data"] for row in message.keyboard for key in row if key["text"] == "Send the warning")
    (refused,) = await street.write("Owen", "/warn cold tonight")
    assert refused.text == "Please ask one of the organisers to do that."
    await street.write("Petra", "/help")
    for who in ("Owen", "Petra"):
        await street.forge(who, data)
    assert await _warnings(two_gardens) == []


@pytest.mark.parametrize("carried", ["c.20260503.-900", "w.202605041400.202605041300.2000", "x", "c.1.2.3", "s.1.2"])
async def test_a_call_that_no_button_offers_is_refused(street: Talk, two_gardens: Database, carried: str) -> None:
    await street.write("Miriam", "/warn")
    async with two_gardens.begin() as session:
        garden_id = (await street.row_of(session, "Miriam")).garden_id
    await street.forge("Miriam", f"warn:{garden_id}:go:{carried}")
    assert await _warnings(two_gardens) == []
