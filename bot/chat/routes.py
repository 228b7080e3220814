"""Which handler an update goes to: commands, presses, free text, and what happens to groups."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Coroutine
from typing import Any

from telegram import Message, Update
from telegram.ext import (
    Application,
    ApplicationHandlerStop,
    CallbackQueryHandler,
    ChatMemberHandler,
    CommandHandler,
    MessageHandler,
    filters,
)

from bot.chat import presses, rights
from bot.chat.commands import COMMANDS, Command
from bot.chat.garden import files, groups
from bot.chat.language import intents
from bot.chat.request import Context, Request


class _Written(filters.MessageFilter):
    """Written by a person. Bots, channels and what is forwarded from a channel by itself are met with silence, so that
    two machines never talk to each other; an administrator who writes as the group is a person.
    """

    def filter(self, message: Message) -> bool:
        as_group = message.sender_chat is not None and message.sender_chat.id == message.chat.id
        by_person = message.sender_chat is None and message.from_user is not None and not message.from_user.is_bot
        machine = message.is_automatic_forward or message.via_bot or message.sender_business_bot
        return (as_group or by_person) and not machine


#: Edits of old messages would fire commands again; channels have nobody to answer.
_FRESH = filters.UpdateType.MESSAGE & _Written()
#: What the platform itself says in a chat, whoever it names as the writer.
_SERVICE = filters.UpdateType.MESSAGE & filters.StatusUpdate.ALL
#: Whatever others can read, edited or from a machine as well.
_OPEN = filters.ChatType.GROUPS & (filters.UpdateType.MESSAGE | filters.UpdateType.EDITED_MESSAGE)
#: Commands about the person or about all of it, whichever their gardens are.
_OF_NO_GARDEN = frozenset({"start", "help", "language", "me", "garden"})
#: Commands that answer whoever is in the group.
_OF_ANYBODY = _OF_NO_GARDEN | {"weather", "setup"}


def register(application: Application[Any, Any, Any, Any, Any, Any]) -> None:
    """Every handler, in the order in which they are tried."""
    application.add_handler(MessageHandler(_OPEN, _code_seen), group=-1)
    for command in COMMANDS:
        application.add_handler(CommandHandler(command.WORD, _turned(_asked(command)), filters=_FRESH))
    application.add_handler(CallbackQueryHandler(_press))
    application.add_handler(ChatMemberHandler(_turned(groups.ours_changed), ChatMemberHandler.MY_CHAT_MEMBER))
    application.add_handler(ChatMemberHandler(_turned(groups.member_changed), ChatMemberHandler.CHAT_MEMBER))
    application.add_handler(MessageHandler(_SERVICE & filters.StatusUpdate.MIGRATE, _turned(groups.migrated)))
    application.add_handler(MessageHandler(_SERVICE & filters.StatusUpdate.LEFT_CHAT_MEMBER, _turned(groups.left)))
    application.add_handler(MessageHandler(_SERVICE, _nothing))
    sheets = filters.ChatType.PRIVATE & filters.Document.ALL & ~filters.Document.IMAGE
    application.add_handler(MessageHandler(_FRESH & sheets, _turned(files.received)))
    application.add_handler(MessageHandler(_FRESH, _turned(intents.answer)))


def _asked(command: Command) -> Callable[[Request], Awaitable[None]]:
    """Somebody of several gardens first says of which one they speak, and then the command is carried out."""

    async def answer(request: Request) -> None:
        if request.garden is None and request.choices and command.WORD not in _OF_NO_GARDEN:
            await rights.choose(request)
        elif request.garden is not None and request.member is None and command.WORD not in _OF_ANYBODY:
            await rights.outsider(request, request.garden)
        else:
            await command.answer(request)

    return answer


def _turned(answer: Callable[[Request], Awaitable[None]]) -> Callable[[Update, Context], Coroutine[Any, Any, None]]:
    async def handler(update: Update, context: Context) -> None:
        await answer(context.request)

    return handler


async def _press(update: Update, context: Context) -> None:
    assert update.callback_query is not None
    await presses.press(context.request, update.callback_query.data or "")


async def _code_seen(update: Update, context: Context) -> None:
    """Before anything else; a message that shows a code has no other meaning."""
    if await groups.code_posted(context.request):
        raise ApplicationHandlerStop


async def _nothing(update: Update, context: Context) -> None:
    """Other service messages need no answer."""
