"""One module a subject; `bot.storage.models` names them all."""
