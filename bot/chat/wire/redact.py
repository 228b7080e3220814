"""Keep the bot's token out of every log record."""

from __future__ import annotations

import logging
import re

_TOKEN = re.compile(r"\d{3,20}:[A-Za-z0-9_-]{10,}")
_FORMATTER = logging.Formatter()


def redact(text: str) -> str:
    """The text with anything like a token replaced."""
    return _TOKEN.sub("[token]", text)


class RedactTokens(logging.Filter):
    """Rewrites each record; add it to handlers, since a logger's own filter misses what its children log."""

    def filter(self, record: logging.LogRecord) -> bool:
        # The message is put together here, so that a token split over format and arguments is found too.
        record.msg, record.args = redact(record.getMessage()), None
        if record.exc_info:
            record.exc_text = _FORMATTER.formatException(record.exc_info)
        if record.exc_text:
            record.exc_text = redact(record.exc_text)
        if record.stack_info:
            record.stack_info = redact(record.stack_info)
        return True


def quieten(logger: logging.Logger | None = None) -> None:
    """Redact in every handler of `logger` (default: the root), and silence libraries that log addresses or messages."""
    for handler in (logger or logging.getLogger()).handlers:
        handler.addFilter(RedactTokens())
    for name in ("httpx", "httpcore", "telegram", "sqlalchemy"):
        logging.getLogger(name).setLevel(logging.WARNING)
