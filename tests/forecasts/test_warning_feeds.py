"""Feeds of official warnings: where an address may lead, and how a feed is asked."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
import pytest

from bot.core.weather.forecast import ForecastError
from bot.forecasts.cap import Listed, address_problem, listed, public_addresses, warning

NOW = datetime(2026, 5, 1, 18, 2, tzinfo=UTC)
URL = "https://warn.example/feed.rss"
RSS = '<rss version="2.0"><channel><item><link>https://warn.example/1.xml</link></item></channel></rss>'
STORM = (Path(__file__).parent / "data/cap-oasis-thunderstorm.xml").read_text(encoding="utf-8")


async def anywhere(host: str) -> bool:
    return True


async def inside(host: str) -> bool:
    return False


async def _ask(answer: httpx.Response, last_modified: str | None = None) -> tuple[Listed, httpx.Request]:
    asked: list[httpx.Request] = []

    def reply(request: httpx.Request) -> httpx.Response:
        asked.append(request)
        return answer

    async with httpx.AsyncClient(transport=httpx.MockTransport(reply)) as http:
        return await listed(http, URL, last_modified, NOW, "jo@teasel.example", anywhere), asked[0]


@pytest.mark.parametrize("url", [URL, "https://api.met.no/weatherapi/metalerts/2.0/current.rss?lat=60&lon=10"])
def test_a_public_https_address_is_taken(url: str) -> None:
    assert address_problem(url) is None


@pytest.mark.parametrize(
    "url",
    ["http://warn.example/feed", "file:///etc/passwd", "https://localhost/feed", "https://127.0.0.1/feed", "https://[::1]/feed",
     "https://2130706433/feed", "https://0x7f000001/feed", "https://router.local/feed", "https://db.internal/feed",
     "https://warn.example:8080/feed", "https://user@warn.example/feed", "https://warn.example/a b", "https://wärn.example/",
     "https://", "https://warn.example/" + "x" * 600, "warn.example"],
)  # fmt: skip
def test_an_address_into_the_bots_own_network_or_of_another_kind_is_refused(url: str) -> None:
    assert address_problem(url) is not None


async def test_a_public_name_of_a_private_address_is_refused() -> None:
    assert not await public_addresses("localhost")
    asked: list[httpx.Request] = []

    def reply(request: httpx.Request) -> httpx.Response:
        asked.append(request)
        return httpx.Response(200, text=RSS)

    async with httpx.AsyncClient(transport=httpx.MockTransport(reply)) as http:
        with pytest.raises(ForecastError, match="no public address"):
            await listed(http, URL, None, NOW, "", inside)
    assert not asked


async def test_it_says_who_asks_and_waits_as_it_is_told() -> None:
    headers = {"Expires": "Fri, 01 May 2026 18:22:00 GMT", "Last-Modified": "Fri, 01 May 2026 17:31:04 GMT"}
    found, asked = await _ask(httpx.Response(200, text=RSS, headers=headers))
    assert found == Listed(("https://warn.example/1.xml",), NOW + timedelta(minutes=20), headers["Last-Modified"])
    assert "jo@teasel.example" in asked.headers["User-Agent"]
    found, asked = await _ask(httpx.Response(304), headers["Last-Modified"])
    assert asked.headers["If-Modified-Since"] == headers["Last-Modified"]
    assert (found.links, found.last_modified) == (None, headers["Last-Modified"])


@pytest.mark.parametrize(
    ("expires", "minutes"), [(None, 5), ("Fri, 01 May 2026 18:02:01 GMT", 5), ("Mon, 04 May 2026 18:00:00 GMT", 60)]
)
async def test_it_is_asked_every_five_minutes_at_most_and_every_hour_at_least(
    expires: str | None, minutes: int
) -> None:
    found, _ = await _ask(httpx.Response(200, text=RSS, headers={"Expires": expires} if expires else {}))
    assert found.next_at == NOW + timedelta(minutes=minutes)


async def test_an_address_that_is_one_warning_itself_is_its_own_list() -> None:
    found, _ = await _ask(httpx.Response(200, text=STORM))
    assert (found.links, found.body) == ((URL,), STORM)


@pytest.mark.parametrize(
    ("answer", "complaint"),
    [
        (httpx.Response(403), "status 403"),
        (httpx.Response(429, headers={"Retry-After": "600"}), "status 429, asked to wait 0:10:00"),
        (httpx.Response(200, text="<html></html>"), "expected an Atom or RSS feed"),
        (httpx.Response(302, headers={"Location": "https://elsewhere.example/"}), "not followed"),
        (httpx.Response(200, text="<rss>" + "x" * 2_100_000), "too long"),
    ],
)
async def test_what_is_wrong_is_said(answer: httpx.Response, complaint: str) -> None:
    with pytest.raises(ForecastError, match=complaint):
        await _ask(answer)


async def test_a_file_that_is_no_warning_is_refused() -> None:
    async with httpx.AsyncClient(transport=httpx.MockTransport(lambda _: httpx.Response(200, text=RSS))) as http:
        with pytest.raises(ForecastError, match="is it the list of warnings"):
            await warning(http, "https://warn.example/1.xml", "", anywhere)
