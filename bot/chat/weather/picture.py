"""/picture: the coming ten days, drawn for a phone."""

from __future__ import annotations

from bot.chat import names
from bot.chat.request import Request
from bot.chat.wire.errands import Desk, Scene, begin, opened
from bot.core.warnings.hazard_cold import open_ground_c
from bot.i18n import Say
from bot.pictures.outlook import Outlook as Picture
from bot.pictures.outlook import Threshold, caption
from bot.pictures.working import draw
from bot.services.look import Look, look
from bot.storage.models import Errand
from bot.storage.states import ErrandKind

WORD = "picture"
#: Thresholds that a phone's width has room for.
SHOWN = 4


def about(say: Say) -> str:
    return say.gettext("the next ten days as a picture; /picture dark for dark screens")


async def answer(request: Request) -> None:
    say = request.say
    if request.garden is None or request.member is None:
        await request.reply(say.gettext("You are not on this garden's list yet. Send /start to me privately."))
        return
    seen = await look(request.session, request.garden, request.source, request.now)
    if seen.forecast is None or not seen.nights:
        await request.reply(_missing(say))
        return
    asked = {"dark": "yes"} if request.text.casefold().endswith("dark") else {}
    await begin(request, ErrandKind.OUTLOOK, None, asked=asked)


def _missing(say: Say) -> str:
    return say.gettext("I have no weather forecast now. Please look at one yourself before dusk.")


async def work(desk: Desk, row: Errand) -> None:
    """Look, draw, show: the drawing is between the transactions."""
    async with opened(desk, row) as scene:
        picture = await _picture(desk, scene) if scene is not None else None
    if picture is None:
        return
    png = await draw(picture)
    async with opened(desk, row) as scene:
        if scene is not None:
            await scene.show(png, "outlook.png", caption(picture))
            scene.settle()


async def _picture(desk: Desk, scene: Scene) -> Picture | None:
    """None, and settled with a word, where the forecast has gone meanwhile."""
    seen = await look(scene.session, scene.garden, desk.source, scene.now)
    if seen.forecast is None or not seen.nights:
        await scene.more(_missing(scene.say))
        scene.settle()
        return None
    return Picture(
        say=scene.say,
        garden=scene.garden.name,
        issued_at=seen.forecast.issued_at or seen.forecast.fetched_at,
        nights=seen.nights,
        days=seen.days,
        thresholds=_thresholds(scene.say, seen),
        dark="dark" in scene.errand.asked,
    )


def _thresholds(say: Say, seen: Look) -> tuple[Threshold, ...]:
    """What grows here in the open and uncovered, by the temperature at which it is called for; the tenderest of each crop."""
    found: dict[str, float] = {}
    for planting in seen.garden.plantings:
        crop = seen.crops.get(planting.crop)
        if crop is None or planting.id in seen.gone:
            continue
        damage_c = open_ground_c(planting, seen.garden.place_of(planting), crop, seen.nights)
        if damage_c is not None:
            found[crop.key] = max(damage_c, found.get(crop.key, damage_c))
    shown = sorted(set(found.values()), reverse=True)[:SHOWN]
    tender_first = sorted(found.items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(
        Threshold(names.crop(say, seen.crops, key), damage_c) for key, damage_c in tender_first if damage_c in shown
    )
