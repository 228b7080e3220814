"""/calendar: the season's calendar; organisers add lines to it, and publish them."""

from __future__ import annotations

from base64 import b64encode
from datetime import date, datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.calendar import calendar_words as wording
from bot.chat.calendar import pinned, proposal
from bot.chat.calendar.entry_lines import Written, read_lines
from bot.chat.request import Request
from bot.chat.warnings.brief import fits
from bot.chat.wire.errands import Desk, begin, opened
from bot.chat.wire.message import Button
from bot.core.calendar.entry import EntryKind
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.pictures.season import Season, SeasonEntry, caption
from bot.pictures.working import draw
from bot.services.calendar import entries, reading
from bot.services.growing import rules
from bot.services.look import look
from bot.storage.models import Errand, Garden
from bot.storage.states import ErrandKind

WORD = "calendar"
#: What the picture shows, from this month on.
MONTHS = 4


def about(say: Say) -> str:
    return say.gettext("the garden's calendar; also /calendar picture, /calendar file")


async def answer(request: Request) -> None:
    say, garden, member = request.say, request.garden, request.member
    if garden is None or member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    asked = request.text.partition(" ")[2].strip() if " " in request.text else request.text.partition("\n")[2].strip()
    if asked.casefold() in ("picture", "dark"):
        await _picture(request, dark=asked.casefold() == "dark")
    elif asked.casefold() == "file":
        await _file(request)
    elif asked.casefold() == "propose" and member.role is Role.ORGANISER:
        await proposal.show(request)
    elif asked and member.role is Role.ORGANISER:
        await _add(request, asked)
    elif asked:
        await request.reply(say.gettext("The organisers make the calendar. Tell one of them what is missing!"))
    else:
        await _show(request)


async def _show(request: Request, *, whole: bool = False) -> None:
    """The coming two months, as much of them as a phone shows at once. whole: all of it in any case."""
    say, garden = request.say, request.garden
    assert garden is not None
    found = await reading.two_months(request.session, garden, request.now)
    today = say.local(request.now).date()
    text = wording.pinned(say, garden.name, found, today)
    if whole or fits(text):
        await request.reply(text)
        return
    show: Button = (say.gettext("Show all entries"), "cal:all")
    await request.reply(wording.next_ones(say, garden.name, found, today), [[show]])


async def _add(request: Request, lines: str) -> None:
    """Lines as people write them become drafts; a preview asks before anything is published."""
    say, garden, member = request.say, request.garden, request.member
    assert garden is not None and member is not None
    today = say.local(request.now).date()
    read = read_lines(lines, say, await rules.of_garden(request.session, garden.id), today)
    good = [one.entry for one in read if isinstance(one, Written)]
    rows = await entries.put(request.session, garden.id, member, good, request.now)
    buttons: list[list[Button]] = []
    if rows:
        buttons = [
            [(say.gettext("Publish the entries"), "cal:publish"), (say.gettext("Delete the entries"), "cal:drop")]
        ]
    await request.reply(wording.preview(say, read, today), buttons)


async def press(request: Request, rest: str) -> None:
    """Publish or drop every draft; pressed twice, the second finds none. "all" is for every member."""
    say, garden, member = request.say, request.garden, request.member
    if rest == "all" and garden is not None and member is not None:
        await _show(request, whole=True)
        return
    if garden is None or member is None or member.role is not Role.ORGANISER:
        await request.reply(say.gettext("The organisers make the calendar. Tell one of them what is missing!"))
        return
    verb, _, what = rest.partition(":")
    if verb in ("take", "takeall"):
        await proposal.take(request, rest)
        return
    if verb == "why":
        await proposal.why(request, what)
        return
    if verb == "more" and what.isdecimal() and len(what) < 5:
        await proposal.show(request, int(what))
        return
    if verb == "move":
        await proposal.move(request, what, await look(request.session, garden, request.source, request.now))
        return
    if rest == "publish":
        published = await entries.publish(request.session, garden.id, member, request.now)
        await pinned.pin(request.session, garden, request.now)
        count = len(published)
        await request.reply(
            say.ngettext("Published: {n} entry.", "Published: {n} entries.", count)
            if count
            else say.gettext("There is nothing left to publish.")
        )
        return
    drafts = await entries.drafts(request.session, garden.id)
    count = await entries.drop_drafts(request.session, garden.id, [row.uid for row in drafts])
    await request.reply(
        say.ngettext("Deleted: {n} entry.", "Deleted: {n} entries.", count)
        if count
        else say.gettext("There is nothing left to delete.")
    )


async def _picture(request: Request, *, dark: bool) -> None:
    assert request.garden is not None
    if not (await _season(request.session, request.garden, request.say, request.now, dark=dark)).entries:
        await request.reply(request.say.gettext("The calendar is still empty."))
        return
    await begin(request, ErrandKind.SEASON, None, asked={"dark": "yes"} if dark else {})


async def work(desk: Desk, row: Errand) -> None:
    """Look, draw, show: the drawing is between the transactions."""
    async with opened(desk, row) as scene:
        if scene is None:
            return
        dark = "dark" in scene.errand.asked
        drawn = await _season(scene.session, scene.garden, scene.say, scene.now, dark=dark)
    png = await draw(drawn)
    async with opened(desk, row) as scene:
        if scene is not None:
            await scene.show(png, "season.png", caption(drawn))
            scene.settle()


async def _season(session: AsyncSession, garden: Garden, say: Say, now: datetime, *, dark: bool) -> Season:
    first_on = say.local(now).date().replace(day=1)
    last_on = _last_day(first_on, MONTHS)
    found = await reading.between(session, garden.id, first_on, last_on)
    times: dict[tuple[str, EntryKind], list[tuple[date, date]]] = {}
    for one in found:
        times.setdefault((one.entry.title, one.entry.kind), []).append((one.first_on, one.last_on))
    listed = tuple(SeasonEntry(text, kind, tuple(spans)) for (text, kind), spans in times.items())
    return Season(say, garden.name, first_on, last_on, listed, dark)


def _last_day(first_on: date, months: int) -> date:
    """The last day of the span of so many whole months."""
    month = first_on.month - 1 + months
    return date(first_on.year + month // 12, month % 12 + 1, 1) - timedelta(days=1)


async def _file(request: Request) -> None:
    """An iCalendar file; opened again, it updates what it brought before."""
    assert request.garden is not None
    data = await reading.ics(request.session, request.garden)
    if data is None:
        await request.reply(request.say.gettext("The calendar is still empty."))
        return
    caption_ = request.say.gettext(
        "Open this file with your calendar app. If you open a newer file later, it replaces this one."
    )
    await request.hand_over(b64encode(data).decode("ascii"), "garden.ics", caption_)
