"""/rules: where this garden's crop rules differ from the shared ones, and why; organisers put them back."""

from __future__ import annotations

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.growing import rules

WORD = "rules"


def about(say: Say) -> str:
    return say.gettext("crop rules that this garden has changed")


async def answer(request: Request) -> None:
    say, garden = request.say, request.garden
    if garden is None or request.member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    own = await rules.differences(request.session, garden.id)
    if not own:
        await request.reply(
            say.gettext(
                "This garden has not changed any crop rule. An organiser can write: beans not out before 20 May here."
            )
        )
        return
    crops = await rules.of_garden(request.session, garden.id)
    texts = [
        say.gettext(
            "{crop}, {figure}: {own} in this garden, {shared} in the usual rule. Changed by {name}.",
            crop=names.crop(say, crops, one.crop),
            figure=safe(one.key, 60),
            own=safe(str(one.own), 40),
            shared=safe(str(one.shared if one.shared is not None else "–"), 40),
            name=safe(one.by or "–", 40),
        )
        for one in own
    ]
    buttons: list[list[Button]] = []
    if request.member.role is Role.ORGANISER:
        buttons = [
            [(say.gettext("Reset rule {n}", n=say.number(n)), f"ruleback:{n - 1}")] for n in range(1, len(own) + 1)
        ][:8]
    await request.reply(lines([bold(say.gettext("Rules that this garden has changed:")), *texts]), buttons)


async def put_back(request: Request, rest: str) -> None:
    """The figure of that number as it is now; organisers only."""
    say, garden, member = request.say, request.garden, request.member
    if garden is None or member is None or member.role is not Role.ORGANISER:
        await request.reply(say.gettext("Only organisers can change the garden's rules."))
        return
    own = await rules.differences(request.session, garden.id)
    if not rest.isdecimal() or len(rest) > 3 or int(rest) >= len(own):
        await request.reply(say.gettext("This is already the usual rule."))
        return
    one = own[int(rest)]
    await rules.put_back(request.session, member, one.crop, one.key)
    crops = await rules.of_garden(request.session, garden.id)
    await request.reply(say.gettext("{crop}: the usual rule again.", crop=names.crop(say, crops, one.crop)))
