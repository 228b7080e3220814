"""/start: the first private message, with or without a code."""

from __future__ import annotations

from bot.chat import rights, setting_up, welcome
from bot.chat.turn import Turn
from bot.chat.wording.html import bold, lines, safe
from bot.i18n import Say, best_language
from bot.services import joining
from bot.services import setting_up as setups

WORD = "start"


def about(say: Say) -> str:
    return say.gettext("begin")


async def answer(turn: Turn) -> None:
    """A code makes an organiser; a member is greeted; anyone else learns how to get in."""
    if not turn.private:
        await turn.reply(turn.say.gettext("Please send /start to me privately: tap my name first."))
        return
    _, _, code = turn.text.partition(" ")
    if code.strip() and await _claim(turn, code.strip()[:64]):
        return
    row = await setups.of_person(turn.session, turn.person.id) if turn.person is not None else None
    if row is not None and turn.person is not None and row.garden_id is None:
        await setting_up.ask(turn, row, turn.person)
    elif turn.garden is not None and turn.member is not None and not turn.member.adult:
        await welcome.ask_adult(turn, turn.garden, turn.member)
    elif turn.garden is not None and turn.member is not None:
        await turn.reply(_welcome(turn.say, turn.garden.name))
    elif turn.choices:
        await rights.choose(turn)
    else:
        await turn.reply(_stranger(turn.say))


async def _claim(turn: Turn, code: str) -> bool:
    user = turn.update.effective_user
    if user is None:
        return False
    who = joining.Newcomer(user.id, user.first_name, user.username, best_language(user.language_code))
    garden = await joining.claim(turn.session, code, who, turn.now)
    if garden is None:
        return False
    person = await turn.known_person()
    if person is not None:
        person.private_ok_at = turn.now
    await turn.reply(
        lines(
            [
                bold(turn.say.gettext("You are now an organiser of {garden}.", garden=safe(garden.name))),
                turn.say.gettext("Organisers are adults; if you are not one, please hand over: /members"),
                turn.say.gettext("Next: add me to your group chat. I'll say hello there and ask people to join."),
                turn.say.gettext(
                    "Make me an administrator there, so that I can pin the calendar and see who has left."
                ),
            ]
        )
    )
    return True


def _welcome(say: Say, garden: str) -> str:
    return lines([
        bold(say.gettext("Hello! I look after the weather and the week's work for {garden}.", garden=safe(garden))),
        say.gettext("Ask me at any time: what should I do this week?"),
        say.gettext("When cold or wind comes I may ask you here to cover or bring something in."),
        say.gettext("/help shows what else I can do."),
    ])  # fmt: skip


def _stranger(say: Say) -> str:
    return lines([
        bold(say.gettext("Hello! I help community garden groups with cold, wind and the week's work.")),
        say.gettext("If your garden already has me in its group chat, tap Join there."),
        say.gettext("If you look after a garden: add me to its group chat, and tap the button that I show there."),
        say.gettext("Or whoever runs me can give you a code: send it as /start CODE."),
    ])  # fmt: skip
