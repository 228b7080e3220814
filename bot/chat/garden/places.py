"""/places: plots, places and thermometers; written after it, what there is: /places 12 pots in the yard, 30 litres.

The dialogue about plots, places and thermometers: lines in words, a preview, a yes; renaming and removing.

Plots, places and thermometers in words: what there is, what would be added, what hangs on a thing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from bot.chat import names, rights
from bot.chat.html import bold, lines, safe
from bot.chat.language import place_lines
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Garden, Place, PlaceKind, Role
from bot.core.growing.crop import Crop
from bot.crops.find import fold
from bot.i18n import Say
from bot.services.garden import places, setup
from bot.services.garden.places import Hanging, Laid, Rows, Thing
from bot.services.garden.setup import Question
from bot.services.growing import rules
from bot.services.weather import readings
from bot.storage.garden import gardens
from bot.storage.models import Garden as GardenRow
from bot.storage.models import Person, Plot, Setup

PAGE = 10
_TEXT_N = 3800  # of the letters that a message holds, with room for marks


def how(say: Say) -> str:
    """What may be written, by example."""
    return lines([
        bold(say.gettext("Write what you have, one thing on each line. For example:")),
        say.gettext("plot 3 Amira and Joe"),
        say.gettext("bed 2 in plot 3, 6 ft x 3 ft"),
        say.gettext("12 pots in the yard, 30 litres"),
        say.gettext("tunnel, locked"),
        say.gettext("thermometer on the shed, 1.5 m, shaded"),
        say.gettext("I show you what I understood before I save it. For a long list, you can send a "
                    "spreadsheet."),
    ])  # fmt: skip


def listing(say: Say, garden: Garden, thermometers_n: int) -> str:
    """What there is, counted by kind."""
    counted = {kind: sum(place.kind is kind for place in garden.places) for kind in PlaceKind}
    parts = [
        say.gettext("{kind}: {n}", kind=names.place_kind(say, kind), n=say.number(n))
        for kind, n in counted.items()
        if n
    ]
    if not (garden.plots or garden.places or thermometers_n):
        return lines(
            [bold(say.gettext("There is nothing on the list yet.")), say.gettext("To begin, tap “Add to the list”.")]
        )
    return lines([
        bold(say.gettext("Plots and places in {garden}:", garden=safe(garden.name))),
        say.ngettext("{n} plot", "{n} plots", len(garden.plots)) if garden.plots else None,
        *parts,
        say.ngettext("{n} thermometer", "{n} thermometers", thermometers_n) if thermometers_n else None,
        say.gettext("Tap one to rename or remove it."),
    ])  # fmt: skip


def listing_buttons(say: Say, garden_id: int, things: Sequence[tuple[str, str]], start: int) -> list[list[Button]]:
    """things: code and name of each."""
    shown: list[Button] = [(name[:30], f"place:{garden_id}:{code}") for code, name in things[start : start + PAGE]]
    rows = [shown[n : n + 2] for n in range(0, len(shown), 2)]
    last: list[Button] = [(say.gettext("Add to the list"), f"place:{garden_id}:add")]
    if len(things) > PAGE:
        coming = start + PAGE if start + PAGE < len(things) else 0
        last.append((say.gettext("Show more"), f"place:{garden_id}:list:{coming}"))
    return [*rows, last]


def preview(say: Say, items: Sequence[Rows], laid: Laid, unread: Sequence[str], later_n: int = 0) -> str:
    """What would be kept, every line of it; with a problem, what is wrong and that nothing is. later_n: lines too many."""
    left = [say.gettext("I did not understand: {line}", line=safe(line, 60)) for line in unread]
    if later_n:
        left.append(
            say.ngettext(
                "{n} more line is too much for one message: please send it after this.",
                "{n} more lines are too much for one message: please send them after this.",
                later_n,
            )
        )
    if laid.problems:
        problems = [say.gettext("• {problem}", problem=safe(one, 200)) for one in laid.problems]
        again = say.gettext("Please write it again.")
        return _fitting(say, bold(say.gettext("I can't save that yet:")), problems, [*left, again])
    joins = (
        [
            say.gettext(
                "New on the list of people: {people}. They still have to tap Join.",
                people=say.and_list(safe(n, 30) for n in laid.people),
            )
        ]
        if laid.people
        else []
    )
    shown = [f"• {_item(say, item, laid)}" for item in items]
    return _fitting(say, bold(say.gettext("Is this right? I would save:")), shown, [*joins, *left])


def _fitting(say: Say, first: str, middle: Sequence[str], last: Sequence[str]) -> str:
    """All of it; what a message can't hold is counted."""
    for n in range(len(middle), -1, -1):
        rest = len(middle) - n
        more = say.ngettext("And {n} line more.", "And {n} lines more.", rest) if rest else None
        text = lines([first, *middle[:n], more, *last])
        if len(text) <= _TEXT_N:
            return text
    return lines([first, more])


