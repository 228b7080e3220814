"""/own: crops that only this garden has: kept, said to be like another, or told of in five questions; as one file.

The garden's own crops in words: what is known of each, and the five questions about one.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping
from enum import StrEnum
from typing import Any

from babel.dates import get_month_names

from bot.chat import names, rights
from bot.chat.html import bold, lines, safe
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.core.growing.crop import Crop
from bot.crops.find import Found, fold, match
from bot.crops.own import FILE, PREFIX, Frost, OwnCrop, OwnCropError, to_toml
from bot.i18n import Say
from bot.services.growing import rules
from bot.storage.models import Garden, Member
from bot.storage.models import OwnCrop as Row

#: Distances that a button offers, centimetres.
APART_CM = (10, 20, 30, 45, 60, 90)
_SHOWN_N = 12
_ROW_N = 4


class Step(StrEnum):
    """The questions, in the order in which they are asked; the letter is what a button carries."""

    EATEN = "e"
    FROST = "f"
    OUT = "o"
    FROM = "h"
    UNTIL = "u"
    APART = "a"


def listed(say: Say, crops: Mapping[str, Crop], own: Mapping[str, OwnCrop], *, organiser: bool) -> str:
    """Every crop of the garden's own with what is known of it, and how to add one."""
    how = say.gettext(
        "An organiser can add one: /own kiwano as melons. Or send only the name, and I ask five questions: /own kiwano"
    )
    if not own:
        return lines([bold(say.gettext("This garden has no crops of its own yet.")), how])
    shown = [as_treated(say, crops, one) for one in list(own.values())[:_SHOWN_N]]
    rest = len(own) - len(shown)
    more = say.ngettext("And {n} more.", "And {n} more.", rest) if rest > 0 else None
    tap = say.gettext("Tap a name to tell me more about it.") if organiser else None
    return lines([bold(say.gettext("This garden's own crops:")), *shown, more, how, tap])


def as_treated(say: Say, crops: Mapping[str, Crop], own: OwnCrop) -> str:
    """One line: as what it is treated, by the garden's own word."""
    name = safe(own.name, 40)
    if own.like in crops:
        return say.gettext(
            "{name}: like {crop}. This garden said so.", name=name, crop=names.crop(say, crops, own.like)
        )
    if own.frost is None:
        return say.gettext(
            "{name}: nobody has told me about it yet. I protect it from frost. I don't call it food.", name=name
        )
    known = {
        Frost.KILLS: say.gettext("{name}: frost kills it. This garden said so.", name=name),
        Frost.MARKS: say.gettext("{name}: a light frost does little harm. This garden said so.", name=name),
        Frost.STANDS: say.gettext("{name}: it survives the winter. This garden said so.", name=name),
    }
    return known[own.frost]


def whole(say: Say, crops: Mapping[str, Crop], own: OwnCrop) -> str:
    """All that was said of it."""
    months = get_month_names("wide", context="stand-alone", locale=say.locale)
    eaten = {
        True: say.gettext("It is food. Eat only what you are sure of."),
        False: say.gettext("It is not food."),
        None: None,
    }[own.eaten]
    out = say.gettext("Plant it out in: {month}.", month=months[own.out]) if own.out else None
    harvest = (
        say.gettext("Harvest: {first} to {last}.", first=months[own.harvest[0]], last=months[own.harvest[1]])
        if own.harvest
        else None
    )
    apart = say.gettext("{n}\u00a0cm apart.", n=say.number(own.apart_cm)) if own.apart_cm else None
    change = say.gettext("Is this wrong? Write /own and its name. Then you can answer again.")
    return lines([as_treated(say, crops, own), eaten, out, harvest, apart, change])


