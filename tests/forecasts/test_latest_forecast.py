"""The first service that is set is asked first, the other falls in, and what is stored is better than nothing."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta

import pytest

from bot.core.weather.forecast import ForecastError
from bot.forecasts import request
from bot.forecasts.reader import Point
from bot.forecasts.request import Outcome, Stored
from tests.forecasts.invented import OPEN_METEO
from tests.forecasts.weather_server import Server, broken, status

NOW = datetime(2026, 5, 1, 18, 2, tzinfo=UTC)
TEASEL_LANE = Point(52.02, -1.01)
HOUR = timedelta(hours=1)
DOWN = {"api.open-meteo.com": status(503), "api.met.no": broken}


async def ask(
    server: Server,
    setting: str = "open-meteo",
    stored: Mapping[str, Stored] | None = None,
    now: datetime = NOW,
    contact: str = "jo@teasel.example",
) -> Outcome:
    async with server.client() as http:
        return await request.latest(request.order(setting), TEASEL_LANE, stored or {}, now, http, contact)


def source(outcome: Outcome) -> str | None:
    return outcome.forecast.source if outcome.forecast else None


@pytest.mark.parametrize("setting", ["open-meteo", "met-norway"])
async def test_only_the_service_that_is_set_is_asked_while_it_answers(setting: str) -> None:
    server = Server()
    outcome = await ask(server, setting)
    assert (source(outcome), outcome.errors, len(server.asked)) == (setting, (), 1)


@pytest.mark.parametrize(("setting", "other"), [("open-meteo", "met-norway"), ("met-norway", "open-meteo")])
async def test_the_other_service_falls_in_when_the_first_fails(setting: str, other: str) -> None:
    host = {"open-meteo": "api.open-meteo.com", "met-norway": "api.met.no"}[setting]
    outcome = await ask(Server({host: status(500)}), setting)
    assert source(outcome) == other
    assert outcome.errors == (f"{setting}: status 500",)
    assert set(outcome.stored_by_service) == {setting, other}


async def test_without_any_answer_there_is_no_forecast_but_reasons() -> None:
    outcome = await ask(Server(DOWN))
    assert outcome.forecast is None
    assert outcome.errors == ("open-meteo: status 503", "met-norway: no answer (ConnectTimeout)")


async def test_a_service_that_failed_is_left_in_peace_until_its_wait_is_over() -> None:
    server = Server(DOWN)
    first = await ask(server)
    second = await ask(server, stored=first.stored_by_service, now=NOW + timedelta(minutes=9))
    assert len(server.asked) == 2
    assert second.errors == first.errors


async def test_a_young_answer_is_kept_rather_than_change_service() -> None:
    first = await ask(Server())
    server = Server({"api.open-meteo.com": status(503)})
    outcome = await ask(server, stored=first.stored_by_service, now=NOW + 2 * HOUR)
    assert (source(outcome), len(server.asked)) == ("open-meteo", 1)
    outcome = await ask(server, stored=outcome.stored_by_service, now=NOW + 4 * HOUR)
    assert source(outcome) == "met-norway"


async def test_when_all_fail_the_newest_stored_answer_is_given_with_its_age() -> None:
    outcome = await ask(Server(), "open-meteo")
    outcome = await ask(
        Server({"api.open-meteo.com": status(503)}), "open-meteo", outcome.stored_by_service, NOW + 4 * HOUR
    )
    assert source(outcome) == "met-norway"
    outcome = await ask(Server(DOWN), "open-meteo", outcome.stored_by_service, NOW + 30 * HOUR)
    assert outcome.forecast is not None
    assert outcome.forecast.fetched_at == NOW + 4 * HOUR
    assert len(outcome.errors) == 2


async def test_a_missing_contact_leaves_the_other_service() -> None:
    outcome = await ask(Server(), "met-norway", contact="")
    assert source(outcome) == "open-meteo"
    assert "without a contact" in outcome.errors[0]


async def test_a_file_stands_alone_and_asks_no_one() -> None:
    server = Server()
    assert source(await ask(server, f"file:{OPEN_METEO}")) == "open-meteo"
    outcome = await ask(server, "file:/nowhere/at-all.json")
    assert outcome.forecast is None
    assert "at-all.json: the file cannot be read" in outcome.errors[0]
    assert not server.asked


def test_an_unknown_setting_is_refused() -> None:
    with pytest.raises(ForecastError, match="expected open-meteo, met-norway or file:PATH"):
        request.order("crystal-ball")


def test_requests_of_many_gardens_are_spread_over_the_hour() -> None:
    seconds = [request.spread_s(garden_id, "jo@teasel.example") for garden_id in range(1, 1201)]
    assert seconds == [request.spread_s(garden_id, "jo@teasel.example") for garden_id in range(1, 1201)]
    assert all(0 <= second < 3600 for second in seconds)
    by_quarter = [sum(900 * i <= second < 900 * (i + 1) for second in seconds) for i in range(4)]
    assert min(by_quarter) > 240  # 300 each would be even
    assert request.spread_s(1, "jo@teasel.example") != request.spread_s(1, "al@other.example")
