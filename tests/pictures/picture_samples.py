"""Invented nights, a calendar and a sheet of the garden Teasel Lane, and a right-to-left voice."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from babel import Locale

from bot.core.calendar.entry import EntryKind
from bot.core.weather.ground import NightKind
from bot.core.weather.night import Night
from bot.core.weather.odds import Estimate
from bot.core.weather.timeline import Day
from bot.i18n import LANGUAGES, Say, say
from bot.pictures.outlook import Outlook, Threshold
from bot.pictures.season import Season, SeasonEntry
from bot.pictures.wall import Wall

LONDON = ZoneInfo("Europe/London")
ENGLISH = Say("en", LONDON)
POLISH = Say("pl", ZoneInfo("Europe/Warsaw"), "km/h")
FIRST = date(2026, 5, 5)
GROUND_C = (-0.4, -2.3, -3.1, 2.5, 4.1, 5.6, 2.2, 0.8, 1.0, 4.0)


#: Every language that is spoken.
SPOKEN = [say(code, "Europe/London") for code in LANGUAGES]


class Arabic(Say):
    """Arabic days and direction, though no catalogue speaks it."""

    @property
    def locale(self) -> Locale:
        return Locale("ar")


ARABIC = Arabic("ar", LONDON, "km/h")


def night(on: date, ground_c: float, sd_c: float = 1.2) -> Night:
    sunset_at = datetime.combine(on, time(19, 40), UTC)
    sunrise_at = sunset_at + timedelta(hours=9)
    return Night(
        evening_on=on,
        sunset_at=sunset_at,
        sunrise_at=sunrise_at,
        hours_covered=9,
        forecast_min_c=ground_c + 3,
        coldest_at=sunrise_at,
        wind_ms=2.0,
        cloud_pct=20.0,
        kind=NightKind.RADIATION,
        lead_h=30.0,
        untaught_c=ground_c + 3,
        dusk_c=None,
        air=Estimate(ground_c + 3, sd_c),
        ground=Estimate(ground_c, sd_c * 1.3),
    )


def outlook(
    say: Say = ENGLISH,
    ground_c: Sequence[float | None] = GROUND_C,
    thresholds: Sequence[tuple[str, float]] = (("potato shoots", -1.0), ("beans", 0.0), ("peppers and tomatoes", 4.0)),
    *,
    garden: str = "Teasel Lane",
    gust_ms: float | None = 17.0,
    dark: bool = False,
) -> Outlook:
    days = [FIRST + timedelta(days=index) for index in range(len(ground_c))]
    return Outlook(
        say=say,
        garden=garden,
        issued_at=datetime(2026, 5, 5, 5, 0, tzinfo=UTC),
        nights=tuple(night(on, low_c) for on, low_c in zip(days, ground_c, strict=True) if low_c is not None),
        days=tuple(Day(on, None, None, gust_ms, None, 24) for on in days),
        thresholds=tuple(Threshold(label, at_c) for label, at_c in thresholds),
        dark=dark,
    )


def entry(text: str, kind: EntryKind, *times: tuple[str, str]) -> SeasonEntry:
    return SeasonEntry(
        text, kind, tuple((date.fromisoformat(first), date.fromisoformat(last)) for first, last in times)
    )


ENTRIES = (
    entry("Sow peppers and tomatoes indoors", EntryKind.SOW, ("2026-03-02", "2026-03-29")),
    entry("Work day, bring gloves", EntryKind.WORK, *((f"2026-{month:02}-07",) * 2 for month in range(3, 11))),
    entry("Plant out runner beans", EntryKind.PLANT_OUT, ("2026-05-16", "2026-05-24")),
    entry("Dig main crop potatoes", EntryKind.HARVEST, ("2026-08-20", "2026-09-15")),
)


def season(
    say: Say = ENGLISH,
    entries: Sequence[SeasonEntry] = ENTRIES,
    *,
    span: tuple[str, str] = ("2026-02-01", "2026-11-30"),
    dark: bool = False,
) -> Season:
    first, last = span
    return Season(say, "Teasel Lane", date.fromisoformat(first), date.fromisoformat(last), tuple(entries), dark)


WALL = Wall(
    say=ENGLISH,
    garden="Teasel Lane",
    printed_on=FIRST,
    warnings=("Frost at the ground on Wed 6 May, about −3 °C: cover by 20:15.",),
    jobs=("Cover pots 3, 5 and 7 by 20:15 on Wed 6 May: Farah and Callum", "Uncover them on Thu 7 May: Ines"),
    on_call=("Wed 6 May, evening: Farah, Callum",),
    calendar=("Sat 9 May, 10:00: work day, bring gloves",),
)
