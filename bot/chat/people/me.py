"""/me: what is stored about me, as words or as a file; and to be forgotten. Only ever in private."""

from __future__ import annotations

import json
from base64 import b64encode
from dataclasses import replace

from bot.chat import rights
from bot.chat.html import safe
from bot.chat.people import departures
from bot.chat.people import me_words as wording
from bot.chat.request import Request
from bot.chat.warnings.announce import tell_organisers
from bot.i18n import Say
from bot.services.people import parting, personal_data
from bot.storage.garden import gardens
from bot.storage.models import Person
from bot.storage.people import members

WORD = "me"


def about(say: Say) -> str:
    return say.gettext("what I keep about you; get it as a file, or ask me to forget you")


async def answer(request: Request) -> None:
    person = await request.known_person()
    if person is None:
        await request.whisper(request.say.gettext("I keep nothing about you."))
        return
    known = await personal_data.known(request.session, person)
    await request.whisper(wording.stored(request.say, person, known), wording.buttons(request.say, person, known))


async def press(request: Request, rest: str) -> None:
    """ "person id:deed", from that person only."""
    number, _, deed = rest.partition(":")
    person = await request.known_person()
    if person is None:
        await request.whisper(request.say.gettext("I keep nothing about you."))
    elif rights.whole(number) != person.id or not request.private:
        await request.whisper(request.say.gettext("That button is for somebody else."))
    elif deed == "file":
        await _file(request, person)
    elif deed == "forget":
        await request.change(*wording.sure(request.say, person))
    elif deed == "yes":
        await _forget(request, person)
    elif deed == "who":
        await request.change(wording.who_sees(request.say), wording.back(request.say, person))
    elif deed == "all" or deed.startswith("in"):
        await _show(request, person, rights.whole(deed.removeprefix("in")))
    else:
        await request.change(request.say.gettext("All right, I change nothing."))


async def _show(request: Request, person: Person, member_id: int | None) -> None:
    """What is kept in the garden where they are this member; else all at a glance."""
    known = await personal_data.known(request.session, person)
    one = next((each for each in known if each.member.id == member_id), None)
    if one is None:
        await request.change(wording.stored(request.say, person, known), wording.buttons(request.say, person, known))
    else:
        await request.change(wording.garden(request.say, one), wording.back(request.say, person))


async def _file(request: Request, person: Person) -> None:
    stored = await personal_data.export(request.session, person)
    data = json.dumps(stored, ensure_ascii=False, indent=1).encode()
    caption = request.say.gettext("All that I keep about you. You can open it with any text program.")
    await request.hand_over(b64encode(data).decode("ascii"), "about-me.json", caption)


async def _forget(request: Request, person: Person) -> None:
    say = request.say
    leaving = []
    for member in await members.of_user(request.session, person.user_id or 0):
        garden = await gardens.by_id(request.session, member.garden_id)
        if garden is not None:
            left = await parting.before(request.session, garden, member, request.now)
            leaving.append((garden, replace(left, keys=())))  # asked for below
    done = await personal_data.forget(request.session, person, request.now)
    if done.alone_in:
        await request.change(
            say.gettext(
                "You are the last one who looks after {gardens}. First give this role to somebody: send "
                "/members, tap a name, then “Hand over my role”. After that I can forget you.",
                gardens=say.and_list(safe(name, 60) for name in done.alone_in),
            )
        )
        return
    for garden, left in leaving:
        await departures.tell(request.session, garden, left, request.now, named=False)
    for garden_id, names in done.keys.items():
        await _ask_for_keys(request, garden_id, names)
    await request.reply(say.gettext("Done: I have forgotten you. Thank you for all you did, and goodbye!"))


async def _ask_for_keys(request: Request, garden_id: int, names: tuple[str, ...]) -> None:
    """Organisers hear that a key is with somebody who has left; the name is not said any more."""
    garden = await gardens.by_id(request.session, garden_id)
    assert garden is not None
    await tell_organisers(
        request.session,
        garden,
        f"keys:{request.update.update_id}",
        lambda say: say.gettext(
            "Somebody who had a key ({keys}) has left {garden}. It counts as lost until you have it back: /keys",
            keys=say.and_list(safe(name, 40) for name in names),
            garden=safe(garden.name, 60),
        ),
        request.now,
    )
