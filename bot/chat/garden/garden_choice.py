"""/garden: of which garden we speak, for members of several; and doing then what was asked before it was clear."""

from __future__ import annotations

from telegram import Update

from bot.chat import rights
from bot.chat.html import bold, safe
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.storage.people import members

WORD = "garden"


def about(say: Say) -> str:
    return say.gettext("which garden we talk about, if you are in more than one")


async def answer(request: Request) -> None:
    user = request.update.effective_user
    mine = await members.gardens_of(request.session, user.id) if user else ()
    if not mine:
        await request.reply(request.say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    if len(mine) == 1:
        await request.reply(request.say.gettext("You are in one garden: {garden}.", garden=safe(mine[0].name)))
        return
    text = request.say.gettext("You are in more than one garden. Which one do you mean?")
    if request.garden is not None:
        text = request.say.gettext(
            "We are talking about {garden}. Do you want another one?", garden=safe(request.garden.name)
        )
    buttons: list[list[Button]] = [[(one.name[:40], f"garden:{one.id}")] for one in mine]
    await request.whisper(bold(text), buttons)


async def press(request: Request, rest: str) -> None:
    """ "garden id", or "garden id:update id" to do what that update asked. The choice is remembered."""
    number, _, asked = rest.partition(":")
    garden_id = rights.whole(number)
    earlier = await rights.earlier(request, asked) if asked else None
    if garden_id is None:
        await rights.stale(request)
        return
    if asked and earlier is None and not request.private:
        await request.whisper(request.say.gettext("That button is not for you, or it was pressed before."))
        return
    if request.person is None or await request.member_of(garden_id) is None or request.garden is None:
        await request.whisper(request.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    request.person.garden_id = garden_id
    await request.change(request.say.gettext("From now on we talk about {garden}.", garden=safe(request.garden.name)))
    if earlier is not None:
        request.again = Update.de_json(earlier, request.update.get_bot())
