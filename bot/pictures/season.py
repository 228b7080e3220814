"""What the picture of the seasonal calendar shows, and the same in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from bot.core.calendar.entry import EntryKind
from bot.i18n import Say
from bot.pictures.looks import has_room, more

MOST_ENTRIES = 10
MOST_MONTHS = 12
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class SeasonEntry:
    """text: as its organiser wrote it. times: first and last day of each time, both included, ascending."""

    text: str
    kind: EntryKind
    times: tuple[tuple[date, date], ...]


@dataclass(frozen=True, slots=True)
class Season:
    """first_on, last_on: the days that the picture spans, at most MOST_MONTHS months touched.

    Raises ValueError when the span is too long or turned round.
    """

    say: Say
    garden: str
    first_on: date
    last_on: date
    entries: tuple[SeasonEntry, ...]
    dark: bool = False

    def __post_init__(self) -> None:
        if not self.first_on <= self.last_on or len(self.months()) > MOST_MONTHS:
            span = f"{self.first_on} to {self.last_on}"
            raise ValueError(f"a season from {span}: expected first day to last, at most {MOST_MONTHS} months touched")

    def months(self) -> tuple[date, ...]:
        """The first day of each month touched."""
        count_n = (self.last_on.year - self.first_on.year) * 12 + self.last_on.month - self.first_on.month + 1
        numbers = (self.first_on.month - 1 + index for index in range(count_n))
        return tuple(date(self.first_on.year + number // 12, number % 12 + 1, 1) for number in numbers)

    def shown(self) -> tuple[SeasonEntry, ...]:
        """The entries with a time within the span, by first day; at most MOST_ENTRIES."""
        return tuple(self._within()[:MOST_ENTRIES])

    @property
    def left_out_n(self) -> int:
        return len(self._within()) - len(self.shown())

    def _within(self) -> list[SeasonEntry]:
        cut = (SeasonEntry(one.text, one.kind, self._times(one)) for one in self.entries)
        return sorted((one for one in cut if one.times), key=lambda one: (one.times[0], one.text))

    def _times(self, entry: SeasonEntry) -> tuple[tuple[date, date], ...]:
        return tuple(time for time in entry.times if time[0] <= self.last_on and time[1] >= self.first_on)


def weeks(first_on: date, last_on: date, first_weekday: int) -> tuple[date, date]:
    """First and last day of the weeks that a stretch touches. first_weekday: 0 for Monday to 6 for Sunday."""
    back = (first_on.weekday() - first_weekday) % 7
    ahead = (first_weekday - 1 - last_on.weekday()) % 7
    return first_on - back * _DAY, last_on + ahead * _DAY


def when(say: Say, entry: SeasonEntry) -> str:
    """The days of an entry in words; of one that comes again, its first and how many more."""
    first_on, last_on = entry.times[0]
    words = say.day(first_on)
    if last_on != first_on:
        words = say.days(first_on, last_on)
    more_n = len(entry.times) - 1
    if not more_n:
        return words
    return say.ngettext("{days}, and {n} time more", "{days}, and {n} times more", more_n, days=words)


def caption(season: Season) -> str:
    """The picture in whole sentences, for those who cannot see it; as many entries as a phone shows at once."""
    say, shown = season.say, season.shown()
    first, last = say.long_day(season.first_on), say.long_day(season.last_on)
    said = say.gettext("Calendar of {garden}, {first} to {last}.", garden=season.garden, first=first, last=last)
    if not shown:
        return said + " " + say.gettext("Nothing planned yet.")
    for index, entry in enumerate(shown):
        sentence = say.gettext("{days}: {entry}.", days=when(say, entry), entry=entry.text.rstrip("."))
        rest = len(shown) - index - 1 + season.left_out_n
        longer = f"{said} {sentence}"
        if not has_room(f"{longer} {more(say, rest)}" if rest else longer):
            return f"{said} {more(say, rest + 1)}"
        said = longer
    return f"{said} {more(say, season.left_out_n)}" if season.left_out_n else said
