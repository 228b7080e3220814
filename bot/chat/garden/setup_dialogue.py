"""The dialogue by which a group's administrator sets its garden up, and organisers change it later.

Begun by a button in the group, asked in private, one question at a time; what was said is kept in a table, so that
answers may come in any order, twice, or after days.
"""

from __future__ import annotations

from typing import Any

from bot.chat import rights
from bot.chat.garden import places, shut
from bot.chat.garden import setup_words as wording
from bot.chat.garden.greeting import greet
from bot.chat.html import safe
from bot.chat.language import place_lines
from bot.chat.language.tokens import QUESTION_MARKS
from bot.chat.people import newcomers
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden import coordinates
from bot.core.garden.snapshot import Lay, Role
from bot.services.garden import setup
from bot.services.garden.setup import Question
from bot.services.people import joining
from bot.services.people.joining import Came, Newcomer
from bot.storage.garden import gardens
from bot.storage.models import Garden, Person, Setup
from bot.storage.people import members

NAME_N = 60
_HIGH_M = (-430.0, 6000.0)  # the lowest shore on land and the highest gardens


def begin_button(request: Request) -> list[list[Button]]:
    return [[(request.say.gettext("I am an organiser"), "found:")]]


# -- in the group


async def found(request: Request, rest: str) -> None:
    """An administrator of the group takes charge of its garden: "", "new", "take", "of:garden id" where several
    share it, or "bind:garden id" for one that has no group yet."""
    user, chat = request.update.effective_user, request.update.effective_chat
    if user is None or chat is None or chat.type == "private":
        await rights.stale(request)
        return
    say = request.say
    if request.standing is None or not request.standing.administrator:
        await request.reply(
            say.gettext("Only an administrator of this group can do that. Please ask one of them to tap.")
        )
        return
    here = await gardens.in_chat(request.session, chat.id, request.topic)
    who = newcomers.newcomer(say, user)
    if here and rest != "new":
        asked = rights.whole(rest.removeprefix("of:"))
        meant = here if len(here) == 1 else [one for one in here if one.id == asked]
        if meant:
            await _also(request, who, meant[0])
        else:
            buttons: list[list[Button]] = [[(one.name[:40], f"found:of:{one.id}")] for one in here]
            await request.reply(say.gettext("Which garden do you look after?"), buttons)
        return
    person = await joining.person_of(request.session, who)
    if not rest and await _bound(request, person):
        return
    if rest.startswith("bind:"):
        await _bind(request, person, rights.whole(rest.removeprefix("bind:")))
        return
    there = await setup.in_group(request.session, chat.id, request.topic)
    if there is not None and there.person_id != person.id and rest != "take":
        other = await members.person(request.session, there.person_id)
        await request.reply(
            say.gettext("{name} has started to set up the garden. Do you want to take over?", name=safe(other.name)),
            [[(say.gettext("Yes, I take over"), "found:take")]],
        )
        return
    row = await setup.begin(request.session, person, chat.id, request.topic, chat.title or "", request.now)
    row.bot_status = request.standing.bot
    await _to_private(request, person)
    if person.private_ok_at is not None:
        await ask(request, row, person)


async def _to_private(request: Request, person: Person) -> None:
    address = f"https://t.me/{request.bot_name}?start=setup"
    text = request.say.gettext(
        "Thank you, {name}! We go on in our private chat: open it and press Start.", name=safe(person.name)
    )
    await request.reply(text, [[(request.say.gettext("Open the private chat"), address)]])


async def _also(request: Request, who: Newcomer, garden: Garden) -> None:
    """The garden is there already: this administrator of its group becomes an organiser too."""
    member, came = await joining.join(request.session, garden, who, request.now)
    if came is Came.REMOVED:  # whoever was taken off the list does not come back by the group's rights
        await newcomers.wait(request, garden, member)
        return
    before, member.role, member.adult = member.role, Role.ORGANISER, True
    await newcomers.ask(request.session, garden, request.now)
    if before is Role.ORGANISER:
        await request.reply(
            request.say.gettext(
                "You look after {garden} already. Send me /setup in our private chat.", garden=safe(garden.name)
            )
        )
        return
    address = f"https://t.me/{request.bot_name}?start=hello"
    await request.reply(
        request.say.gettext(
            "{name} now looks after {garden} as an organiser.", name=safe(who.name, 40), garden=safe(garden.name)
        ),
        [[(request.say.gettext("Open the private chat"), address)]],
    )


async def _bound(request: Request, person: Person) -> bool:
    """Ask an organiser whose garden has no group whether this is its group."""
    own = await joining.unbound(request.session, person.user_id or 0)
    if not own:
        return False
    say = request.say
    buttons: list[list[Button]] = [[(one.name[:40], f"found:bind:{one.id}")] for one in own]
    buttons.append([(say.gettext("A new garden"), "found:new")])
    await request.reply(say.gettext("Which garden is this group for?"), buttons)
    return True


