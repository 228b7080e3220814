"""/me: what is stored about me, as words or as a file; and to be forgotten. Only ever in private.

What is stored about a person, in plain words.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Sequence
from dataclasses import replace

from bot.chat import rights
from bot.chat.garden.everyone import tell_organisers
from bot.chat.html import bold, lines, safe
from bot.chat.people import departures
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.i18n import LANGUAGES, Say
from bot.services.people import parting, personal_data
from bot.services.people.personal_data import AboutPerson
from bot.services.people.retention import INBOX_FOR, OUTBOX_FOR
from bot.storage.garden import gardens
from bot.storage.models import Member, Person
from bot.storage.people import members


def stored(say: Say, person: Person, known: Sequence[AboutPerson]) -> str:
    """What there is at a glance; buttons show each garden, and who may read it for how long."""
    return lines([
        bold(say.gettext("What I keep about you:")),
        say.gettext(
            "Your name here ({name}) and your language ({language}). Also the number of your account in this "
            "app, so that I can write to you. It is not your phone number.",
            name=safe(person.name, 40),
            language=LANGUAGES[say.language],
        ),
        *(_in(say, one) for one in known),
        say.gettext("You can get all of it as a file, or ask me to forget you."),
    ])  # fmt: skip


def who_sees(say: Say) -> str:
    return lines([
        bold(say.gettext("Who can see it, and for how long:")),
        say.gettext(
            "I keep what you write to me for {inbox} days, and what I send you for {outbox} days.",
            inbox=say.number(INBOX_FOR.days),
            outbox=say.number(OUTBOX_FOR.days),
        ),
        say.gettext("Only the organisers and the person who runs me can look at it. I give it to nobody else."),
    ])  # fmt: skip


def _in(say: Say, known: AboutPerson) -> str:
    name = bold(safe(known.garden, 60))
    if known.has_left:
        return say.gettext("{garden}: you have left it. I keep what was done there.", garden=name)
    role = say.gettext("organiser") if known.member.role is Role.ORGANISER else say.gettext("member")
    return say.gettext("{garden}: {role}, {adult}.", garden=name, role=role, adult=_adult(say, known))


def garden(say: Say, known: AboutPerson) -> str:
    """What is kept about them in one garden."""
    return lines(
        [
            _in(say, known),
            say.gettext("• Plots: {plots}.", plots=say.and_list(safe(plot, 40) for plot in known.plots))
            if known.plots
            else None,
            say.gettext("• What you like to do: see /wishes.") if not known.has_left else None,
            say.gettext("• That you were last here on {day}.", day=say.day(say.local(known.member.heard_at).date()))
            if known.member.heard_at is not None
            else None,
            say.gettext(
                "• That you help {names}, who has no app.", names=say.and_list(safe(one, 40) for one in known.helps)
            )
            if known.helps
            else None,
            say.ngettext("• {n} key that you have.", "• {n} keys that you have.", known.keys_n)
            if known.keys_n
            else None,
            say.ngettext("• When you are away: {n} time.", "• When you are away: {n} times.", known.aways_n)
            if known.aways_n
            else None,
            say.ngettext(
                "• How often I asked you: {n} time. I count this to share the work fairly.",
                "• How often I asked you: {n} times. I count this to share the work fairly.",
                known.turns_n,
            ),
            say.ngettext(
                "• {n} note of yours in the journal.", "• {n} notes of yours in the journal.", known.entries_n
            ),
            say.ngettext("• {n} thermometer reading.", "• {n} thermometer readings.", known.readings_n)
            if known.readings_n
            else None,
        ]
    )


def _adult(say: Say, known: AboutPerson) -> str:
    return say.gettext("adult") if known.member.adult else say.gettext("not adult")


def buttons(say: Say, person: Person, known: Sequence[AboutPerson]) -> list[list[Button]]:
    more = [
        [(say.gettext("More on {garden}", garden=one.garden)[:40], f"mine:{person.id}:in{one.member.id}")]
        for one in known
    ]
    leave = [[leave_button(say, one.member, one.garden)] for one in known if not one.has_left]
    return [
        *more,
        [(say.gettext("Who can see it"), f"mine:{person.id}:who")],
        [
            (say.gettext("Get it as a file"), f"mine:{person.id}:file"),
            (say.gettext("Forget me"), f"mine:{person.id}:forget"),
        ],
        *leave,
    ]


def back(say: Say, person: Person) -> list[list[Button]]:
    return [[(say.gettext("Back to my data"), f"mine:{person.id}:all")]]


def leave_button(say: Say, member: Member, garden: str) -> Button:
    return say.gettext("Leave {garden}", garden=garden)[:40], f"still:{member.id}:leave"


def sure(say: Say, person: Person) -> tuple[str, list[list[Button]]]:
    """Asked before anything is forgotten."""
    text = say.gettext(
        "Forget you? Then I delete your name, your wishes and all our messages. You leave every garden, and "
        "your turns go to others. What was sown, picked and done stays in the journal, without your name. You "
        "can't undo this."
    )
    yes: Button = (say.gettext("Yes, forget me"), f"mine:{person.id}:yes")
    return text, [[yes, (say.gettext("No"), f"mine:{person.id}:no")]]


WORD = "me"


def about(say: Say) -> str:
    return say.gettext("what I keep about you; get it as a file, or ask me to forget you")


async def answer(request: Request) -> None:
    person = await request.known_person()
    if person is None:
        await request.whisper(request.say.gettext("I keep nothing about you."))
        return
    known = await personal_data.known(request.session, person)
    await request.whisper(stored(request.say, person, known), buttons(request.say, person, known))


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
        await request.change(*sure(request.say, person))
    elif deed == "yes":
        await _forget(request, person)
    elif deed == "who":
        await request.change(who_sees(request.say), back(request.say, person))
    elif deed == "all" or deed.startswith("in"):
        await _show(request, person, rights.whole(deed.removeprefix("in")))
    else:
        await request.change(request.say.gettext("All right, I change nothing."))


async def _show(request: Request, person: Person, member_id: int | None) -> None:
    """What is kept in the garden where they are this member; else all at a glance."""
    known = await personal_data.known(request.session, person)
    one = next((each for each in known if each.member.id == member_id), None)
    if one is None:
        await request.change(stored(request.say, person, known), buttons(request.say, person, known))
    else:
        await request.change(garden(request.say, one), back(request.say, person))


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
