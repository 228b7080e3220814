"""/own: crops that only this garden has: kept, said to be like another, or told of in five questions; as one file."""

from __future__ import annotations

import base64
from collections.abc import Mapping
from typing import Any

from bot.chat import names, rights
from bot.chat.growing import own_crops_words as wording
from bot.chat.growing.own_crops_words import Step
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Role
from bot.core.growing.crop import Crop
from bot.crops.find import Found, fold, match
from bot.crops.own import FILE, PREFIX, Frost, OwnCrop, OwnCropError, to_toml
from bot.i18n import Say
from bot.services.growing import own_crops, rules
from bot.storage.models import Garden, Member
from bot.storage.models import OwnCrop as Row

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
    own = await own_crops.of_garden(request.session, garden.id)
    organiser = member.role is Role.ORGANISER
    numbers = await own_crops.numbers(request.session, garden.id)
    buttons: list[list[Button]] = [
        [(own[key].name[:40], f"own:{number}:{Step.EATEN}!")] for key, number in numbers.items() if organiser
    ][:_BUTTONS_N]
    if own and organiser:
        buttons.append([(request.say.gettext("Crops as a file"), f"own:{garden.id}:file")])
    crops = await rules.of_garden(request.session, garden.id)
    await request.reply(wording.listed(request.say, crops, own, organiser=organiser), buttons)


async def _file(request: Request, garden: Garden) -> None:
    """All of them, to keep or to send to another garden's bot."""
    say, own = request.say, await own_crops.of_garden(request.session, garden.id)
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
    key = await own_crops.add(request.session, garden.id, member.id, name, request.now)
    if key is None:
        await request.reply(say.gettext("I cannot use that name. Write for example: /own kiwano as melons"))
        return
    number = (await own_crops.numbers(request.session, garden.id))[key]
    if taken is not None:
        own = await own_crops.say_of(request.session, member, key, request.now, like=taken.keys[0])
        await request.reply(_told(say, await rules.of_garden(request.session, garden.id), own))
        return
    own = (await own_crops.of_garden(request.session, garden.id))[key]
    text, buttons = wording.question(say, number, own, Step.EATEN)
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
    return wording.whole(say, crops, own) if own is not None else say.gettext("This crop is no longer on the list.")


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
    row = await request.session.get(Row, number)
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
    own = (await own_crops.of_garden(request.session, row.garden_id))[key]
    after = step
    if answer != "!":
        said = {} if answer == "?" else _said(own, step, answer)
        if said is None:
            await rights.stale(request)
            return
        if said:
            try:
                own = await own_crops.say_of(request.session, member, key, request.now, **said) or own
            except OwnCropError:
                await rights.stale(request)
                return
        place = _STEPS.index(step) + (2 if step is Step.FROM and answer == "?" else 1)
        if place >= len(_STEPS):
            await request.change(_told(say, await rules.of_garden(request.session, row.garden_id), own))
            return
        after = _STEPS[place]
    await request.change(*wording.question(say, row.id, own, after))


def _said(own: OwnCrop, step: Step, answer: str) -> dict[str, Any] | None:
    """What an answer says; None for one that no button bears."""
    number = rights.whole(answer)
    month = number if number is not None and 1 <= number <= 12 else None
    if step is Step.EATEN:
        return {"eaten": answer == "y"} if answer in ("y", "n") else None
    if step is Step.FROST:
        return {"frost": Frost(answer)} if answer in set(Frost) else None
    if step is Step.APART:
        return {"apart_cm": number} if number in wording.APART_CM else None
    if month is None:
        return None
    if step is Step.OUT:
        return {"out": month}
    if step is Step.FROM:
        return {"harvest": (month, month)}
    return {"harvest": (own.harvest[0], month)} if own.harvest is not None else None
