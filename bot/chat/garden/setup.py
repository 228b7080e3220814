"""/setup: the garden itself, what it still lacks, and a button to change each thing; in a group, beginning with it."""

from __future__ import annotations

from bot.chat import rights
from bot.chat.garden import setup_dialogue
from bot.chat.garden import setup_words as wording
from bot.chat.request import Turn
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import Say
from bot.services.garden import setup as service
from bot.storage.garden import gardens
from bot.storage.states import Shut

WORD = "setup"
FOR = Role.ORGANISER


def about(say: Say) -> str:
    return say.gettext("the garden's name, place and height; what is still missing")


async def answer(turn: Turn) -> None:
    if not turn.private:
        await _in_group(turn)
        return
    row = await service.of_person(turn.session, turn.person.id) if turn.person is not None else None
    if row is not None and row.garden_id is None and turn.person is not None:
        await setup_dialogue.ask(turn, row, turn.person)
    elif turn.garden is None:
        await turn.reply(
            turn.say.gettext("First add me to your garden's group chat, and tap the button that I show there.")
        )
    elif (found := await rights.organiser(turn)) is not None:
        await setup_dialogue.show_card(turn, found[0])


async def _in_group(turn: Turn) -> None:
    """The button by which an administrator begins; where the group has a garden, also one for another."""
    chat, say = turn.update.effective_chat, turn.say
    assert chat is not None
    here = await gardens.in_chat(turn.session, chat.id, turn.topic)
    if not here:
        await turn.reply(wording.hello(say), setup_dialogue.begin_button(turn))
        return
    buttons: list[list[Button]] = [[(say.gettext("Join"), f"join:{one.id}")] for one in here]
    if (garden := turn.garden) is not None and garden.shut == Shut.TOPIC_GONE:
        buttons.append([(say.gettext("Write here"), f"back:{garden.id}:here")])
    buttons.append([(say.gettext("I look after it"), "found:")])
    buttons.append([(say.gettext("Another garden here"), "found:new")])
    await turn.reply(
        say.gettext("Tap Join to take part. The other buttons are for administrators of this group."), buttons
    )
