"""What has to be said to people, decided by services and worded by chat, once each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from bot.core.tasks.rota import Shortage
from bot.core.warnings.fastening import Loose
from bot.services.warnings.official import Told
from bot.services.warnings.views import TaskView, WarningView


class What(StrEnum):
    """Why something is said about a warning."""

    HEADS_UP = "heads-up"
    CALL = "call"
    WORSE = "worse"
    EDIT = "edit"  # change the standing message, ring no phone
    OPEN_CALL = "open call"
    TOO_LATE = "too late"
    CALLED_OFF = "called off"
    AFTER = "after"
    ASK = "ask"
    REMIND = "remind"
    EARLIER = "earlier"  # the latest safe time of what they are asked for, or have accepted, moved up
    RELEASED = "released"  # no longer needed
    WAS_IT_DONE = "was it done"  # the morning after, of what they had said yes to and nobody has reported
    PASSED_BY = "passed by"  # without the app: no answer came, and somebody else is asked
    THANKS = "thanks"  # without the app, and so not in the group


@dataclass(frozen=True, slots=True)
class ToGroup:
    what: What
    view: WarningView


@dataclass(frozen=True, slots=True)
class ToMember:
    """duties: for RELEASED and WAS_IT_DONE what they had said yes to, or were asked for; for PASSED_BY what they were asked
    for, for THANKS what they did.
    """

    what: What
    view: WarningView
    member_id: int
    duties: tuple[TaskView, ...] = ()


@dataclass(frozen=True, slots=True)
class ToOrganisers:
    """Nobody is left for some duties; shortages say what is missing."""

    view: WarningView
    shortages: tuple[Shortage, ...]


@dataclass(frozen=True, slots=True)
class WeatherEvent:
    """The forecast is missing, stale (issued or fetched at since_at), or there again."""

    state: str
    since_at: datetime


@dataclass(frozen=True, slots=True)
class ToKeeper:
    """To whoever looks after pots that tip in a wind that any week may bring: fasten them for good."""

    member_id: int
    pots: tuple[Loose, ...]


@dataclass(frozen=True, slots=True)
class OfficialEvent:
    """An official warning holds, has changed, or was called off."""

    told: Told


Event = ToGroup | ToMember | ToOrganisers | ToKeeper | WeatherEvent | OfficialEvent
