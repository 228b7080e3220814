"""Every table, by name; importing this module makes all of them known to the metadata."""

from bot.storage.tables.base import LINE, NAME, Base
from bot.storage.tables.calendar import Calendar, CalendarChange, CalendarEntry
from bot.storage.tables.errands import Errand
from bot.storage.tables.keys import Key, KeyMove
from bot.storage.tables.messages import Inbox, Outbox
from bot.storage.tables.oncall import OnCall
from bot.storage.tables.pending import PendingNote
from bot.storage.tables.people import Away, FreeTime, Member, Person
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
from bot.storage.tables.warnings import Ask, Duty, Warning
from bot.storage.tables.weather import Learned, NightMinimum, NightOdds, Reading, Thermometer, Weather

__all__ = [
    "LINE",
    "NAME",
    "Ask",
    "Away",
    "Base",
    "Calendar",
    "CalendarChange",
    "CalendarEntry",
    "Duty",
    "Entry",
    "Errand",
    "FreeTime",
    "Garden",
    "Inbox",
    "JobMark",
    "Key",
    "KeyMove",
    "Learned",
    "Member",
    "NightMinimum",
    "NightOdds",
    "OnCall",
    "Outbox",
    "PendingNote",
    "Person",
    "Place",
    "Planting",
    "Plot",
    "PlotHolder",
    "Reading",
    "RuleChange",
    "Support",
    "Thermometer",
    "Warning",
    "Weather",
]
