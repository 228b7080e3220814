"""The season's end in words: what the weather did, what was saved and lost, the harvest, the work, and what to change."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.journal import amounts
from bot.core.growing.crop import Crop
from bot.core.season.lessons import Lesson, LessonKind
from bot.i18n import Say
from bot.pictures.report import Group, Row
from bot.services.garden.records.sheet import guarded
from bot.services.season.report import Season

#: What a phone's screen has room for; the file has all of it.
_CROPS, _LESSONS = 5, 4
_BARS = 8

Crops = Mapping[str, Crop]


def title(say: Say, garden: str, season: Season) -> str:
    return say.gettext("The season {year} in {garden}", year=season.name, garden=garden)


def message(say: Say, crops: Crops, garden: str, season: Season) -> str:
    """Everything on one phone's screen, thanks included."""
    head = bold(title(say, safe(garden, 60), season))
    if season.is_empty:
        return lines([head, say.gettext("I know nothing about this year yet.")])
    return lines([
        head,
        say.gettext("Up to {day}.", day=say.long_day(season.until_on)),
        *_weather(say, season),
        *_saved(say, crops, season),
        _harvest(say, crops, season),
        *_work(say, season),
        *_changes(say, crops, season),
    ])  # fmt: skip


def _weather(say: Say, season: Season) -> Iterable[str]:
    cold = season.cold
    if cold.coldest is None:
        yield say.gettext("Weather: no thermometer was read, so I can't say how cold it was here.")
    else:
        on, value_c = cold.coldest
        yield say.ngettext(
            "Weather: the thermometer showed frost on {n} night. The coldest was {value} on {day}.",
            "Weather: the thermometer showed frost on {n} nights. The coldest was {value} on {day}.",
            len(cold.frosts),
            value=say.celsius(value_c),
            day=say.day(on),
        )
    table = cold.table
    if table is not None and table.hits + table.misses:
        yield say.ngettext(
            "There was {n} frost. Times I warned you before it: {hits}. Warnings that were not needed: {needless}.",
            "There were {n} frosts. I warned you before {hits} of them. Warnings that were not needed: {needless}.",
            table.hits + table.misses,
            hits=say.number(table.hits),
            needless=say.number(table.false_alarms),
        )
    if season.called:
        listed = say.and_list(
            say.gettext("{hazard} {n}", hazard=names.hazard(say, hazard), n=say.number(n))
            for hazard, n in sorted(season.called.items())
        )
        yield say.gettext("How often I asked for help: {listed}.", listed=listed)


def _saved(say: Say, crops: Crops, season: Season) -> Iterable[str]:
    if season.done_n:
        yield say.ngettext(
            "{n} job was done in time before cold or wind.",
            "{n} jobs were done in time before cold or wind.",
            season.done_n,
        )
    if season.late_n:
        yield say.ngettext("{n} job was done late.", "{n} jobs were done late.", season.late_n)
    if season.lost:
        listed = say.and_list(
            say.gettext("{crop} {n}", crop=names.crop(say, crops, crop), n=say.number(n))
            for crop, n in season.lost[:_CROPS]
        )
        yield say.gettext("Plants lost: {listed}.", listed=listed)


def _harvest(say: Say, crops: Crops, season: Season) -> str | None:
    if not season.harvest:
        return None
    total = say.number(sum(kg for _, kg in season.harvest), 1)
    listed = say.and_list(
        say.gettext("{crop} {kg} kg", crop=names.crop(say, crops, crop), kg=say.number(kg, 1))
        for crop, kg in season.harvest[:_CROPS]
    )
    return say.gettext("Harvest: {total} kg. Most of it: {listed}.", total=total, listed=listed)


def _work(say: Say, season: Season) -> Iterable[str]:
    work = season.work
    if work.turns_n:
        yield say.ngettext(
            "Work: {helpers} of {members} members did {n} turn. Thank you all!",
            "Work: {helpers} of {members} members did {n} turns, from {fewest} to {most} each. Thank you all!",
            work.turns_n,
            helpers=say.number(work.helpers_n),
            members=say.number(work.members_n),
            fewest=say.number(work.fewest_n),
            most=say.number(work.most_n),
        )


def _changes(say: Say, crops: Crops, season: Season) -> Iterable[str]:
    if season.lessons:
        yield bold(say.gettext("Next year:"))
        shown = season.lessons[:_LESSONS]
        yield from (say.gettext("• {what}", what=lesson(say, crops, one)) for one in shown)
        rest = len(season.lessons) - len(shown)
        if rest:
            yield say.ngettext("And {n} more.", "And {n} more.", rest)


