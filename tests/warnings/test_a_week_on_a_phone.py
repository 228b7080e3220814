"""The demo's cold night, in two languages: nothing that comes unasked is longer than a phone's screen.

The measure is this project's own promise: twelve lines of forty letters, counted by Python's `textwrap`.
"""

from __future__ import annotations

import re
import textwrap
from collections import Counter
from datetime import UTC, datetime

import pytest
from sqlalchemy import update

from bot.chat.tasks import duty_words
from bot.chat.wire.world import Message
from bot.cli import demo
from bot.cli.playing import Deed, Spoken, play, read_script
from bot.i18n import say
from bot.services.weather.garden_forecast import Source
from bot.stage import on_stage
from bot.storage.models import Garden, Person
from bot.storage.session import Database
from tests.support.stored import Stored
from tests.support.talk import first_who_can

UNTIL_AT = datetime(2026, 5, 7, 9, 0, tzinfo=UTC)
#: A number, and its unit at which a line may break.
_APART = re.compile(r"\d (°C|kg|mph|km/h|m|cm|%)(?!\w)")


def rows(text: str) -> int:
    return sum(max(1, len(textwrap.wrap(line, 40))) for line in text.splitlines())


def taps(language: str) -> list[Deed]:
    """What the demo's people tap, by the buttons of the language; nothing that they ask of their own accord."""
    labels = {word: say(language, "Europe/London").gettext(word) for word in ("I'll do it", "I can't", "Done")}
    labels |= {label: label for label in labels.values()}
    script = read_script(demo._FOLDER / "answers.csv", demo._ZONE)
    return [Deed(one.at, one.who, one.where, labels[one.what]) for one in script if one.what in labels]


@pytest.mark.parametrize("language", ["en", "pl"])
async def test_every_message_that_comes_unasked_fits_a_phone(stored: Stored, language: str) -> None:
    async with stored.opened(_furnish) as database:
        async with database.begin() as session:
            await session.execute(update(Garden).values(language=language))
            await session.execute(update(Person).values(language=language))
        source = Source(f"file:{demo._FOLDER / 'forecast.json'}")
        async with on_stage(database, source, demo._START_AT, first_who_can) as stage:
            said = [
                (one.chat_id, one.text, bool(one.edits))
                async for one in play(stage, UNTIL_AT, taps(language))
                if isinstance(one, Message)
            ]
    assert len(said) > 25 and any(changed for *_, changed in said), "people were asked, and what stands was changed"
    for _, text, _ in said:
        assert rows(text) <= 12, text
        assert _APART.search(text) is None, "a line may break between a number and its unit"
    lifting = [duty_words.lifting(say(language, "Europe/London"), short=short) for short in (False, True)]
    warned = Counter(chat for chat, text, changed in said if not changed and any(each in text for each in lifting))
    assert warned and set(warned.values()) == {1}, "nothing in this garden is heavier than one person may lift"


async def _furnish(database: Database) -> None:
    await demo._furnish(database)


async def test_the_demos_people_tap_buttons_that_are_there(stored: Stored) -> None:
    """A button that is renamed would leave them talking past the bot, and the demo without its end."""
    script = read_script(demo._FOLDER / "answers.csv", demo._ZONE)
    async with stored.opened(_furnish) as database:
        source = Source(f"file:{demo._FOLDER / 'forecast.json'}")
        async with on_stage(database, source, demo._START_AT, first_who_can) as stage:
            spoken = [one async for one in play(stage, UNTIL_AT, script) if isinstance(one, Spoken)]
    assert [one.deed.what for one in spoken if not one.pressed] == [
        "What should I do this week?",
        "/picture",
        "potted on the runner beans",
        "I'll do it",  # written, a second time
        "the frost got 2 courgettes",
    ]
