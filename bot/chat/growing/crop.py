"""/crop NAME: when and how many to sow, how many fit, when it is ready, how it keeps.

What may still be sown or set out into an empty bed, and what covers its soil.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from bot.chat import names, rights
from bot.chat.growing import care_words
from bot.chat.growing import crop_words as wording
from bot.chat.html import bold, lines
from bot.chat.request import Request
from bot.chat.screen import show, within
from bot.chat.warnings.told import Told
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Garden, Place, PlaceKind
from bot.core.growing.carrying import is_written_for
from bot.core.growing.crop import Crop, Kind
from bot.core.growing.seasons import next_in_window
from bot.core.growing.spacing import Bed, length_m
from bot.core.growing.succession import Filler, fill_gap, sowing_places
from bot.crops.everyday import everyday
from bot.crops.find import Found, company, fold, match
from bot.i18n import Say
from bot.services.growing import rules
from bot.services.weather import frost_dates
from bot.storage.garden import gardens
from bot.storage.models import Garden as GardenRow
from bot.storage.models import Member

_SHOWN = 12


def gap(told: Told, fillers: Sequence[Filler], *, whole: bool = False) -> tuple[str, bool]:
    """(text, whether it is all of it): what may still be sown or set out into an empty bed today, soonest ready first.
    whole: all of it in any case.
    """
    say = told.say
    green = _green_cover(told)
    if not fillers:
        nothing = say.gettext("It is too late to sow for this season.")
        return lines([nothing, green or say.gettext("A green manure protects the bed until spring.")]), True
    found = [
        say.gettext(
            "• {crop}, {where}: ready by {day}.",
            crop=names.crop(say, told.crops, one.crop),
            where=names.where(say, one.where),
            day=say.day(one.ready_on),
        )
        for one in fillers[:_SHOWN]
    ]
    title = bold(say.gettext("You can still start these now:"))
    if whole:
        return lines([title, *found, green]), True
    text, shown_n = within([title], found, lambda shown_n: [green])
    return text, shown_n == len(found)


def _green_cover(told: Told) -> str | None:
    """Green manures that may be sown today."""
    say, today = told.say, told.say.local(told.now).date()
    keys = [key for key, crop in told.crops.items() if crop.kind is Kind.GREEN_MANURE and sowing_places(crop, today)]
    if not keys:
        return None
    named = say.or_list([names.crop(say, told.crops, key) for key in keys])
    return say.gettext("Or cover the soil with: {crops}.", crops=named)


WORD = "crop"

_BED = re.compile(
    r"(\d[\d.,]*\s*(?:m|cm|ft|in)?(?:\s*\d+\s*in)?)\s*(?:x|×|by|na)\s*(\d[\d.,]*\s*(?:m|cm|ft|in)(?:\s*\d+\s*in)?)"
)
_COUNT = re.compile(r"\b(\d{1,4})\b")
#: Feet and inches, by whoever measures so.
_INCHES = re.compile(r"\d\s*(?:ft|in|['\"])(?![a-z])|\b(?:foot|feet|inch|inches)\b")
#: What the button of the whole card carries: the crop, how many plants, the bed's size in metres, whether in inches, too.
_WHOLE = re.compile(r"all-([^:]+)(?::(\d{0,4}):(?:(\d{1,4}\.\d{4})x(\d{1,4}\.\d{4}))?(in)?)?")
_DATA_N = 56  # bytes that a button carries at most, by the platform, less which screen of the card is wanted
_GAP = "gap"


def about(say: Say) -> str:
    return say.gettext("how to sow, plant and store a crop; /crop alone: what you can still sow now")


async def answer(request: Request) -> None:
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    say = request.say
    crops = await rules.of_garden(request.session, garden.id)
    told = Told(say, crops, request.now)
    asked = request.text.partition(" ")[2].strip()[:200]
    if not asked:
        await _gap(request, garden, told)
        return
    bed, rest = _bed(asked)
    what = _meant(say, crops, _COUNT.sub(" ", rest))
    if what is None or not what.keys:
        await request.reply(say.gettext("I don't know that crop. Write for example: /crop runner beans 20"))
        return
    if len(what.keys) > 1 or not what.sure:
        await request.reply(wording.which(told, what.keys))
        return
    number = _COUNT.search(rest)
    await card(
        request, garden, member, what.keys[0], int(number[1]) if number else None, bed, inches=measures_in_inches(asked)
    )


def measures_in_inches(text: str) -> bool:
    """Whether somebody writes of feet or inches."""
    return _INCHES.search(text.casefold()) is not None


async def card(
    request: Request,
    garden: GardenRow,
    member: Member,
    key: str,
    wanted: int | None = None,
    bed: Bed | None = None,
    *,
    inches: bool = False,
    whole: bool = False,
) -> None:
    """A crop's card, with a button for what it leaves out."""
    say = request.say
    crops = await rules.of_garden(request.session, garden.id)
    beds = [(None, bed)] if bed else own_beds(await gardens.snapshot(request.session, garden), member.id)
    text, is_whole = wording.crop(
        Told(say, crops, request.now),
        crops[key],
        wanted,
        beds,
        written_for=is_written_for(garden.latitude, garden.longitude),
        inches=inches,
        whole=whole,
    )
    care: Button = (say.gettext("Care and pests"), f"crop:{key}")
    size = f"{bed.length_m:.4f}x{bed.width_m:.4f}" if bed else ""
    data = f"crop:all-{key}:{wanted or ''}:{size}{'in' if inches else ''}"
    if len(data.encode()) > _DATA_N:
        data = f"crop:all-{key}"
    if is_whole:
        await show(request, text, data, [[care]])
    else:
        await request.reply(text, [[(say.gettext("All about it"), data), care]])


