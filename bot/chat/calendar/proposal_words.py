"""A proposed season in words, each entry with its reason, and what the forecast says against the calendar."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from bot.chat import names
from bot.chat.calendar.calendar_words import bounded, line
from bot.chat.html import bold
from bot.core.calendar.entry import Entry, EntryKind, Occurrence
from bot.core.calendar.proposal import Because, Proposal, Proposed, Reason
from bot.core.calendar.weather_conflicts import Contradiction, Trouble
from bot.core.growing.crop import Crop, Days
from bot.core.growing.succession import Where
from bot.i18n import Say

__all__ = ["SHOWN", "against", "one_reason", "proposed", "title", "whose_days"]

SHOWN = 12


def title(say: Say, crops: Mapping[str, Crop], one: Proposed) -> str:
    """What the entry is called once it is taken, plain text."""
    crop = names.crop(say, crops, one.crop)
    if one.kind is EntryKind.SOW:
        return {
            Where.INDOORS: say.gettext("Sow indoors: {crop}", crop=crop),
            Where.UNDER_COVER: say.gettext("Sow under cover: {crop}", crop=crop),
            Where.OUTDOORS: say.gettext("Sow outdoors: {crop}", crop=crop),
        }[one.where or Where.OUTDOORS]  # fmt: skip
    return {
        EntryKind.CHIT: say.gettext("Let sprout (chit): {crop}", crop=crop),
        EntryKind.PLANT: say.gettext("Plant: {crop}", crop=crop),
        EntryKind.HARDEN_OFF: say.gettext("Harden off: {crop}", crop=crop),
        EntryKind.PLANT_OUT: say.gettext("Plant out: {crop}", crop=crop),
        EntryKind.HARVEST: say.gettext("First harvest: {crop}", crop=crop),
    }[one.kind]


def whose_days(say: Say, days: Days, *, written_for: bool) -> str | None:
    """Of which place the days are; nothing where they are simply right. written_for: whether the garden lies there."""
    if days is Days.CARRIED:
        return say.gettext("I worked out these days from cold nights near this garden.")
    if days is Days.UNKNOWN:
        return say.gettext(
            "This garden has no cold winter. My rules are only for places with a cold winter. So I give no days to "
            "sow. Ask people who grow here."
        )
    if written_for:
        return None
    return say.gettext(
        "These days are for lowland Britain. Send me past night temperatures from near you (minima.csv). Then the "
        "days will fit your garden."
    )


def proposed(
    say: Say, crops: Mapping[str, Crop], given: Proposal, today: date, whose: str | None = None, *, start: int = 0
) -> str:
    """Entries start+1 to start+SHOWN, numbered as on the buttons, each with why it stands there; whose days they are."""
    parts = [bold(say.gettext("My plan for this season. Tap the entries that you want:"))]
    if whose is not None:
        parts.append(whose)
    for n, one in enumerate(given.entries[start : start + SHOWN], start + 1):
        entry = line(say, _as_occurrence(say, crops, one), today)
        why = " ".join(one_reason(say, reason) for reason in one.reasons)
        parts.append(say.gettext("{number}. {entry}. {why}", number=say.number(n), entry=entry, why=why))
    rest = len(given.entries) - start - SHOWN
    if rest > 0:
        parts.append(say.ngettext("And {n} more.", "And {n} more.", rest))
    if given.too_frosty:
        crop = names.crops(say, crops, given.too_frosty)
        parts.append(
            say.gettext("Too much frost here for these outdoors. Grow them only under cover: {crop}.", crop=crop)
        )
    return bounded(say, parts)


def one_reason(say: Say, reason: Reason) -> str:
    low, high = reason.low or 0.0, reason.high or 0.0
    days = {"low": say.number(low), "high": say.number(high)}
    return {
        Because.WINDOW: say.gettext("The usual season."),
        Because.LAST_FROST: say.gettext("Chance of frost after that: {odds}.", odds=say.in_ten(low)),
        Because.FROSTS_UNKNOWN: say.gettext(
            "Frost kills it. I don't know the frosts in this garden yet. Ask people who have grown here."
        ),
        Because.BEFORE_PLANTING: say.gettext("{low} to {high} days before planting.", **days),
        Because.HARDENING: say.gettext("Hardening takes {low} to {high} days.", **days),
        Because.AFTER_START: say.gettext("{low} to {high} days after the start.", **days),
        Because.FIRST_FROST: say.gettext("Before the first autumn frost. In half of the years it has come by then."),
    }[reason.code]  # fmt: skip


def against(say: Say, crops: Mapping[str, Crop], found: Sequence[Contradiction], today: date) -> str:
    """To the organisers: what the forecast speaks against, and from when it would do."""
    parts = [bold(say.gettext("The weather does not fit the calendar:"))]
    for one in found:
        parts += [line(say, one.occurrence, today), _trouble(say, crops, one, today), _instead(say, one)]
    return bounded(say, parts)


def _trouble(say: Say, crops: Mapping[str, Crop], one: Contradiction, today: date) -> str:
    crop = names.crop(say, crops, one.occurrence.entry.crop or "")
    day = say.day(one.on or today)
    return {
        Trouble.COLD_NIGHT: say.gettext(
            "The night of {day} may damage {crop} outdoors: {odds}.", day=day, crop=crop, odds=say.in_ten(one.odds or 0.0)
        ),
        Trouble.NOT_YET: say.gettext("{crop} should not go out yet.", crop=crop),
        Trouble.GUST: say.gettext("{day}: the wind is too strong for work outdoors.", day=day),
        Trouble.THUNDER: say.gettext("{day}: thunder is likely. Nobody should be outdoors.", day=day),
    }[one.trouble]  # fmt: skip


def _instead(say: Say, one: Contradiction) -> str:
    if one.new_first_on is None:
        return say.gettext("I see no better day yet. I will keep looking.")
    return say.gettext("{day} or later is better. Move it?", day=say.day(one.new_first_on))


def _as_occurrence(say: Say, crops: Mapping[str, Crop], one: Proposed) -> Occurrence:
    entry = Entry(title(say, crops, one), one.kind, one.first_on, one.last_on)
    return Occurrence(entry, one.first_on, one.last_on)
