"""The life of a warning: detected, announced, called, settled, over. Rows first, words afterwards.

`detect` writes what the forecast means into rows; `rota` finds names outside any transaction; `speak` moves each
warning on and returns what has to be said. All of it may be repeated at any moment: rows are unique by garden, hazard
and window, and every step is taken once.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.ext.asyncio import AsyncSession

from bot.core.garden.snapshot import Cover, PlaceKind
from bot.core.growing.hardiness import in_pots
from bot.core.warnings import alerts
from bot.core.warnings.alerts import Moment, Said, Threat
from bot.core.warnings.hazard_cold import cold as cold_findings
from bot.core.warnings.hazards import Finding, Hazard, TaskKind
from bot.core.warnings.safety import outdoors, safe_hours
from bot.core.weather import cold
from bot.core.weather.odds import StepCode
from bot.services.look import Look, quiet
from bot.services.tasks.walks import after_sunset
from bot.services.warnings import aftermath, frosted, settling, spells
from bot.storage.models import LINE, Garden, Task, Warning
from bot.storage.states import AskState, TaskState, WarningState
from bot.storage.tasks import tasks
from bot.storage.warnings import warnings as store
from bot.storage.warnings.warning_rows import FACTS

#: A forecast that has become warmer by less has hardly changed: common practice, no source.
_WARMER_C = 0.5


async def detect(session: AsyncSession, row: Garden, outlook: Look, now: datetime) -> set[int]:
    """Bring the rows of this garden's warnings and duties up to what the forecast now says, and what was reported.

    Returns the warnings of which something was answered, is open again or may be undone by now.
    """
    seen = set()
    known = await store.by_windows(session, row.id, [(one.hazard, one.window_on) for one in outlook.threats])
    # Read for all of them at once; each is asked for again below.
    await tasks.every_of_warnings(session, [warning.id for warning in known.values() if warning is not None])
    for threat in outlook.threats:
        warning = await _row_of(session, row, threat, outlook, now)
        if warning is not None:
            seen.add(warning.id)
            await _sync_duties(session, warning, threat, outlook, now)
    if outlook.forecast is not None:
        await _note_clear(session, row, seen, now)
    answered, again = await settling.settle(session, row, outlook, now)
    return {one.warning.id for one in answered} | again | await settling.undoing(session, row, outlook, now)


async def _note_clear(session: AsyncSession, row: Garden, seen: Collection[int], now: datetime) -> None:
    """Since when each warning that the forecast no longer speaks of has been away from it."""
    for warning in await store.active(session, row.id, now):
        # Once the window has begun its early hours are past, and the forecast says nothing of them any more.
        over = warning.state is WarningState.OVER
        if warning.id not in seen and not over and now < warning.due_at and not warning.by_hand:
            warning.clear_since_at = warning.clear_since_at or now


async def _row_of(session: AsyncSession, row: Garden, threat: Threat, outlook: Look, now: datetime) -> Warning | None:
    """The row of this threat, made when it is near enough to speak of, and given its newest numbers."""
    warning = await store.by_window(session, row.id, threat.hazard, threat.window_on)
    step = alerts.moment(now, threat.due_at, threat.ends_at, quiet(row))
    if warning is None:
        if step in (Moment.WAIT, Moment.OVER):
            return None
        lost = await _lost(session, row, threat, outlook)
        warning = Warning(
            garden_id=row.id, hazard=threat.hazard, window_on=threat.window_on, detected_at=now, lost=lost
        )
        session.add(warning)
    elif warning.state is WarningState.OVER:
        if not warning.cleared or step in (Moment.WAIT, Moment.HEADS_UP, Moment.TOO_LATE, Moment.OVER):
            return None
        # It is back, near enough to call people: a new round, with messages of its own.
        warning.begin_anew(now, again=True)
        await aftermath.withdraw(session, warning)
    warning.bring_up(
        severity=threat.severity, probability=threat.probability, starts_at=threat.starts_at, ends_at=threat.ends_at,
        due_at=threat.due_at, clear_since_at=None,
    )  # fmt: skip
    await session.flush()
    return warning


async def _lost(session: AsyncSession, row: Garden, threat: Threat, outlook: Look) -> list[list[str | int]]:
    """What an earlier frost has killed and no warning has said yet: planting, crop and day of each."""
    if threat.hazard is not Hazard.COLD or not outlook.killed:
        return []
    earlier = await session.scalars(
        select(Warning.lost).where(
            Warning.garden_id == row.id,
            Warning.hazard == Hazard.COLD,
            Warning.window_on >= threat.window_on - 2 * frosted.LOOKED_BACK,
        )
    )
    known = {one[0] for lost in earlier for one in lost}
    crop_of = {planting.id: planting.crop for planting in outlook.garden.plantings}
    return [[id_, crop_of[id_], on.isoformat()] for id_, on in outlook.killed.items() if id_ not in known]


async def _sync_duties(session: AsyncSession, warning: Warning, threat: Threat, outlook: Look, now: datetime) -> None:
    """One duty for each place, support and task that the findings name; what is no longer needed is dropped."""
    rows = await tasks.every_of_warnings(session, [warning.id])
    by_key = {(duty.where_id, duty.support_id, duty.kind): duty for duty in rows}
    wanted: dict[tuple[int, int, TaskKind], list[Finding]] = {}
    for finding in threat.findings:
        wanted.setdefault((finding.place_id, finding.support_id or 0, finding.task), []).append(finding)
    crop_of = {planting.id: planting.crop for planting in outlook.garden.plantings}
    for key, findings in wanted.items():
        finding = min(findings, key=lambda one: one.due_at)
        duty = by_key.get(key)
        if duty is None:
            duty = Task(
                garden_id=warning.garden_id, warning_id=warning.id, on=warning.window_on, place_id=key[0],
                support_id=key[1], kind=key[2], more=0,
            )  # fmt: skip
            session.add(duty)
        elif duty.state is TaskState.DROPPED:
            duty.state, duty.escalated_at = TaskState.OPEN, None
        if duty.state in (None, *tasks.LIVE):
            alone = finding.people == 1 and after_sunset(outlook.garden, finding.due_at)
            at_risk = dict.fromkeys(crop_of[one.planting_id] for one in findings if one.planting_id in crop_of)
            duty.bring_up(
                # Nobody is sent out alone after sunset, and whoever is on it may have asked for one more person.
                people=(2 if alone else finding.people) + duty.more,
                minutes=finding.minutes,
                unliftable=finding.unliftable,
                target_place_id=finding.target_place_id,
                cover=finding.cover,
                crops=" ".join(at_risk)[:LINE],
                # Since when it is asked for stays as it was: nothing of it changes from one look to the next.
                starts_at=min(duty.starts_at or now, finding.due_at),
                due_at=finding.due_at,
            )
    if now < warning.due_at:
        places = {place_id for place_id, _, _ in wanted}
        unneeded = [duty for key, duty in by_key.items() if key not in wanted and _may_go(duty)]
        gone = [duty for duty in unneeded if _nothing_there(duty, outlook)]
        for duty in gone:
            await drop(session, duty)
        await _drop_unneeded(session, rows, [duty for duty in unneeded if duty not in gone], places, now)
    await session.flush()


def _may_go(duty: Task) -> bool:
    return duty.state in tasks.LIVE and duty.kind not in aftermath.TASKS


def _nothing_there(duty: Task, outlook: Look) -> bool:
    """Whether what it was for is there no more, whatever the weather does: harvested, or the cover taken off."""
    garden = outlook.garden
    place = garden.place_by_id.get(duty.where_id)
    if place is None:
        return True
    if duty.kind is TaskKind.PIN:
        stands = outlook.states.get(place.id)
        cover = stands.lies_over[0] if stands is not None else place.cover
        return place.kind is PlaceKind.BED and cover is Cover.NONE
    return duty.kind not in (TaskKind.VENT, TaskKind.SHADE, TaskKind.CLOSE) and not any(
        planting.place_id == place.id for planting in garden.plantings
    )


async def _drop_unneeded(
    session: AsyncSession, rows: Sequence[Task], unneeded: Sequence[Task], places: Collection[int], now: datetime
) -> None:
    """What has not been needed for long enough is dropped, so that a forecast that flips releases nobody in between.

    places: where something is needed; what was asked there before is replaced by it at once.
    """
    for duty in rows:
        duty.bring_up(unneeded_since_at=(duty.unneeded_since_at or now) if duty in unneeded else None)
    for duty in unneeded:
        is_sure = duty.unneeded_since_at is not None and now - duty.unneeded_since_at >= alerts.CLEAR_FOR
        if is_sure or duty.where_id in places:
            await drop(session, duty)
            duty.unneeded_since_at = None


async def drop(session: AsyncSession, duty: Task) -> None:
    """A duty that is no longer needed; whoever was asked is released, and whoever said yes is to hear of it."""
    duty.state = TaskState.DROPPED
    for ask in await tasks.asks_of(session, [duty.id]):
        if ask.state is AskState.ACCEPTED:
            ask.state = AskState.FREED
        elif ask.state is AskState.ASKED:
            ask.state = AskState.RELEASED


def needs_names(warning: Warning, quiet: alerts.Quiet, now: datetime) -> bool:
    """Whether people are to be asked by name by now; nobody is in the quiet hours."""
    return quiet.ends_at(now) <= now and (warning.state is WarningState.OVER or is_near(warning, quiet, now))


def is_near(warning: Warning, quiet: alerts.Quiet, now: datetime) -> bool:
    """Whether the group is to be called by now: in the quiet hours only for what can't wait until the morning."""
    if warning.clear_since_at is not None:
        return False
    step = alerts.moment(now, warning.due_at, warning.ends_at, quiet)
    return step in (Moment.CALL, Moment.OPEN_CALL) and not quiet.holds(now, warning.due_at)


