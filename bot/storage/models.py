"""Every table, by name; importing this module makes all of them known to the metadata."""

from bot.storage.tables.base import LINE, NAME, Base
from bot.storage.tables.calendar import Calendar, CalendarChange, CalendarEntry
from bot.storage.tables.errands import Errand
from bot.storage.tables.gate import ClaimCode, CodeGuess, Knock
from bot.storage.tables.keys import Key, KeyMove
from bot.storage.tables.messages import Inbox, Outbox
from bot.storage.tables.moments import LastMoment
from bot.storage.tables.oncall import OnCall
from bot.storage.tables.pending import PendingNote
from bot.storage.tables.people import Away, FreeTime, Member, NamedHelper, Person
from bot.storage.tables.places import PlaceReport
from bot.storage.tables.records import (
    Entry,
    Garden,
    JobMark,
    Place,
    Planting,
    Plot,
    PlotHolder,
    RuleChange,
    Support,
)
from bot.storage.tables.rehearsals import Rehearsal
from bot.storage.tables.setup import Setup
from bot.storage.tables.tasks import Ask, Task, TaskReport
from bot.storage.tables.warnings import Warning
from bot.storage.tables.weather import (
    Learned,
    NightMinimum,
    NightOdds,
    PastDay,
    PlaceLearned,
    Reading,
    Thermometer,
    Weather,
)

__all__ = [
    "LINE",
    "NAME",
    "Ask",
    "Away",
    "Base",
    "Calendar",
    "CalendarChange",
    "CalendarEntry",
    "ClaimCode",
    "CodeGuess",
    "Entry",
    "Errand",
    "FreeTime",
    "Garden",
    "Inbox",
    "JobMark",
    "Key",
    "KeyMove",
    "Knock",
    "LastMoment",
    "Learned",
    "Member",
    "NamedHelper",
    "NightMinimum",
    "NightOdds",
    "OnCall",
    "Outbox",
    "PastDay",
    "PendingNote",
    "Person",
    "Place",
    "PlaceLearned",
    "PlaceReport",
    "Planting",
    "Plot",
    "PlotHolder",
    "Reading",
    "Rehearsal",
    "RuleChange",
    "Setup",
    "Support",
    "Task",
    "TaskReport",
    "Thermometer",
    "Warning",
    "Weather",
]
