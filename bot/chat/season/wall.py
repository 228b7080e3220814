"""/wall: the sheet for the gate, one A4 page to print: warnings, the group's jobs, who is on call, the month.

What the sheet for the gate says. It hangs for days: days are named, never "today" or "tonight".
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from bot.chat import names, rights
from bot.chat.calendar import calendar_words
from bot.chat.garden.everyone import voice
from bot.chat.growing import week as week_wording
from bot.chat.request import Request
from bot.chat.tasks import what_is_on_words
from bot.chat.warnings.brief import headline
from bot.chat.warnings.told import Told
from bot.chat.wire.errands import Desk, Scene, begin, opened
from bot.chat.wire.markup import strip_tags
from bot.core.calendar.entry import Occurrence
from bot.core.garden.snapshot import Garden
from bot.core.growing.jobs.job import Job, JobKind
from bot.core.tasks.on_call import Week as OnCall
from bot.i18n import Say
from bot.pictures.wall import Wall, caption
from bot.pictures.working import draw
from bot.services.calendar import reading
from bot.services.growing import week
from bot.services.tasks import weeks_on_call
from bot.services.warnings.views import TaskView, WarningView, view
from bot.storage.models import Errand
from bot.storage.people import members
from bot.storage.states import AskState, ErrandKind
from bot.storage.warnings import warnings as store

#: Spoken from so long before, no day is near at hand.
_BEFORE = timedelta(days=7)


def warnings(told: Told, shown: Iterable[WarningView], *, has_forecast: bool) -> tuple[str, ...]:
    """A line a warning, and one for each thing still to be done about it. Without a forecast, silence is not safety."""
    early = replace(told, now=told.now - _BEFORE)
    found = [line for view in shown for line in _warning(early, view)]
    if not has_forecast:
        found.append(
            told.say.gettext("There was no weather forecast when this was printed. Look at one before it gets dark.")
        )
    return tuple(found)


def _warning(told: Told, view: WarningView) -> list[str]:
    say = told.say
    found = [strip_tags(headline(told, view))]
    if view.severe is not None:
        words = say.gettext("There is an official severe weather warning. Nobody goes out to the garden then.")
        found.append(words)
    return found + _duties(say, view.open_duties)


def _duties(say: Say, open_duties: Iterable[TaskView]) -> list[str]:
    """A line for each task with the same hour and people, all its places in it."""
    groups: dict[tuple[str, str, str, str | None, tuple[str, ...]], list[TaskView]] = {}
    for duty in open_duties:
        people = tuple(each.name for each in duty.with_state(AskState.ACCEPTED))
        day = say.day(say.local(duty.due_at).date())
        load = what_is_on_words.of(say, duty.kind, duty.place, duty.people, several=False)
        groups.setdefault((_task(say, duty), say.clock(duty.due_at), day, load, people), []).append(duty)
    return [_line(say, *key, group) for key, group in groups.items()]


def _task(say: Say, duty: TaskView) -> str:
    """What to do, and with what or into what."""
    task = what_is_on_words.verb(say, duty)
    if duty.target is not None:
        return say.gettext("{task}, into {target}", task=task, target=duty.target.name)
    if duty.cover is not None:
        return say.gettext("{task}, with {cover}", task=task, cover=names.cover(say, duty.cover))
    return task


def _line(
    say: Say, task: str, time: str, day: str, load: str | None, people: tuple[str, ...], group: list[TaskView]
) -> str:
    words = {"task": task, "places": say.and_list(duty.place.name for duty in group), "day": day, "time": time}
    if people:
        line = say.gettext("{task}: {places}, by {time} on {day}: {people}.", people=say.and_list(people), **words)
    else:
        line = say.gettext("{task}: {places}, by {time} on {day}. We need somebody.", **words)
    first, several = group[0], len({duty.place.id for duty in group}) > 1
    loaded = what_is_on_words.of(say, first.kind, first.place, first.people, several=several)
    return " ".join(part for part in (line, loaded) if part)


def jobs(told: Told, garden: Garden, found: Sequence[Job]) -> tuple[str, ...]:
    """The group's jobs, the most pressing first; what a warning asks for stands with the warning."""
    early = replace(told, now=told.now - _BEFORE)
    return tuple(strip_tags(_job(early, garden, job)) for job in found)


def _job(told: Told, garden: Garden, job: Job) -> str:
    if job.kind is JobKind.HARDEN_OFF:  # its hours are one day's
        return week_wording.job_title(told, garden, job)
    return week_wording.one(told, garden, job)


def on_call(say: Say, weeks: Iterable[OnCall], people: Mapping[int, str]) -> tuple[str, ...]:
    return tuple(
        say.gettext(
            "Week of {day}: {people}",
            day=say.day(week.starts_on),
            people=say.and_list(people[one] for one in week.people if one in people),
        )
        for week in weeks
        if week.people
    )


def days(say: Say, found: Iterable[Occurrence], today: date) -> tuple[str, ...]:
    return tuple(strip_tags(calendar_words.line(say, one, today)) for one in found)


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
        warnings=warnings(told, active, has_forecast=found.outlook.forecast is not None),
        jobs=jobs(told, found.outlook.garden, [job for job in found.week.jobs if not _stands(job, active)]),
        on_call=on_call(spoken, (await weeks_on_call.weeks(session, garden, now))[:_WEEKS], people),
        calendar=days(spoken, await reading.between(session, garden.id, today, month_end), today),
    )


def _stands(job: Job, active: Sequence[WarningView]) -> bool:
    """Whether it stands with a warning already, with its people."""
    said = {(duty.kind.value, duty.place.id) for shown in active for duty in shown.open_duties}
    return all((job.kind.value, place_id) in said for place_id in job.place_ids) and bool(job.place_ids)
