"""One service is asked as its terms want it: seldom, with a contact, coarsely placed, and less after a failure.

Terms: api.met.no Terms of Service and HTTP status codes, read 2026-11-25 via their source; open-meteo.com terms, via
a copy.
"""

from __future__ import annotations

import json
import logging
from datetime import UTC, datetime, timedelta

import httpx
import pytest

from bot.core.weather.forecast import ForecastError
from bot.forecasts.reader import Point
from bot.forecasts.request import Stored, fetch, from_row, read, to_row
from tests.forecasts.invented import MET_NORWAY, OPEN_METEO
from tests.forecasts.weather_server import Reply, Server, broken, status

NOW = datetime(2026, 5, 1, 18, 2, tzinfo=UTC)
TEASEL_LANE = Point(52.0234567, -1.0123456, 95.6)
CONTACT = "https://teasel.example/contact"
MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
HOSTS = {"open-meteo": "api.open-meteo.com", "met-norway": "api.met.no"}
BOTH = pytest.mark.parametrize("service", list(HOSTS))


async def ask(server: Server, service: str, stored: Stored | None = None, now: datetime = NOW) -> Stored:
    async with server.client() as http:
        return await fetch(service, TEASEL_LANE, stored, now, http, CONTACT)


async def failing(service: str, reply: Reply, stored: Stored | None = None, now: datetime = NOW) -> Stored:
    return await ask(Server({HOSTS[service]: reply}), service, stored, now)


def waited(stored: Stored, now: datetime = NOW) -> timedelta:
    assert stored.retry_after_at is not None
    return stored.retry_after_at - now


@BOTH
async def test_a_good_answer_is_stored_and_read(service: str) -> None:
    stored = await ask(Server(), service)
    forecast = read(stored)
    assert (forecast.source, forecast.fetched_at, stored.failures, stored.note) == (service, NOW, 0, "")


@BOTH
async def test_the_request_names_the_program_and_a_contact(service: str) -> None:
    server = Server()
    await ask(server, service)
    assert server.asked[0].headers["User-Agent"] == f"Gatepost/0.1 {CONTACT}"


async def test_open_meteo_is_asked_for_gmt_metres_per_second_and_ten_whole_days() -> None:
    server = Server()
    await ask(server, "open-meteo")
    asked = dict(server.asked[0].url.params)
    assert (asked["latitude"], asked["longitude"], asked["elevation"]) == ("52.023", "-1.012", "96")
    assert (asked["timezone"], asked["timeformat"], asked["wind_speed_unit"]) == ("GMT", "iso8601", "ms")
    assert int(asked["forecast_days"]) >= 11
    assert set(asked["hourly"].split(",")) == {
        *("temperature_2m", "dew_point_2m", "relative_humidity_2m", "cloud_cover", "wind_speed_10m"),
        *("wind_gusts_10m", "precipitation", "shortwave_radiation", "weather_code"),
        "soil_temperature_6cm",
    }


async def test_met_norway_is_asked_with_at_most_four_decimals() -> None:
    server = Server()
    await ask(server, "met-norway")
    assert dict(server.asked[0].url.params) == {"lat": "52.023", "lon": "-1.012", "altitude": "96"}


async def test_met_norway_is_not_asked_without_a_contact() -> None:
    server = Server()
    async with server.client() as http:
        with pytest.raises(ForecastError, match="without a contact"):
            await fetch("met-norway", TEASEL_LANE, None, NOW, http, "  ")
        await fetch("open-meteo", TEASEL_LANE, None, NOW, http, "")
    assert [request.url.host for request in server.asked] == ["api.open-meteo.com"]


@pytest.mark.parametrize("contact", ["jo@example.org\r\nX-Other: 1", "müller@example.org"])
async def test_a_contact_that_cannot_be_sent_is_refused(contact: str) -> None:
    async with Server().client() as http:
        with pytest.raises(ForecastError, match="cannot be sent"):
            await fetch("open-meteo", TEASEL_LANE, None, NOW, http, contact)


@pytest.mark.parametrize(("service", "quiet"), [("open-meteo", 60 * MINUTE), ("met-norway", 31 * MINUTE)])
async def test_no_request_is_repeated_before_it_is_due(service: str, quiet: timedelta) -> None:
    # MET Norway: until Expires (18:33 in the answer); Open-Meteo: our own floor of an hour.
    server = Server()
    stored = await ask(server, service)
    assert await ask(server, service, stored, NOW + quiet - MINUTE) is stored
    await ask(server, service, stored, NOW + quiet)
    assert len(server.asked) == 2


