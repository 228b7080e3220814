"""Organisers see what was learned, may forget it, and may make the wind limit stricter but never laxer."""

from __future__ import annotations

import pytest

from bot.core.garden.snapshot import Around
from bot.core.units import mph_to_ms
from bot.core.warnings.safety import GUST_MS, Limits
from bot.storage.garden import gardens
from tests.support.talk import Talk


async def test_the_wind_limit_is_made_stricter_and_shown_in_the_gardens_unit(talk: Talk) -> None:
    # 35 mph is the default: common practice, no source.
    shown = await talk.said("Miriam", "/limits")
    assert "35\N{NO-BREAK SPACE}mph" in shown.text
    (noted,) = await talk.press("Miriam", shown, "Gusts: 28\N{NO-BREAK SPACE}mph")
    assert "28\N{NO-BREAK SPACE}mph" in noted.text
    assert "28\N{NO-BREAK SPACE}mph" in (await talk.said("Miriam", "/limits")).text
    async with talk.stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        snapshot = await gardens.snapshot(session, row)
    assert snapshot.gust_limit_ms == pytest.approx(mph_to_ms(28), abs=0.1)


async def test_the_limit_for_covers_and_ladders_is_made_stricter_on_its_own(talk: Talk) -> None:
    # 23 mph affects balance: HSE HSG33, read via a copy.
    shown = await talk.said("Miriam", "/limits")
    assert "23\N{NO-BREAK SPACE}mph" in shown.text
    (noted,) = await talk.press("Miriam", shown, "Steady wind: 18\N{NO-BREAK SPACE}mph")
    assert "tunnel covers" in noted.text
    async with talk.stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        limits = Limits.of(await gardens.snapshot(session, row))
    assert limits.height_wind_ms == pytest.approx(mph_to_ms(18), abs=0.25)
    assert limits.gust_ms == GUST_MS


async def test_an_organiser_says_what_the_wind_comes_over(talk: Talk) -> None:
    shown = await talk.said("Miriam", "/limits")
    assert "What the wind comes over here: Fields." in shown.text
    (noted,) = await talk.press("Miriam", shown, "A town")
    assert "What the wind comes over here: A town." in noted.text
    async with talk.stage.app.database.begin() as session:
        (row,) = await gardens.all_gardens(session)
        assert (await gardens.snapshot(session, row)).around is Around.TOWN


async def test_members_do_not_change_the_limit(talk: Talk) -> None:
    shown = await talk.said("Miriam", "/limits")
    assert "one of the organisers" in (await talk.said("Owen", "/limits")).text
    (refused,) = await talk.press("Owen", shown, "Gusts: 28\N{NO-BREAK SPACE}mph")
    assert "one of the organisers" in refused.text


def test_a_laxer_limit_is_refused() -> None:
    with pytest.raises(ValueError, match="stricter"):
        Limits(gust_ms=GUST_MS + 0.1)


async def test_what_was_learned_is_told_honestly_when_nothing_was(talk: Talk) -> None:
    told = await talk.said("Miriam", "/learned")
    assert told.text.count("no reading yet") == 2
    (forgotten,) = await talk.press("Miriam", told, "Start learning again")
    assert "I forgot what I learnt" in forgotten.text
    assert "one of the organisers" in (await talk.said("Owen", "/learned")).text
