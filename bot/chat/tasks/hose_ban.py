"""/hoseban: whether hoses may be used; organisers switch a hose ban on and off."""

from __future__ import annotations

from datetime import date

from bot.chat import rights
from bot.chat.garden.everyone import tell_everyone
from bot.chat.html import bold, lines
from bot.chat.language import spans
from bot.chat.language.line_tokens import Wrong
from bot.chat.people import away
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.crops.find import fold
from bot.i18n import Say
from bot.storage.models import Garden

WORD = "hoseban"


def about(say: Say) -> str:
    return say.gettext("see if we may use hoses; organisers turn a hose ban on and off")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    say = request.say
    words = " ".join(request.text.split()[1:])[:200]
    if words and member.role is Role.ORGANISER and await _said(request, garden, words):
        return
    switch: list[list[Button]] = []
    if member.role is Role.ORGANISER:
        label = say.gettext("The ban is over") if garden.hose_ban else say.gettext("There is a ban")
        switch = [[(label, f"hose:{garden.id}:{'off' if garden.hose_ban else 'on'}")]]
    await request.reply(lines([bold(_state(say, ban=garden.hose_ban)), _whose(say)]), switch)


async def press(request: Request, rest: str) -> None:
    """On or off; the group hears of a change, once however often it is pressed."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, _, word = found
    if word not in ("on", "off"):
        await rights.stale(request)
        return
    await _switch(request, garden, ban=word == "on")


async def _said(request: Request, garden: Garden, words: str) -> bool:
    """ "on", "off", "on until 12 June": done at once, or said why not; False for other words."""
    say, today = request.say, request.say.local(request.now).date()
    on = _listed(say.pgettext("words that switch on", "on|begins|starts|start"), "on")
    off = _listed(say.pgettext("words that switch off", "off|over|ends|end|lifted"), "off")
    first, rest = fold(words.split()[0]), " ".join(words.split()[1:])
    if first not in on | off:
        return False
    try:
        days = spans.coming(rest, say, today)
    except Wrong as wrong:
        await request.reply(away.refused(say, wrong))
        return True
    if days is not None and days.first_on > today:
        await request.reply(
            say.gettext("I can't change it before the day. Please write it again on {day}.", day=say.day(days.first_on))
        )
        return True
    until_on = days.last_on if days is not None and not days.open_end and days.last_on > today else None
    await _switch(request, garden, ban=first in on, until_on=until_on)
    return True


def _listed(own: str, english: str) -> frozenset[str]:
    return frozenset(map(fold, own.split("|"))) | {english}


async def _switch(request: Request, garden: Garden, *, ban: bool, until_on: date | None = None) -> None:
    """The group hears of a change. until_on: said with it; nothing is switched by the clock."""
    changed, garden.hose_ban = garden.hose_ban is not ban, ban
    if changed:
        await tell_everyone(
            request.session,
            garden,
            f"hose:{garden.id}:{request.update.update_id}",
            lambda say: lines(
                [bold(_state(say, ban=ban)), _until(say, until_on) if ban else None, _whose(say) if ban else None]
            ),
            request.now,
        )
    own = (
        request.say.gettext("I will not end it by myself. Please write /hoseban off then.")
        if ban and until_on
        else None
    )
    told = (
        request.say.gettext("The group has it.")
        if garden.group_id
        else request.say.gettext("I will tell everyone privately.")
    )
    until = _until(request.say, until_on) if ban else None
    await request.change(lines([bold(_state(request.say, ban=ban)), until, told if changed else None, own]))


def _until(say: Say, until_on: date | None) -> str | None:
    return None if until_on is None else say.gettext("It should last until {day}.", day=say.day(until_on))


def _state(say: Say, *, ban: bool) -> str:
    if ban:
        return say.gettext("There is a hose ban: water with cans, not with a hose.")
    return say.gettext("There is no hose ban: you may use hoses.")


def _whose(say: Say) -> str:
    return say.gettext("The water company and local rules say what exactly is allowed.")
