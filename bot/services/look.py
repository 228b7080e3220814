"""One look at a garden at one moment: its records, its crop rules, its forecast, and what that forecast does to it."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.finding import Called
from bot.core.garden.place_state import State
from bot.core.garden.snapshot import Garden
from bot.core.growing.crop import Crop
from bot.core.growing.stages import Reached, Warmth, reckoned
from bot.core.warnings import assumed as core_assumed
from bot.core.warnings import hazard_cold as core_frosted
from bot.core.warnings import hazards
from bot.core.warnings.alerts import Quiet, Threat, continued, gather
from bot.core.warnings.assumed import Assumed
from bot.core.warnings.hazard_cold import may_stay
from bot.core.warnings.hazards import Finding, Hazard, Severity
from bot.core.warnings.safety import kept_in
from bot.core.weather import cold, learn
from bot.core.weather.forecast import Forecast
from bot.core.weather.night import Night
from bot.core.weather.timeline import Day
from bot.services.garden import place_ledger
from bot.services.growing import rules
from bot.services.tasks.daily import houses_and_hoses
from bot.services.warnings import expected, frosted
from bot.services.weather import garden_forecast, past_days, readings
from bot.storage import read_once, revision
from bot.storage.garden import gardens
from bot.storage.kept import Kept
from bot.storage.models import Garden as GardenRow
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings

_Part = TypeVar("_Part")


#: A look at the same records and the same forecast holds until the next quarter of an hour.
_QUARTER = timedelta(minutes=15)
_NO_REVISION = -1


@dataclass(frozen=True, slots=True)
class Look:
    """forecast is None when there is none that reaches past the coming night; then only calls by hand have findings.

    garden: with every batch at the stage that it has reached, and each place as it stands until further word; states: what
    was put on or carried in for a while beside that, by place id; reached: those whose stage was reckoned, by planting id.
    parts: see `part`.
    called: the nights that organisers expect; nights are the forecast's alone. killed: what an earlier frost has ended,
    and its day, by planting id. picked: what was picked, or left, before a frost, and whether that came, by planting id.
    fallen: those of them whose tops that frost took.
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
    picked: Mapping[int, bool] = field(default_factory=dict)
    fallen: frozenset[int] = frozenset()
    parts: dict[str, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def gone(self) -> frozenset[int]:
        """Plantings for which nobody is sent out in the cold again."""
        return frozenset((*self.picked, *self.killed))

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


#: Revision with the changes of this transaction, quarter of the hour, and where forecasts come from.
_Under = tuple[int, datetime, str]
_Staged = tuple[tuple[Garden, Mapping[str, Crop], date, Warmth], tuple[Garden, dict[int, Reached]]]
_Reckoned = tuple[Look, learn.Correction, tuple[frozenset[int], frozenset[int]], Called, datetime]


@dataclass(frozen=True, slots=True)
class _Last:
    """The last look at a garden, what it was made under, and what its parts were reckoned from. draft: one made since by a
    transaction that had changed something, and perhaps was undone."""

    under: _Under
    recorded: Garden
    forecast: Forecast | None
    outlook: Look
    staged: _Staged
    reckoned: _Reckoned | None
    draft: _Last | None = None


async def look(session: AsyncSession, row: GardenRow, source: garden_forecast.Source, now: datetime) -> Look:
    """Everything that decisions at `now` rest on.

    It is made anew when the garden's records, its forecast or the quarter of the hour has changed; while this transaction
    has changed the records itself, for each change.
    """
    await session.flush()
    kept: Kept[_Last] = session.info["kept"]
    changes = revision.changes(session.sync_session)
    own: dict[int, _Last] = session.info.setdefault("looks", {})
    if not changes:
        own.clear()  # of changes that were rolled back
    read_once.resume(session, row.id, row.revision)
    last = own.get(row.id, kept.get(row.id))
    under = (row.revision + changes, now - (now - datetime.min.replace(tzinfo=UTC)) % _QUARTER, source.setting)
    holds = last is not None and last.under == under and bool(changes) == (row.id in own)
    if last is not None and holds and source.is_stored:
        return last.outlook
    forecast = await garden_forecast.current(session, row, source, now)
    if last is not None and holds and last.forecast == forecast:
        return last.outlook
    made = await _made(session, row, forecast, now, under, last.draft or last if last is not None else None)
    if changes:
        own[row.id] = made
        # Its parts may serve the next look, whatever becomes of this transaction: they are held against what they rest on.
        before = kept.get(row.id)
        kept.put(row.id, replace(before or replace(made, under=(_NO_REVISION, *under[1:])), draft=made))
    else:
        kept.put(row.id, made)
    return made.outlook


async def recorded(session: AsyncSession, row: GardenRow) -> Garden:
    """The garden as it is on record: as the last look found it, where nothing has changed since."""
    await session.flush()
    last: _Last | None = session.info["kept"].get(row.id)
    if last is None or last.under[0] != row.revision or revision.changes(session.sync_session):
        return await gardens.snapshot(session, row)
    return last.recorded


async def part(outlook: Look, name: str, make: Callable[[], Awaitable[_Part]]) -> _Part:
    """What not everyone needs of a look: reckoned when it is first asked for, right after the look, and kept with it."""
    if name not in outlook.parts:
        outlook.parts[name] = await make()
    found: _Part = outlook.parts[name]
    return found


async def _made(
    session: AsyncSession,
    row: GardenRow,
    forecast: Forecast | None,
    now: datetime,
    under: _Under,
    last: _Last | None,
) -> _Last:
    crops = await rules.of_garden(session, row.id)
    on_record = await gardens.snapshot(session, row)
    states = await place_ledger.states(session, on_record, now)
    recorded = await _as_reported(session, row, place_ledger.as_it_stands(on_record, states), now)
    known = await past_days.since_sowing(session, recorded, crops)
    today = now.astimezone(row.tz).date()
    staged = _as_reached(recorded, crops, today, known, last)
    garden, reached = staged[1]
    killed = await frosted.killed(session, row, garden, crops, now)
    picked = await frosted.picked(session, row, garden, now)
    assumed = await expected.assumed(session, row.id, now)
    if forecast is None:
        unseen = Look(garden, crops, None, (), (), (), (), reached=reached, states=states, killed=killed, picked=picked)
        return _Last(under, on_record, None, with_called(unseen, assumed, now), staged, None)
    correction = await readings.learned(session, row)
    garden = await readings.with_taught_places(session, row, garden, today)
    gone = frozenset((*picked, *killed))
    fallen = core_frosted.fallen(garden, crops, {*killed, *(id_ for id_, came in picked.items() if came)})
    called = await warnings.called(session, row.id, row.tz)
    fresh = _reckoned(garden, crops, forecast, correction, gone, fallen, called, states, now, last)
    seen = replace(fresh[0], reached=reached, killed=killed, picked=picked, fallen=fallen, parts={})
    found = with_called(seen, assumed, now)
    spells = await warnings.spells(session, row.id) if any(one.hazard is Hazard.WIND for one in found.threats) else ()
    if spells:
        found = replace(found, threats=continued(found.threats, spells))
    return _Last(under, on_record, forecast, found, staged, fresh)


def with_called(outlook: Look, assumed: Assumed, now: datetime) -> Look:
    """The outlook with what organisers expect beside the forecast."""
    if assumed == Assumed():
        return outlook
    called = core_assumed.threatened(
        outlook.garden, outlook.crops, outlook.forecast, assumed, now, outlook.gone, outlook.fallen, outlook.states
    )
    site = cold.Site.of(outlook.garden)
    found = kept_in(core_assumed.merged(outlook.findings, called), assumed.closed, site, now)
    nights = tuple(core_assumed.night(site, one) for one in assumed.nights)
    return replace(outlook, called=nights, findings=found, threats=gather(_worth_a_call(found)), parts={})


def _worth_a_call(found: Sequence[Finding]) -> Iterator[Finding]:
    """What the group is warned of: a warm day under glass is work for the week's list, only a hot one is an event."""
    return (one for one in found if one.hazard is not Hazard.HEAT or one.severity is not Severity.SLIGHT)


def _as_reached(recorded: Garden, crops: Mapping[str, Crop], today: date, known: Warmth, last: _Last | None) -> _Staged:
    """Every batch at the stage that it has reached; reckoned anew only when something of it has changed."""
    given = recorded, crops, today, known
    if last is not None and last.staged[0] == given:
        return last.staged
    return given, reckoned(recorded, crops, today, known)


def _reckoned(
    garden: Garden,
    crops: Mapping[str, Crop],
    forecast: Forecast,
    correction: learn.Correction,
    gone: frozenset[int],
    fallen: frozenset[int],
    called: Called,
    states: Mapping[int, State],
    now: datetime,
    last: _Last | None,
) -> _Reckoned:
    """Nights, findings and threats; most changes of records are none of what they rest on."""
    if last is not None and last.reckoned is not None:
        outlook, taught, ended, held, reckoned_at = last.reckoned
        known = garden, forecast, correction, crops, (gone, fallen), called, states
        same = (outlook.garden, outlook.forecast, taught, outlook.crops, ended, held, outlook.states) == known
        if same and timedelta(0) <= now - reckoned_at < _QUARTER:
            return last.reckoned
    nights = cold.nights(forecast, cold.Site.of(garden), correction, now)
    found = hazards.findings(garden, crops, nights, forecast, now, gone, fallen, states, called)
    days = cold.days(forecast, ZoneInfo(garden.zone))
    outlook = Look(garden, crops, forecast, nights, days, found, gather(_worth_a_call(found)), states=states)
    return outlook, correction, (gone, fallen), called, now


async def _as_reported(session: AsyncSession, row: GardenRow, garden: Garden, now: datetime) -> Garden:
    """The garden with its houses open that were reported so, or perhaps are, and its pots that have been fastened."""
    today = now.astimezone(row.tz).date()
    opened, fastened = (
        await houses_and_hoses.stand_open(session, row, today),
        await tasks.fastened(session, row.id, today),
    )
    if not opened and not fastened:
        return garden
    places = tuple(
        replace(place, stands_open=place.id in opened, fastened=place.id in fastened) for place in garden.places
    )
    return replace(garden, places=places, place_by_id={})


def quiet(row: GardenRow) -> Quiet:
    call_before = timedelta(hours=row.call_h) if row.call_h is not None else None
    return Quiet(row.quiet_from_h, row.quiet_to_h, row.zone, call_before)
