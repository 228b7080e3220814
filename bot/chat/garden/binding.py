"""Which group is a garden's: asked privately of the organiser who has added the bot to one. Nobody else is asked."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.garden.greeting import greet
from bot.chat.html import safe
from bot.chat.people import gate_words as wording
from bot.chat.request import Request
from bot.chat.wire.message import post
from bot.services.people import joining
from bot.storage.garden import gardens
from bot.storage.wire import said

__all__ = ["ask", "press"]


async def ask(request: Request) -> None:
    """The update is the bot's being added to a group."""
    user, chat = request.update.effective_user, request.update.effective_chat
    own = await joining.unbound(request.session, user.id) if user is not None else []
    if user is None or chat is None or not own:
        return
    text, buttons = wording.bind_question(request.say, chat.title or "", own, chat.id)
    key = f"{_key(chat.id, user.id)}{request.update.update_id}"
    await post(request.session, key=key, chat_id=user.id, text=text, now=request.now, buttons=buttons)


def _key(chat_id: int, user_id: int) -> str:
    return f"bind:{chat_id}:{user_id}:"


async def press(request: Request, rest: str) -> None:
    """ "garden id:chat id", or "no", under the question about that very group, by whoever was asked."""
    if rest == "no":
        await request.change(request.say.gettext("All right. I do not look after a garden for that group."))
        return
    number, _, chat_number = rest.partition(":")
    garden_id, chat_id = rights.whole(number), _chat(chat_number)
    if garden_id is None or chat_id is None or not await _asked(request, chat_id):
        await rights.stale(request)
        return
    found = await rights.organiser_of(request, garden_id)
    if found is None:
        return
    garden, _ = found
    if garden.chat_id is not None:
        await request.change(request.say.gettext("{garden} already has a group.", garden=safe(garden.name)))
    elif await gardens.of_chat(request.session, chat_id):
        await request.change(
            request.say.gettext("That group already has a garden. To add another, write /setup there.")
        )
    elif request.standing is None or request.standing.outside:
        await request.change(request.say.gettext("I can't see both of us in that group. Please add me there again."))
    else:
        garden.chat_id, garden.thread_id, garden.bot_status = chat_id, None, request.standing.bot
        await greet(request, garden)
        await request.change(
            request.say.gettext("Done: I have said hello to {garden} there.", garden=safe(garden.name))
        )


def _chat(text: str) -> int | None:
    return int(text) if text.removeprefix("-").isdecimal() and len(text) < 20 else None


async def _asked(request: Request, chat_id: int) -> bool:
    """Whether the button stands under our question about this group to this very person: chat ids can be made up."""
    user, message = request.update.effective_user, request.update.effective_message
    row = await said.at(request.session, message.chat.id, message.message_id) if message is not None else None
    return user is not None and row is not None and row.key.startswith(_key(chat_id, user.id))