@pytest.mark.parametrize("expires", [None, "soon", "Thu, 01 Jan 1970 00:00:00 GMT", "Fri, 01 May 2126 18:00:00 GMT"])
async def test_an_expiry_that_makes_no_sense_neither_floods_nor_silences(expires: str | None) -> None:
    headers = {"Expires": expires} if expires else {}
    stored = await failing(
        "met-norway", lambda _: httpx.Response(200, headers=headers, content=MET_NORWAY.read_bytes())
    )
    assert stored.expires_at is not None
    assert 10 * MINUTE <= stored.expires_at - NOW <= 24 * HOUR


async def test_an_unchanged_answer_is_confirmed_not_sent_again() -> None:
    first = await ask(Server(), "met-norway")
    server = Server({"api.met.no": status(304, Expires="Fri, 01 May 2026 20:30:00 GMT")})
    later = NOW + HOUR
    second = await ask(server, "met-norway", first, later)
    assert server.asked[0].headers["If-Modified-Since"] == "Fri, 01 May 2026 17:31:04 GMT"
    assert (second.body, second.last_modified, second.fetched_at) == (first.body, first.last_modified, later)
    assert second.expires_at == datetime(2026, 5, 1, 20, 30, tzinfo=UTC)


async def test_unchanged_without_anything_stored_is_a_failure() -> None:
    server = Server({"api.met.no": status(304)})
    stored = await ask(server, "met-norway")
    assert (stored.body, stored.failures) == ("", 1)
    assert "If-Modified-Since" not in server.asked[0].headers


async def test_what_was_stored_for_another_place_is_forgotten() -> None:
    stored = await ask(Server(), "met-norway")
    server = Server()
    async with server.client() as http:
        await fetch("met-norway", Point(52.03, -1.0), stored, NOW, http, CONTACT)
    assert "If-Modified-Since" not in server.asked[0].headers


async def test_a_pin_moved_by_a_few_steps_is_the_same_place() -> None:
    stored = await ask(Server(), "met-norway")
    server = Server()
    async with server.client() as http:
        assert await fetch("met-norway", Point(52.0234, -1.0121, 96.0), stored, NOW, http, CONTACT) is stored
    assert not server.asked


@BOTH
@pytest.mark.parametrize("code", [429, 500, 502, 503, 504])
async def test_a_passing_failure_doubles_the_wait_up_to_a_limit(service: str, code: int) -> None:
    stored: Stored | None = None
    now, waits = NOW, []
    for _ in range(9):
        stored = await failing(service, status(code), stored, now)
        waits.append(waited(stored, now))
        assert not stored.due(now + waits[-1] - MINUTE)
        now += waits[-1]
    assert waits[:3] == [waits[0], 2 * waits[0], 4 * waits[0]]
    assert waits[-2] == waits[-1] == 6 * HOUR


async def test_success_forgets_the_failures() -> None:
    failed = await failing("open-meteo", status(503))
    stored = await ask(Server(), "open-meteo", failed, NOW + HOUR)
    assert (stored.failures, stored.retry_after_at, stored.note) == (0, None, "")


@pytest.mark.parametrize(
    ("header", "wait"),
    [
        ("7200", 2 * HOUR),
        ("Fri, 01 May 2026 21:02:00 GMT", 3 * HOUR),
        ("60", 10 * MINUTE),  # less than our own first wait
        ("9" * 5000, 24 * HOUR),
        ("Fri, 01 May 2026 12:00:00 GMT", 10 * MINUTE),
        ("later", 10 * MINUTE),
        ("-5", 10 * MINUTE),
    ],
)
async def test_retry_after_is_obeyed_within_reason(header: str, wait: timedelta) -> None:
    assert waited(await failing("open-meteo", status(429, Retry_After=header))) == wait


@BOTH
@pytest.mark.parametrize("code", [400, 401, 403, 404, 422])
async def test_a_refusal_is_not_repeated_soon(service: str, code: int) -> None:
    assert waited(await failing(service, status(code))) == 12 * HOUR


async def test_a_failure_keeps_the_last_good_answer() -> None:
    first = await ask(Server(), "met-norway")
    second = await failing("met-norway", status(500), first, NOW + HOUR)
    assert read(second).fetched_at == NOW


async def test_the_services_reason_is_noted_on_one_bounded_line() -> None:
    body = json.dumps({"error": True, "reason": "Minutely API request limit exceeded.\n" + "x" * 9000})
    stored = await failing("open-meteo", status(429, body))
    assert stored.note.startswith("open-meteo: status 429: Minutely API request limit exceeded. x")
    assert len(stored.note) < 260


