"""Who somebody is in a group, and who the bot is there, as the platform says at this moment."""

from __future__ import annotations

from dataclasses import dataclass

from telegram import Bot, ChatMember, Update
from telegram.error import TelegramError

__all__ = ["Standing", "of_presser", "status_of"]

_ADMINISTRATORS = (ChatMember.OWNER, ChatMember.ADMINISTRATOR)
_OUTSIDE = (ChatMember.LEFT, ChatMember.BANNED)
#: Buttons by which people come to a garden or take charge of one.
_ASKED = ("join:", "found:")


@dataclass(frozen=True, slots=True)
class Standing:
    """presser: the platform's word for whoever pressed, None where it does not say. bot: as `status_of` has it."""

    presser: str | None
    bot: str

    @property
    def administrator(self) -> bool:
        return self.presser in _ADMINISTRATORS

    @property
    def outside(self) -> bool:
        """Whether they are known not to be in the group."""
        return self.presser in _OUTSIDE


def status_of(bot: ChatMember) -> str:
    """What is kept of the bot's own standing: "member", "administrator", or "administrator pin" where it may pin."""
    if bot.status not in _ADMINISTRATORS:
        return "member"
    return "administrator pin" if getattr(bot, "can_pin_messages", True) else "administrator"


async def of_presser(bot: Bot, update: Update) -> Standing | None:
    """The standing of who presses such a button in a group; None for any other update, or where nobody can say.

    Single members are shown for certain to administrators only; the administrators are shown to every bot in the group.
    """
    query = update.callback_query
    chat = query.message.chat if query and query.message else None
    if query is None or chat is None or chat.type == "private" or not (query.data or "").startswith(_ASKED):
        return None
    try:
        ours = status_of(await bot.get_chat_member(chat.id, bot.id))
        return Standing(await _presser(bot, chat.id, query.from_user.id), ours)
    except TelegramError:
        return None


async def _presser(bot: Bot, chat_id: int, user_id: int) -> str | None:
    try:
        return (await bot.get_chat_member(chat_id, user_id)).status
    except TelegramError:
        admins = await bot.get_chat_administrators(chat_id)
        return next((one.status for one in admins if one.user.id == user_id), None)
