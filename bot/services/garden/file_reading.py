"""Files that were sent to the bot: told apart by what is in them, unpacked within bounds, read. For the worker alone."""

from __future__ import annotations

import contextlib
import io
import re
import resource
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import PurePath

from bot.crops import loader
from bot.crops.own import FILE as OWN_CROPS
from bot.services.calendar.csv_in import read_sheet
from bot.services.calendar.ical_in import read_ical
from bot.services.garden.received_files import Bundle, Received
from bot.services.garden.records.columns import FILES
from bot.services.garden.records.from_xlsx import read_xlsx
from bot.services.garden.records.history import NAME as HISTORY
from bot.services.garden.records.importing import read_records
from bot.services.garden.records.problems import Problems
from bot.services.garden.records.sheet import table_name

_MOST_FILES, _MOST_UNPACKED = 50, 50_000_000
_MEMORY = 1_500_000_000  # bytes of address space; a garden's workbook needs a tenth of it
_OLD = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"  # a compound file: an old workbook, or a new one under a password
_LOCKED = "EncryptedPackage".encode("utf-16-le")  # the stream that holds it, [MS-OFFCRYPTO] 2.3.4.4
_ZIP = b"PK\x03\x04"
_PICTURES = (b"\xff\xd8\xff", b"\x89PNG", b"GIF8", b"%PDF", b"RIFF")


def read_here(bundle: Bundle) -> Received:
    """Everything of a bundle, in this process, whose memory it bounds."""
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_AS, (_MEMORY, _MEMORY))
    problems = Problems(bundle.say)
    records: dict[str, tuple[str, bytes]] = {}
    calendars: dict[str, tuple[str, bytes]] = {}
    for name, data in bundle.files:
        for kind, inner, content in _told_apart(name, data, problems):
            place = calendars if kind == "calendar" else records
            place[table_name(PurePath(inner).stem) + PurePath(inner).suffix] = (inner, content)
    tables, more = read_records(dict(records.values()), bundle.say, bundle.now, read_xlsx)
    problems.found += more.found
    found = Received(tables, problems, bool(records) or bool(problems.found), bool(calendars))
    for name, data in calendars.values():
        _calendar(name, data, bundle, found)
    return found


def _told_apart(name: str, data: bytes, problems: Problems, depth: int = 0) -> Iterator[tuple[str, str, bytes]]:
    """(kind, name with the ending that fits what is inside, content) of each file; what cannot be read is said."""
    say, path = problems.say, PurePath(name)
    if data.startswith(_OLD):
        if _LOCKED in data:
            problems.add(say.gettext("has a password; save it without one and send it again"), name)
        else:
            problems.add(say.gettext("is an old kind of spreadsheet; save it as .xlsx or CSV and send that"), name)
    elif data.startswith(_ZIP):
        yield from _unpacked(name, data, problems, depth)
    elif data.lstrip(b"\xef\xbb\xbf \r\n\t")[:15].upper().startswith(b"BEGIN:VCALENDAR"):
        yield "calendar", str(path.with_suffix(".ics")), data
    elif data.startswith(_PICTURES) or path.suffix.lower() in (".pdf", ".doc", ".docx", ".jpg", ".png"):
        problems.add(say.gettext("is a kind of file that I cannot read; save it as .xlsx or CSV"), name)
    elif path.name == HISTORY or path.suffix.lower() == ".toml":
        yield "records", name if path.name == HISTORY else OWN_CROPS, data
    elif not data.strip():
        problems.add(say.gettext("is empty; its first line must name the columns"), name)
    elif path.suffix.lower() == ".ics":
        yield "calendar", name, data
    else:
        csv = str(path.with_suffix(".csv"))
        yield "calendar" if _is_calendar(path.stem, data) else "records", csv, data


def _is_calendar(stem: str, data: bytes) -> bool:
    """A sheet of calendar entries: called so, or with a day and a title in its first line."""
    table = table_name(stem)
    if table in FILES:
        return False
    head = data[:400].replace(b"\0", b"").decode("latin-1").splitlines()
    names = {cell.strip(" \"'\xef\xbb\xbf").casefold() for cell in re.split(r"[,;\t]", head[0])} if head else set()
    return {"date", "title"} <= names


def _unpacked(name: str, data: bytes, problems: Problems, depth: int) -> Iterator[tuple[str, str, bytes]]:
    """A workbook as it is, a zip file's files; nothing larger than it may be is ever unpacked."""
    say = problems.say
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            parts = [part for part in packed.infolist() if _is_file(part.filename)]
            if any(part.filename == "xl/workbook.xml" for part in packed.infolist()):
                yield "records", str(PurePath(name).with_suffix(".xlsx")), data
                return
            if any(part.flag_bits & 1 for part in parts):
                problems.add(say.gettext("has a password; save it without one and send it again"), name)
            elif len(parts) > _MOST_FILES or sum(part.file_size for part in parts) > _MOST_UNPACKED or depth:
                problems.add(say.gettext("has too many or too big files in it; send them one by one"), name)
            elif not parts:
                problems.add(say.gettext("has no files in it"), name)
            else:
                for part in parts:
                    with packed.open(part) as stream:  # never more than it says: the size was checked above
                        content = stream.read(_MOST_UNPACKED)
                    yield from _told_apart(PurePath(part.filename).name, content, problems, depth + 1)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, ValueError, RuntimeError, zlib.error):
        problems.add(say.gettext("is damaged; make it again and send that"), name)


def _is_file(name: str) -> bool:
    """Not a folder, nor what a computer adds of its own."""
    path = PurePath(name)
    return not name.endswith("/") and not path.name.startswith(".") and "__MACOSX" not in path.parts


def _calendar(name: str, data: bytes, bundle: Bundle, found: Received) -> None:
    say, today = bundle.say, bundle.say.local(bundle.now).date()
    if name.lower().endswith(".ics"):
        incoming = read_ical(data, say.zone, today)
        found.entries += incoming.entries
        found.sequences.update(incoming.sequences or {})
        found.cancelled += incoming.cancelled
        found.remarks += incoming.remarks
        return
    sheet = read_sheet(name, data, loader.load(), say, today)
    found.entries += sheet.entries
    found.calendar_problems += sheet.problems