def said_of(warning: Warning) -> Said | None:
    """What the last message said, as core compares it; None before the first."""
    severity, due_at, probability = warning.said_severity, warning.said_due_at, warning.said_probability
    if severity is None or due_at is None or probability is None:
        return None
    return Said(
        severity=severity,
        due_at=due_at,
        needs=frozenset((place, support, task) for place, support, task in warning.said_needs),
        probability=probability,
        loudest=warning.said_loudest or severity,
        spoken_due_at=warning.spoken_due_at or due_at,
    )


def remember(warning: Warning, threat: Threat | None, outlook: Look, now: datetime, *, spoken: bool) -> None:
    """Keep what is being said now, to compare the next look with.

    spoken: by a message that rings, not by an edit.
    """
    if threat is None:
        return
    before = said_of(warning)
    warning.said_loudest = alerts.worst((threat.severity, before.loudest)) if before else threat.severity
    warning.spoken_due_at = threat.due_at if spoken or before is None else before.spoken_due_at
    if spoken:
        warning.spell = [on.isoformat() for on in _spell(warning, outlook)]
    warning.said_severity, warning.said_due_at = threat.severity, threat.due_at
    warning.said_needs = [list(need) for need in sorted(threat.needs)]
    warning.said_probability, warning.said_ground_c = threat.probability, _ground_c(outlook, warning.window_on)
    warning.safe = _safe(threat, outlook, now)
    warning.stay = list(outlook.stay(threat.hazard, threat.window_on))
    found = numbers(warning, threat, outlook)
    for name in FACTS:
        setattr(warning, name, found.get(name))


