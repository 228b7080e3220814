"""One look at a garden at one moment: its records, its crop rules, its forecast, and what that forecast does to it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core import assumed as core_assumed
from bot.core import cold, hazards, learn
from bot.core.alerts import Quiet, Threat, continued, gather
from bot.core.assumed import Assumed
from bot.core.closed import kept_in
from bot.core.cold import Day, Night
from bot.core.crop import Crop
from bot.core.forecast import Forecast
from bot.core.garden import Garden
from bot.core.hazard_cold import may_stay
from bot.core.hazards import Finding, Hazard, Severity
from bot.core.place_state import State
from bot.core.stages import Reached, Warmth, reckoned
from bot.services import by_hand, frosted, past_warmth, readings, reported, rules, weather
from bot.services.daily import record
from bot.storage import gardens, jobs, warnings
from bot.storage.models import Garden as GardenRow

__all__ = ["Outlook", "look", "quiet", "with_called"]


#: A look at the same records and the same forecast is not reckoned anew within this time.
STILL_GOOD = timedelta(minutes=5)


@dataclass(frozen=True, slots=True)
class Outlook:
    """forecast is None when there is none that reaches past the coming night; then only calls by hand have findings.

    garden: with every batch at the stage that it has reached, and each place as it stands until further word; states: what
    was put on or carried in for a while beside that, by place id; reached: those whose stage was reckoned, by planting id.
    called: the nights that organisers expect; nights are the forecast's alone. killed: what an earlier frost has ended,
    and its day, by planting id. picked: what was picked before a frost.
    """

    garden: Garden
    crops: Mapping[str, Crop]
    forecast: Forecast | None
    nights: tuple[Night, ...]
    days: tuple[Day, ...]
    findings: tuple[Finding, ...]
    threats: tuple[Threat, ...]
    called: tuple[Night, ...] = ()
    reached: Mapping[int, Reached] = field(default_factory=dict)
    states: Mapping[int, State] = field(default_factory=dict)
    killed: Mapping[int, date] = field(default_factory=dict)
    picked: frozenset[int] = frozenset()

    @property
    def gone(self) -> frozenset[int]:
        """Plantings for which nobody is sent out in the cold again."""
        return self.picked | frozenset(self.killed)

    def stay(self, hazard: Hazard, window_on: date) -> tuple[str, ...]:
        """Keys of crops in the open that a night's cold asks nothing for, and that surely stand it."""
        if hazard is not Hazard.COLD:
            return ()
        asked = tuple(found for found in self.findings if found.window_on == window_on)
        asked_crops = {
            planting.crop for planting in self.garden.plantings if planting.id in {one.planting_id for one in asked}
        }
        nights = [night for night in (*self.called, *self.nights) if night.evening_on == window_on]
        staying = [one for one in may_stay(self.garden, self.crops, asked, nights) if one.id not in self.gone]
        return tuple(sorted({one.crop for one in staying} - asked_crops)) if nights else ()


async def look(session: AsyncSession, row: GardenRow, source: weather.Source, now: datetime) -> Outlook:
    """Everything that decisions at `now` rest on."""
    crops = await rules.of_garden(session, row.id)
    forecast = await weather.current(session, row, source, now)
    recorded = await gardens.snapshot(session, row)
    states = await reported.states(session, recorded, now)
    recorded = await _as_reported(session, row, reported.as_it_stands(recorded, states), now)
    known = await past_warmth.since_sowing(session, recorded, crops)
    today = now.astimezone(row.tz).date()
    garden, reached = _as_reached(recorded, crops, today, known)
    killed = await frosted.killed(session, row, garden, crops, now)
    picked = await frosted.picked(session, row, garden, now)
    assumed = await by_hand.assumed(session, row.id, now)
    if forecast is None:
        unseen = Outlook(
            garden, crops, None, (), (), (), (), reached=reached, states=states, killed=killed, picked=picked
        )
        return with_called(unseen, assumed, now)
    correction = await readings.learned(session, row)
    garden = await readings.with_taught_places(session, row, garden, today)
    gone = picked | frozenset(killed)
    seen = replace(_reckoned(garden, crops, forecast, correction, gone, states, now), reached=reached, killed=killed)
    found = with_called(replace(seen, picked=picked), assumed, now)
    spells = await warnings.spells(session, row.id) if any(one.hazard is Hazard.WIND for one in found.threats) else ()
    return replace(found, threats=continued(found.threats, spells)) if spells else found


