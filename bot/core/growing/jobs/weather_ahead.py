"""What the weather to come asks for, from the findings.

What the weather to come makes likely: blight, and running to seed.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from bot.core.finding import Finding
from bot.core.garden.snapshot import Place
from bot.core.growing.bolting import Bolt, Reason, Verdict
from bot.core.growing.crop import Watch
from bot.core.growing.jobs.job import Item, JobKind, View, worth
from bot.core.growing.seasons import in_window
from bot.core.people.lifting import HANDLED, asked_kg, load_kg, movers
from bot.core.warnings.fastening import key, loose
from bot.core.weather.odds import Step, StepCode

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


_BLIGHT_WEEKS, _SEED_WEEKS, _SWING_WEEKS = (
    2.0,
    1.0,
    0.1,
)  # of growing that is lost when nobody looks: common practice, no source
_HUMID_H = 6.0
#: Long days alone are the season, not news; chill, heat and drought are.
_NEWS = (Reason.CHILL, Reason.HEAT, Reason.DROUGHT)


def blight(view: View) -> Iterator[Item]:
    """One item a place with potatoes or tomatoes in season, when the Hutton Criteria are met within a week."""
    met_on = min((on for on in view.blight_on if view.today <= on <= view.today + _AHEAD), default=None)
    if met_on is None:
        return
    seen: set[int] = set()
    for planting in view.plantings:
        times = [time for time in view.crops[planting.crop].watch if time.what is Watch.BLIGHT]
        in_season = any(planting.stage in time.stages and in_window(view.today, time.season) for time in times)
        if not in_season or planting.place_id in seen:
            continue
        seen.add(planting.place_id)
        yield Item(
            key=f"{JobKind.BLIGHT}:{planting.id}:{met_on}",
            kind=JobKind.BLIGHT,
            group=(JobKind.BLIGHT,),
            value_lost=_BLIGHT_WEEKS * worth(planting),
            crop=planting.crop,
            planting_id=planting.id,
            place_id=planting.place_id,
            by_on=met_on,
            reasons=(Step(StepCode.HUTTON, _HUMID_H, None, None, "AHDB, Hutton Criteria, 2017"),),
        )


def bolting(view: View) -> Iterator[Item]:
    """Batches that chill, heat or drought sends to seed: pick them first."""
    for planting in view.plantings:
        bolt = view.bolting.get(planting.id)
        if bolt is None or bolt.verdict is not Verdict.RISK or not set(bolt.reasons) & set(_NEWS):
            continue
        yield Item(
            key=f"{JobKind.BOLTING}:{planting.id}",
            kind=JobKind.BOLTING,
            group=(JobKind.BOLTING, planting.crop),
            value_lost=_SEED_WEEKS * worth(planting),
            crop=planting.crop,
            planting_id=planting.id,
            place_id=planting.place_id,
            again_days=14,
            count=planting.count,
            reasons=_steps(bolt),
        )


def swings(view: View) -> Iterator[Item]:
    """One job for all that a cold night and a warm day close together may upset: a suspicion, so it presses little."""
    for planting in view.plantings:
        bolt = view.bolting.get(planting.id)
        if bolt is not None and bolt.verdict is Verdict.SUSPICION:
            yield Item(
                key=f"{JobKind.SWING}:{planting.id}",
                kind=JobKind.SWING,
                group=(JobKind.SWING,),
                value_lost=_SWING_WEEKS * worth(planting),
                crop=planting.crop,
                planting_id=planting.id,
                place_id=planting.place_id,
                again_days=14,
                reasons=(Step(StepCode.SWING, 0.0, None, None, "practice"),),
            )


def _steps(bolt: Bolt) -> tuple[Step, ...]:
    steps = []
    if Reason.CHILL in bolt.reasons:
        steps.append(Step(StepCode.CHILL, bolt.chill, bolt.chill_needed, None, ""))
    if Reason.HEAT in bolt.reasons:
        steps.append(Step(StepCode.HOTTEST, bolt.hottest_c, None, None, ""))
    if Reason.DROUGHT in bolt.reasons:
        steps.append(Step(StepCode.DRY, 0.0, None, None, ""))
    return tuple(steps)
