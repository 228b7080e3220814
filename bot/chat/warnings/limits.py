"""/limits: the winds from which nobody is sent out or up here, which organisers may only make stricter; and what they come
over.
"""

from __future__ import annotations

from bot.chat import rights
from bot.chat.html import bold, lines
from bot.chat.request import Request
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Around, Role
from bot.core.warnings.safety import GUST_MS, HEIGHT_WIND_MS, Limits
from bot.i18n import Say
from bot.storage.models import Garden

WORD = "limits"
FOR = Role.ORGANISER
#: Shares of the default limit that are offered, the default first.
_SHARES = (100, 90, 80, 70, 60)
_PAIRS = ((Around.SEA, Around.FIELDS), (Around.HOUSES, Around.TOWN))


def about(say: Say) -> str:
    return say.gettext("see in which wind nobody goes out")


async def answer(request: Request) -> None:
    found = await rights.organiser(request)
    if found is None:
        return
    garden, _ = found
    say = request.say
    texts = [
        bold(_gusts(say, garden.gust_limit_ms or GUST_MS)),
        bold(_height(say, garden.height_wind_limit_ms or HEIGHT_WIND_MS)),
        say.gettext("You can set both lower, for open ground or big trees. You cannot set them higher."),
        bold(_around(say, garden.around)),
    ]
    buttons = [
        *_rows(say, garden, "limit", GUST_MS),
        *_rows(say, garden, "limitup", HEIGHT_WIND_MS),
        *([(_name(say, one), f"around:{garden.id}:{one}") for one in pair] for pair in _PAIRS),
    ]
    await request.reply(lines(texts), buttons)


def _gusts(say: Say, limit_ms: float) -> str:
    return say.gettext("Nobody goes out in gusts of {wind} or more.", wind=say.wind(limit_ms))


def _height(say: Say, limit_ms: float) -> str:
    return say.gettext(
        "Nobody works on ladders, glass or tunnel covers in a steady wind of {wind} or more.", wind=say.wind(limit_ms)
    )


def _rows(say: Say, garden: Garden, verb: str, most_ms: float) -> list[list[Button]]:
    """The choices in one row, each saying what it limits."""
    gusts = verb == "limit"
    return [
        [
            (
                say.gettext("Gusts: {wind}", wind=say.wind(most_ms * share / 100))
                if gusts
                else say.gettext("Steady wind: {wind}", wind=say.wind(most_ms * share / 100)),
                f"{verb}:{garden.id}:{share}",
            )
            for share in shares
        ]
        for shares in (_SHARES[:3], _SHARES[3:])
    ]


async def choose(request: Request, rest: str) -> None:
    """A limit of gusts was chosen; what was not offered is refused."""
    chosen = await _chosen(request, rest)
    if chosen is not None:
        garden, share = chosen
        garden.gust_limit_ms = Limits(gust_ms=GUST_MS * share / 100).gust_ms
        await request.reply(_gusts(request.say, garden.gust_limit_ms))


async def choose_height(request: Request, rest: str) -> None:
    """The same for work on ladders, glass and covers."""
    chosen = await _chosen(request, rest)
    if chosen is not None:
        garden, share = chosen
        garden.height_wind_limit_ms = Limits(height_wind_ms=HEIGHT_WIND_MS * share / 100).height_wind_ms
        await request.reply(_height(request.say, garden.height_wind_limit_ms))


def _around(say: Say, around: Around) -> str:
    return say.gettext("What the wind comes over here: {around}.", around=_name(say, around))


def _name(say: Say, around: Around) -> str:
    return {
        Around.SEA: say.gettext("The sea"),
        Around.FIELDS: say.gettext("Fields"),
        Around.HOUSES: say.gettext("Houses or woods"),
        Around.TOWN: say.gettext("A town"),
    }[around]


async def choose_around(request: Request, rest: str) -> None:
    """How strong a gust is near the ground goes by it."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return
    garden, _, value = found
    if value not in tuple(Around):
        await rights.stale(request)
        return
    garden.around = Around(value)
    await request.reply(_around(request.say, garden.around))


async def _chosen(request: Request, rest: str) -> tuple[Garden, int] | None:
    """The garden and the share of the default, when an organiser of it may choose them."""
    found = await rights.organiser_pressed(request, rest)
    if found is None:
        return None
    garden, _, share = found
    percent = rights.whole(share)
    if percent not in _SHARES:
        await rights.stale(request)
        return None
    return garden, percent
