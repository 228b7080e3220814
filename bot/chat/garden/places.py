"""/places: plots, places and thermometers; written after it, what there is: /places 12 pots in the yard, 30 litres.

The dialogue about plots, places and thermometers: lines in words, a preview, a yes; renaming and removing.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bot.chat import rights
from bot.chat.garden import places_words as wording
from bot.chat.language import place_lines
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.crops.find import fold
from bot.i18n import Say
from bot.services.garden import places, setup
from bot.services.garden.places import Rows, Thing
from bot.services.garden.setup import Question
from bot.services.growing import rules
from bot.services.weather import readings
from bot.storage.garden import gardens
from bot.storage.models import Garden, Person, Plot, Setup

LINES_N, NAME_N = 40, 60
_HOUSES = ("tunnel", "cold frame", "greenhouse", "indoors")


async def show(request: Request, garden: Garden, start: int = 0) -> None:
    """What there is, a button each."""
    snapshot = await gardens.snapshot(request.session, garden)
    count = len(await readings.thermometers(request.session, garden.id))
    things = [(code, thing.name) for code, thing in await places.all_of(request.session, garden.id)]
    text, buttons = (
        wording.listing(request.say, snapshot, count),
        wording.listing_buttons(request.say, garden.id, things, start),
    )
    await (request.change if request.update.callback_query and start else request.whisper)(text, buttons)


async def propose(request: Request, garden: Garden, person: Person, text: str) -> bool:
    """Say what would be kept of some lines, and wait for a yes. False when no line describes a thing."""
    snapshot = await gardens.snapshot(request.session, garden)
    known = [place.name for place in snapshot.places]
    houses = {fold(place.name): place.kind for place in snapshot.places if place.kind.value in _HOUSES}
    items: list[Rows] = []
    unread: list[str] = []
    none: list[str] = []  # lines that speak of no thing at all: "0 beds"
    written = [one.strip() for one in text.splitlines() if one.strip()]
    for line in written[:LINES_N]:
        item = place_lines.read(line, request.say, known, houses)
        if item is None:
            unread.append(line)
            continue
        if not item.rows:
            none.append(line)
            continue
        items.append((item.file, item.rows, item.people))
        known += [row["name"] for row in item.rows]
    if none and not items:
        await request.whisper(wording.of_none(request.say, none[0]))
        return True
    if not items:
        return False
    items.sort(key=lambda item: ("plots", "places", "thermometers").index(item[0]))
    await _preview(request, garden, person, items, [*none, *unread], max(0, len(written) - LINES_N))
    return True


async def _preview(
    request: Request, garden: Garden, person: Person, items: list[Rows], unread: Sequence[str] = (), later_n: int = 0
) -> None:
    """What would be kept, with a yes, a no, and another name where all is of one new name."""
    known = {thing.name for _, thing in await places.all_of(request.session, garden.id)}
    laid = await places.add(request.session, garden, items, request.say, request.now, dry_run=True)
    row = await setup.change(request.session, person, garden, Question.ADD, request.now)
    buttons: list[list[Button]] = []
    if not laid.problems:
        row.draft = {"items": [[file, [dict(each) for each in rows], list(people)] for file, rows, people in items]}
        buttons = [
            [
                (request.say.gettext("Save it"), f"place:{garden.id}:yes:{row.id}"),
                (request.say.gettext("Do not save it"), f"place:{garden.id}:no:{row.id}"),
            ]
        ]
        if len(items) == 1 and items[0][0] == "places" and not known & {each["name"] for each in items[0][1]}:
            buttons.append([(request.say.gettext("Rename"), f"place:{garden.id}:name:{row.id}")])
    await request.whisper(wording.preview(request.say, items, laid, unread, later_n), buttons)


async def heard(request: Request, row: Setup) -> bool:
    """A message after "Add" or "Rename"; False when it says something else, such as what was sown."""
    garden = await gardens.by_id(request.session, row.garden_id) if row.garden_id is not None else None
    if garden is None or request.person is None:
        return False
    found = await rights.organiser_of(request, garden.id)
    if found is None:
        return True
    if row.asks == Question.ADD and not row.draft.get("naming"):
        return await propose(request, garden, request.person, request.text)
    thing = await places.by_code(request.session, garden.id, str(row.draft.get("thing", "")))
    name = " ".join(request.text.split())[:NAME_N]
    if thing is None and row.asks == Question.RENAME:
        return False
    if place_lines.is_talk(request.text, request.say):
        await request.whisper(request.say.gettext("That does not look like a name. Please write only the name."))
        return True
    if thing is None:
        await _preview(request, garden, request.person, _renamed(_items(row.draft["items"]), name))
        return True
    if not await places.rename(request.session, thing, name):
        await request.whisper(request.say.gettext("That name is taken. Please write another one."))
        return True
    await setup.close(request.session, request.person.id)
    await _card(request, garden, thing)
    return True


async def press(request: Request, rest: str) -> None:
    """ "garden id:add", "list:start", "yes", "no" or "name:setup id", or "code:deed"; by an organiser of that garden."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, member, deed = found
    verb, _, value = deed.partition(":")
    if verb == "add":
        await setup.change(request.session, member.person, garden, Question.ADD, request.now)
        await request.whisper(wording.how(request.say))
    elif verb == "list":
        await show(request, garden, rights.whole(value) or 0)
    elif verb == "name":
        await _name(request, garden, member.person, rights.whole(value))
    elif verb in ("yes", "no"):
        await _settle(request, garden, member.person, rights.whole(value), keep=verb == "yes")
    elif (thing := await places.by_code(request.session, garden.id, verb)) is not None:
        await _deed(request, garden, member.person, thing, verb, value)
    else:
        await request.change(request.say.gettext("That is no longer on the list. /places shows the list."))


