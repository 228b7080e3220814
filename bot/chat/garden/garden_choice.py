"""/garden: of which garden we speak, for members of several; and doing then what was asked before it was clear."""

from __future__ import annotations

from telegram import Update

from bot.chat import rights
from bot.chat.html import bold, safe
from bot.chat.request import Turn
from bot.chat.wire.message import Button
from bot.i18n import Say
from bot.storage.people import members
from bot.storage.wire import inbox

WORD = "garden"
#: The platform numbers updates with up to ten digits; those of a stage have more.
_DIGITS_N = 20


def about(say: Say) -> str:
    return say.gettext("which garden we speak of, if you are in several")


async def answer(turn: Turn) -> None:
    user = turn.update.effective_user
    mine = await members.gardens_of(turn.session, user.id) if user else ()
    if not mine:
        await turn.reply(turn.say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    if len(mine) == 1:
        await turn.reply(turn.say.gettext("You are in one garden: {garden}.", garden=safe(mine[0].name)))
        return
    text = turn.say.gettext("You belong to several gardens. Of which one do you speak?")
    if turn.garden is not None:
        text = turn.say.gettext("We speak of {garden}. Of another one?", garden=safe(turn.garden.name))
    buttons: list[list[Button]] = [[(one.name[:40], f"garden:{one.id}")] for one in mine]
    await turn.whisper(bold(text), buttons)


async def press(turn: Turn, rest: str) -> None:
    """ "garden id", or "garden id:update id" to do what that update asked. The choice is remembered."""
    number, _, asked = rest.partition(":")
    garden_id = rights.whole(number)
    earlier = await _earlier(turn, asked) if asked else None
    if garden_id is None:
        await rights.stale(turn)
        return
    if asked and earlier is None and not turn.private:
        await turn.whisper(turn.say.gettext("That button is for somebody else, or was pressed already."))
        return
    if turn.person is None or await turn.member_of(garden_id) is None or turn.garden is None:
        await turn.whisper(turn.say.gettext("That is for members of the garden. Send /start to me privately."))
        return
    turn.person.garden_id = garden_id
    await turn.change(turn.say.gettext("From now on we speak of {garden}.", garden=safe(turn.garden.name)))
    if earlier is not None:
        turn.again = Update.de_json(earlier, turn.update.get_bot())


async def _earlier(turn: Turn, asked: str) -> dict[str, object] | None:
    """What this person wrote before we asked; taken once, so that a second press does nothing twice."""
    user = turn.update.effective_user
    number = int(asked) if asked.isdecimal() and len(asked) < _DIGITS_N else None
    return await inbox.take(turn.session, number, user.id) if user and number is not None else None
