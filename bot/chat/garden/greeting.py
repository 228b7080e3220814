"""The bot's first words in a garden's group."""

from __future__ import annotations

from bot.chat.garden.everyone import voice
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.wire.message import Button, post
from bot.storage.models import Garden


async def greet(request: Request, garden: Garden) -> None:
    """Once a garden and group, and it names the one thing to do."""
    say = voice(garden)
    assert garden.chat_id is not None
    buttons: list[list[Button]] = [[(say.gettext("Join"), f"join:{garden.id}")]]
    text = lines([
        bold(say.gettext("Hello, {garden}!", garden=safe(garden.name))),
        say.gettext("I watch the weather for your plants. Before cold and wind I ask people to help."),
        say.gettext("Please do one thing: if you take part in the garden, tap Join."),
    ])  # fmt: skip
    await post(
        request.session,
        key=f"greeting:{garden.id}:{garden.chat_id}",
        chat_id=garden.chat_id,
        thread_id=garden.thread_id,
        text=text,
        now=request.now,
        buttons=buttons,
    )