def question(say: Say, number: int, own: OwnCrop, step: Step) -> tuple[str, list[list[Button]]]:
    """One question with its answers; the last passes on to the next. number: of the row, for the buttons."""
    name = safe(own.name, 40)
    months = get_month_names("abbreviated", context="stand-alone", locale=say.locale)
    grid = [(months[month], f"{step}{month}") for month in range(1, 13)]
    text, answers = {
        Step.EATEN: (
            say.gettext("{name}, question 1 of 5: do you eat it?", name=name),
            [(say.gettext("Yes"), "ey"), (say.gettext("No"), "en")],
        ),
        Step.FROST: (
            say.gettext("{name}, question 2 of 5: what does frost do to it?", name=name),
            [
                (say.gettext("Frost kills it"), f"f{Frost.KILLS}"),
                (say.gettext("Light frost is fine"), f"f{Frost.MARKS}"),
                (say.gettext("It survives winter"), f"f{Frost.STANDS}"),
            ],
        ),
        Step.OUT: (say.gettext("{name}, question 3 of 5: in which month do you plant it outdoors?", name=name), grid),
        Step.FROM: (say.gettext("{name}, question 4 of 5: in which month do you start to pick it?", name=name), grid),
        Step.UNTIL: (say.gettext("{name}, question 4 of 5: in which month do you stop picking it?", name=name), grid),
        Step.APART: (
            say.gettext("{name}, question 5 of 5: how many cm apart?", name=name),
            [(say.number(cm), f"a{cm}") for cm in APART_CM],
        ),
    }[step]
    wide = 1 if step is Step.FROST else _ROW_N
    buttons = [(label, f"own:{number}:{data}") for label, data in answers]
    rows = [buttons[n : n + wide] for n in range(0, len(buttons), wide)]
    return text, [*rows, [(say.gettext("I don't know"), f"own:{number}:{step}?")]]


WORD = "own"

_STEPS = tuple(Step)
_BUTTONS_N = 12


def about(say: Say) -> str:
    return say.gettext("crops that only this garden has; organisers add them")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    words = request.text.partition(" ")[2].strip()[:200]
    if not words:
        await _list(request, garden, member)
        return
    if await rights.organiser(request) is None:
        return
    if fold(words) in {fold(request.say.pgettext("word after /own", "file")), "file"}:
        await _file(request, garden)
        return
    await _add(request, garden, member, words)


async def _list(request: Request, garden: Garden, member: Member) -> None:
    own = await rules.own_crops_of(request.session, garden.id)
    organiser = member.role is Role.ORGANISER
    numbers = await rules.numbers(request.session, garden.id)
    buttons: list[list[Button]] = [
        [(own[key].name[:40], f"own:{number}:{Step.EATEN}!")] for key, number in numbers.items() if organiser
    ][:_BUTTONS_N]
    if own and organiser:
        buttons.append([(request.say.gettext("Crops as a file"), f"own:{garden.id}:file")])
    crops = await rules.of_garden(request.session, garden.id)
    await request.reply(listed(request.say, crops, own, organiser=organiser), buttons)


async def _file(request: Request, garden: Garden) -> None:
    """All of them, to keep or to send to another garden's bot."""
    say, own = request.say, await rules.own_crops_of(request.session, garden.id)
    if not own:
        await request.reply(say.gettext("This garden has no crops of its own yet."))
        return
    words = say.gettext(
        "Your garden's own crops. An organiser of another garden can send me this file. Then that garden has them too."
    )
    await request.hand_over(base64.b64encode(to_toml(own).encode()).decode(), FILE, words)


