"""What is sent without words: a picture, a voice message, a sticker."""

from __future__ import annotations

from bot.chat.request import Turn
from bot.chat.wire.message import Urgency, post

__all__ = ["answer"]


async def answer(turn: Turn) -> None:
    """Say once, privately, what can be read instead; an album comes as many messages, and is one thing."""
    message = turn.update.message
    if not turn.private or message is None or message.location is not None:
        return
    if message.sticker is not None:
        text = turn.say.gettext("I only read words. /help shows what you can ask me.")
    elif message.photo or message.video is not None:
        text = turn.say.gettext(
            "I can't see pictures. Send it again with a line under it, such as “lost 2 lettuces in Pot 5”, and I note "
            "that."
        )
    else:
        text = turn.say.gettext("I can only read words, not listen. Please write it in a sentence or two.")
    what = message.media_group_id or turn.update.update_id
    await post(
        turn.session,
        key=f"wordless:{message.chat.id}:{what}",
        chat_id=message.chat.id,
        text=text,
        now=turn.now,
        urgency=Urgency.REPLY,
        garden_id=turn.garden.id if turn.garden else None,
    )