async def test_a_deprecated_version_still_serves_and_is_noted() -> None:
    stored = await failing("met-norway", lambda _: httpx.Response(203, content=MET_NORWAY.read_bytes()))
    assert read(stored).source == "met-norway"
    assert "deprecated" in stored.note
    assert stored.failures == 0


@pytest.mark.parametrize(
    "body",
    [
        "<html>sign in</html>",
        "",
        OPEN_METEO.read_text(encoding="utf-8")[:400],
        MET_NORWAY.read_text(encoding="utf-8"),
        OPEN_METEO.read_text(encoding="utf-8").replace("52.02", "12.02"),
        '{"error": true, "reason": "no"}',
    ],
)
async def test_an_answer_that_is_no_forecast_of_this_place_replaces_nothing(body: str) -> None:
    first = await ask(Server(), "open-meteo")
    second = await failing("open-meteo", status(200, body), first, NOW + HOUR)
    assert (second.body, second.failures) == (first.body, 1)


@pytest.mark.parametrize(
    "error", [httpx.ConnectTimeout, httpx.ReadTimeout, httpx.ConnectError, httpx.RemoteProtocolError, TimeoutError]
)
async def test_no_answer_is_a_failure_without_a_raise(error: type[Exception]) -> None:
    def reply(request: httpx.Request) -> httpx.Response:
        raise error("secret detail")

    stored = await failing("open-meteo", reply)
    assert stored.note == f"open-meteo: no answer ({error.__name__})"


async def test_an_answer_without_end_is_cut_off() -> None:
    stored = await failing("open-meteo", lambda _: httpx.Response(200, content=b" " * 2_000_001))
    assert "too long" in stored.note


async def test_a_redirect_within_the_host_is_followed() -> None:
    def reply(request: httpx.Request) -> httpx.Response:
        if request.url.path == "/moved":
            return httpx.Response(200, content=OPEN_METEO.read_bytes())
        return httpx.Response(301, headers={"Location": "/moved"})

    assert (await failing("open-meteo", reply)).failures == 0


@pytest.mark.parametrize(
    "target", ["https://weather.example/forecast", "http://api.open-meteo.com/", "https://api.open-meteo.com:8443/"]
)
async def test_a_redirect_elsewhere_is_not_followed(target: str) -> None:
    server = Server({"api.open-meteo.com": status(302, Location=target)})
    stored = await ask(server, "open-meteo")
    assert (len(server.asked), stored.failures) == (1, 1)
    assert "not followed" in stored.note


async def test_a_client_that_follows_redirects_by_itself_is_told_not_to() -> None:
    server = Server({"api.open-meteo.com": status(302, Location="https://weather.example/")})
    async with httpx.AsyncClient(transport=httpx.MockTransport(server), follow_redirects=True) as http:
        await fetch("open-meteo", TEASEL_LANE, None, NOW, http, CONTACT)
    assert [request.url.host for request in server.asked] == ["api.open-meteo.com"]


async def test_a_redirect_in_circles_ends() -> None:
    server = Server({"api.open-meteo.com": status(302, Location="/v1/forecast")})
    stored = await ask(server, "open-meteo")
    assert len(server.asked) == 3
    assert "circles" in stored.note


async def test_the_log_has_neither_place_nor_body_nor_contact(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level(logging.DEBUG, logger="bot")
    await failing("open-meteo", status(500, "a very long body"))
    await failing("met-norway", broken)
    await failing("open-meteo", status(200, OPEN_METEO.read_text(encoding="utf-8").replace("52.02", "12.02")))
    written = "\n".join(record.getMessage() for record in caplog.records if record.name.startswith("bot"))
    assert written.count("next try in") == 3
    assert not [word for word in ("52.02", "very long body", CONTACT) if word in written]


async def test_the_state_survives_a_row_of_json() -> None:
    for stored in (await ask(Server(), "met-norway"), await failing("open-meteo", status(429))):
        assert from_row(json.loads(json.dumps(to_row(stored)))) == stored


@pytest.mark.parametrize("change", [{"point": None}, {"fetched_at": "noon"}, {"point": {"latitude": 99}}])
async def test_a_row_of_another_form_is_asked_anew(change: dict[str, object]) -> None:
    row = to_row(await ask(Server(), "met-norway"))
    assert from_row(row | change) is None
    del row["body"]
    assert from_row(row) is None
