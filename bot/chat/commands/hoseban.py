"""/hoseban: whether hoses may be used; organisers switch a hose ban on and off."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.everyone import tell_everyone
from bot.chat.message import Button
from bot.chat.turn import Turn
from bot.chat.wording.html import bold, lines
from bot.core.garden import Role
from bot.i18n import Say

WORD = "hoseban"


def about(say: Say) -> str:
    return say.gettext("whether hoses may be used; organisers switch a hose ban on and off")


async def answer(turn: Turn) -> None:
    found = await rights.member(turn)
    if found is None:
        return
    garden, member = found
    say = turn.say
    switch: list[list[Button]] = []
    if member.role is Role.ORGANISER:
        label = say.gettext("The ban is over") if garden.hose_ban else say.gettext("There is a ban")
        switch = [[(label, f"hose:{garden.id}:{'off' if garden.hose_ban else 'on'}")]]
    await turn.reply(lines([bold(_state(say, ban=garden.hose_ban)), _whose(say)]), switch)


async def press(turn: Turn, rest: str) -> None:
    """On or off; the group hears of a change, once however often it is pressed."""
    found = await rights.organiser_pressed(turn, rest)
    if found is None:
        return
    garden, _, word = found
    if word not in ("on", "off"):
        await rights.stale(turn)
        return
    ban = word == "on"
    changed, garden.hose_ban = garden.hose_ban is not ban, ban
    if changed:
        await tell_everyone(
            turn.session,
            garden,
            f"hose:{garden.id}:{turn.update.update_id}",
            lambda say: lines([bold(_state(say, ban=ban)), _whose(say) if ban else None]),
            turn.now,
        )
    has_it = (
        turn.say.gettext("The group has it.") if garden.group_id else turn.say.gettext("Everyone hears it privately.")
    )
    await turn.change(lines([bold(_state(turn.say, ban=ban)), has_it if changed else None]))


def _state(say: Say, *, ban: bool) -> str:
    if ban:
        return say.gettext("There is a hose ban: water with cans, not with a hose.")
    return say.gettext("There is no hose ban: hoses may be used.")


def _whose(say: Say) -> str:
    return say.gettext("What exactly is allowed is for the water company and local rules to say.")
