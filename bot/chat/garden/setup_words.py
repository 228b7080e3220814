"""Setting a garden up, in words: one question at a time, each with an example, and what still lacks."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from bot.chat.html import bold, lines, safe
from bot.chat.wire.message import Button
from bot.core.garden.snapshot import Lay
from bot.i18n import Say
from bot.services.garden.setup import Lack, Question
from bot.storage.models import Garden, Setup

Asked = tuple[str, list[list[Button]]]
SHOWN = 4


def hello(say: Say) -> str:
    """The first words in a group whose garden is not known."""
    return lines([
        bold(say.gettext("Hello! I watch the weather for a garden group's plants, and I help to share the work.")),
        say.gettext(
            "Who looks after the garden? Is it you? Are you an adult, and an administrator of this group? "
            "Then please tap the button. It takes five minutes, in our private chat."
        ),
    ])  # fmt: skip


def question(say: Say, row: Setup, zones: Sequence[str], now: datetime, said: str | None = None) -> Asked:
    """The question that is open. said: a line to go before it, such as what was wrong with the last answer."""
    text, buttons = _questions(say, row, zones, now)
    back: Button = (say.gettext("Back"), f"setup:{row.id}:back")
    stop: Button = (say.gettext("Do not change it"), f"setup:{row.id}:stop")
    first = row.garden_id is None and row.asks == Question.NAME
    last = [] if first else [stop] if row.garden_id is not None and row.asks != Question.LAY else [back]
    return lines([said, text]), [*buttons, *([last] if last else [])]


def _questions(say: Say, row: Setup, zones: Sequence[str], now: datetime) -> Asked:
    if row.asks == Question.NAME:
        keep: list[list[Button]] = [[(row.title[:40], f"setup:{row.id}:title")]] if row.title else []
        return (
            lines([
                bold(say.gettext("What is the garden called?")),
                say.gettext("Tap the name of your group, or write another name.") if keep else None,
            ]),
            keep,
        )  # fmt: skip
    if row.asks == Question.PLACE:
        return lines([
            bold(say.gettext("Where is the garden? Please send me a pin on the map.")),
            say.gettext("Tap the paper clip, then Location. Move the map until the pin is on the garden. Then "
                        "send it."),
            say.gettext("Or copy its coordinates from a map and write them, like this: 52.2053, 0.1218"),
            say.gettext("I need it for the forecast. I show it to the organisers only. The weather service "
                        "gets it to about 100 m."),
        ]), []  # fmt: skip
    if row.asks == Question.ZONE:
        offered: list[list[Button]] = [[(_clock(say, zone, now), f"setup:{row.id}:zone:{zone}")] for zone in zones]
        return lines([
            bold(say.gettext("Which time zone is the garden in?")),
            say.gettext("Tap the right one, or write a big town that has the same time."),
        ]), offered  # fmt: skip
    if row.asks == Question.LAY:
        return _lay(say, row)
    if row.asks == Question.ALTITUDE:
        return lines([
            bold(say.gettext("How high above the sea is the garden, in metres?")),
            say.gettext("Write for example: 24 m. If you don't know it, I take it from the forecast."),
        ]), [[(say.gettext("I don't know"), f"setup:{row.id}:altitude")]]  # fmt: skip
    return bold(say.gettext("What do you want to change?")), []


def _clock(say: Say, zone: str, now: datetime) -> str:
    at = now.astimezone(ZoneInfo(zone))
    town = zone.rsplit("/", 1)[-1].replace("_", " ")
    return say.gettext("{town}: {time} now", town=town, time=f"{at:%H:%M}")


def _lay(say: Say, row: Setup) -> Asked:
    rows: list[list[Button]] = [
        [(lay_name(say, lay), f"setup:{row.id}:lay:{lay.value}")]
        for lay in (Lay.HOLLOW, Lay.SLOPE, Lay.WALLED, Lay.WINDY, Lay.OPEN)
    ]
    rows.append([(say.gettext("I don't know"), f"setup:{row.id}:lay:{Lay.OPEN.value}")])
    return lines([
        bold(say.gettext("What kind of ground is the garden on? Which of these fits best?")),
        say.gettext("• Frost hollow: low ground. It is white in the morning when the street above is not."),
        say.gettext("• On a slope: rain and cold air run down it."),
        say.gettext("• Inside walls: houses or walls on most sides."),
        say.gettext("• Windy place: a hilltop, the coast, a gap between buildings."),
        say.gettext("• Open ground: flat, nothing special."),
    ]), rows  # fmt: skip


def lay_name(say: Say, lay: Lay) -> str:
    return {
        Lay.OPEN: say.gettext("Open ground"),
        Lay.HOLLOW: say.gettext("Frost hollow"),
        Lay.SLOPE: say.gettext("On a slope"),
        Lay.WALLED: say.gettext("Inside walls"),
        Lay.WINDY: say.gettext("Windy place"),
    }[lay]


def card(say: Say, garden: Garden, lacking: Sequence[Lack], said: str | None = None) -> str:
    """What is known of the garden itself, and what it lacks."""
    height = (
        say.gettext("Height: I will get it with the first forecast.")
        if garden.altitude_m is None
        else say.gettext("Height: {n} m above the sea.", n=say.number(garden.altitude_m))
    )
    return lines([
        said,
        bold(safe(garden.name)),
        say.gettext(
            "Location: {latitude}, {longitude}. Time zone: {zone}.",
            latitude=f"{garden.latitude:.3f}", longitude=f"{garden.longitude:.3f}", zone=safe(garden.zone),
        ),
        height,
        say.gettext("Kind of ground: {lay}.", lay=lay_name(say, garden.lay)),
        *lacks(say, lacking),
    ])  # fmt: skip


def card_buttons(say: Say, garden: Garden) -> list[list[Button]]:
    def to(label: str, asks: Question) -> Button:
        return label, f"site:{garden.id}:{asks.value}"

    return [
        [to(say.gettext("Garden name"), Question.NAME), to(say.gettext("Location"), Question.PLACE),
         to(say.gettext("Time zone"), Question.ZONE)],
        [to(say.gettext("Height"), Question.ALTITUDE), to(say.gettext("Kind of ground"), Question.LAY)],
        [(say.gettext("Plots and places"), f"place:{garden.id}:list:0")],
    ]  # fmt: skip


def lacks(say: Say, lacking: Sequence[Lack]) -> list[str]:
    """The most needed first, each with what to do and what works meanwhile."""
    if not lacking:
        return [say.gettext("Nothing is missing. Thank you!")]
    shown = [say.gettext("• {lack}", lack=lack(say, one)) for one in lacking[:SHOWN]]
    more = len(lacking) - len(shown)
    return [
        bold(say.gettext("Still missing, the most useful first:")),
        *shown,
        *([say.ngettext("And {n} more, after these.", "And {n} more, after these.", more)] if more else []),
    ]


def lack(say: Say, what: Lack) -> str:
    return {
        Lack.GROUP: say.gettext(
            "No group chat: add me to yours. Until then I answer and warn each member in a private chat."
        ),
        Lack.REMOVED: say.gettext(
            "I am no longer in the group: add me again. Until then I warn each member privately."
        ),
        Lack.GONE: say.gettext(
            "I can't find the group: add me to it, or to a new one. Until then I warn each member privately."
        ),
        Lack.MUTED: say.gettext(
            "I am not allowed to write in the group: switch on “Send messages” for members, or make me an "
            "administrator of the group. Until then I warn each member privately."
        ),
        Lack.CLOSED: say.gettext(
            "The topic where I write is closed. Please open it. Or make me an administrator of the group, "
            "with the right to manage topics. Until then I warn each member privately."
        ),
        Lack.TOPIC_CLOSED: say.gettext("My topic is closed: open it again. Until then I write in General."),
        Lack.TOPIC_GONE: say.gettext(
            "My topic is gone: write /setup in the topic that I should use. Until then I write in General."
        ),
        Lack.ADMIN: say.gettext(
            "I am not an administrator of the group: make me one, so that I can pin messages and see who "
            "leaves. Warnings work without it."
        ),
        Lack.PIN: say.gettext("I am not allowed to pin messages: give me that right. I post the calendar without it."),
        Lack.PRIVACY: say.gettext(
            "In the group I see only commands and answers to me. In private I read everything you write."
        ),
        Lack.MEMBERS: say.gettext(
            "Nobody has joined: ask people to tap Join in the group. Until then I ask nobody for help."
        ),
        Lack.UNREACHABLE: say.gettext(
            "Some people have not opened my private chat, so I can't ask them to take turns: /members shows who."
        ),
        Lack.PLACES: say.gettext(
            "No beds, pots or tunnels: add them with /places. For the next nights, ask me now: /weather"
        ),
        Lack.PLANTINGS: say.gettext(
            "I do not know what you have planted, so I can't warn you. Write for example: planted 12 lettuces in Bed 1"
        ),
        Lack.CONTAINERS: say.gettext(
            "No pots: that is fine if you have none. If you have some, write for example: /places 12 pots, 30 litres"
        ),
        Lack.THERMOMETER: say.gettext(
            "No thermometer: I use only the forecast. With a thermometer I learn how cold it gets here: /places"
        ),
    }[what]