def lesson(say: Say, crops: Crops, one: Lesson) -> str:
    """One thing to change, with the reason in the same breath."""
    words = {
        "crop": names.crop(say, crops, one.crop) if one.crop else "",
        "day": say.day(one.on) if one.on else "",
        "until": say.day(one.until_on) if one.until_on else "",
        "of_n": say.number(one.of_n),
        "kg": say.number(one.kg, 1),
    }
    match one.kind:
        case LessonKind.LATER:
            return say.ngettext(
                "{crop}: wait until after {day}, or keep fleece ready. We lost {n} plant to cold this spring.",
                "{crop}: wait until after {day}, or keep fleece ready. We lost {n} plants to cold this spring.",
                one.n,
                **words,
            )
        case LessonKind.EARLIER:
            return say.ngettext(
                "{crop}: lift or cover before {day}. We lost {n} plant to cold this autumn.",
                "{crop}: lift or cover before {day}. We lost {n} plants to cold this autumn.",
                one.n,
                **words,
            )
        case LessonKind.UNCALLED:
            return say.ngettext(
                "I did not warn you of {n} frost, on {day}. I learn from each thermometer reading that you send.",
                "I did not warn you of {n} frosts, the first on {day}. I learn from each thermometer reading "
                "that you send.",
                one.n,
                **words,
            )
        case LessonKind.NEEDLESS:
            return say.ngettext(
                "{n} of {of_n} frost warnings was not needed. I learn from each thermometer reading that you send.",
                "{n} of {of_n} frost warnings were not needed. I learn from each thermometer reading that you send.",
                one.n,
                **words,
            )
        case LessonKind.UNDONE:
            return say.ngettext(
                "{n} of {of_n} jobs before bad weather was not done in time. More people on call would help.",
                "{n} of {of_n} jobs before bad weather were not done in time. More people on call would help.",
                one.n,
                **words,
            )
        case LessonKind.FEW_HANDS:
            return say.ngettext(
                "{n} of {of_n} members could come. Ask the others what would make it easier for them.",
                "{n} of {of_n} members could come. Ask the others what would make it easier for them.",
                one.n,
                **words,
            )
        case LessonKind.GLUT:
            return say.gettext(
                "{crop}: more than half came in one week, {kg} kg from {day}. Sow at two or three different times.",
                **words,
            )
        case LessonKind.GAP:
            return say.gettext(
                "There was nothing to pick from {day} to {until}. /crop shows what could be ready then.", **words
            )


def groups(say: Say, crops: Crops, season: Season) -> tuple[Group, ...]:
    """The bars of the picture; each says its own value."""
    found: list[Group] = []
    if season.harvest:
        rows = [
            Row(names.crop(say, crops, crop), kg, say.gettext("{number}\u00a0kg", number=say.number(kg, 1)))
            for crop, kg in season.harvest[:_BARS]
        ]
        found.append(Group(say.gettext("Harvest"), tuple(rows), len(season.harvest) - len(rows)))
    table = season.cold.table
    if table is not None:
        counts = (
            (say.gettext("frost with a warning"), table.hits),
            (say.gettext("warning without frost"), table.false_alarms),
            (say.gettext("frost without a warning"), table.misses),
        )
        found.append(Group(say.gettext("Nights with frost or a warning"), _counted(say, counts)))
    if season.done_n or season.late_n or season.undone_n:
        jobs = (
            (say.gettext("done in time"), season.done_n),
            (say.gettext("done late"), season.late_n),
            (say.gettext("not done"), season.undone_n),
        )
        found.append(Group(say.gettext("Jobs before bad weather"), _counted(say, jobs)))
    if season.lost:
        lost = [(names.crop(say, crops, crop), n) for crop, n in season.lost[:_BARS]]
        found.append(Group(say.gettext("Plants lost"), _counted(say, lost), len(season.lost) - len(lost)))
    return tuple(found)


def _counted(say: Say, counts: Iterable[tuple[str, int]]) -> tuple[Row, ...]:
    return tuple(Row(label, float(n), say.number(n)) for label, n in counts)


def as_csv(say: Say, crops: Crops, season: Season) -> bytes:
    """All of it as a spreadsheet: what, of what, how much, unit."""
    cold, work, table = season.cold, season.work, season.cold.table
    rows: list[tuple[str, str, object, str]] = [("season", season.name, season.until_on.isoformat(), "")]
    rows.append(("nights read", "", cold.nights_n, "nights"))
    rows += [("frost", on.isoformat(), "", "") for on in cold.frosts]
    if cold.coldest is not None:
        rows.append(("coldest", cold.coldest[0].isoformat(), cold.coldest[1], "C"))
    if table is not None:
        rows += [
            ("frost called", "", table.hits, "nights"),
            ("call without frost", "", table.false_alarms, "nights"),
            ("frost not called", "", table.misses, "nights"),
        ]
    rows += [("calls", hazard.value, n, "") for hazard, n in sorted(season.called.items())]
    rows += [("jobs done in time", "", season.done_n, ""), ("jobs done late", "", season.late_n, "")]
    rows += [("jobs not done", "", season.undone_n, "")]
    rows += [("harvest", names.crop(say, crops, crop), round(kg, 3), "kg") for crop, kg in season.harvest]
    rows += [
        ("harvest", names.crop(say, crops, crop), amount, amounts.amount(say, amount, unit))
        for crop, unit, amount in season.counted
    ]
    rows += [("lost", names.crop(say, crops, crop), n, "plants") for crop, n in season.lost]
    rows += [("lost to cold", names.crop(say, crops, crop), n, "plants") for crop, n in season.cold_lost.items()]
    rows += [("members", "", work.members_n, ""), ("helpers", "", work.helpers_n, ""), ("turns", "", work.turns_n, "")]
    rows += [("next year", lesson(say, crops, one), "", "") for one in season.lessons]
    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(("what", "of", "amount", "unit"))
    writer.writerows([guarded(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    return stream.getvalue().encode("utf-8-sig")
