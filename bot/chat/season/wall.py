"""/wall: the sheet for the gate, one A4 page to print: warnings, the group's jobs, who is on call, the month."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from bot.chat import rights
from bot.chat.request import Request
from bot.chat.season import wall_words as wording
from bot.chat.warnings.announce import voice
from bot.chat.warnings.told import Told
from bot.chat.wire.errands import Desk, Scene, begin, opened
from bot.core.growing.week import Job
from bot.i18n import Say
from bot.pictures.wall import Wall, caption
from bot.pictures.working import draw
from bot.services.calendar import reading
from bot.services.growing import week
from bot.services.tasks import weeks_on_call
from bot.services.warnings.views import WarningView, view
from bot.storage.models import Errand
from bot.storage.people import members
from bot.storage.states import ErrandKind
from bot.storage.warnings import warnings as store

WORD = "wall"
#: Weeks on call that the sheet names: this one and the next.
_WEEKS = 2


def about(say: Say) -> str:
    return say.gettext("a sheet to print for the gate: jobs, warnings, who is on call, the calendar")


async def answer(request: Request) -> None:
    if await rights.member(request) is not None:
        await begin(request, ErrandKind.WALL, request.say.gettext("I am drawing the sheet for the gate. One moment …"))


async def work(desk: Desk, row: Errand) -> None:
    """Look, draw, hand over: the drawing is between the transactions."""
    async with opened(desk, row) as scene:
        sheet = await _sheet(desk, scene) if scene is not None else None
    if sheet is None:
        return
    page = await draw(sheet)
    async with opened(desk, row) as scene:
        if scene is not None:
            await scene.hand_over(page, f"gate-{sheet.printed_on.isoformat()}.pdf", caption(sheet))
            await scene.tell(scene.say.gettext("Here is the sheet for the gate: one A4 page to print and pin up."))
            scene.settle()


async def _sheet(desk: Desk, scene: Scene) -> Wall:
    """In the garden's own language, since everybody who passes the gate reads it."""
    session, garden, now = scene.session, scene.garden, scene.now
    spoken = voice(garden)
    found = await week.of_group(session, garden, desk.source, now)
    told = Told(spoken, found.outlook.crops, now)
    active = [await view(session, one, found.outlook) for one in await store.active(session, garden.id, now)]
    people = {one.id: one.person.name for one in await members.in_garden(session, garden.id)}
    today = spoken.local(now).date()
    month_end = (today.replace(day=1) + timedelta(days=32)).replace(day=1) - timedelta(days=1)
    return Wall(
        say=spoken,
        garden=garden.name,
        printed_on=today,
        warnings=wording.warnings(told, active, has_forecast=found.outlook.forecast is not None),
        jobs=wording.jobs(told, found.outlook.garden, [job for job in found.week.jobs if not _stands(job, active)]),
        on_call=wording.on_call(spoken, (await weeks_on_call.weeks(session, garden, now))[:_WEEKS], people),
        calendar=wording.days(spoken, await reading.between(session, garden.id, today, month_end), today),
    )


def _stands(job: Job, active: Sequence[WarningView]) -> bool:
    """Whether it stands with a warning already, with its people."""
    said = {(duty.kind.value, duty.place.id) for shown in active for duty in shown.open_duties}
    return all((job.kind.value, place_id) in said for place_id in job.place_ids) and bool(job.place_ids)
