"""Which handler an update goes to: commands, presses, free text, and what happens to groups."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Coroutine
from typing import Any

from telegram import Update
from telegram.ext import (
    Application,
    CallbackQueryHandler,
    ChatMemberHandler,
    CommandHandler,
    MessageHandler,
    filters,
)

from bot.chat import files, groups, intents, presses
from bot.chat.commands import COMMANDS
from bot.chat.turn import Context, Turn

__all__ = ["register"]

#: Edits of old messages would fire commands again; channels have nobody to answer.
_FRESH = filters.UpdateType.MESSAGE


def register(application: Application[Any, Any, Any, Any, Any, Any]) -> None:
    """Every handler, in the order in which they are tried."""
    for command in COMMANDS:
        application.add_handler(CommandHandler(command.WORD, _turned(command.answer), filters=_FRESH))
    application.add_handler(CallbackQueryHandler(_press))
    application.add_handler(ChatMemberHandler(_turned(groups.ours_changed), ChatMemberHandler.MY_CHAT_MEMBER))
    application.add_handler(ChatMemberHandler(_turned(groups.member_changed), ChatMemberHandler.CHAT_MEMBER))
    application.add_handler(MessageHandler(_FRESH & filters.StatusUpdate.MIGRATE, _turned(groups.migrated)))
    application.add_handler(MessageHandler(_FRESH & filters.StatusUpdate.LEFT_CHAT_MEMBER, _turned(groups.left)))
    application.add_handler(MessageHandler(_FRESH & filters.StatusUpdate.ALL, _nothing))
    sheets = filters.ChatType.PRIVATE & filters.Document.ALL & ~filters.Document.IMAGE
    application.add_handler(MessageHandler(_FRESH & sheets, _turned(files.received)))
    application.add_handler(MessageHandler(_FRESH, _turned(intents.answer)))


def _turned(answer: Callable[[Turn], Awaitable[None]]) -> Callable[[Update, Context], Coroutine[Any, Any, None]]:
    async def handler(update: Update, context: Context) -> None:
        await answer(context.turn)

    return handler


async def _press(update: Update, context: Context) -> None:
    assert update.callback_query is not None
    await presses.press(context.turn, update.callback_query.data or "")


async def _nothing(update: Update, context: Context) -> None:
    """Other service messages need no answer."""
