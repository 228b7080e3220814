"""The garden as core sees it: an immutable snapshot of records, in the trade's words.

Services load these from storage and hand them over; core never asks for more.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum


class Role(StrEnum):
    MEMBER = "member"
    ORGANISER = "organiser"


class Lay(StrEnum):
    """The lie of the land, as an organiser describes it."""

    OPEN = "open"
    HOLLOW = "hollow"  # cold air gathers here
    SLOPE = "slope"  # cold air drains away
    WALLED = "walled"  # walls or houses on most sides
    WINDY = "windy"  # exposed: hilltop, coast, gap between buildings


class Around(StrEnum):
    """What the wind comes over, as an organiser describes it; see `core.weather.wind.TERRAIN`."""

    SEA = "sea"
    FIELDS = "fields"
    HOUSES = "houses"  # of a village or suburb, or woods
    TOWN = "town"


class PlaceKind(StrEnum):
    BED = "open bed"
    CONTAINER = "container"
    TUNNEL = "tunnel"
    FRAME = "cold frame"
    GREENHOUSE = "greenhouse"  # unheated
    INDOORS = "indoors"


#: Places with a roof, in the order in which they are chosen for what is brought in.
UNDER_GLASS = (PlaceKind.TUNNEL, PlaceKind.GREENHOUSE, PlaceKind.FRAME)
HOUSES = (*UNDER_GLASS, PlaceKind.INDOORS)


class Cover(StrEnum):
    """What lies over a place or planting now."""

    NONE = "none"
    FLEECE = "fleece"
    DOUBLE_FLEECE = "double fleece"
    CLOCHE = "cloche"
    NET = "net"


class SupportKind(StrEnum):
    CANES = "canes"  # wigwam or double row of poles
    FRAME = "frame"  # a frame or row of posts with net or strings
    TRELLIS = "trellis"
    STAKES = "stakes"


class Stage(StrEnum):
    """Where a batch stands; the order is the order of growth."""

    CHITTING = "chitting"  # tubers set out in the light to shoot
    SOWN = "sown"  # nothing above the soil yet
    SEEDLING = "seedling"  # up, in its first pot, tray or row
    POTTED_ON = "potted on"  # growing on in a bigger pot, not hardened
    HARDENING = "hardening off"
    HARDENED = "hardened"
    GROWING = "growing"  # in its final place
    FLOWERING = "flowering"  # or fruit or tubers forming
    READY = "ready"  # may be harvested
    ENDED = "ended"  # harvested, cleared or lost


@dataclass(frozen=True, slots=True)
class Taught:
    """How much warmer a place is than reckoned, degrees C, by its own thermometer: its error (sd), from count readings.

    last_error_c: by how much its newest night, the morning of last_on, was warmer still, more than the garden's air was.
    """

    offset_c: float
    sd_c: float
    count: int
    last_error_c: float = 0.0
    last_on: date | None = None


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere that plants stand.

    length_m, width_m: of the bed or house, or the top of the pot. height_m: of the pot or house.
    volume_l: compost in a container. wet_kg: what one container weighs when watered, plants included.
    movable: can be carried. shared: the group's, not one plot's. inside: the place in which a container
    stands now, when that is not the open air. needs_key: behind a lock. taught: by the thermometer that stands there,
    for clear still nights and for all others; None where it has not taught enough yet. walk_min: from the gate, where
    it is worth counting. stands_open: a house whose doors or vents are open, or perhaps are.
    fastened: a pot that somebody has fastened against the wind.
    """

    id: int
    name: str
    kind: PlaceKind
    plot_id: int | None = None
    shared: bool = False
    movable: bool = False
    cover: Cover = Cover.NONE
    length_m: float | None = None
    width_m: float | None = None
    height_m: float | None = None
    volume_l: float | None = None
    wet_kg: float | None = None
    inside: PlaceKind | None = None
    needs_key: bool = False
    taught: tuple[Taught | None, Taught | None] = (None, None)
    walk_min: int | None = None
    stands_open: bool = False
    fastened: bool = False

    @property
    def shelter(self) -> PlaceKind:
        """The kind of air the plants stand in: that of the house a container is in, else its own."""
        return self.inside or self.kind


@dataclass(frozen=True, slots=True)
class Support:
    """Canes, a frame, a trellis or stakes at a place.

    width_m, height_m: of the face that the wind meets. solidity: share of that face that is solid before
    anything grows on it, 0-1. ties: how many ties or guys hold it. tie_n: what one of them holds, newtons.
    """

    id: int
    place_id: int
    kind: SupportKind
    height_m: float
    width_m: float
    solidity: float = 0.1
    ties: int = 0
    tie_n: float | None = None


@dataclass(frozen=True, slots=True)
class Planting:
    """One batch of one crop in one place.

    crop: the key of a crop rule. batch: the group's own label ("2nd sowing"), may be empty.
    height_cm: last known height. covered: its own cover when it differs from the place's.
    *_on: the local days on which it happened, None when it has not, or is not known.
    """

    id: int
    crop: str
    place_id: int
    stage: Stage
    count: int
    variety: str = ""
    batch: str = ""
    height_cm: float | None = None
    sown_on: date | None = None
    potted_on: date | None = None
    hardening_on: date | None = None
    planted_on: date | None = None
    stage_on: date | None = None


@dataclass(frozen=True, slots=True)
class Plot:
    id: int
    name: str
    holder_ids: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Member:
    """A person of the garden.

    adult: only adults take duties. lift_kg: the most they are glad to lift, None when they have not said.
    reachable: one private message to them has succeeded and they have not blocked the bot since.
    has_key: holds a key now. helper_id: of the member who passes on to one without the app, None for anyone else.
    """

    id: int
    name: str
    role: Role = Role.MEMBER
    adult: bool = True
    reachable: bool = True
    lift_kg: float | None = None
    has_key: bool = False
    helper_id: int | None = None


@dataclass(frozen=True, slots=True)
class Garden:
    """One garden's records at one moment.

    altitude_m: of the site above sea level. zone: IANA name. lay: see Lay; around: see Around.
    gust_limit_ms: gusts from which nobody is sent out, and height_wind_limit_ms: mean wind from which nobody works on
    ladders, glass or tunnel covers, where organisers have made them stricter than the defaults. hose_ban: water with cans
    only.
    """

    id: int
    name: str
    latitude: float
    longitude: float
    altitude_m: float | None
    zone: str
    lay: Lay = Lay.OPEN
    around: Around = Around.FIELDS
    gust_limit_ms: float | None = None
    height_wind_limit_ms: float | None = None
    hose_ban: bool = False
    members: tuple[Member, ...] = ()
    plots: tuple[Plot, ...] = ()
    places: tuple[Place, ...] = ()
    supports: tuple[Support, ...] = ()
    plantings: tuple[Planting, ...] = ()
    place_by_id: dict[int, Place] = field(default_factory=dict, compare=False)

    def __post_init__(self) -> None:
        self.place_by_id.update({place.id: place for place in self.places})

    def place_of(self, planting: Planting) -> Place:
        return self.place_by_id[planting.place_id]
