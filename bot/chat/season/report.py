"""/report: the season's end for the group: a preview privately, and one tap posts it there.

The season's end in words: what the weather did, what was saved and lost, the harvest, the work, and what to change.
"""

from __future__ import annotations

import csv
import io
import re
from base64 import b64encode
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import names, rights
from bot.chat.garden.everyone import voice
from bot.chat.html import bold, lines, safe
from bot.chat.journal import journal_words
from bot.chat.request import Request
from bot.chat.screen import pages
from bot.chat.wire.errands import Desk, begin, opened
from bot.chat.wire.message import Urgency, post
from bot.chat.wire.outbox_rows import queue
from bot.core.garden.snapshot import Role
from bot.core.growing.crop import Crop
from bot.core.growing.seasons import growing_year
from bot.core.season.lessons import Lesson, LessonKind
from bot.i18n import Say
from bot.pictures.report import Group, Report, Row, caption
from bot.pictures.working import draw
from bot.services.garden.records.sheet import guarded
from bot.services.growing import rules
from bot.services.season import report
from bot.services.season.report import Season
from bot.storage.models import Errand, Garden
from bot.storage.states import ErrandKind
from bot.storage.wire import said

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


def bars(say: Say, crops: Crops, season: Season) -> tuple[Group, ...]:
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
        ("harvest", names.crop(say, crops, crop), amount, journal_words.amount(say, amount, unit))
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


WORD = "report"
FOR = Role.ORGANISER
_FIRST_YEAR = 1950


@dataclass(frozen=True, slots=True)
class _Made:
    """The three forms of one report. key: tells it from those of other days."""

    text: str
    picture: Report
    table: bytes
    key: str
    name: str
    is_empty: bool


def about(say: Say) -> str:
    return say.gettext("the season so far: weather, harvest, jobs, and what to change next year")


async def answer(request: Request) -> None:
    if await rights.organiser(request) is None:
        return
    if not request.private:
        await request.reply(
            request.say.gettext("Please ask me privately: you see it first, and then one tap shows it here.")
        )
        return
    asked = {"dark": "yes"} if request.text.casefold().endswith("dark") else {}
    year = _year(
        request.text,
        request.say.local(request.now).date(),
        south=request.garden is not None and request.garden.latitude < 0,
    )
    if year is None:
        await request.reply(
            request.say.gettext("I know nothing about that year. Write for example /report 2025, or only /report.")
        )
        return
    asked["year"] = str(year)
    await begin(request, ErrandKind.REPORT, request.say.gettext("I am looking at the year. One moment …"), asked=asked)


async def work(desk: Desk, row: Errand) -> None:
    """The preview, for whoever asked, in their language."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        made = await _made(scene.session, scene.garden, scene.say, desk, row.asked)
        if made.is_empty or not scene.is_organiser:
            await scene.tell(
                made.text if scene.is_organiser else scene.say.gettext("Please ask one of the organisers to do that.")
            )
            scene.settle()
            return
    png = await draw(made.picture)
    async with opened(desk, row) as scene:
        if scene is None:
            return
        say, garden = scene.say, scene.garden
        buttons = [[(say.gettext("Show it to the group"), f"report:{garden.id}:{made.key}")]]
        first, *rest = pages(made.text)
        await scene.tell(first)
        for text in rest:
            await scene.more(text)
        await scene.show(png, "season.png", caption(made.picture))
        await scene.hand_over(made.table, made.name, _about_table(say))
        if garden.group_id is not None:
            await scene.more(say.gettext("Only you can see this so far. There are no names in it."), buttons)
        scene.settle()


async def press(request: Request, rest: str) -> None:
    """Post it to the group: once a day, whoever presses and however often."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    if found[0].group_id is None:
        await request.change(request.say.gettext("I can't write in a group of this garden now. /setup says why."))
        return
    (garden, _, key), say = found, request.say
    year, _, day = key.partition(":")
    today = say.local(request.now).date()
    if (
        not re.fullmatch("[0-9]{4}", year)
        or _year(year, today, south=garden.latitude < 0) is None
        or day != today.isoformat()
    ):
        await request.reply(say.gettext("That report is from another day. Send /report for a new one."))
        return
    if await said.by_key(request.session, _key(garden, key)) is not None:
        await request.change(say.gettext("The group has it."))
        return
    word = say.gettext("I am drawing it for the group …")
    await begin(request, ErrandKind.REPORT_TO_GROUP, word, asked={"year": year}, in_place=True)


async def to_group(desk: Desk, row: Errand) -> None:
    """The same in the group's language; the keys keep a second press from saying it twice."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        if not scene.is_organiser:
            await scene.tell(scene.say.gettext("Please ask one of the organisers to do that."))
            scene.settle()
            return
        made = await _made(scene.session, scene.garden, voice(scene.garden), desk, row.asked)
    png = await draw(made.picture)
    async with opened(desk, row) as scene:
        if scene is None:
            return
        garden = scene.garden
        if garden.group_id is None:
            await scene.tell(scene.say.gettext("I can't write in a group of this garden now. /setup says why."))
        else:
            await _post(scene.session, garden, garden.group_id, made, png, desk.now())
            await scene.tell(scene.say.gettext("The group has it."))
        scene.settle()


async def _post(session: AsyncSession, garden: Garden, chat_id: int, made: _Made, png: bytes, now: datetime) -> None:
    """Text, picture and table, each under a key of its own."""
    key = _key(garden, made.key)
    for n, text in enumerate(pages(made.text)):
        words_key = f"{key}:{n}" if n else key
        await post(session, key=words_key, chat_id=chat_id, thread_id=garden.thread_id, text=text, now=now)
    files = (
        ("sendPhoto", "photo", png, "season.png", caption(made.picture)),
        ("sendDocument", "document", made.table, made.name, _about_table(voice(garden))),
    )
    for method, field, data, name, words in files:
        await queue(
            session,
            key=f"{key}:{field}",
            chat_id=chat_id,
            thread_id=garden.thread_id,
            method=method,
            payload={field: {"file": b64encode(data).decode("ascii"), "name": name}, "caption": words},
            urgency=Urgency.NOTICE,
            now=now,
        )


def _about_table(say: Say) -> str:
    return say.gettext("The same as a table, with everything in it.")


def _key(garden: Garden, of: str) -> str:
    return f"report:{garden.id}:{garden.chat_id}:{of}"


def _year(text: str, today: date, *, south: bool) -> int | None:
    """The season that was asked for, this one when none was; None for one that nobody can have records of.

    South of the equator it is named by the year in which it begins; this calendar year before July is the season that runs.
    """
    this = growing_year(today, south=south)
    found = re.search(r"\b[0-9]{4}\b", text)
    year = int(found[0]) if found else this
    year = this if year == today.year else year
    return year if _FIRST_YEAR <= year <= this else None


async def _made(session: AsyncSession, garden: Garden, say: Say, desk: Desk, asked: Mapping[str, str]) -> _Made:
    """asked: the year, and whether the picture is to be dark."""
    crops = await rules.of_garden(session, garden.id)
    season = await report.gather(session, garden, desk.now(), int(asked["year"]))
    until = say.gettext("Up to {day}.", day=say.long_day(season.until_on))
    groups = bars(say, crops, season)
    return _Made(
        text=message(say, crops, garden.name, season),
        picture=Report(say, title(say, garden.name, season), until, groups, "dark" in asked),
        table=as_csv(say, crops, season),
        key=f"{season.year}:{say.local(desk.now()).date().isoformat()}",
        name=f"season-{season.name.replace('/', '-')}.csv",
        is_empty=season.is_empty,
    )
