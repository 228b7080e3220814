"""With names as long as the platform and people make them, no message of a night with frost and a gale is longer than a screen.

Lines are counted by the standard library, forty letters each; the names are invented.
"""

from __future__ import annotations

import textwrap

import pytest
from sqlalchemy import select

from bot.chat.wire.world import Message
from bot.i18n import LANGUAGES
from bot.storage.models import Garden, Person, Place
from tests.support.invented_weather import calm
from tests.support.talk import ADULTS, COLD, Talk

GALE = (7.0, 14.0, 90.0, 10.0, 25.0, 3.0)
NAME_N = 40


#: Signs that keep names and numbers in place, and take none themselves (Unicode Standard Annex #9).
UNSEEN = dict.fromkeys(range(0x2066, 0x206A))


def lines_of(message: Message) -> int:
    return sum(max(1, len(textwrap.wrap(line, 40))) for line in message.text.translate(UNSEEN).splitlines())


@pytest.mark.parametrize("language", LANGUAGES)
async def test_long_names_of_places_and_people_fit_on_a_screen(lane: Talk, language: str) -> None:
    async with lane.stage.app.database.begin() as session:
        for place in await session.scalars(select(Place)):
            place.name = f"{place.name} beside the old apple tree by the wall"[:NAME_N]
        for person in await session.scalars(select(Person)):
            person.name = f"{person.name} of the long row of cottages by the mill"[:NAME_N]
            person.language = language
        for garden in await session.scalars(select(Garden)):
            garden.language = language
    said = list[Message]()
    lane.weather([calm(), COLD])
    said += await lane.look()
    said += await lane.until(4, "20:00", every_min=60)
    lane.weather([COLD, GALE, COLD, calm()])
    said += await lane.until(7, "20:00", every_min=120)
    assert len(said) > len(ADULTS), "a night without messages shows nothing"
    assert [one.text for one in said if lines_of(one) > 12] == []