def _safe(threat: Threat, outlook: Look, now: datetime) -> list[list[str]]:
    """The safe hours before a hazard that is not itself the danger to people, where other weather takes some of them."""
    if outlook.forecast is None or threat.hazard is Hazard.WIND:
        return []
    closed = outdoors(outlook.garden, outlook.forecast)
    left = safe_hours(closed, now, max(threat.due_at, threat.starts_at))
    in_time = [(start_at, min(end_at, threat.due_at)) for start_at, end_at in left if start_at < threat.due_at]
    return [[start_at.isoformat(), end_at.isoformat()] for start_at, end_at in in_time]


def _ground_c(outlook: Look, evening_on: date) -> float | None:
    """A night's minimum at the ground, by the forecast alone."""
    return next((night.ground.mean_c for night in outlook.nights if night.evening_on == evening_on), None)


def is_spared(warning: Warning, duties: Iterable[Task], outlook: Look) -> bool:
    """Whether a night stays as cold as it was said to be, and only the records have changed: no all-clear is due then."""
    if warning.hazard is not Hazard.COLD:
        return False
    ground_c, said_c = _ground_c(outlook, warning.window_on), warning.said_ground_c
    if ground_c is None or said_c is None or ground_c - said_c >= _WARMER_C:
        return False
    bare = tuple(replace(place, cover=Cover.NONE, inside=None) for place in outlook.garden.places)
    nights = tuple(night for night in outlook.nights if night.evening_on == warning.window_on)
    garden = replace(outlook.garden, places=bare, place_by_id={})
    harmed = cold_findings(garden, outlook.crops, nights, nights[0].sunset_at)
    left = [duty for duty in duties if _may_go(duty)]
    return any(_nothing_there(duty, outlook) for duty in left) or next(iter(harmed), None) is not None


