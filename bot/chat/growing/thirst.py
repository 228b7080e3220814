"""Do I need to water? What is dry by this evening, how much it wants, and the rain to come."""

from __future__ import annotations

from collections.abc import Mapping

from bot.chat.growing import signs
from bot.chat.growing import week as wording
from bot.chat.html import lines
from bot.chat.language.topics import Wanted
from bot.chat.request import Request
from bot.chat.warnings.told import Told
from bot.chat.weather import weather_questions
from bot.core.garden.snapshot import Garden, Stage
from bot.core.growing.jobs.job import Item, Job, JobKind
from bot.services.growing import watering
from bot.services.growing import week as service
from bot.services.look import Look


async def answer(request: Request, wanted: Wanted) -> None:
    """Of the places and crops that are named; else of what is the member's own or their turn. By rain alone on other days."""
    assert request.garden is not None and request.member is not None
    days, today = weather_questions.named_days(request), request.say.local(request.now).date()
    if days is not None and not days[0] <= today <= days[1]:
        await weather_questions.rain(request, wanted)
        return
    found = await service.answer(request.session, request.garden, request.member, request.source, request.now)
    named = _named(found.outlook, wanted)
    if named:
        dry = await watering.due(request.session, request.garden, found.outlook, request.now)
        litres = {place_id: one.litres for place_id, one in dry.items() if place_id in named and one.litres > 0}
    else:
        jobs = [one for one in found.week.jobs if one.kind is JobKind.WATER]
        litres = {one.place_id: one.litres or 0.0 for job in jobs for one in job.items if one.place_id is not None}
    told = weather_questions.told_of(request, found.outlook)
    await weather_questions.rain(request, wanted, above=_dry(told, found.outlook.garden, litres) if litres else None)


def _named(seen: Look, wanted: Wanted) -> frozenset[int]:
    """Ids of the places that are named, or where the crops stand that are."""
    keys = {key for keys in wanted.crops for key in keys}
    grown = (one for one in seen.garden.plantings if one.crop in keys and one.stage is not Stage.ENDED)
    return frozenset(wanted.places) or frozenset(one.place_id for one in grown)


def _dry(told: Told, garden: Garden, litres: Mapping[int, float]) -> str:
    items = tuple(Item(watering.job_key(id_), JobKind.WATER, ("water",), 0.0, place_id=id_, litres=each)
                  for id_, each in litres.items())  # fmt: skip
    job = Job(
        "water", JobKind.WATER, None, None, items, (), tuple(litres), None, None, 0.0, None, sum(litres.values()), ()
    )
    return lines([wording.one(told, garden, job), None if garden.hose_ban else signs.hose(told.say)])
