"""/limits: the wind from which nobody is sent out here; organisers may only make it stricter."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.message import Button
from bot.chat.turn import Turn
from bot.chat.wording.html import bold, lines
from bot.core.garden import Role
from bot.core.safety import GUST_MS, Limits
from bot.i18n import Say

WORD = "limits"
FOR = Role.ORGANISER
#: Shares of the default limit that are offered, the default first.
_SHARES = (100, 90, 80, 70, 60)


def about(say: Say) -> str:
    return say.gettext("the wind from which nobody is sent out here")


async def answer(turn: Turn) -> None:
    found = await rights.organiser(turn)
    if found is None:
        return
    garden, _ = found
    say = turn.say
    limit_ms = garden.gust_limit_ms or GUST_MS
    buttons: list[list[Button]] = [
        [(say.wind(GUST_MS * share / 100), f"limit:{garden.id}:{share}") for share in _SHARES[:3]],
        [(say.wind(GUST_MS * share / 100), f"limit:{garden.id}:{share}") for share in _SHARES[3:]],
    ]
    await turn.reply(
        lines(
            [
                bold(say.gettext("Nobody is sent out in gusts of {wind} or more.", wind=say.wind(limit_ms))),
                say.gettext("You may make that stricter, for open ground or big trees. It can't be made laxer."),
            ]
        ),
        buttons,
    )


async def choose(turn: Turn, rest: str) -> None:
    """A limit was chosen; what was not offered is refused."""
    garden_id, _, share = rest.partition(":")
    number, percent = rights.whole(garden_id), rights.whole(share)
    found = await rights.organiser_of(turn, number) if number is not None else None
    if found is None:
        return
    if percent not in _SHARES:
        await turn.reply(turn.say.gettext("That button is from an older message and does nothing any more."))
        return
    limits = Limits(gust_ms=GUST_MS * percent / 100)
    found[0].gust_limit_ms = limits.gust_ms
    await turn.reply(
        turn.say.gettext("Noted: nobody is sent out in gusts of {wind} or more.", wind=turn.say.wind(limits.gust_ms))
    )
