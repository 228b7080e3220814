"""/report: the season's end for the group: a preview privately, and one tap posts it there."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat import rights
from bot.chat.garden.everyone import voice
from bot.chat.request import Request
from bot.chat.screen import pages
from bot.chat.season import report_words as wording
from bot.chat.wire.errands import Desk, begin, opened
from bot.chat.wire.message import Urgency, post
from bot.chat.wire.outbox import queue
from bot.core.garden.snapshot import Role
from bot.core.growing.seasons import growing_year
from bot.i18n import Say
from bot.pictures.report import Report, caption
from bot.pictures.working import draw
from bot.services.growing import rules
from bot.services.season import report
from bot.storage.models import Errand, Garden
from bot.storage.states import ErrandKind
from bot.storage.wire import said

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
    groups = wording.groups(say, crops, season)
    return _Made(
        text=wording.message(say, crops, garden.name, season),
        picture=Report(say, wording.title(say, garden.name, season), until, groups, "dark" in asked),
        table=wording.as_csv(say, crops, season),
        key=f"{season.year}:{say.local(desk.now()).date().isoformat()}",
        name=f"season-{season.name.replace('/', '-')}.csv",
        is_empty=season.is_empty,
    )