async def _bind(request: Request, person: Person, garden_id: int | None) -> None:
    own = await joining.unbound(request.session, person.user_id or 0)
    from_them = next((one for one in own if one.id == garden_id), None)
    chat = request.update.effective_chat
    if from_them is None or chat is None:
        await rights.stale(request)
        return
    from_them.chat_id, from_them.thread_id = chat.id, request.topic
    from_them.bot_status = request.standing.bot if request.standing else ""
    await greet(request, from_them)


# -- in private


async def ask(request: Request, row: Setup, person: Person, said: str | None = None) -> None:
    """The question that is open, privately."""
    latitude, longitude = row.latitude, row.longitude
    if row.garden_id is not None and (garden := await gardens.by_id(request.session, row.garden_id)) is not None:
        latitude, longitude = garden.latitude, garden.longitude
    zones = setup.near(latitude, longitude) if latitude is not None and longitude is not None else []
    await request.whisper(*wording.question(request.say, row, row.draft.get("zones") or zones, request.now, said))


async def heard(request: Request) -> bool:
    """A private message taken as the answer to an open question; False when none is open."""
    message = request.update.message
    if not request.private or message is None or request.person is None:
        return False
    row = await setup.of_person(request.session, request.person.id)
    if message.location is not None:
        return await _pin(request, row, message.location.latitude, message.location.longitude)
    if row is None or not request.text:
        return False
    belongs = request.garden is not None or bool(request.choices)
    if not setup.is_waiting(row, request.now, belongs=belongs):
        return False
    if request.text.endswith(QUESTION_MARKS):
        if not belongs:
            await ask(
                request,
                row,
                request.person,
                request.say.gettext("First tell me about the garden. Then I can answer that."),
            )
            return True
        return False
    if row.asks in (Question.ADD, Question.RENAME):
        return await places.heard(request, row)
    if row.asks == Question.LAY and belongs:
        return False
    await _answered(request, row, request.person, request.text)
    return True


async def _pin(request: Request, row: Setup | None, latitude: float, longitude: float) -> bool:
    if row is None or request.person is None:
        if request.member is not None and request.member.role is Role.ORGANISER:
            await request.reply(
                request.say.gettext("To move the garden on the map: send /setup, tap Location, and send the pin again.")
            )
            return True
        return False
    if row.garden_id is not None and row.asks != Question.PLACE:
        await ask(request, row, request.person)
        return True
    await _placed(request, row, request.person, latitude, longitude)
    return True


async def _answered(request: Request, row: Setup, person: Person, text: str) -> None:
    say = request.say
    try:
        written = coordinates.read(text)
    except ValueError:
        await ask(
            request, row, person, say.gettext("There is no such location on Earth. Is one of the numbers too long?")
        )
        return
    if written is not None and (row.asks == Question.PLACE or row.garden_id is None):
        await _placed(request, row, person, *written)
    elif row.asks == Question.NAME and place_lines.is_talk(text, say):
        await ask(request, row, person, say.gettext("That does not look like a name. Please write only the name."))
    elif row.asks == Question.NAME:
        await _set(request, row, person, "name", " ".join(text.split())[:NAME_N])
    elif row.asks == Question.PLACE:
        sorry = say.gettext("Sorry, I can't look up addresses or names of towns.")
        await ask(request, row, person, sorry)
    elif row.asks == Question.ZONE:
        await _zone(request, row, person, text)
    elif row.asks == Question.ALTITUDE:
        await _height(request, row, person, text)
    else:
        await ask(request, row, person)


async def _placed(request: Request, row: Setup, person: Person, latitude: float, longitude: float) -> None:
    if row.garden_id is None:
        row.latitude, row.longitude = latitude, longitude
        row.zone = None
        await _onward(request, row, person)
        return
    garden = await _own_garden(request, row)
    if garden is not None:
        garden.latitude, garden.longitude, garden.altitude_m = latitude, longitude, None
        await _done(request, garden, person)


async def _zone(request: Request, row: Setup, person: Person, text: str) -> None:
    zones = setup.called(text)
    if len(zones) == 1:
        await _set(request, row, person, "zone", zones[0])
        return
    row.draft = {"zones": zones} if zones else {}
    sorry = request.say.gettext("I don't know the time zone of that. Try a big town near you.")
    await ask(request, row, person, None if zones else sorry)


async def _height(request: Request, row: Setup, person: Person, text: str) -> None:
    number = text.casefold().removesuffix("m").strip().replace(",", ".")
    try:
        height_m = float(number)
    except ValueError:
        height_m = float("nan")
    if not _HIGH_M[0] <= height_m <= _HIGH_M[1]:
        await ask(request, row, person, request.say.gettext("I can't use that as a height in metres."))
        return
    await _set(request, row, person, "altitude_m", height_m)


