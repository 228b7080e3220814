"""The stand-in's table of parameters, against the machine-readable Bot API 10.0."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from telegram import Bot
from telegram.error import BadRequest

from tests.support.bot_api import BotApiServer
from tests.support.bot_api_forms import FORMS, FormError, decoded
from tests.support.cast import FARAH

#: Source and licence: LICENSE-bot-api.txt beside it.
PUBLISHED = Path(__file__).parent / "data" / "bot-api-10.0-methods.json"


@pytest.mark.parametrize("method", FORMS)
def test_parameters_are_those_of_the_published_bot_api(method: str) -> None:
    published: dict[str, str] = json.loads(PUBLISHED.read_text())[method]
    expected = {
        name.removesuffix("!"): f"{types}!" if name.endswith("!") else types for name, types in published.items()
    }
    assert FORMS[method] == expected


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        ({"text": "Hello"}, "required parameter chat_id is missing"),
        ({"chat_id": "1", "text": "Hello", "colour": "red"}, "unknown parameter colour"),
        ({"chat_id": "1", "text": "Hello", "disable_notification": "perhaps"}, "disable_notification is 'perhaps'"),
        ({"chat_id": "1", "text": "Hello", "message_thread_id": "true"}, "message_thread_id is 'true'"),
        ({"chat_id": "1", "text": "Hello", "entities": "{}"}, "entities is '{}', expected Array of MessageEntity"),
    ],
)
def test_a_wrong_form_is_named(raw: dict[str, str], words: str) -> None:
    with pytest.raises(FormError, match=words):
        decoded("sendMessage", raw, {})


async def test_the_server_notes_a_wrong_form_and_refuses_it(bot: Bot, bot_api: BotApiServer) -> None:
    with pytest.raises(BadRequest, match="unknown parameter colour"):
        await bot.send_message(FARAH, "Hello", api_kwargs={"colour": "red"})
    assert bot_api.problems == ["sendMessage: unknown parameter colour"]
    bot_api.problems.clear()
