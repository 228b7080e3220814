"""Plots, places and thermometers in words: what there is, what would be added, what hangs on a thing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bot.chat import names
from bot.chat.html import bold, lines, safe
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Garden, Place, PlaceKind
from bot.core.growing.crop import Crop
from bot.i18n import Say
from bot.services.garden.places import Hanging, Laid, Rows

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


def thing(say: Say, name: str, place: Place | None, holders: Sequence[str]) -> str:
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
