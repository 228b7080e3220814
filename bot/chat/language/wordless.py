"""What is sent without words: a picture, a voice message, a sticker."""

from __future__ import annotations

from bot.chat.request import Request
from bot.chat.wire.message import Urgency, post

__all__ = ["answer"]


async def answer(request: Request) -> None:
    """Say once, privately, what can be read instead; an album comes as many messages, and is one thing."""
    message = request.update.message
    if not request.private or message is None or message.location is not None:
        return
    if message.sticker is not None:
        text = request.say.gettext("I only read words. /help shows what you can ask me.")
    elif message.photo or message.video is not None:
        text = request.say.gettext(
            "I can't see pictures. Send it again with a line such as “lost 2 lettuces in Pot 5”. Then I note that."
        )
    else:
        text = request.say.gettext("I can only read words, not listen. Please write it in a sentence or two.")
    what = message.media_group_id or request.update.update_id
    await post(
        request.session,
        key=f"wordless:{message.chat.id}:{what}",
        chat_id=message.chat.id,
        text=text,
        now=request.now,
        urgency=Urgency.REPLY,
        garden_id=request.garden.id if request.garden else None,
    )
