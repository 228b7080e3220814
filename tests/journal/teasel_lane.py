"""The demo garden of the journal's tests: invented people, plots and places."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, date, datetime

from sqlalchemy.ext.asyncio import AsyncSession

from bot.chat.language import Known, understand
from bot.core.garden.snapshot import Cover, PlaceKind, Role, Stage
from bot.core.garden.snapshot import Garden as CoreGarden
from bot.core.garden.snapshot import Member as Holder
from bot.core.garden.snapshot import Place as CorePlace
from bot.core.garden.snapshot import Planting as Batch
from bot.crops.loader import load
from bot.i18n import Say, say
from bot.services.journal.note import Note
from bot.storage.models import Garden, Member, Person, Place, Planting, Plot, PlotHolder, Thermometer

NOW = datetime(2026, 5, 14, 9, 0, tzinfo=UTC)  # a Thursday
TODAY = date(2026, 5, 14)
RULES = load()
ENGLISH = say("en", "Europe/London")

#: Places by name: kind, whose plot (None: the group's).
PLACES = {
    "Bed 1": (PlaceKind.BED, "Ines"),
    "Bed 2": (PlaceKind.BED, "Callum"),
    "Pot 3": (PlaceKind.CONTAINER, None),
    "Pot 5": (PlaceKind.CONTAINER, None),
    "Pot 7": (PlaceKind.CONTAINER, None),
    "Long tunnel": (PlaceKind.TUNNEL, None),
    "Greenhouse": (PlaceKind.GREENHOUSE, None),
    "Farah's bed": (PlaceKind.BED, "Farah"),
    "Herbs <3 & co": (PlaceKind.BED, None),
    "Bean bed": (PlaceKind.BED, None),
    "Kitchen windowsill": (PlaceKind.INDOORS, None),
}
PLACE_IDS = {name: n for n, name in enumerate(PLACES, 1)}
FARAH, CALLUM, INES = 1, 2, 3  # members; Farah is an organiser
SHED, TUNNEL_AIR = 1, 2  # thermometers


async def plant_garden(session: AsyncSession) -> Garden:
    """Teasel Lane with its people and places, and nothing growing."""
    garden = Garden(
        id=1, name="Teasel Lane", latitude=52.1, longitude=-1.3, altitude_m=90.0, zone="Europe/London",
        weather_missing_since_at=None,
    )  # fmt: skip
    session.add(garden)
    await session.flush()
    for n, name in enumerate(("Farah", "Callum", "Ines"), 1):
        session.add(Person(id=n, name=name))
        await session.flush()
        role = Role.ORGANISER if name == "Farah" else Role.MEMBER
        session.add(Member(id=n, garden_id=1, person_id=n, role=role, joined_at=NOW))
        session.add(Plot(id=n, garden_id=1, name=f"Plot of {name}"))
        await session.flush()
        session.add(PlotHolder(plot_id=n, member_id=n))
    plots = {"Farah": 1, "Callum": 2, "Ines": 3}
    for name, (kind, holder) in PLACES.items():
        session.add(
            Place(
                id=PLACE_IDS[name],
                garden_id=1,
                name=name,
                kind=kind,
                plot_id=plots.get(holder or ""),
                shared=holder is None,
                cover=Cover.NONE,
                length_m=2.4 if name == "Bed 1" else None,
            )
        )
    await session.flush()
    session.add(Thermometer(id=SHED, garden_id=1, place_id=None, name="Shed", height_m=1.5, shaded=True))
    tunnel = PLACE_IDS["Long tunnel"]
    session.add(Thermometer(id=TUNNEL_AIR, garden_id=1, place_id=tunnel, name="Tunnel air", height_m=1.0, shaded=True))
    await session.flush()
    return garden


def garden(varieties: Mapping[str, str]) -> CoreGarden:
    """Teasel Lane as it is held in memory, with a batch of each of these varieties, by crop, in bed 1."""
    places = tuple(CorePlace(PLACE_IDS[name], name, kind) for name, (kind, _) in PLACES.items())
    members = tuple(Holder(n, name) for n, name in enumerate(("Farah", "Callum", "Ines"), 1))
    plantings = tuple(
        Batch(n, crop, PLACE_IDS["Bed 1"], Stage.GROWING, 3, variety)
        for n, (crop, variety) in enumerate(varieties.items(), 1)
    )
    return CoreGarden(
        1, "Teasel Lane", 52.1, -1.3, 90.0, "Europe/London", members=members, places=places, plantings=plantings
    )


async def grow(session: AsyncSession, crop: str, place: str, stage: Stage, count: int, sown_on: date | None) -> int:
    """A batch that is there already; returns its id."""
    planting = Planting(
        garden_id=1, place_id=PLACE_IDS[place], crop=crop, count=count, stage=stage, sown_on=sown_on, stage_on=sown_on
    )
    session.add(planting)
    await session.flush()
    return planting.id


def known(local: dict[str, str] | None = None, more_places: tuple[str, ...] = ()) -> Known:
    """What a sentence at Teasel Lane may speak of; local: names of crops in the reader's language."""
    places = [CorePlace(PLACE_IDS[name], name, kind) for name, (kind, _) in PLACES.items()]
    places += [CorePlace(100 + n, name, PlaceKind.BED) for n, name in enumerate(more_places)]
    return Known(
        names={key: (crop.name, *crop.aliases) for key, crop in RULES.items()},
        local=local or {},
        own=frozenset(local or {}),
        places=tuple(places),
        thermometers={SHED: "Shed", TUNNEL_AIR: "Tunnel air"},
        standing={TUNNEL_AIR: PLACE_IDS["Long tunnel"]},
    )


def read(text: str, voice: Say = ENGLISH) -> tuple[Note, ...]:
    return understand(text, voice, known(), TODAY)


def one(text: str) -> Note:
    """The only note of a text."""
    (note,) = read(text)
    return note
