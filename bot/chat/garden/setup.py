"""/setup: the garden itself, what it still lacks, and a button to change each thing; in a group, beginning with it."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.garden import setup_dialogue, unheard
from bot.chat.garden import setup_words as wording
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.garden import setup as service
from bot.storage.garden import gardens
from bot.storage.states import Shut

WORD = "setup"
FOR = Role.ORGANISER
_HEARD = "heard"


def about(say: Say) -> str:
    return say.gettext("the garden's name, location and height; what is still missing")


async def answer(request: Request) -> None:
    if request.private and request.text.partition(" ")[2].strip().casefold() == _HEARD:
        await unheard.show(request)
        return
    if not request.private:
        await _in_group(request)
        return
    row = await service.of_person(request.session, request.person.id) if request.person is not None else None
    if row is not None and row.garden_id is None and request.person is not None:
        await setup_dialogue.ask(request, row, request.person)
    elif request.garden is None:
        await request.reply(
            request.say.gettext("First add me to your garden's group chat, and tap the button that I show there.")
        )
    elif (found := await rights.organiser(request)) is not None:
        await setup_dialogue.show_card(request, found[0])


async def _in_group(request: Request) -> None:
    """The button by which an administrator begins; where the group has a garden, also one for another."""
    chat, say = request.update.effective_chat, request.say
    assert chat is not None
    here = await gardens.in_chat(request.session, chat.id, request.topic)
    if not here:
        await request.reply(wording.hello(say), setup_dialogue.begin_button(request))
        return
    buttons: list[list[Button]] = [[(say.gettext("Join"), f"join:{one.id}")] for one in here]
    if (garden := request.garden) is not None and garden.shut == Shut.TOPIC_GONE:
        buttons.append([(say.gettext("Write here"), f"back:{garden.id}:here")])
    buttons.append([(say.gettext("I am an organiser"), "found:")])
    buttons.append([(say.gettext("Add another garden"), "found:new")])
    await request.reply(
        say.gettext(
            "Tap Join to take part. The other buttons are for people who manage this group: the administrators."
        ),
        buttons,
    )
