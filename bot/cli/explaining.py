"""What went wrong, for whoever types commands: what, which value, what to do. Loaded only when something did."""

from __future__ import annotations

import errno

from sqlalchemy import make_url
from telegram.error import Conflict, InvalidToken

from bot.config import SettingsError, database_url
from bot.services.garden.backups import BackupError
from bot.storage.claims import AlreadyRunning
from bot.storage.schema import NewerError
from bot.storage.trouble import file_advice, trouble, what_to_do


def explained(error: BaseException) -> tuple[int, str] | None:
    """The exit status (docs/deploy.md) and a line or more; None for a fault of the program's own."""
    if isinstance(error, SettingsError):
        return 2, str(error)
    if isinstance(error, InvalidToken):
        return 2, "the chat platform does not know this token; copy the whole GATEPOST_TOKEN again"
    if isinstance(error, AlreadyRunning):
        return 3, str(error)
    if isinstance(error, Conflict):
        return 3, error.message
    if isinstance(error, (NewerError, BackupError)):
        return 5, str(error)
    if isinstance(error, OSError) and (error.filename is not None or error.errno == errno.ENOSPC):
        return 5, f"{error.filename or 'writing'}: {file_advice(error)}"
    if trouble(error, connecting=True) is None:
        return None
    return 5, what_to_do(error, make_url(database_url()).render_as_string(hide_password=True))
