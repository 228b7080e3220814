"""Files that were sent to the bot, read by `receiving` in a worker process, and what comes back from there."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from bot import worker
from bot.core.calendar.entry import Entry
from bot.i18n import Say
from bot.services.calendar.remarks import Remark
from bot.services.garden.records.files import Tables
from bot.services.garden.records.problems import Problem, Problems
from bot.services.garden.records.sheet import MOST_BYTES

__all__ = ["MOST_BYTES", "Bundle", "Received", "read"]


@dataclass(frozen=True, slots=True)
class Bundle:
    """Files by name, in the order in which they came; of two that hold the same table the later counts."""

    files: tuple[tuple[str, bytes], ...]
    say: Say
    now: datetime


@dataclass(slots=True)
class Received:
    """tables, problems: the records, for `import_tables`. calendar: whether any file is one; entries of all of them.

    calendar_problems: lines of calendar sheets that could not be read. has_records: whether any file is for the records.
    """

    tables: Tables
    problems: Problems
    has_records: bool = False
    has_calendar: bool = False
    entries: list[Entry] = field(default_factory=list)
    sequences: dict[str, int] = field(default_factory=dict)
    cancelled: list[str] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    calendar_problems: list[Problem] = field(default_factory=list)


async def read(bundle: Bundle) -> Received:
    """Read in a process of its own, which ends with it. Raises WorkerFailed; may simply be tried again."""
    return await worker.run("file", "bot.services.garden.file_reading:read_here", bundle, Received)
