"""Warnings called by hand and called off: what would follow, and what is asked before it does."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.language.called import Expected, NotSo, Unclear
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Garden
from bot.core.units import MS_PER_MPH
from bot.core.warnings.alerts import Threat
from bot.core.warnings.assumed import Blow, ColdNight
from bot.core.warnings.hazards import Finding, TaskKind
from bot.core.warnings.safety import Closed
from bot.i18n import MS_PER_KMH, Say
from bot.storage.models import Warning

_PLANTS_C = (0.0, -2.0, -4.0, -6.0)
_GUSTS = {"mph": (40, 50, 60, 70), "km/h": (65, 80, 95, 110)}
_MS = {"mph": MS_PER_MPH, "km/h": MS_PER_KMH}
_AT = "%Y%m%d%H%M"


def code(expected: Expected) -> str:
    """Short enough for a button."""
    if isinstance(expected, ColdNight):
        return f"c.{expected.evening_on:%Y%m%d}.{round(expected.plant_c * 10)}"
    hours = f"{expected.start_at.astimezone(UTC):{_AT}}.{expected.end_at.astimezone(UTC):{_AT}}"
    return f"w.{hours}.{round(expected.gust_ms * 100)}" if isinstance(expected, Blow) else f"s.{hours}"


def decode(text: str) -> Expected | None:
    """What a button carries, None when it is none of ours."""
    kind, *parts = text.split(".")
    try:
        if kind == "c" and len(parts) == 2:
            return ColdNight(datetime.strptime(parts[0], "%Y%m%d").replace(tzinfo=UTC).date(), int(parts[1]) / 10)
        if kind in ("w", "s") and len(parts) == (3 if kind == "w" else 2):
            start_at, end_at = (datetime.strptime(part, _AT).replace(tzinfo=UTC) for part in parts[:2])
            return Blow(start_at, end_at, int(parts[2]) / 100) if kind == "w" else Closed(start_at, end_at)
    except ValueError:
        return None
    return None


def menu(say: Say) -> str:
    return lines([
        bold(say.gettext("What is coming?")),
        say.gettext("Tap, or write for example:"),
        say.gettext("/warn cold tonight -3"),
        say.gettext("/warn wind tomorrow 14:00 60 mph"),
        say.gettext("/warn severe tomorrow 12:00 18:00 for an official warning: nobody goes out in those hours"),
    ])  # fmt: skip


def expected_line(told: Told, expected: Expected) -> str:
    say = told.say
    if isinstance(expected, ColdNight):
        return say.gettext(
            "The night from {evening} to {morning}: {plant} at the plants.",
            evening=say.day(expected.evening_on),
            morning=say.day(expected.evening_on + timedelta(days=1)),
            plant=say.celsius(expected.plant_c),
        )
    hours = {
        "day": say.day(say.local(expected.start_at).date()),
        "start": say.clock(expected.start_at),
        "end": say.clock(expected.end_at),
    }
    if isinstance(expected, Blow):
        return say.gettext("{day}, {start} to {end}: gusts of {gust}.", gust=say.wind(expected.gust_ms), **hours)
    return say.gettext("{day}, {start} to {end}: an official severe weather warning.", **hours)


def preview(told: Told, expected: Expected, garden: Garden, threat: Threat | None) -> str:
    """What the group would be asked. threat: what the call endangers, None for nothing."""
    say = told.say
    first = bold(expected_line(told, expected))
    if isinstance(expected, Closed):
        return lines([
            first,
            say.gettext("Nobody goes out in those hours. I will ask for help before or after."),
            say.gettext("Should I tell the group?"),
        ])  # fmt: skip
    if threat is None:
        return lines(
            [first, say.gettext("I find nothing here that this would damage, so there is no warning to send.")]
        )
    if threat.due_at <= told.now:
        return lines([
            first,
            say.gettext("There is no safe time left before it. I will send nobody out and only tell the group."),
            *listed(told, garden, threat.findings),
            say.gettext("Should I tell the group?"),
        ])  # fmt: skip
    return lines([
        first,
        say.gettext(
            "We would need this done by {time} ({day}):",
            time=say.clock(threat.due_at),
            day=say.near_day(say.local(threat.due_at).date(), told.now),
        ),
        *listed(told, garden, threat.findings),
        say.gettext("Should I send the warning? I will tell the group and ask people by name."),
    ])  # fmt: skip


def listed(told: Told, garden: Garden, findings: Iterable[Finding]) -> list[str]:
    """A line for each task, with its places."""
    places: dict[TaskKind, dict[str, None]] = {}
    for one in findings:
        places.setdefault(one.task, {})[safe(garden.place_by_id[one.place_id].name, 40)] = None
    return [
        told.say.gettext("• {task}: {places}.", task=names.task(told.say, task), places=told.say.and_list(there))
        for task, there in places.items()
    ]


def figures(say: Say, garden_id: int, expected: Expected) -> list[Button]:
    """The same with other figures."""
    if isinstance(expected, ColdNight):
        return [
            (say.celsius(plant_c), f"warn:{garden_id}:see:{code(ColdNight(expected.evening_on, plant_c))}")
            for plant_c in _PLANTS_C
        ]
    if isinstance(expected, Blow):
        gusts_ms = [gust * _MS[say.wind_unit] for gust in _GUSTS[say.wind_unit]]
        return [
            (say.wind(ms), f"warn:{garden_id}:see:{code(Blow(expected.start_at, expected.end_at, ms))}")
            for ms in gusts_ms
        ]
    return []


def unclear(say: Say, given: NotSo) -> str:
    value = safe(given.value, 40)
    return {
        Unclear.WHAT: say.gettext("Cold, wind or an official severe warning? Write for example: /warn cold tonight -3"),
        Unclear.PAST: say.gettext("That time has passed."),
        Unclear.TOO_FAR: say.gettext("That is too far ahead. Send it in the week before."),
        Unclear.TEMPERATURE: say.gettext("The temperature at the plants must be from -25 to 5 °C."),
        Unclear.SPEED: say.gettext("Gusts must be from 20 to 134 mph (32 to 216 km/h)."),
        Unclear.HOURS: say.gettext("Write the earlier time first, then the later one, at most 24 hours apart."),
        Unclear.SEVERAL_DAYS: say.gettext(
            "I can warn of one day or night at a time. Write one of them: {value}", value=value
        ),
        Unclear.LEFT_OVER: say.gettext(
            "I do not understand {value}. Write degrees as -3, wind as 60 mph, hours as 14:00 or 2pm.", value=value
        ),
        Unclear.NO_SUCH_DAY: say.gettext(
            "There is no such day as {value}. Look at the month, and write it again.", value=value
        ),
        Unclear.NO_SUCH_TIME: say.gettext("{value} is not a time. Write one such as 14:00 or 2pm.", value=value),
    }[given.why]


def in_force(say: Say, warnings: Sequence[Warning]) -> tuple[str, list[list[Button]]]:
    """Warnings as buttons, to be called off."""
    buttons: list[list[Button]] = [[(_name(say, one)[:60], f"off:{one.id}:ask")] for one in warnings[:20]]
    return bold(say.gettext("Which warning should I cancel?")), buttons


def _name(say: Say, warning: Warning) -> str:
    return say.gettext("{hazard}, {day}", hazard=names.hazard(say, warning.hazard), day=say.day(warning.window_on))


def why(say: Say, warning: Warning) -> str:
    """Asked before it is called off."""
    return lines([
        bold(say.gettext("Cancel: {warning}?", warning=_name(say, warning))),
        say.gettext(
            "Write the reason in one line, or tap. I will tell the group and everyone who said yes. I will not "
            "send it again on my own. The forecast will not change that."
        ),
    ])  # fmt: skip


def reasons(say: Say, warning_id: int) -> list[list[Button]]:
    return [
        [
            (say.gettext("Cancel the warning"), f"off:{warning_id}:go"),
            (say.gettext("Keep the warning"), f"off:{warning_id}:keep"),
        ]
    ]