async def _gap(request: Request, garden: GardenRow, told: Told, *, whole: bool = False) -> None:
    """What may still be started today, with a button for what the list leaves out."""
    today = told.say.local(told.now).date()
    known = await frost_dates.of_garden(request.session, garden)
    reached = known.first_autumn.by(0.1) if known else None
    first_frost_on = next_in_window(today, (reached, reached)) if reached else None
    text, is_whole = gap(told, fill_gap(told.crops, today, first_frost_on), whole=whole)
    if is_whole:
        await show(request, text, f"crop:{_GAP}")
    else:
        await request.reply(text, [[(told.say.gettext("Show all crops"), f"crop:{_GAP}")]])


def _meant(say: Say, crops: Mapping[str, Crop], text: str) -> Found | None:
    """The crop that is asked about; one with a word beside it that no variety bears is not sure, or none."""
    names = {key: (crop.name, *crop.aliases) for key, crop in crops.items()}
    local = everyday(say, crops)
    beside = company(say.language)
    found = match(text, names, local, beside.others)
    if found is None or not found.sure:
        return found
    before, _, after = (part.split() for part in f" {fold(text)} ".partition(f" {found.words} "))
    own = frozenset(word for key in found.keys for name in crops[key].varieties for word in fold(name).split())
    unknown = beside.unknown(before, found.words.split(), after, own)
    if beside.is_elsewhere(unknown):
        return None
    return replace(found, sure=not unknown)


async def press(request: Request, rest: str) -> None:
    """Care and pests, under a crop; "all-KEY:20:1.8288x0.9144in": its whole card; "gap": all that may be started now."""
    found = await rights.member(request)
    if found is None:
        return
    garden, member = found
    crops = await rules.of_garden(request.session, garden.id)
    told = Told(request.say, crops, request.now)
    asked = _WHOLE.fullmatch(rest)
    key = asked[1] if asked else rest
    if rest == _GAP:
        await _gap(request, garden, told, whole=True)
    elif key not in crops:
        await rights.stale(request)
    elif asked is None:
        await show(request, care_words.care(told, crops[key]), f"crop:{key}")
    else:
        sides_m = [float(side) for side in asked.group(3, 4) if side]
        bed = Bed(*sides_m) if sides_m and min(sides_m) > 0 else None
        wanted = int(asked[2]) if asked[2] else None
        await card(request, garden, member, key, wanted, bed, inches=bool(asked[5]), whole=True)


def _bed(text: str) -> tuple[Bed | None, str]:
    """A size such as "6 ft x 3 ft" or "2.4 x 1.2 m", and the text without it."""
    found = _BED.search(text.casefold())
    if found is None:
        return None, text
    second = found[2]
    first = found[1] if re.search(r"[a-z]", found[1]) else found[1] + re.sub(r"[\d.,\s]", "", second)
    try:
        bed = Bed(length_m(first), length_m(second))
    except ValueError:
        return None, text
    return bed, text[: found.start()] + " " + text[found.end() :]


def own_beds(garden: Garden, member_id: int) -> list[tuple[Place | None, Bed]]:
    """The member's own beds whose size is known; a group's shared ones for whoever has no plot."""
    plots = {plot.id for plot in garden.plots if member_id in plot.holder_ids}
    sized = [place for place in garden.places if place.kind is PlaceKind.BED and place.length_m and place.width_m]
    own = [place for place in sized if place.plot_id in plots] or [place for place in sized if place.shared]
    return [(place, Bed(place.length_m or 1.0, place.width_m or 1.0)) for place in own[:3]]
