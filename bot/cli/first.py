"""`gatepost` alone: what to do first, by what is there already."""

from __future__ import annotations

from collections.abc import Iterator

from bot.config import SettingsError, given

_NEW = """\
To see what it does, in an invented garden:      gatepost demo
To set it up for your garden, in two questions:  gatepost init
(docs/deploy.md says how to get a token for your bot, step by step.)"""
_SET_UP = """\
It has its token. To see if everything is right:  gatepost check
To run it, until you stop it:                     gatepost run"""


def steps() -> Iterator[str]:
    """Lines for the terminal."""
    yield "Gatepost helps a community garden group in their chat: what to do this week, and warnings of cold and wind."
    yield ""
    try:
        yield _SET_UP if given().get("GATEPOST_TOKEN") else _NEW
    except SettingsError as error:
        yield f"{error}\nCorrect that first, then: gatepost check"
    yield "All commands: gatepost --help"