async def _add(request: Request, garden: Garden, member: Member, words: str) -> None:
    """ "kiwano as melons", or "dahlias" alone, which is asked about."""
    say, crops = request.say, await rules.of_garden(request.session, garden.id)
    name, _, like = _parted(say, words)
    shared = {key: crop for key, crop in crops.items() if not key.startswith(PREFIX)}
    there = _named(say, shared, name)
    if there is not None and there.keys and there.sure and there.words == fold(name):
        known = names.crop(say, crops, there.keys[0])
        await request.reply(say.gettext("I know that crop already: /crop {crop}", crop=known))
        return
    taken = _named(say, shared, like) if like else None
    if like and (taken is None or len(taken.keys) != 1 or not taken.sure):
        keys = taken.keys if taken is not None else ()
        which = say.gettext("Which one do you mean: {crops}?", crops=names.crops(say, crops, keys)) if keys else None
        await request.reply(which or say.gettext("I don't know that crop. Write for example: /own kiwano as melons"))
        return
    key = await rules.add(request.session, garden.id, member.id, name, request.now)
    if key is None:
        await request.reply(say.gettext("I cannot use that name. Write for example: /own kiwano as melons"))
        return
    number = (await rules.numbers(request.session, garden.id))[key]
    if taken is not None:
        own = await rules.say_of(request.session, member, key, request.now, like=taken.keys[0])
        await request.reply(_told(say, await rules.of_garden(request.session, garden.id), own))
        return
    own = (await rules.own_crops_of(request.session, garden.id))[key]
    text, buttons = question(say, number, own, Step.EATEN)
    await request.reply(text, buttons)


def _parted(say: Say, words: str) -> tuple[str, str, str]:
    for joint in (say.pgettext("word between a plant and the crop that it is like", "as"), "as"):
        name, found, like = words.partition(f" {joint} ")
        if found:
            return name.strip(), found, like.strip()
    return words, "", ""


def _named(say: Say, crops: Mapping[str, Crop], text: str) -> Found | None:
    local = {say.pgettext("crop", crop.name): key for key, crop in crops.items()}
    return match(text, {key: (crop.name, *crop.aliases) for key, crop in crops.items()}, local)


def _told(say: Say, crops: Mapping[str, Crop], own: OwnCrop | None) -> str:
    return whole(say, crops, own) if own is not None else say.gettext("This crop is no longer on the list.")


async def press(request: Request, rest: str) -> None:
    """ "row:answer", or "garden:file". Each answer is kept at once, and the next question takes the place of the last."""
    first, _, data = rest.partition(":")
    number = rights.whole(first)
    if number is None or not data:
        await rights.stale(request)
        return
    if data == "file":
        found = await rights.organiser_of(request, number)
        if found is not None:
            await _file(request, found[0])
        return
    row = await rules.own_crop(request.session, number)
    if row is None:
        await rights.stale(request)
        return
    found = await rights.organiser_of(request, row.garden_id)
    if found is None:
        return
    step, answer = data[0], data[1:]
    if step not in set(_STEPS):
        await rights.stale(request)
        return
    await _answered(request, found[1], row, Step(step), answer)


async def _answered(request: Request, member: Member, row: Row, step: Step, answer: str) -> None:
    """answer: "!" asks, "?" passes on."""
    say, key = request.say, row.key
    own = (await rules.own_crops_of(request.session, row.garden_id))[key]
    after = step
    if answer != "!":
        said = {} if answer == "?" else _said(own, step, answer)
        if said is None:
            await rights.stale(request)
            return
        if said:
            try:
                own = await rules.say_of(request.session, member, key, request.now, **said) or own
            except OwnCropError:
                await rights.stale(request)
                return
        place = _STEPS.index(step) + (2 if step is Step.FROM and answer == "?" else 1)
        if place >= len(_STEPS):
            await request.change(_told(say, await rules.of_garden(request.session, row.garden_id), own))
            return
        after = _STEPS[place]
    await request.change(*question(say, row.id, own, after))


def _said(own: OwnCrop, step: Step, answer: str) -> dict[str, Any] | None:
    """What an answer says; None for one that no button bears."""
    number = rights.whole(answer)
    month = number if number is not None and 1 <= number <= 12 else None
    if step is Step.EATEN:
        return {"eaten": answer == "y"} if answer in ("y", "n") else None
    if step is Step.FROST:
        return {"frost": Frost(answer)} if answer in set(Frost) else None
    if step is Step.APART:
        return {"apart_cm": number} if number in APART_CM else None
    if month is None:
        return None
    if step is Step.OUT:
        return {"out": month}
    if step is Step.FROM:
        return {"harvest": (month, month)}
    return {"harvest": (own.harvest[0], month)} if own.harvest is not None else None