async def _set(request: Request, row: Setup, person: Person, column: str, value: Any) -> None:
    """Keep one answer, of a garden to be or of one that is there, and go on."""
    if row.garden_id is None:
        setattr(row, column, value)
        await _onward(request, row, person)
        return
    garden = await _own_garden(request, row)
    if garden is not None:
        setattr(garden, column, value)
        if row.name is not None and column != "lay":  # the last question of all is still open
            row.asks = Question.LAY
            await ask(request, row, person)
        else:
            await _done(request, garden, person)


async def _own_garden(request: Request, row: Setup) -> Garden | None:
    """The garden that is being changed, if they may still change it; told so if not."""
    found_ = await rights.organiser_of(request, row.garden_id) if row.garden_id is not None else None
    return found_[0] if found_ else None


async def _onward(request: Request, row: Setup, person: Person) -> None:
    """The next question; after the last, the garden begins."""
    row.touched_at, row.draft = request.now, {}
    coming = setup.next_question(row)
    if coming is not None:
        row.asks = coming
        await ask(request, row, person)
        return
    garden = await setup.born(request.session, row, person, request.now)
    await request.member_of(garden.id)
    if garden.chat_id is not None:
        await greet(request, garden)
    await ask(
        request, row, person, request.say.gettext("{garden} is set up. One more question:", garden=safe(garden.name))
    )


async def _done(request: Request, garden: Garden, person: Person) -> None:
    await setup.close(request.session, person.id)
    await show_card(request, garden, request.say.gettext("Noted, thank you."))


async def show_card(request: Request, garden: Garden, said: str | None = None) -> None:
    """The garden as it is known, privately, with a button for each thing and what still lacks."""
    reads_all = getattr(request.update.get_bot(), "can_read_all_group_messages", None)
    await shut.probe(request.session, garden, request.now, at_once=True)
    lacking_ = await setup.of_garden(request.session, garden, reads_all=reads_all)
    await request.whisper(wording.card(request.say, garden, lacking_, said), wording.card_buttons(request.say, garden))


async def edit(request: Request, rest: str) -> None:
    """ "garden id:question" from the card, by an organiser of that garden only."""
    number, _, asks = rest.partition(":")
    garden_id = rights.whole(number)
    if garden_id is None or asks not in tuple(Question):
        await rights.stale(request)
        return
    found_ = await rights.organiser_of(request, garden_id)
    if found_ is not None:
        person = found_[1].person
        row = await setup.change(request.session, person, found_[0], Question(asks), request.now)
        await ask(request, row, person)


async def press(request: Request, rest: str) -> None:
    """ "setup id:deed:value" under a question, from whoever was asked."""
    number, _, deed = rest.partition(":")
    row_id = rights.whole(number)
    row = await setup.by_id(request.session, row_id)
    person = await request.known_person()
    if row is None or person is None or row.person_id != person.id:
        await request.reply(request.say.gettext("That question is closed. /setup shows what I know about the garden."))
        return
    verb, _, value = deed.partition(":")
    founding = row.garden_id is None or row.name is not None
    if verb == "title" and row.title and founding:
        await _set(request, row, person, "name", row.title[:NAME_N])
    elif (
        verb == "zone"
        and (founding or row.asks == Question.ZONE)
        and value in [*setup.near(*await _where(request, row)), *row.draft.get("zones", ())]
    ):
        await _set(request, row, person, "zone", value)
    elif verb == "lay" and value in tuple(Lay) and row.garden_id is not None and row.asks == Question.LAY:
        await _set(request, row, person, "lay", Lay(value))
    elif verb == "altitude" and row.garden_id is not None and row.asks == Question.ALTITUDE:
        await _set(request, row, person, "altitude_m", None)
    elif verb == "back":
        await _back(request, row, person)
    elif verb == "stop" and row.garden_id is not None:
        await setup.close(request.session, person.id)
        await request.change(request.say.gettext("All right, I change nothing."))
    else:
        await rights.stale(request)


async def _where(request: Request, row: Setup) -> tuple[float, float]:
    garden = await gardens.by_id(request.session, row.garden_id) if row.garden_id is not None else None
    source: Garden | Setup = garden or row
    return source.latitude or 0.0, source.longitude or 0.0


async def _back(request: Request, row: Setup, person: Person) -> None:
    """The question before; what was said stays until it is said anew."""
    if row.garden_id is not None:
        row.asks = {Question.LAY: Question.ZONE}.get(Question(row.asks), Question(row.asks))
    elif row.asks == Question.ZONE:
        row.asks, row.latitude, row.longitude = Question.PLACE, None, None
    else:
        row.asks, row.name = Question.NAME, None
    row.touched_at = request.now
    await ask(request, row, person)
