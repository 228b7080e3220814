"""Every table, by name; importing this module makes all of them known to the metadata."""

from bot.storage.base import LINE, NAME, Base
from bot.storage.calendar.calendar_rows import Calendar, CalendarChange, CalendarEntry
from bot.storage.garden.garden_rows import (
    Entry,
    Garden,
    JobMark,
    OwnCrop,
    Place,
    Planting,
    Plot,
    PlotHolder,
    RuleChange,
    Support,
)
from bot.storage.garden.place_rows import PlaceReport
from bot.storage.garden.setup_rows import Setup
from bot.storage.journal.note_rows import PendingNote
from bot.storage.moment_rows import LastMoment
from bot.storage.people.gate_rows import ClaimCode, CodeGuess, Knock
from bot.storage.people.key_rows import Key, KeyMove
from bot.storage.people.person_rows import Away, FreeTime, Member, NamedHelper, Person
from bot.storage.tasks.on_call_rows import OnCall
from bot.storage.tasks.task_rows import Ask, Task, TaskReport
from bot.storage.warnings.official_rows import OfficialWarning, WarningFeed, WarningFile
from bot.storage.warnings.warning_rows import Warning
from bot.storage.weather.weather_rows import (
    Learned,
    NightMinimum,
    NightOdds,
    PastDay,
    PlaceLearned,
    Reading,
    SensorKey,
    SentReading,
    ServicePause,
    Thermometer,
    Weather,
)
from bot.storage.wire.errand_rows import Errand
from bot.storage.wire.message_rows import Inbox, Outbox

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
    "OfficialWarning",
    "OnCall",
    "Outbox",
    "OwnCrop",
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
    "RuleChange",
    "SensorKey",
    "SentReading",
    "ServicePause",
    "Setup",
    "Support",
    "Task",
    "TaskReport",
    "Thermometer",
    "Warning",
    "WarningFeed",
    "WarningFile",
    "Weather",
]
