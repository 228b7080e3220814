"""Every setting, read once from the environment, with one error that names each bad one."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

import platformdirs

__all__ = ["SETTINGS", "Settings", "SettingsError", "database_url", "file_url", "project_folder", "read"]

#: Each setting's name, its default in words, and what it is for. docs/deploy.md lists the same.
SETTINGS: tuple[tuple[str, str, str], ...] = (
    ("GATEPOST_TOKEN", "none", "the bot's token from the chat platform; needed to run, never logged"),
    (
        "GATEPOST_DATABASE_URL",
        "a file in the user's data folder",
        "sqlite+aiosqlite:///PATH or postgresql+asyncpg://...",
    ),
    (
        "GATEPOST_BOT_API_URL",
        "https://api.telegram.org/bot",
        "another Bot API server's base address",
    ),
    ("GATEPOST_FORECAST", "open-meteo", "open-meteo, met-norway, or file:PATH of a recorded answer"),
    ("GATEPOST_CONTACT", "none", "a mail address or page, sent to the weather services as their terms ask"),
    (
        "GATEPOST_BACKUPS",
        "a folder beside the SQLite file",
        "the folder for a daily copy of the database; off for none",
    ),
    ("GATEPOST_BACKUPS_KEPT", "14", "how many daily copies are kept, 1 to 366; the oldest goes first"),
    ("GATEPOST_LOG_LEVEL", "INFO", "DEBUG, INFO, WARNING or ERROR"),
)

_TOKEN = re.compile(r"^\d{3,20}:[A-Za-z0-9_-]{10,}$")
_KEPT, _MOST_KEPT = 14, 366
_LEVELS = ("DEBUG", "INFO", "WARNING", "ERROR")
_DATABASES = ("sqlite+aiosqlite://", "postgresql+asyncpg://")


class SettingsError(ValueError):
    """One or more settings are wrong; one line each, never showing a secret."""


@dataclass(frozen=True, slots=True)
class Settings:
    """token: secret, kept out of repr. forecast: service name or `file:PATH`. contact: for weather services.

    backups: the folder for copies of the database, None for none.
    """

    token: str = field(repr=False)
    database_url: str = field(repr=False)
    bot_api_url: str
    forecast: str
    contact: str
    log_level: str
    backups: Path | None = None
    backups_kept: int = 14


def project_folder(name: str) -> Path:
    """Where `locales` or `migrations` lie: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent
    inside = package / name
    return inside if inside.is_dir() else package.parent / name


def database_url(environ: Mapping[str, str] = os.environ) -> str:
    """The database's address; by default a file in the user's data folder, which is made if missing."""
    given = environ.get("GATEPOST_DATABASE_URL", "").strip()
    if given:
        return given
    folder = platformdirs.user_data_path("gatepost", appauthor=False, ensure_exists=True)
    return f"sqlite+aiosqlite:///{folder / 'gatepost.sqlite3'}"


def file_url(bot_api_url: str) -> str:
    """Where a Bot API server gives out files: beside its methods, ".../bot" and ".../file/bot"."""
    return f"{bot_api_url.removesuffix('bot')}file/bot"


def read(environ: Mapping[str, str] = os.environ) -> Settings:
    """All settings. Raises SettingsError with a line for each that is wrong."""
    values = {name: environ.get(name, "").strip() for name, _, _ in SETTINGS}
    problems = [problem for problem in _problems(values) if problem]
    if problems:
        raise SettingsError("\n".join(problems))
    return Settings(
        token=values["GATEPOST_TOKEN"],
        database_url=database_url(environ),
        bot_api_url=values["GATEPOST_BOT_API_URL"] or "https://api.telegram.org/bot",
        forecast=values["GATEPOST_FORECAST"] or "open-meteo",
        contact=values["GATEPOST_CONTACT"],
        log_level=values["GATEPOST_LOG_LEVEL"].upper() or "INFO",
        backups=_backups(values["GATEPOST_BACKUPS"], database_url(environ)),
        backups_kept=int(values["GATEPOST_BACKUPS_KEPT"] or _KEPT),
    )


def _backups(given: str, url: str) -> Path | None:
    """The folder that was named; else one beside the SQLite file, or in the user's data folder for another database."""
    if given.casefold() == "off":
        return None
    if given:
        return Path(given).expanduser()
    if url.startswith("sqlite") and (path := url.partition("///")[2]) not in ("", ":memory:"):
        return Path(path).parent / "backups"
    return platformdirs.user_data_path("gatepost", appauthor=False) / "backups"


def _problems(values: Mapping[str, str]) -> list[str]:
    """What is wrong with the values that were given; an absent one has a default."""
    token, database = values["GATEPOST_TOKEN"], values["GATEPOST_DATABASE_URL"]
    api, forecast, level = values["GATEPOST_BOT_API_URL"], values["GATEPOST_FORECAST"], values["GATEPOST_LOG_LEVEL"]
    problems = []
    if token and not _TOKEN.match(token):
        problems.append("GATEPOST_TOKEN does not look like a token (digits, a colon, letters); copy it again whole")
    if database and not database.startswith(_DATABASES):
        kind = database.split("://", 1)[0]
        problems.append(f"GATEPOST_DATABASE_URL begins with {kind!r}; use one of {', '.join(_DATABASES)}")
    if api and not api.startswith(("http://", "https://")):
        problems.append("GATEPOST_BOT_API_URL must begin with http:// or https://")
    if forecast and forecast not in ("open-meteo", "met-norway") and not forecast.startswith("file:"):
        problems.append(f"GATEPOST_FORECAST is {forecast[:40]!r}; use open-meteo, met-norway or file:PATH")
    kept = values["GATEPOST_BACKUPS_KEPT"]
    if kept and not (kept.isdecimal() and 1 <= int(kept[:5]) <= _MOST_KEPT):
        problems.append(f"GATEPOST_BACKUPS_KEPT is {kept[:40]!r}; use a whole number from 1 to {_MOST_KEPT}")
    if level and level.upper() not in _LEVELS:
        problems.append(f"GATEPOST_LOG_LEVEL is {level[:40]!r}; use one of {', '.join(_LEVELS)}")
    return problems
