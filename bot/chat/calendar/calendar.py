"""/calendar: the season's calendar; organisers add lines to it, and publish them."""

from __future__ import annotations

from base64 import b64encode
from datetime import date, datetime, timedelta

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.calendar import calendar_words as wording
from bot.chat.calendar import pinned, proposal
from bot.chat.calendar.lines.entry_lines import Written, read_lines
from bot.chat.request import Turn
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


async def answer(turn: Turn) -> None:
    say, garden, member = turn.say, turn.garden, turn.member
    if garden is None or member is None:
        await turn.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    asked = turn.text.partition(" ")[2].strip() if " " in turn.text else turn.text.partition("\n")[2].strip()
    if asked.casefold() in ("picture", "dark"):
        await _picture(turn, dark=asked.casefold() == "dark")
    elif asked.casefold() == "file":
        await _file(turn)
    elif asked.casefold() == "propose" and member.role is Role.ORGANISER:
        await proposal.show(turn)
    elif asked and member.role is Role.ORGANISER:
        await _add(turn, asked)
    elif asked:
        await turn.reply(say.gettext("Only organisers change the calendar. Tell one of them what is missing!"))
    else:
        found = await reading.two_months(turn.session, garden, turn.now)
        await turn.reply(wording.pinned(say, garden.name, found, say.local(turn.now).date()))


async def _add(turn: Turn, lines: str) -> None:
    """Lines as people write them become drafts; a preview asks before anything is published."""
    say, garden, member = turn.say, turn.garden, turn.member
    assert garden is not None and member is not None
    today = say.local(turn.now).date()
    read = read_lines(lines, say, await rules.of_garden(turn.session, garden.id), today)
    good = [one.entry for one in read if isinstance(one, Written)]
    rows = await entries.put(turn.session, garden.id, member, good, turn.now)
    buttons: list[list[Button]] = []
    if rows:
        buttons = [[(say.gettext("Publish"), "cal:publish"), (say.gettext("Drop"), "cal:drop")]]
    await turn.reply(wording.preview(say, read, today), buttons)


async def press(turn: Turn, rest: str) -> None:
    """Publish or drop every draft; pressed twice, the second finds none."""
    say, garden, member = turn.say, turn.garden, turn.member
    if garden is None or member is None or member.role is not Role.ORGANISER:
        await turn.reply(say.gettext("Only organisers change the calendar. Tell one of them what is missing!"))
        return
    verb, _, what = rest.partition(":")
    if verb in ("take", "takeall"):
        await proposal.take(turn, rest)
        return
    if verb == "more" and what.isdecimal() and len(what) < 5:
        await proposal.show(turn, int(what))
        return
    if verb == "move":
        await proposal.move(turn, what, await look(turn.session, garden, turn.source, turn.now))
        return
    if rest == "publish":
        published = await entries.publish(turn.session, garden.id, member, turn.now)
        await pinned.pin(turn.session, garden, turn.now)
        count = len(published)
        await turn.reply(
            say.ngettext("Published: {n} entry.", "Published: {n} entries.", count)
            if count
            else say.gettext("There is nothing left to publish.")
        )
        return
    drafts = await entries.drafts(turn.session, garden.id)
    count = await entries.drop_drafts(turn.session, garden.id, [row.uid for row in drafts])
    await turn.reply(
        say.ngettext("Dropped: {n} entry.", "Dropped: {n} entries.", count)
        if count
        else say.gettext("There is nothing left to drop.")
    )


async def _picture(turn: Turn, *, dark: bool) -> None:
    assert turn.garden is not None
    if not (await _season(turn.session, turn.garden, turn.say, turn.now, dark=dark)).entries:
        await turn.reply(turn.say.gettext("The calendar is empty so far."))
        return
    await begin(turn, ErrandKind.SEASON, None, asked={"dark": "yes"} if dark else {})


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


async def _file(turn: Turn) -> None:
    """An iCalendar file; opened again, it updates what it brought before."""
    assert turn.garden is not None
    data = await reading.ics(turn.session, turn.garden)
    if data is None:
        await turn.reply(turn.say.gettext("The calendar is empty so far."))
        return
    caption_ = turn.say.gettext("Open it with your calendar. A newer file replaces what this one brought.")
    await turn.hand_over(b64encode(data).decode("ascii"), "garden.ics", caption_)
