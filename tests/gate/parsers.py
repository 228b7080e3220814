"""Everything that reads what others wrote: with what it may raise, how long it may take, and what it is fed.

Texts, files and updates here are invented; files are true ones with bytes changed, since what is nonsense from its first
byte on is refused at once.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import strategies as st
from hypothesis.strategies import SearchStrategy
from telegram import Bot

from bot.chat.calendar.entry_lines import read_lines
from bot.chat.language import Known, place_lines, spans, understand
from bot.chat.language.cries import cries, fire, sounds_like_a_cry
from bot.chat.language.line_tokens import Wrong
from bot.chat.language.replies import reply
from bot.chat.language.statements import half_said
from bot.chat.language.topics import nearest, wanted
from bot.chat.wire import updates
from bot.chat.wire.inbox import chat_of
from bot.config import SettingsError, read
from bot.core.weather.forecast import ForecastError
from bot.crops import loader
from bot.crops.own import OwnCropError, from_toml
from bot.forecasts import cap
from bot.i18n import say
from bot.services.calendar.ical_in import read_ical
from bot.services.garden.file_reading import read_here
from bot.services.garden.received_files import Bundle
from bot.services.garden.records.from_xlsx import write_xlsx
from bot.services.weather import logged
from tests.benchmarks.bench_sentences import garden
from tests.open_data import ROOT

__all__ = ["PARSERS", "Parser"]

NOW = datetime(2026, 5, 5, 9, 0, tzinfo=UTC)
TODAY, LONDON = NOW.date(), ZoneInfo("Europe/London")
#: What may take its time, since it runs in a process of its own.
APART_MS, HERE_MS = 5_000.0, 200.0


@dataclass(frozen=True, slots=True)
class Parser:
    """read: must return, or raise one of `may_raise`, within most_ms of processor time."""

    fed: SearchStrategy[Any]
    read: Callable[[Any], object]
    may_raise: tuple[type[Exception], ...] = ()
    most_ms: float = HERE_MS


_LIST = (
    "planted sowed watered potted harvested lost 12 3 kg of beans peas tomatoes lettuces potatoes in bed pot tunnel 1 2 "
    "and to not don't will did yes no done later tomorrow yesterday Friday 9 May 2026 05/06 from until every week at 7 "
    "am pm 19:30 half past frost wind rain key help hurt blood fire who what when how cold is it -3 °C 2½ 1,5 m x l ; , "
    "posadziłam zasiałem podlane fasolę pomidory w grządce jutro wczoraj nie tak zrobione o piątej maja 3 kg i do od"
)
_WORDS = _LIST.split()
_SIGNS = st.text(max_size=300)
TEXTS = st.one_of(
    _SIGNS,
    st.lists(st.sampled_from(_WORDS), max_size=120).map(" ".join),
    st.lists(st.one_of(st.sampled_from(_WORDS), st.text(max_size=6), st.integers().map(str)), max_size=60).map(
        " ".join
    ),
    st.builds(lambda one, n: (one + " ") * n, st.sampled_from(_WORDS), st.integers(1, 150)),
).map(lambda text: text[:1000])  # longer messages are declined unread


def changed(true: bytes) -> SearchStrategy[bytes]:
    """A true file with some stretches of it replaced."""
    edit = st.tuples(st.integers(0, len(true)), st.integers(0, 30), st.binary(max_size=12))

    def apply(edits: list[tuple[int, int, bytes]]) -> bytes:
        data = true
        for at, n, new in edits:
            data = data[:at] + new + data[at + n :]
        return data

    return st.one_of(st.lists(edit, max_size=8).map(apply), st.binary(max_size=600))


def cells(header: str) -> SearchStrategy[bytes]:
    """A CSV with a true first line and any cells below it."""
    cell = st.one_of(st.sampled_from(_WORDS), st.text(max_size=12), st.floats().map(str), st.dates().map(str))
    line = st.lists(cell, max_size=8).map(",".join)
    return st.lists(line, max_size=12).map(lambda lines: "\n".join([header, *lines]).encode("utf-8", "replace"))


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(["id", "chat", "from", "text", "message", "date", "data", "x"]), inner, max_size=5
        )
    ),
    max_leaves=20,
)
_KINDS = ("message", "edited_message", "callback_query", "my_chat_member", "chat_member", "poll")
UPDATES = st.one_of(JSON, st.builds(lambda n, k, body: {"update_id": n, k: body}, JSON, st.sampled_from(_KINDS), JSON))

_ICS = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nBEGIN:VEVENT\r\nUID:a\r\nSUMMARY:Open day\r\nDTSTART:20260628T100000Z\r\n"
    b"DURATION:PT2H\r\nRRULE:FREQ=WEEKLY;COUNT=5;BYDAY=SA\r\nEXDATE:20260705T100000Z\r\nEND:VEVENT\r\n"
    b"BEGIN:VEVENT\r\nUID:b\r\nSUMMARY:Sow\r\nDTSTART;VALUE=DATE:20260503\r\nDTEND;VALUE=DATE:20260506\r\n"
    b"END:VEVENT\r\nEND:VCALENDAR\r\n"
)
_PLACES = "name,kind,length_m,width_m,volume_l,shared\nBed 1,bed,3,1.2,,yes\nPot 1,container,,,30,no\n"
_PLANTINGS = "crop,place,count,stage,sown_on\nbeans,Bed 1,12,planted out,2026-04-01\n"
_TOML = b'[oca]\nlike = "potato"\nname_en = "Oca"\nsow_indoors = [60, 80]\n'
_LOG = b"time,thermometer,reading\n2026-05-04T22:00,Shed,3.5\n04.05.2026 23:00,Shed,2,5\n"
_HISTORY = b'{"version": 1, "journal": [{"written_at": "2026-05-01T10:00:00+00:00", "action": "watered"}]}'


def zipped(**files: str) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, text in files.items():
            packed.writestr(f"{name}.csv", text)
    return stream.getvalue()


_XLSX = write_xlsx({"places": [line.split(",") for line in _PLACES.split()]})


@cache
def _known(language: str) -> Known:
    return Known.of(say(language, "Europe/London"), garden(), loader.load(), ())


def _sentence(language: str) -> Callable[[str], object]:
    def heard(text: str) -> object:
        voice, known = say(language, "Europe/London"), _known(language)
        return (
            cries(voice, text), sounds_like_a_cry(voice, text), fire(text, voice, to_us=True), reply(voice, text),
            understand(text, voice, known, TODAY), wanted(text, voice, known), half_said(text, voice, known),
            nearest(text, voice),
        )  # fmt: skip

    return heard


def _sent(name: str) -> Callable[[bytes], object]:
    return lambda data: read_here(Bundle(((name, data),), say("en", "Europe/London"), NOW))


def _update(found: Any) -> object:
    body = json.loads(json.dumps(found))
    updates.kind_of(body)
    chat_of(body)
    return updates.read(body, Bot("1:none"))


def _settings(values: dict[str, str]) -> object:
    return read(values | {"GATEPOST_DATABASE_URL": "sqlite+aiosqlite:////srv/x.sqlite3"})


_CAP = (ROOT / "tests/forecasts/data/cap-oasis-thunderstorm.xml").read_bytes()
_FEED = (
    b'<feed xmlns="http://www.w3.org/2005/Atom"><entry><link href="a.cap" type="application/cap+xml"/></entry></feed>'
)
_NAMES = ("GATEPOST_TOKEN", "GATEPOST_WEB", "GATEPOST_WEBHOOK", "GATEPOST_METRICS", "GATEPOST_BACKUPS_KEPT",
          "GATEPOST_BOT_API_URL", "GATEPOST_WARNINGS", "GATEPOST_CONTACT")  # fmt: skip
_VALUES = st.one_of(st.text(max_size=30), st.sampled_from(["https://[", "https://x:99999999/", "a:b:1", "http://\0"]))
#: Whatever reading an update raises puts it aside by its kind; it must not take long.
_ANY = (Exception,)

PARSERS: dict[str, Parser] = {
    "sentences, English": Parser(TEXTS, _sentence("en")),
    "sentences, Polish": Parser(TEXTS, _sentence("pl")),
    "days": Parser(TEXTS, lambda text: spans.coming(text, say("en", "UTC"), TODAY), (Wrong,)),
    "days, Polish": Parser(TEXTS, lambda text: spans.coming(text, say("pl", "UTC"), date(2027, 12, 31)), (Wrong,)),
    "places in a line": Parser(TEXTS, lambda text: place_lines.read(text, say("en", "UTC"))),
    "calendar lines": Parser(TEXTS, lambda text: read_lines(text, say("en", "UTC"), loader.load(), TODAY)),
    "iCalendar": Parser(changed(_ICS), lambda data: read_ical(data, LONDON, TODAY)),
    "sent: CSV of places": Parser(
        changed(_PLACES.encode()) | cells("name,kind,length_m,width_m,volume_l,shared"), _sent("places.csv"),
        most_ms=APART_MS,
    ),
    "sent: CSV of plantings": Parser(
        changed(_PLANTINGS.encode()) | cells("crop,place,count,stage,sown_on"), _sent("plantings.csv"), most_ms=APART_MS
    ),
    "sent: CSV of a calendar": Parser(cells("date,title,crop"), _sent("calendar.csv"), most_ms=APART_MS),
    "sent: workbook": Parser(changed(_XLSX), _sent("all.xlsx"), most_ms=APART_MS),
    "sent: ZIP": Parser(changed(zipped(places=_PLACES, plots="name\nPlot 1\n")), _sent("all.zip"), most_ms=APART_MS),
    "sent: history": Parser(changed(_HISTORY), _sent("history.json"), most_ms=APART_MS),
    "own crops (TOML)": Parser(changed(_TOML), from_toml, (OwnCropError,)),
    "readings (CSV)": Parser(
        changed(_LOG) | cells("time,thermometer,reading,minimum"),
        lambda data: (logged.is_log(data), logged.lines_of("readings", data, LONDON, say("en", "Europe/London"))),
    ),
    "official warnings (CAP)": Parser(
        changed(_CAP), lambda data: cap.parse(data.decode("utf-8", "replace")), (ForecastError,)
    ),
    "feeds of warnings": Parser(
        changed(_FEED), lambda data: cap.links(data.decode("utf-8", "replace"), "https://a.example/"), (ForecastError,)
    ),
    "updates": Parser(UPDATES, _update, _ANY),
    "settings": Parser(st.dictionaries(st.sampled_from(_NAMES), _VALUES), _settings, (SettingsError,)),
}  # fmt: skip
