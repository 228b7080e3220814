"""The least that the chat library can do: polls, and sends each message's text back. To measure others against."""

from __future__ import annotations

import asyncio
from typing import Any

from telegram import Update
from telegram.ext import Application, CallbackContext, MessageHandler, filters

from tests.support.bot_api import TOKEN


async def _echo(update: Update, _context: CallbackContext[Any, Any, Any, Any]) -> None:
    if update.message is not None:
        await update.message.reply_text(update.message.text or "")


async def serve(_database_url: str, base_url: str) -> None:
    """Until killed."""
    application = Application.builder().token(TOKEN).base_url(base_url).build()
    application.add_handler(MessageHandler(filters.TEXT, _echo))
    async with application:
        assert application.updater is not None
        await application.updater.start_polling(timeout=5)
        await application.start()
        await asyncio.Event().wait()
