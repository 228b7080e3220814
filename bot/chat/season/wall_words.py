"""What the sheet for the gate says. It hangs for days: days are named, never "today" or "tonight"."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta

from bot.chat import names
from bot.chat.calendar import calendar_words
from bot.chat.growing import week_words as week_wording
from bot.chat.tasks import weight_words, what_is_on_words
from bot.chat.warnings.headlines import headline
from bot.chat.warnings.told import Told
from bot.chat.wire.markup import strip_tags
from bot.core.calendar.entry import Occurrence
from bot.core.garden.snapshot import Garden
from bot.core.growing.week import Job, JobKind
from bot.core.tasks.on_call import Week as OnCall
from bot.i18n import Say
from bot.services.warnings.views import TaskView, WarningView
from bot.storage.states import AskState

__all__ = ["days", "jobs", "on_call", "warnings"]

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
        load = weight_words.of(say, duty.kind, duty.place, duty.people, several=False)
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
    loaded = weight_words.of(say, first.kind, first.place, first.people, several=several)
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
