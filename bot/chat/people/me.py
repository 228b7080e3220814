"""/me: what is stored about me, as words or as a file; and to be forgotten. Only ever in private."""

from __future__ import annotations

import json
from base64 import b64encode
from dataclasses import replace

from bot.chat import rights
from bot.chat.html import safe
from bot.chat.people import departures
from bot.chat.people import me_words as wording
from bot.chat.request import Turn
from bot.chat.warnings.announce import tell_organisers
from bot.i18n import Say
from bot.services.people import parting, personal_data
from bot.storage.garden import gardens
from bot.storage.models import Person
from bot.storage.people import members

WORD = "me"


def about(say: Say) -> str:
    return say.gettext("what I keep about you; take it with you, or be forgotten")


async def answer(turn: Turn) -> None:
    person = await turn.known_person()
    if person is None:
        await turn.whisper(turn.say.gettext("I keep nothing about you."))
        return
    known = await personal_data.known(turn.session, person)
    await turn.whisper(wording.stored(turn.say, person, known), wording.buttons(turn.say, person, known))


async def press(turn: Turn, rest: str) -> None:
    """ "person id:deed", from that person only."""
    number, _, deed = rest.partition(":")
    person = await turn.known_person()
    if person is None:
        await turn.whisper(turn.say.gettext("I keep nothing about you."))
    elif rights.whole(number) != person.id or not turn.private:
        await turn.whisper(turn.say.gettext("That button is for somebody else."))
    elif deed == "file":
        await _file(turn, person)
    elif deed == "forget":
        await turn.change(*wording.sure(turn.say, person))
    elif deed == "yes":
        await _forget(turn, person)
    else:
        await turn.change(turn.say.gettext("All right, everything stays as it is."))


async def _file(turn: Turn, person: Person) -> None:
    stored = await personal_data.export(turn.session, person)
    data = json.dumps(stored, ensure_ascii=False, indent=1).encode()
    caption = turn.say.gettext("All that I keep about you. It opens in any text editor.")
    await turn.hand_over(b64encode(data).decode("ascii"), "about-me.json", caption)


async def _forget(turn: Turn, person: Person) -> None:
    say = turn.say
    leaving = []
    for member in await members.of_user(turn.session, person.user_id or 0):
        garden = await gardens.by_id(turn.session, member.garden_id)
        if garden is not None:
            left = await parting.before(turn.session, garden, member, turn.now)
            leaving.append((garden, replace(left, keys=())))  # asked for below
    done = await personal_data.forget(turn.session, person, turn.now)
    if done.alone_in:
        await turn.change(
            say.gettext(
                "{gardens} would have nobody to look after it. Hand over first: /members, a name, then the button "
                "for it. After that I can forget you.",
                gardens=say.and_list(safe(name, 60) for name in done.alone_in),
            )
        )
        return
    for garden, left in leaving:
        await departures.tell(turn.session, garden, left, turn.now, named=False)
    for garden_id, names in done.keys.items():
        await _ask_for_keys(turn, garden_id, names)
    await turn.reply(say.gettext("Done: you are forgotten. Thank you for all you did, and good-bye!"))


async def _ask_for_keys(turn: Turn, garden_id: int, names: tuple[str, ...]) -> None:
    """Organisers hear that a key is with somebody who has left; the name is not said any more."""
    garden = await gardens.by_id(turn.session, garden_id)
    assert garden is not None
    await tell_organisers(
        turn.session,
        garden,
        f"keys:{turn.update.update_id}",
        lambda say: say.gettext(
            "Somebody who held a key ({keys}) has left {garden}. It counts as lost until you have it back: /keys",
            keys=say.and_list(safe(name, 40) for name in names),
            garden=safe(garden.name, 60),
        ),
        turn.now,
    )