def with_called(outlook: Outlook, assumed: Assumed, now: datetime) -> Outlook:
    """The outlook with what organisers expect beside the forecast."""
    if assumed == Assumed():
        return outlook
    called = core_assumed.threatened(
        outlook.garden, outlook.crops, outlook.forecast, assumed, now, outlook.gone, outlook.states
    )
    site = cold.Site.of(outlook.garden)
    found = kept_in(core_assumed.merged(outlook.findings, called), assumed.closed, site, now)
    nights = tuple(core_assumed.night(site, one) for one in assumed.nights)
    return replace(outlook, called=nights, findings=found, threats=gather(_worth_a_call(found)))


def _worth_a_call(found: Sequence[Finding]) -> Iterator[Finding]:
    """What the group is warned of: a warm day under glass is work for the week's list, only a hot one is an event."""
    return (one for one in found if one.hazard is not Hazard.HEAT or one.severity is not Severity.SLIGHT)


#: What each garden's stages were last reckoned from, and what came of it.
_REACHED: dict[int, tuple[tuple[Garden, Mapping[str, Crop], date, Warmth], tuple[Garden, dict[int, Reached]]]] = {}


def _as_reached(
    recorded: Garden, crops: Mapping[str, Crop], today: date, known: Warmth
) -> tuple[Garden, dict[int, Reached]]:
    """Every batch at the stage that it has reached; reckoned anew only when something has changed."""
    given = recorded, crops, today, known
    last = _REACHED.get(recorded.id)
    if last is not None and last[0] == given:
        return last[1]
    found = reckoned(recorded, crops, today, known)
    _REACHED[recorded.id] = given, found
    return found


#: The last outlook of each garden: most looks follow each other with nothing changed.
_LAST: dict[int, tuple[Outlook, learn.Correction, frozenset[int], datetime]] = {}


def _reckoned(
    garden: Garden,
    crops: Mapping[str, Crop],
    forecast: Forecast,
    correction: learn.Correction,
    gone: frozenset[int],
    states: Mapping[int, State],
    now: datetime,
) -> Outlook:
    last = _LAST.get(garden.id)
    if last is not None:
        outlook, taught, ended, reckoned_at = last
        known = garden, forecast, correction, crops, gone, states
        same = (outlook.garden, outlook.forecast, taught, outlook.crops, ended, outlook.states) == known
        if same and timedelta(0) <= now - reckoned_at < STILL_GOOD:
            return outlook
    nights = cold.nights(forecast, cold.Site.of(garden), correction, now)
    found = hazards.findings(garden, crops, nights, forecast, now, gone, states)
    days = cold.days(forecast, ZoneInfo(garden.zone))
    outlook = Outlook(garden, crops, forecast, nights, days, found, gather(_worth_a_call(found)), states=states)
    _LAST[garden.id] = outlook, correction, gone, now
    return outlook


async def _as_reported(session: AsyncSession, row: GardenRow, garden: Garden, now: datetime) -> Garden:
    """The garden with its houses open that were reported so, or perhaps are, and its pots that have been fastened."""
    today = now.astimezone(row.tz).date()
    opened, fastened = await record.stand_open(session, row, today), await jobs.fastened(session, row.id, today)
    if not opened and not fastened:
        return garden
    places = tuple(
        replace(place, stands_open=place.id in opened, fastened=place.id in fastened) for place in garden.places
    )
    return replace(garden, places=places, place_by_id={})


def quiet(row: GardenRow) -> Quiet:
    return Quiet(row.quiet_from_h, row.quiet_to_h, row.zone)