def of_none(say: Say, line: str) -> str:
    """An answer to "0 beds", or to a report that reads like it."""
    return say.gettext(
        "I can't save 0 of something: {line}. Please write how many, 1 or more: “3 beds”, or “planted 12 "
        "lettuces in Bed 1”.",
        line=safe(line, 60),
    )


def _item(say: Say, item: Rows, laid: Laid) -> str:
    file, rows, people = item
    first, last = rows[0]["name"], rows[-1]["name"]
    name = safe(first, 40)
    if len(rows) > 1:
        name = say.ngettext("{first} to {last} ({n} place)", "{first} to {last} ({n} places)", len(rows),
                            first=safe(first, 40), last=safe(last, 40))  # fmt: skip
    known = first in laid.changed
    details = [*_details(say, file, rows[0])]
    if people:
        details.append(say.and_list(safe(one, 30) for one in people))
    text = say.gettext("{name}: {details}", name=name, details="; ".join(details)) if details else name
    return say.gettext("{thing} (already on the list, now changed)", thing=text) if known else text


def _details(say: Say, file: str, row: Mapping[str, str]) -> list[str]:
    found: list[str] = []
    if file == "thermometers":
        found.append(say.gettext("thermometer, {n} m up", n=say.number(float(row["height_m"]), 2)))
        found.append(say.gettext("in the shade") if row["shaded"] == "yes" else say.gettext("in the sun"))
        return found
    if "kind" in row:
        found.append(names.place_kind(say, PlaceKind(row["kind"])))
    if "length_m" in row:
        length, width = (say.number(float(row[side]), 2) for side in ("length_m", "width_m"))
        found.append(say.gettext("{length} × {width} m", length=length, width=width))
    if "height_m" in row:
        found.append(say.gettext("{n} m high", n=say.number(float(row["height_m"]), 2)))
    if "volume_l" in row:
        found.append(say.gettext("{n} litres", n=say.number(float(row["volume_l"]), 1)))
    if "wet_kg" in row:
        found.append(say.gettext("{n} kg when watered", n=say.number(float(row["wet_kg"]), 1)))
    if "plot" in row:
        found.append(safe(row["plot"], 40))
    if "inside" in row:
        found.append(say.gettext("stands inside: {kind}", kind=names.place_kind(say, PlaceKind(row["inside"]))))
    if row.get("shared") == "yes":
        found.append(say.gettext("for everybody"))
    if "movable" in row:
        found.append(say.gettext("can be carried") if row["movable"] == "yes" else say.gettext("cannot be carried"))
    if row.get("needs_key") == "yes":
        found.append(say.gettext("locked: /keys shows who has the key"))
    return found


def stored(say: Say, laid: Laid) -> str:
    count = sum(len(added) for _, added in laid.added) + len(laid.changed)
    return lines([
        bold(say.ngettext("Saved: {n} thing.", "Saved: {n} things.", count)),
        say.gettext("Next: write what grows there, for example: planted 12 lettuces in {place}", place=safe(_place(laid)))
        if _place(laid)
        else None,
        say.gettext("/setup shows what is still missing."),
    ])  # fmt: skip


