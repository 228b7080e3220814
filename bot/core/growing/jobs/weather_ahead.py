"""What the weather to come asks for, from the findings."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from bot.core.finding import Finding
from bot.core.garden.snapshot import Place
from bot.core.growing.jobs.job import Item, JobKind, View, worth
from bot.core.people.lifting import HANDLED, asked_kg, load_kg, movers
from bot.core.warnings.fastening import key, loose
from bot.core.weather.odds import Step, StepCode

__all__ = ["fastening", "finding_key", "weather"]

_AHEAD = timedelta(days=7)
_FASTEN_DAYS = 365
_WIND_WEEKS = 2.0  # of growing that a fallen support or a torn cover costs: common practice, no source


def finding_key(finding: Finding) -> str:
    """The key of a finding's item: the same while the forecast only shifts a little."""
    thing = finding.planting_id or finding.support_id or 0
    return f"{finding.task}:{finding.window_on}:{finding.place_id}:{thing}"


def weather(view: View) -> Iterator[Item]:
    """One item a finding in scope that is still to be done, within a week: no list leads with an hour that has passed."""
    plantings = {one.id: one for one in view.plantings}
    for found in view.findings:
        if found.place_id not in view.scope or not view.now < found.due_at <= view.now + _AHEAD:
            continue
        place = view.garden.place_by_id[found.place_id]
        planting = plantings.get(found.planting_id or 0)
        weeks = view.crops[planting.crop].cold.weeks_lost if planting and found.threshold_c is not None else _WIND_WEEKS
        yield Item(
            key=finding_key(found),
            kind=JobKind(found.task.value),
            group=(found.task, str(found.target_place_id or ""), found.cover or "", *_load(found, place)),
            value_lost=weeks * (worth(planting) if planting else 1) * found.probability,
            crop=planting.crop if planting else None,
            planting_id=found.planting_id,
            place_id=found.place_id,
            target_place_id=found.target_place_id,
            due_at=found.due_at,
            by_on=found.window_on,
            count=planting.count if planting else None,
            detail=found.cover.value if found.cover else None,
            people=found.people,
            kg_each=asked_kg(found.task, place, found.people),
            reasons=found.chain,
        )


def fastening(view: View) -> Iterator[Item]:
    """Pots that any windy day may tip, to be fastened once and for all."""
    mine = {one.id: one for one in view.plantings}
    for found in loose(view.garden, view.crops):
        planting = mine.get(found.planting_id)
        if planting is not None and found.place_id in view.scope:
            yield Item(
                key=key(found.place_id),
                kind=JobKind.FASTEN,
                group=(JobKind.FASTEN,),
                value_lost=_WIND_WEEKS * worth(planting),
                crop=planting.crop,
                planting_id=planting.id,
                place_id=found.place_id,
                again_days=_FASTEN_DAYS,
                reasons=(Step(StepCode.HOLDS, found.gust_ms, None, None, "moments about the foot"),),
            )


def _load(found: Finding, place: Place) -> tuple[str, ...]:
    """Loads of one weight are one job, so that its line says what one weighs and how many people one wants."""
    kg = load_kg(place) if found.task in HANDLED or movers(place) is None else None
    return (f"{kg:.0f} kg", f"{found.people}") if kg is not None else ()
