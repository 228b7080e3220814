"""The group hears one language or two, as organisers choose; a garden says things in its own words, and sends them on."""

from __future__ import annotations

from io import BytesIO
from typing import cast

import pytest
from babel.messages.pofile import read_po
from telegram import Bot

from bot.chat.people import language
from bot.chat.wire.profile import introduce
from bot.i18n import LANGUAGES, say
from bot.services.garden import wordings
from bot.storage.models import Garden
from bot.wordings import Fault
from tests.support.invented_weather import calm
from tests.support.talk import COLD, Talk, labels


async def garden(lane: Talk) -> Garden:
    async with lane.stage.app.database.begin() as session:
        return await session.get_one(Garden, next(iter(lane.stage.groups)))


async def test_organisers_choose_one_or_two_languages_and_are_told_which_nobody_has_checked(lane: Talk) -> None:
    asked = await lane.said("Miriam", "/language")
    (shown,) = await lane.press("Miriam", asked, "The group's language")
    assert "Cymraeg" in shown.text and "No native speaker has checked" in shown.text
    await lane.press("Miriam", shown, "Polski")
    assert ((await garden(lane)).language, (await garden(lane)).second_language) == ("en", "pl")
    (shown,) = [one for one in lane.private("Miriam") if "✓ Polski" in labels(one)]
    await lane.press("Miriam", shown, "✓ English")
    assert ((await garden(lane)).language, (await garden(lane)).second_language) == ("pl", "")
    await lane.press("Miriam", shown, "✓ Polski")  # the only one stays
    assert (await garden(lane)).language == "pl"


async def test_a_member_is_not_offered_the_groups_language(lane: Talk) -> None:
    assert "The group's language" not in labels(await lane.said("Tobias", "/language"))


async def test_a_warning_comes_once_a_language_and_both_are_kept_up(lane: Talk) -> None:
    async with lane.stage.app.database.begin() as session:
        (await session.get_one(Garden, next(iter(lane.stage.groups)))).second_language = "pl"
    lane.weather([calm(), COLD])
    said = [one for one in await lane.until(4, "11:30") if one.chat_id == lane.group_id and one.kind == "text"]
    english = [one for one in said if "I'll do it" in labels(one)]
    polish = [one for one in said if "Zrobię to" in labels(one)]
    assert len(english) == len(polish) == 1
    await lane.press("Owen", polish[0], "Zrobię to")
    standing = {one.id: one for one in lane.group()}
    assert all(standing[one.id].edits and "Owen" in standing[one.id].text for one in (english[0], polish[0]))


async def test_with_one_language_nothing_comes_twice(lane: Talk) -> None:
    lane.weather([calm(), COLD])
    said = [one for one in await lane.until(4, "11:30") if one.chat_id == lane.group_id]
    assert len({one.text for one in said}) == len(said)


async def test_a_better_text_is_said_in_this_garden_from_then_on_and_sent_on_as_a_file(lane: Talk) -> None:
    await lane.write("Miriam", "/wording Which language should I use with you? = Which language is best for you?")
    assert (await lane.said("Tobias", "/language")).text == "Which language is best for you?"
    listed = await lane.said("Miriam", "/wording")
    assert "Which language is best for you?" in listed.text
    (sent,) = await lane.press("Miriam", listed, "Send as a file")
    assert sent.kind == "document" and sent.file_name == "gatepost-en.po"
    await lane.press("Miriam", listed, "Undo text 1")
    assert (await lane.said("Tobias", "/language")).text == "Which language should I use with you?"


async def test_only_organisers_correct_texts(lane: Talk) -> None:
    await lane.write("Tobias", "/wording Which language should I use with you? = Language?")
    assert (await garden(lane)).wordings == {}


def plot() -> Garden:
    return Garden(name="Plot", latitude=0, longitude=0, zone="UTC", language="en", wordings={})


@pytest.mark.parametrize(
    ("said", "better", "wrong"),
    [
        ("Gusts Tue 5 May: up to 45 mph.", "On Tue 5 May gusts reach 45 mph.", []),
        ("Gusts Tue 5 May: up to 45 mph.", "On Tue 5 May it blows.", [Fault.PLACEHOLDERS]),
        ("Gusts Tue 5 May: up to 45 mph.", "<b>Tue 5 May</b>: 45 mph", [Fault.TAGS]),
        ("Gusts Tue 5 May: up to 45 mph.", "Tue 5 May: 45 mph, see www.example.org", [Fault.TAGS]),
        ("Gusts Tue 5 May: up to 45 mph.", "Tue 5 May: 45 mph {n}", [Fault.PLACEHOLDERS]),
        ("Gusts Tue 5 May: up to 45 mph.", "Tue 5 May: 45 mph {", [Fault.FORMAT]),
        ("I'm safely home", "I am home and all is well", [Fault.LABEL]),
        ("Gusts Tue 5 May: up to 45 mph.", "Tue 5 May: 45 mph" + " and so on" * 20, [Fault.LENGTH]),
    ],
)
def test_a_correction_keeps_what_a_translation_must_keep(said: str, better: str, wrong: list[Fault]) -> None:
    found = wordings.find(plot(), "en", said)
    assert found is not None
    assert wordings.rewritten(found, better)[1] == wrong


def test_a_form_of_a_plural_is_corrected_alone_and_the_file_has_them_all() -> None:
    here = plot()
    found = wordings.find(here, "en", "About 5 minutes.")
    assert found is not None and found.form == 1
    words, wrong = wordings.rewritten(found, "Some 5 minutes.")
    assert not wrong and wordings.keep(here, "en", found, words)
    voice = say("en", "UTC", own=here.wordings)
    assert voice.ngettext("About {n} minute.", "About {n} minutes.", 7) == "Some 7 minutes."
    assert voice.ngettext("About {n} minute.", "About {n} minutes.", 1) == "About 1 minute."
    assert say("en", "UTC").ngettext("About {n} minute.", "About {n} minutes.", 7) == "About 7 minutes."
    data = wordings.to_po(here, "en")
    assert data is not None
    message = read_po(BytesIO(data)).get("About {n} minute.")
    assert message is not None and message.string == ("About {n} minute.", "Some {n} minutes.")


def test_what_nobody_said_is_not_found() -> None:
    assert wordings.find(plot(), "en", "The moon is made of cheese, says Ola.") is None


def test_a_garden_keeps_so_many_and_no_more() -> None:
    here = plot()
    here.wordings = {"en": {str(n): {"0": "x"} for n in range(wordings.WORDINGS_N)}}
    found = wordings.find(here, "en", "I'm safely home")
    assert found is not None and not wordings.keep(here, "en", found, "Home, all well")


async def test_the_chat_app_shows_the_commands_in_every_language_and_english_to_all_others() -> None:
    """Bot API 10.0: setMyCommands and setMyDescription take a language_code; without one they hold for everybody else."""
    commands: dict[str | None, list[tuple[str, str]]] = {}
    described: set[str | None] = set()

    class Platform:
        async def set_my_commands(self, listed: list[tuple[str, str]], *, language_code: str | None) -> None:
            commands[language_code] = listed

        async def set_my_description(self, about: str, *, language_code: str | None) -> None:
            assert 0 < len(about) <= 512
            described.add(language_code)

    await introduce(cast(Bot, Platform()))
    assert set(commands) == described == {None, *list(LANGUAGES)[1:]}
    assert dict(commands["pl"])["language"] == language.about(say("pl", "UTC")) != dict(commands[None])["language"]
    assert all(0 < len(line) <= 256 for listed in commands.values() for _, line in listed)
    assert len({tuple(word for word, _ in listed) for listed in commands.values()}) == 1
