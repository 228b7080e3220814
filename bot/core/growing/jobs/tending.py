"""Earthing up, supports, feeding, pinching out, watching for pests, and beds where a family came back too soon."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from bot.core.garden.snapshot import HOUSES, Cover, PlaceKind, Planting, Stage
from bot.core.growing.crop import Crop, Days, Life, Watch
from bot.core.growing.hardiness import is_potted_tuber
from bot.core.growing.jobs.job import Item, JobKind, View, worth
from bot.core.growing.seasons import closes_on, days_left, growing_year, in_window, on_day
from bot.core.growing.spacing import repeat
from bot.core.weather.odds import Step, StepCode

_ORDER = {stage: n for n, stage in enumerate(Stage)}
_OUT = (Stage.GROWING, Stage.FLOWERING, Stage.READY)
# Weeks of growing that a plant loses when it is not done: common practice, no source.
_EARTH_WEEKS, _SUPPORT_WEEKS, _FEED_WEEKS, _PINCH_WEEKS, _WATCH_WEEKS, _ROTATION_WEEKS = 0.5, 1.0, 0.2, 0.3, 0.4, 0.2
# Earth up to cover the lower two thirds: RHS, potatoes, whose buried stems bear. Of the rest only the foot is held, or
# blanched: a third, common practice, no source.
_COVERED_SHARE, _FOOT_SHARE = 2 / 3, 1 / 3
_BURIED = ("Solanaceae", "Oxalidaceae")
# A ridge is about so high when it is done, and plants so many times as tall as when it was begun have closed over it:
# common practice, no source.
_RIDGE_CM, _CLOSED_TIMES = 25.0, 3
_NEW_DAYS = 14
# Of its season, in which nobody puts up supports or feeds any more: common practice, no source.
_LAST_DAYS = 28
# Growing in its place until it wants soil or a support, where nobody measures: common practice, no source.
_TALL_DAYS, _CLIMBING_DAYS, _SEASON_DAYS = 14, 7, 45
# A net is what keeps these off, whoever looks; once it lies there it is looked over after some weeks.
_NETTED, _NET_WEEKS, _NET_DAYS = (Watch.PIGEONS, Watch.BIRDS), 1.0, 28
_IN_THE_SOIL, _SOIL_DAYS = (Watch.CLUB_ROOT, Watch.WHITE_ROT), 28  # seen late and slowly: once a month is enough


def tending(view: View) -> Iterator[Item]:
    supported = {support.place_id for support in view.garden.supports}
    for planting in view.plantings:
        if planting.stage in _OUT:
            crop = view.crops[planting.crop]
            if not is_potted_tuber(planting, view.garden.place_of(planting), crop, view.today):
                yield from _earth_up(planting, crop, view)
                yield from _support(planting, crop, view, planting.place_id in supported)
            yield from _feed(planting, crop, view)
            yield from _pinch(planting, crop)


def watching(view: View) -> Iterator[Item]:
    """Each pest in season once for a family in a place."""
    seen: set[tuple[str, str, int]] = set()
    for planting in view.plantings:
        crop = view.crops[planting.crop]
        for time in crop.watch:
            family_here = (time.what, crop.family, planting.place_id)
            if planting.stage not in time.stages or family_here in seen or not in_window(view.today, time.season):
                continue
            seen.add(family_here)
            place = view.garden.place_of(planting)
            if time.what in _NETTED and (place.cover is not Cover.NONE or place.shelter in HOUSES):
                continue
            source = crop.sources.get(f"watch.{time.what}.season", "practice")
            netted = time.what in _NETTED
            yield _item(
                JobKind.NET if netted else JobKind.WATCH, planting, _NET_WEEKS if netted else _WATCH_WEEKS, (time.what,),
                detail=time.what.value, suffix=f":{time.what}",
                again_days=_NET_DAYS if netted else _SOIL_DAYS if time.what in _IN_THE_SOIL else 7,
                reasons=(Step(StepCode.SEASON, 0, None, None, source),),
            )  # fmt: skip


def rotating(view: View) -> Iterator[Item]:
    """Beds newly sown or planted with a family that they carried too few years ago."""
    for planting in view.plantings:
        history = view.history.get(planting.place_id)
        started_on = planting.planted_on or planting.sown_on
        in_bed = view.garden.place_of(planting).kind is PlaceKind.BED
        if not history or not in_bed or started_on is None or view.today - started_on > timedelta(days=_NEW_DAYS):
            continue
        crop = view.crops[planting.crop]
        before = repeat(crop, history, growing_year(started_on, south=crop.south))
        if before is not None:
            source = crop.sources.get("rotation_years", "practice")
            years = Step(StepCode.SEASON, before.year, crop.rotation_years, None, source)
            yield _item(JobKind.ROTATION, planting, _ROTATION_WEEKS, (planting.crop,), again_days=365, reasons=(years,))


def _earth_up(planting: Planting, crop: Crop, view: View) -> Iterator[Item]:
    limit_cm, height_cm = crop.care.earth_up_cm, planting.height_cm
    if limit_cm is None or planting.stage is not Stage.GROWING:
        return
    if (
        limit_cm <= height_cm <= _CLOSED_TIMES * limit_cm
        if height_cm is not None
        else _grown(planting, crop, view, _TALL_DAYS)
    ):
        reasons = (_size(height_cm, limit_cm, crop, "care.earth_up_cm"),) if height_cm is not None else ()
        share = _COVERED_SHARE if crop.family in _BURIED else _FOOT_SHARE
        yield _item(
            JobKind.EARTH_UP, planting, _EARTH_WEEKS, (planting.crop,), again_days=14,
            cm=min((height_cm or limit_cm) * share, _RIDGE_CM), by_on_days=7, view=view, reasons=reasons,
        )  # fmt: skip


def _support(planting: Planting, crop: Crop, view: View, supported: bool) -> Iterator[Item]:
    need, height_cm, season = crop.support, planting.height_cm, crop.harvest.window
    ending = in_window(view.today, season) and days_left(view.today, season) <= _LAST_DAYS
    if need is None or supported or (ending and crop.life is not Life.PERENNIAL):
        return
    if height_cm >= need.from_cm if height_cm is not None else _grown(planting, crop, view, _CLIMBING_DAYS):
        reasons = (_size(height_cm, need.from_cm, crop, "support.from_cm"),) if height_cm is not None else ()
        yield _item(
            JobKind.SUPPORT, planting, _SUPPORT_WEEKS, (planting.crop,), again_days=200, detail=need.kind.value,
            by_on_days=7, view=view, reasons=reasons,
        )  # fmt: skip


def _grown(planting: Planting, crop: Crop, view: View, days: int) -> bool:
    """Where nobody has measured: whether it has been growing in its place for so long, and not for months.

    What stands the winter grows on from its end.
    """
    since = planting.stage_on
    if planting.stage is not Stage.GROWING or since is None or _is_winter(crop, view.today):
        return False
    if crop.days is not Days.UNKNOWN and crop.life is not Life.PERENNIAL:
        winter_over_on = on_day(view.today.year, crop.winter[1])
        since = max(since, winter_over_on) if winter_over_on <= view.today else since
    return days <= (view.today - since).days <= _SEASON_DAYS


def _is_winter(crop: Crop, on: date) -> bool:
    return crop.days is not Days.UNKNOWN and in_window(on, crop.winter)


def _is_past_feeding(crop: Crop, on: date) -> bool:
    """Whether it rests, or has so little of its season left that food would only make soft growth."""
    if crop.days is Days.UNKNOWN:
        return False
    over = (crop.harvest.window[1], crop.winter[1])
    ending = crop.life is not Life.PERENNIAL and 0 <= (closes_on(on, crop.harvest.window) - on).days <= _LAST_DAYS
    return ending or in_window(on, over) or in_window(on, crop.winter)


def _feed(planting: Planting, crop: Crop, view: View) -> Iterator[Item]:
    weeks = crop.care.feed_weeks
    if weeks is None or _is_past_feeding(crop, view.today):
        return
    if _ORDER[planting.stage] >= _ORDER[crop.care.feed_from]:
        source = crop.sources.get("care.feed_weeks", "practice")
        step = Step(StepCode.EVERY, weeks * 7, None, None, source)
        yield _item(JobKind.FEED, planting, _FEED_WEEKS, (), again_days=weeks * 7, reasons=(step,))


def _pinch(planting: Planting, crop: Crop) -> Iterator[Item]:
    limit_cm, height_cm = crop.care.pinch_cm, planting.height_cm
    if limit_cm is not None and height_cm is not None and height_cm >= limit_cm:
        reasons = (_size(height_cm, limit_cm, crop, "care.pinch_cm"),)
        yield _item(JobKind.PINCH, planting, _PINCH_WEEKS, (planting.crop,), again_days=365, reasons=reasons)


def _size(height_cm: float, limit_cm: float, crop: Crop, key: str) -> Step:
    return Step(StepCode.SIZE, height_cm, None, limit_cm, crop.sources.get(key, "practice"))


def _item(
    kind: JobKind, planting: Planting, weeks: float, group: tuple[str, ...], *, again_days: int = 7, suffix: str = "",
    detail: str | None = None, cm: float | None = None, by_on_days: int | None = None, view: View | None = None,
    reasons: tuple[Step, ...] = (),
) -> Item:  # fmt: skip
    by_on = view.today + timedelta(days=by_on_days) if view is not None and by_on_days is not None else None
    return Item(
        key=f"{kind}:{planting.id}{suffix}",
        kind=kind,
        group=(kind, *group),
        value_lost=weeks * worth(planting),
        crop=planting.crop,
        planting_id=planting.id,
        place_id=planting.place_id,
        by_on=by_on,
        again_days=again_days,
        count=planting.count,
        cm=cm,
        detail=detail,
        reasons=reasons,
    )