async def _open(request: Request, garden: Garden, person: Person, row_id: int | None) -> Setup | None:
    """What is shown and waits for a yes; None, and a word about it, when it does no more."""
    row = await setup.of_person(request.session, person.id)
    if row is not None and row.id == row_id and row.garden_id == garden.id and row.draft.get("items"):
        return row
    await request.change(request.say.gettext("That question is closed. /places shows the list."))
    return None


async def _name(request: Request, garden: Garden, person: Person, row_id: int | None) -> None:
    """Ask for another name of what is shown; nothing is kept meanwhile."""
    row = await _open(request, garden, person, row_id)
    if row is not None:
        row.draft = {**row.draft, "naming": True}
        await request.whisper(request.say.gettext("What is the new name? Please write it."))


def _renamed(items: list[Rows], name: str) -> list[Rows]:
    """With another name before the numbers; of one place, instead of its name."""
    (file, rows, people), *_ = items
    if len(rows) == 1:
        return [(file, [{**rows[0], "name": name}], people)]
    stem = name.rstrip("0123456789 ") or name
    return [(file, [{**row, "name": f"{stem} {row['name'].split()[-1]}"[:NAME_N]} for row in rows], people)]


async def _settle(request: Request, garden: Garden, person: Person, row_id: int | None, *, keep: bool) -> None:
    """The yes or no under a preview; a second press finds it settled."""
    row = await _open(request, garden, person, row_id)
    if row is None:
        return
    items = _items(row.draft["items"])
    await setup.close(request.session, person.id)
    if not keep:
        await request.change(request.say.gettext("All right, nothing was saved."))
        return
    laid = await places.add(request.session, garden, items, request.say, request.now, dry_run=False)
    await request.change(
        wording.preview(request.say, items, laid, ()) if laid.problems else wording.stored(request.say, laid)
    )


def _items(draft: Sequence[Any]) -> list[Rows]:
    return [(str(file), rows, people) for file, rows, people in draft]


async def _deed(request: Request, garden: Garden, person: Person, thing: Thing, code: str, deed: str) -> None:
    say = request.say
    if deed == "rename":
        row = await setup.change(request.session, person, garden, Question.RENAME, request.now)
        row.draft = {"thing": code}
        await request.whisper(say.gettext("What is the new name? Please write it."))
        return
    if deed not in ("remove", "gone"):
        await _card(request, garden, thing)
        return
    hanging = await places.hanging(request.session, thing, request.now)
    if hanging.in_use:
        await request.change(
            say.gettext("I have asked somebody to do a job there. Please try again when that job is over.")
        )
    elif deed == "remove":
        crops = await rules.of_garden(request.session, garden.id)
        buttons: list[list[Button]] = [
            [
                (say.gettext("Remove it"), f"place:{garden.id}:{code}:gone"),
                (say.gettext("Save it"), f"place:{garden.id}:{code}:card"),
            ]
        ]
        await request.change(wording.removal(say, thing.name, hanging, crops), buttons)
    else:
        await places.remove(request.session, thing)
        await request.change(say.gettext("It is removed."))


async def _card(request: Request, garden: Garden, thing: Thing) -> None:
    say = request.say
    code = next(code for code, one in await places.all_of(request.session, garden.id) if one is thing)
    snapshot = await gardens.snapshot(request.session, garden)
    place = snapshot.place_by_id.get(thing.id) if code.startswith("p") else None
    plot = next((one for one in snapshot.plots if isinstance(thing, Plot) and one.id == thing.id), None)
    holders = [one.name for one in snapshot.members if plot and one.id in plot.holder_ids]
    buttons: list[list[Button]] = [
        [
            (say.gettext("Rename"), f"place:{garden.id}:{code}:rename"),
            (say.gettext("Remove"), f"place:{garden.id}:{code}:remove"),
        ],
        [(say.gettext("All of them"), f"place:{garden.id}:list:0")],
    ]
    await request.whisper(wording.thing(say, thing.name, place, holders), buttons)


WORD = "places"
FOR = Role.ORGANISER
_READ_N = 4096  # a whole message


def about(say: Say) -> str:
    return say.gettext("plots, beds, pots, tunnels and thermometers: add, rename, remove")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    garden, member = found
    command, *_ = request.text.split(maxsplit=1)
    said = request.text[len(command) :].strip()[:_READ_N]
    if not said:
        await show(request, garden)
    elif not await propose(request, garden, member.person, said):
        await request.whisper(wording.how(request.say))
