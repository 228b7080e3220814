"""Who somebody is in a group, and who the bot is there, as the platform says at this moment."""

from __future__ import annotations

from dataclasses import dataclass

from telegram import Bot, ChatMember, Update
from telegram.error import TelegramError

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
    """The standing of who presses such a button in a group, or in private about one; None for any other update, where
    nobody can say, and where we are not in the group.

    Single members are shown for certain to administrators only; the administrators are shown to every bot in the group.
    """
    query, chat_id = update.callback_query, _group(update)
    if query is None or chat_id is None:
        return None
    try:
        ours = await bot.get_chat_member(chat_id, bot.id)
        if ours.status in _OUTSIDE:
            return None
        return Standing(await _presser(bot, chat_id, query.from_user.id), status_of(ours))
    except TelegramError:
        return None


def _group(update: Update) -> int | None:
    """The group that such a button is about."""
    query = update.callback_query
    data, chat = (query.data or "", query.message.chat if query.message else None) if query else ("", None)
    if chat is not None and chat.type != "private":
        return chat.id if data.startswith(_ASKED) else None
    verb, _, rest = data.partition(":")
    number = rest.partition(":")[2]
    return int(number) if verb == "bind" and number.removeprefix("-").isdecimal() and len(number) < 20 else None


async def _presser(bot: Bot, chat_id: int, user_id: int) -> str | None:
    try:
        return (await bot.get_chat_member(chat_id, user_id)).status
    except TelegramError:
        admins = await bot.get_chat_administrators(chat_id)
        return next((one.status for one in admins if one.user.id == user_id), None)