def _place(laid: Laid) -> str:
    return next((added[0] for file, added in laid.added if file == "places" and added), "")


def card(say: Say, name: str, place: Place | None, holders: Sequence[str]) -> str:
    return lines([
        bold(safe(name)),
        names.place_kind(say, place.kind) if place else None,
        say.gettext("It belongs to: {people}.", people=say.and_list(safe(one, 40) for one in holders)) if holders else None,
    ])  # fmt: skip


def removal(say: Say, name: str, what: Hanging, crops: Mapping[str, Crop]) -> str:
    """What hangs on it, before it goes."""
    goes = names.crops(say, crops, what.plantings)
    return lines([
        bold(say.gettext("Remove {thing} from the list?", thing=safe(name))),
        say.gettext("I also remove what grows there: {crops}.", crops=goes) if what.plantings else None,
        say.ngettext("I also remove {n} support.", "I also remove {n} supports.", what.supports_n)
        if what.supports_n
        else None,
        say.ngettext("{n} place there stays on the list, without a plot.", "{n} places there stay on the list, without "
                                                                 "a plot.", what.places_n)
        if what.places_n
        else None,
        say.ngettext("I also remove {n} reading.", "I also remove {n} readings.", what.readings_n)
        if what.readings_n
        else None,
        say.gettext("The journal still shows what was done there. There is no button to undo this."),
    ])  # fmt: skip


LINES_N, NAME_N = 40, 60
_HOUSES = ("tunnel", "cold frame", "greenhouse", "indoors")


async def show(request: Request, garden: GardenRow, start: int = 0) -> None:
    """What there is, a button each."""
    snapshot = await gardens.snapshot(request.session, garden)
    count = len(await readings.thermometers(request.session, garden.id))
    things = [(code, thing.name) for code, thing in await places.all_of(request.session, garden.id)]
    text, buttons = (
        listing(request.say, snapshot, count),
        listing_buttons(request.say, garden.id, things, start),
    )
    await (request.change if request.update.callback_query and start else request.whisper)(text, buttons)


async def propose(request: Request, garden: GardenRow, person: Person, text: str) -> bool:
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
        await request.whisper(of_none(request.say, none[0]))
        return True
    if not items:
        return False
    items.sort(key=lambda item: ("plots", "places", "thermometers").index(item[0]))
    await _preview(request, garden, person, items, [*none, *unread], max(0, len(written) - LINES_N))
    return True


async def _preview(
    request: Request, garden: GardenRow, person: Person, items: list[Rows], unread: Sequence[str] = (), later_n: int = 0
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
    await request.whisper(preview(request.say, items, laid, unread, later_n), buttons)


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
        await request.whisper(how(request.say))
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


async def _open(request: Request, garden: GardenRow, person: Person, row_id: int | None) -> Setup | None:
    """What is shown and waits for a yes; None, and a word about it, when it does no more."""
    row = await setup.of_person(request.session, person.id)
    if row is not None and row.id == row_id and row.garden_id == garden.id and row.draft.get("items"):
        return row
    await request.change(request.say.gettext("That question is closed. /places shows the list."))
    return None


async def _name(request: Request, garden: GardenRow, person: Person, row_id: int | None) -> None:
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


async def _settle(request: Request, garden: GardenRow, person: Person, row_id: int | None, *, keep: bool) -> None:
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
    await request.change(preview(request.say, items, laid, ()) if laid.problems else stored(request.say, laid))


def _items(draft: Sequence[Any]) -> list[Rows]:
    return [(str(file), rows, people) for file, rows, people in draft]


async def _deed(request: Request, garden: GardenRow, person: Person, thing: Thing, code: str, deed: str) -> None:
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
        await request.change(removal(say, thing.name, hanging, crops), buttons)
    else:
        await places.remove(request.session, thing)
        await request.change(say.gettext("It is removed."))


async def _card(request: Request, garden: GardenRow, thing: Thing) -> None:
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
    await request.whisper(card(say, thing.name, place, holders), buttons)


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
        await request.whisper(how(request.say))
