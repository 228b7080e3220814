"""/oncall: who is on call in the coming weeks, also as a file; an organiser shows it to the group."""

from __future__ import annotations

from base64 import b64encode

from bot.chat import rights
from bot.chat.garden.everyone import keyed, voices
from bot.chat.html import bold, safe
from bot.chat.request import Request
from bot.chat.screen import within
from bot.chat.tasks import daily
from bot.chat.wire.message import Button, post
from bot.core.garden.snapshot import Role
from bot.core.tasks.on_call import Week
from bot.i18n import Say
from bot.services.calendar.reading import calendar_of
from bot.services.look import look
from bot.services.tasks import weeks_on_call
from bot.storage.models import Garden
from bot.storage.people import members

WORD = "oncall"


def about(say: Say) -> str:
    return say.gettext("who is on call in the coming weeks; also /oncall file")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    if request.text.partition(" ")[2].strip().casefold() == "file":
        await _file(request, garden)
        return
    show: list[list[Button]] = []
    if request.private and member.role is Role.ORGANISER and garden.group_id is not None:
        show = [[(request.say.gettext("Show it to the group"), f"oncall:{garden.id}")]]
    await request.reply(await _text(request, request.say, garden), show)


async def press(request: Request, rest: str) -> None:
    """Show it to the group: once for the same rota, however often it is pressed."""
    found = await rights.organiser_pressed(request, rest)
    garden = found[0] if found else None
    if garden is None:
        return
    if garden.group_id is None or garden.chat_id is None:
        await request.change(request.say.gettext("I can't write in a group of this garden now. /setup says why."))
        return
    shown = await weeks_on_call.weeks(request.session, garden, request.now)
    version = "-".join(str(one) for week in shown for one in week.people)[:100]
    for voiced in voices(garden):
        await post(
            request.session,
            key=keyed(f"oncall:{garden.id}:{garden.chat_id}:{shown[0].starts_on}:{version}", garden, voiced),
            chat_id=garden.chat_id,
            thread_id=garden.thread_id,
            text=await _text(request, voiced, garden),
            now=request.now,
        )
    await request.change(request.say.gettext("The group has it."))


async def _file(request: Request, garden: Garden) -> None:
    """An iCalendar file; opened again, it updates what it brought before."""
    from bot.services.calendar.ical_out import rota_ics  # large, and seldom asked for

    say = request.say
    weeks, names = await _weeks(request, garden)
    name = say.gettext("{garden}: on call", garden=garden.name)
    uid = (await calendar_of(request.session, garden.id)).uid
    data = rota_ics(name, uid, [(week, _summary(say, week, names)) for week in weeks], request.now)
    assert data is not None  # there is always a week
    caption = say.gettext("Open it with your calendar. A newer file replaces what this one brought.")
    await request.hand_over(b64encode(data).decode("ascii"), "on-call.ics", caption)


def _summary(say: Say, week: Week, names: dict[int, str]) -> str:
    """A week's title in a calendar: plain text, no markup."""
    if not week.people:
        return say.gettext("On call: nobody yet")
    return say.gettext("On call: {people}", people=say.and_list(names[one] for one in week.people))


async def _weeks(request: Request, garden: Garden) -> tuple[tuple[Week, ...], dict[int, str]]:
    """The coming weeks, and the names of everybody in the garden."""
    weeks = await weeks_on_call.weeks(request.session, garden, request.now)
    return weeks, {one.id: one.person.name for one in await members.in_garden(request.session, garden.id)}


async def _text(request: Request, say: Say, garden: Garden) -> str:
    """As many of the coming weeks as a phone shows at once; the file has all."""
    weeks, names = await _weeks(request, garden)
    outlook = await look(request.session, garden, request.source, request.now)

    def below(shown_n: int) -> list[str | None]:
        rest = len(weeks) - shown_n
        return [
            say.ngettext("And {n} more.", "And {n} more.", rest) if rest else None,
            say.gettext("I will ask them first when something comes up. You can't? Write /away."),
        ]

    first = [
        bold(say.gettext("On call in {garden}:", garden=safe(garden.name))),
        *await daily.today(request.session, say, outlook, request.now),
    ]
    return within(first, [_line(say, week, names) for week in weeks], below)[0]


def _line(say: Say, week: Week, names: dict[int, str]) -> str:
    day = say.day(week.starts_on)
    if not week.people:
        return say.gettext("• Week of {day}: nobody yet", day=day)
    people = say.and_list(safe(names[one], 40) for one in week.people)
    return say.gettext("• Week of {day}: {people}", day=day, people=people)
