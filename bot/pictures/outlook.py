"""What the picture of the coming nights shows, and the same in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from bot.core.weather.night import Night
from bot.core.weather.timeline import Day
from bot.i18n import Say
from bot.pictures.looks import has_room

MOST_NIGHTS = 10
MOST_THRESHOLDS = 4


@dataclass(frozen=True, slots=True)
class Threshold:
    """A ground temperature below which something in the open is harmed. label: already worded, such as "potatoes"."""

    label: str
    threshold_c: float


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the picture. night: None when it is not known; gust_ms: the day's greatest, None when not known."""

    on: date
    night: Night | None
    gust_ms: float | None


@dataclass(frozen=True, slots=True)
class Outlook:
    """garden: its name. issued_at: of the forecast, aware UTC, None when the service does not say."""

    say: Say
    garden: str
    issued_at: datetime | None
    nights: tuple[Night, ...]
    days: tuple[Day, ...]
    thresholds: tuple[Threshold, ...] = ()
    dark: bool = False

    def rows(self) -> tuple[Row, ...]:
        """A row for each evening from the first known night to the last, at most MOST_NIGHTS. No nights: no rows."""
        nights = {night.evening_on: night for night in self.nights}
        if not nights:
            return ()
        gusts_ms = {day.on: day.gust_max_ms for day in self.days}
        count_n = min((max(nights) - min(nights)).days + 1, MOST_NIGHTS)
        evenings = [min(nights) + timedelta(days=index) for index in range(count_n)]
        return tuple(Row(on, nights.get(on), gusts_ms.get(on)) for on in evenings)

    def shown(self) -> tuple[Threshold, ...]:
        """One threshold a temperature, coldest first, those that share it named together; at most MOST_THRESHOLDS.

        The warmest are left out first: what they guard is known to be in danger anyway.
        """
        labels: dict[float, list[str]] = {}
        for one in sorted(self.thresholds, key=lambda one: one.threshold_c):
            labels.setdefault(one.threshold_c, []).append(one.label)
        merged = [Threshold(self.say.and_list(words), at_c) for at_c, words in labels.items()]
        return tuple(merged[:MOST_THRESHOLDS])


def caption(outlook: Outlook) -> str:
    """The picture in whole sentences, for those who cannot see it; thresholds as far as there is room for them."""
    say, rows = outlook.say, outlook.rows()
    known = [row.night for row in rows if row.night is not None]
    if not known:
        return say.gettext("{garden}: I do not know any night well enough to show it.", garden=outlook.garden)
    sentences = [_span(outlook, len(known)), _coldest(say, min(known, key=lambda night: night.ground.mean_c))]
    windy = [row for row in rows if row.gust_ms is not None]
    if windy:
        sentences.append(_windiest(say, max(windy, key=lambda row: row.gust_ms or 0.0)))
    said = " ".join(sentences)
    borne: dict[int, list[str]] = {}
    for one in outlook.shown():
        thing = say.gettext("{label} ({limit})", label=one.label, limit=say.celsius_exact(one.threshold_c))
        borne.setdefault(sum(night.ground.mean_c < one.threshold_c for night in known), []).append(thing)
    for count_n, things in sorted(borne.items(), key=lambda pair: (pair[0] == 0, pair[0])):
        longer = f"{said} {_borne(say, count_n, things)}"
        said = longer if has_room(longer) else said
    return said


def _span(outlook: Outlook, count_n: int) -> str:
    return outlook.say.ngettext(
        "{garden}: the coming night, in the air and at the ground.",
        "{garden}: the coming {n} nights, in the air and at the ground.",
        count_n,
        garden=outlook.garden,
    )


def _coldest(say: Say, night: Night) -> str:
    low_c, high_c = night.ground.band()
    return say.gettext(
        "The coldest night is {day}. At the ground most likely {ground}, 9 times in 10 between {low} and "
        "{high}. In the air {air}.",
        day=say.day(night.evening_on),
        ground=say.celsius(night.ground.mean_c),
        low=say.celsius(low_c),
        high=say.celsius(high_c),
        air=say.celsius(night.air.mean_c),
    )


def _windiest(say: Say, row: Row) -> str:
    return say.gettext("Strongest gust: {wind} on {day}.", wind=say.wind(row.gust_ms or 0.0), day=say.day(row.on))


def _borne(say: Say, count_n: int, things: list[str]) -> str:
    """What so many nights are too cold for, each thing with the least it bears."""
    if not count_n:
        return say.gettext("No night is likely to be too cold in the open for {things}.", things=say.and_list(things))
    return say.ngettext(
        "{n} night is likely to be too cold in the open for {things}.",
        "{n} nights are likely to be too cold in the open for {things}.",
        count_n,
        things=say.and_list(things),
    )
