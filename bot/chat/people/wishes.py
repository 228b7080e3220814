"""/wishes: what I am glad to do, and when; one message, whose buttons show a page of it and change that."""

from __future__ import annotations

from datetime import date, datetime

from bot.chat import rights
from bot.chat.html import safe
from bot.chat.people import start
from bot.chat.people import wishes_words as wording
from bot.chat.people.wishes_words import Page
from bot.chat.request import Request
from bot.chat.tasks import safely_home
from bot.i18n import Say
from bot.services.people import wishes
from bot.services.people.wishes import Free
from bot.services.tasks import answers
from bot.storage.models import Member

WORD = "wishes"
#: Where each kind of wish is shown.
_PAGES: dict[str, Page] = {
    "kg": Page.LIFTING, "rest": Page.LIFTING, "week": Page.TURNS, "way": Page.WAY,
    "morning": Page.HOURS, "any": Page.HOURS, **{kind.value: Page.HOURS for kind in Free},
}  # fmt: skip


def about(say: Say) -> str:
    return say.gettext("how much you like to lift, and when you can come")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is not None:
        garden, member = found
        said = await wishes.wishes(request.session, member)
        await request.whisper(
            wording.message(request.say, garden.name, said), wording.buttons(request.say, member.id, said)
        )


async def press(request: Request, rest: str) -> None:
    """ "member id:wish:value", from that member only."""
    who, _, said = rest.partition(":")
    what, _, value = said.partition(":")
    member_id, number = rights.whole(who), rights.whole(value)
    if member_id is None or number is None:
        await rights.stale(request)
        return
    found = await rights.own(request, member_id)
    if found is None:
        return
    garden, member = found
    if what == "end":
        await request.change(start.settled(request.say, garden.name, member.role))
        return
    page = Page(number) if what == "page" and number in tuple(Page) else _PAGES.get(what)
    if page is None or (what != "page" and not await _wish(request, member, what, number)):
        await rights.stale(request)
        return
    if what in ("kg", "rest"):
        await _spare(request, member)
    now_said = await wishes.wishes(request.session, member)
    await request.change(
        wording.message(request.say, garden.name, now_said, page),
        wording.buttons(request.say, member.id, now_said, page),
    )


async def _spare(request: Request, member: Member) -> None:
    """What they had been asked for and is too heavy for them now goes to others, and they hear so."""
    found = await answers.spare(request.session, member, request.now)
    places = await safely_home.places(request.session, found)
    if places:
        where = request.say.and_list(safe(place, 40) for place in places)
        await request.whisper(
            request.say.gettext("That is too heavy for you, so I ask others: {places}.", places=where)
        )


def _day(number: int) -> date | None:
    """The day of "20260508"."""
    try:
        return datetime.strptime(str(number), "%Y%m%d").date()  # noqa: DTZ007
    except ValueError:
        return None


async def _wish(request: Request, member: Member, what: str, number: int) -> bool:
    """Store one wish; False for what no button of ours says."""
    if what == "kg" and number in wishes.LIFTS_KG:
        member.lift_kg, member.lift_back_on, member.lift_back_kg = float(number), None, None
    elif what == "rest" and (until := _day(number)) is not None:
        await wishes.lift_nothing_until(request.session, member, until)
    elif what == "morning" and number in (0, 1):
        member.mornings_only = bool(number)
    elif what == "week" and number in (0, *wishes.PER_WEEK):
        member.per_week = number or None
    elif what == "way" and number in wishes.TRAVEL_MIN:
        member.travel_min = number
    elif what == "any":
        await wishes.free(request.session, member, None, wanted=True)
    elif what in tuple(Free):
        await wishes.free(request.session, member, Free(what), wanted=bool(number))
    else:
        return False
    return True