def numbers(warning: Warning, threat: Threat, outlook: Look) -> dict[str, float | None]:
    """The few numbers of a warning's first line, as they would be said now."""
    return _of_spell(threat, _spell(warning, outlook), outlook)


def _spell(warning: Warning, outlook: Look) -> Collection[date]:
    return spells.following(outlook, warning.window_on) if warning.hazard is Hazard.COLD else ()


def _of_spell(threat: Threat, spell: Collection[date], outlook: Look) -> dict[str, float | None]:
    """The numbers of a night, or of the coldest of a spell, with the greatest odds of it."""
    nights = [threat, *(one for one in outlook.threats if one.hazard is Hazard.COLD and one.window_on in spell)]
    if threat.hazard is not Hazard.COLD or len(nights) < 2:
        return _facts(threat, outlook)
    known = [one for one in (_facts(night, outlook) for night in nights) if one.get("plant_c") is not None]
    coldest = min(known, key=lambda one: one["plant_c"] or 0.0, default={})
    return {**coldest, "odds": max(night.probability for night in nights)}


def _facts(threat: Threat, outlook: Look) -> dict[str, float | None]:
    """The worst plant's temperature with its band, or the greatest gust."""
    worst = max(threat.findings, key=lambda finding: finding.probability)
    if threat.hazard is Hazard.COLD:
        return _plant(worst, outlook)
    gust = next((step for step in worst.chain if step.code is StepCode.GUST), None)
    return {"gust_ms": gust.value if gust else None}


def _plant(finding: Finding, outlook: Look) -> dict[str, float | None]:
    """The night's minimum at the plant most at risk, with its 90 % band."""
    garden = outlook.garden
    nights = (*outlook.called, *outlook.nights)
    night = next((night for night in nights if night.evening_on == finding.window_on), None)
    planting = next((planting for planting in garden.plantings if planting.id == finding.planting_id), None)
    if night is None or planting is None:
        return {}
    place = garden.place_of(planting)
    in_pot = place.kind is PlaceKind.CONTAINER or in_pots(planting, place, outlook.crops[planting.crop])
    taught = cold.taught_there(night, place)
    estimate = cold.at_plant(night, place.shelter, place.cover, in_pot=in_pot, taught=taught)
    low_c, high_c = estimate.band(0.9)
    return {"plant_c": estimate.mean_c, "low_c": low_c, "high_c": high_c}
