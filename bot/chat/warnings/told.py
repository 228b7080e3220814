"""Who is told, and in which words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from bot.core.growing.crop import Crop
from bot.i18n import Say


@dataclass(frozen=True, slots=True)
class Told:
    """A voice, the garden's crop rules, and the moment. warned: the chat has had the sentence on lifting this week."""

    say: Say
    crops: Mapping[str, Crop]
    now: datetime
    warned: bool = False
