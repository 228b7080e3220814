"""How the running bot's log is written: lines for people, or a line of JSON an event."""

from __future__ import annotations

import json
import logging
from datetime import UTC, datetime

from bot.chat.wire.redact import quieten


class JsonLines(logging.Formatter):
    """at: UTC; level; logger; message; error with where it happened, if any."""

    def format(self, record: logging.LogRecord) -> str:
        event = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "message": record.getMessage(),
        }
        error = record.exc_text or (self.formatException(record.exc_info) if record.exc_info else "")
        return json.dumps(event | ({"error": error} if error else {}), ensure_ascii=False)


def begin(level: str, *, as_json: bool) -> None:
    """To standard error, without tokens."""
    logging.basicConfig(level=level, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    if as_json:
        for handler in logging.getLogger().handlers:
            handler.setFormatter(JsonLines())
    quieten()
