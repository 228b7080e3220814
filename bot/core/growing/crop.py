"""What a crop rule says: one Crop, read from one TOML file by `bot.crops`, read by the rest of core.

Every figure stands with its source in the file; `Crop.sources` keeps that source by the figure's dotted key, so that
"Why?" can name it. Days of the year are (month, day), for the northern hemisphere's lowland Britain (carried to a garden's
nights: `carrying`; turned round for the south: `seasons.turned`), and are limits of the trade, not of any one year: the
forecast and the garden's climate decide within them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from bot.core.garden.snapshot import Stage, SupportKind

MonthDay = tuple[int, int]
DayRange = tuple[MonthDay, MonthDay]


class Kind(StrEnum):
    VEGETABLE = "vegetable"
    SALAD = "salad"
    HERB = "herb"
    FRUIT = "fruit"
    FLOWER = "flower"  # for cutting, no food
    GREEN_MANURE = "green manure"  # for the soil or the compost, no food


#: What nobody eats.
NOT_FOOD = frozenset({Kind.FLOWER, Kind.GREEN_MANURE})


class Hardiness(StrEnum):
    HARDY = "hardy"
    HALF_HARDY = "half-hardy"
    TENDER = "tender"


class Life(StrEnum):
    ANNUAL = "annual"
    BIENNIAL = "biennial"
    PERENNIAL = "perennial"


class Days(StrEnum):
    """Of which place a rule's days are."""

    WRITTEN = "as written"  # of lowland Britain
    CARRIED = "carried"  # to a garden's own nights: `carrying.carried`
    UNKNOWN = "unknown"  # the place has no winter as the rules know it: `carrying.dayless`


class Start(StrEnum):
    """What goes into the soil first."""

    SEED = "seed"
    SET = "set"  # onion sets, shallots, garlic cloves
    TUBER = "tuber"
    PLANT = "plant"  # bought or divided plants, canes, crowns, runners


class Watch(StrEnum):
    """Pests and diseases for which a watch job in season prevents losses."""

    SLUGS = "slugs"
    PIGEONS = "pigeons"
    CARROT_FLY = "carrot fly"
    CABBAGE_WHITE = "cabbage white"
    CABBAGE_ROOT_FLY = "cabbage root fly"
    FLEA_BEETLE = "flea beetle"
    APHIDS = "aphids"
    BLIGHT = "blight"
    WHITE_ROT = "onion white rot"
    CLUB_ROOT = "club root"
    LEEK_MOTH = "leek moth"
    MICE = "mice"
    BIRDS = "birds"
    MILDEW = "mildew"
    ASPARAGUS_BEETLE = "asparagus beetle"
    SAWFLY = "gooseberry sawfly"
    RUST = "rust"
    VINE_WEEVIL = "vine weevil"


@dataclass(frozen=True, slots=True)
class Cold:
    """Temperatures at the plant, degrees C. Passing a damage threshold loses plants; chilling only checks growth.

    tender_c: damage while unhardened (seedlings, potted on). hardened_c: damage once hardened or growing outside.
    flowering_c: damage to flowers, curds or fruit, when it differs. ready_c: damage to roots and heads that are ready,
    by the minimum of the air. chilling_c: below this growth is checked; decides hold, harden off and plant out, never a
    night call. regrows: shoots again from below the soil after frost. weeks_lost: weeks of growing that a killing night
    costs. winter_c: damage to what has stood out since autumn, in winter. Of fruit that flowers in its season: swell_c,
    buds that swell; bud_c, flower buds that show and are shut; opening_c, those about to open; set_c, fruit that has set.
    shoots: days in which its young shoots are soft; shoots_c, damage to them. Of fruit these are degrees at which one in
    ten is lost; ninety_c: at which nine in ten are, of buds that swell, show and open, of flowers, set fruit and shoots.
    Which of them holds on a day: `hardiness.limit`.
    """

    tender_c: float
    hardened_c: float
    chilling_c: float
    weeks_lost: int
    flowering_c: float | None = None
    regrows: bool = False
    winter_c: float | None = None
    bud_c: float | None = None
    opening_c: float | None = None
    set_c: float | None = None
    ready_c: float | None = None
    swell_c: float | None = None
    shoots: DayRange | None = None
    shoots_c: float | None = None
    ninety_c: tuple[float, float, float, float, float] | None = None

    def damage_c(self, stage: Stage) -> float | None:
        """The temperature at the plant below which a batch at this stage is damaged, whatever the time of year.

        None when nothing shows yet.
        """
        if stage in (Stage.SOWN, Stage.ENDED):
            return None
        if stage in (Stage.CHITTING, Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING):
            return self.tender_c
        if stage is Stage.READY and self.ready_c is not None:
            return self.ready_c
        if stage in (Stage.FLOWERING, Stage.READY) and self.flowering_c is not None:
            return self.flowering_c
        return self.hardened_c


@dataclass(frozen=True, slots=True)
class Sowing:
    """When and how it is started. A window that is None is not done.

    indoors: warm and light; under_cover: unheated glass or tunnel; outdoors: in the open soil. autumn: in the open soil
    too, to stand the winter. chit: tubers are set out to shoot, light, cool and free of frost.
    soil_min_c: least soil warmth for it to come up. emergence: (soil degrees C, days) pairs, ascending by degrees.
    germination_pct: share of good seed that comes up in fair conditions. depth_cm: how deep.
    """

    start: Start
    indoors: DayRange | None
    under_cover: DayRange | None
    outdoors: DayRange | None
    soil_min_c: float
    depth_cm: float
    emergence: tuple[tuple[float, float], ...] = ()
    germination_pct: float | None = None
    autumn: DayRange | None = None
    chit: DayRange | None = None


@dataclass(frozen=True, slots=True)
class Raising:
    """From seedling to planting out, for a crop that is raised under cover.

    pot_on_height_cm: a batch at least this tall is due for a bigger pot. pot_on_weeks: else so many weeks after sowing.
    ready_weeks: (least, most) weeks from sowing to planting out. hardening_days: (least, most).
    leggy_height_cm: taller than this before it may go out, pot on again and support it.
    """

    pot_on_height_cm: float
    pot_on_weeks: int
    ready_weeks: tuple[int, int]
    hardening_days: tuple[int, int]
    leggy_height_cm: float


@dataclass(frozen=True, slots=True)
class PlantingOut:
    """Setting out in the final place.

    out: the trade's window for planting out; None when it is sown where it grows. soil_min_c: least soil warmth
    for transplants. in_row_cm, rows_cm: distances. depth_cm: of a set, tuber or plant. clump: seeds sown together and
    planted as one, 1 for none. clump_cm: distance between clumps. in_pot_l: least compost for one plant in a container.
    practice_cm: both ways by gardeners' habit, where that is closer than what is published.
    """

    out: DayRange | None
    in_row_cm: float
    rows_cm: float
    depth_cm: float | None = None
    soil_min_c: float | None = None
    clump: int = 1
    clump_cm: float | None = None
    in_pot_l: float | None = None
    practice_cm: float | None = None


@dataclass(frozen=True, slots=True)
class SupportNeed:
    """kind of support, from which plant height (cm) it is needed, and how tall it grows (m)."""

    kind: SupportKind
    from_cm: float
    height_m: float


@dataclass(frozen=True, slots=True)
class Bolting:
    """What makes it run to seed.

    chill_c, chill_days: below this mean for so many days, past the juvenile stage (juvenile_weeks after sowing), then
    it runs to seed. heat_c: days hotter than this bring it on. day_h: days longer than this bring it on.
    drought: a dry root brings it on.
    """

    chill_c: float | None = None
    chill_days: int | None = None
    juvenile_weeks: int | None = None
    heat_c: float | None = None
    day_h: float | None = None
    drought: bool = False


@dataclass(frozen=True, slots=True)
class Care:
    """kc: FAO-56 crop coefficients (initial, mid, end). root_m: greatest rooting depth. depletion: FAO-56 p.

    feed_weeks: feed every so many weeks once flowering or growing; None for none. earth_up_cm: draw soil up when shoots
    are this tall. shade_c: suffers under glass above this air temperature. pinch_cm: pinch out at this height.
    """

    kc: tuple[float, float, float]
    root_m: float
    depletion: float
    feed_weeks: int | None = None
    feed_from: Stage = Stage.FLOWERING
    earth_up_cm: float | None = None
    shade_c: float | None = None
    pinch_cm: float | None = None


@dataclass(frozen=True, slots=True)
class Storage:
    """temp_c (low, high), humidity_pct (low, high), weeks (low, high) it keeps; cure_days before storing, 0 for none."""

    temp_c: tuple[float, float]
    humidity_pct: tuple[float, float]
    weeks: tuple[int, int]
    cure_days: int = 0


@dataclass(frozen=True, slots=True)
class Harvest:
    """days: (least, most) from sowing (or planting, for sets, tubers and bought plants) to the first harvest.

    autumn_days: of what was sown or planted to stand the winter.
    window: the season of harvest. ready: key of the sign by which to tell (worded in chat). keeps: may wait in
    the soil or pot until wanted. order: lower is lifted and eaten first. base_c, degree_days: heat to harvest, when
    published. haulm_days: (least, most) days between cutting the haulm and lifting. yield_kg: per plant, a fair crop.
    succession_days: sow again every so many days for a steady supply. storage: None when it is eaten fresh.
    after_flower: eaten for its pods, fruit or tubers, which come after its flowers. flowering: when a perennial flowers.
    before_frost: key of what to do with it when it is picked or lifted before a frost (worded in chat); None where frost
    does not end it.
    """

    days: tuple[int, int]
    window: DayRange
    ready: str
    keeps: bool
    order: int
    base_c: float | None = None
    degree_days: float | None = None
    haulm_days: tuple[int, int] | None = None
    yield_kg: float | None = None
    succession_days: int | None = None
    after_flower: bool = False
    flowering: DayRange | None = None
    before_frost: str | None = None
    autumn_days: tuple[int, int] | None = None
    storage: Storage | None = None


@dataclass(frozen=True, slots=True)
class WatchTime:
    """Watch for this between these days, on plantings at one of these stages."""

    what: Watch
    season: DayRange
    stages: tuple[Stage, ...]


@dataclass(frozen=True, slots=True)
class Crop:
    """One crop rule. key: the file's stem. name: English plural for lists ("French beans"), a msgid.

    aliases: other names that people write, English. varieties: sorts whose names people write beside it. family:
    botanical family, for rotation.
    rotation_years: years before the family returns to a bed, 0 for none. safety: keys of cautions; habits: keys of what
    gardeners know by habit, common practice without a source (both worded in chat).
    sources: dotted key -> source key, or "practice" for common practice without a source. south: its days are those of
    the southern half (`seasons.turned`). days: of which place its days are. winter: the
    cold half of the year, in which what has stood since autumn is hardened by the weather itself (common practice).
    """

    key: str
    name: str
    aliases: tuple[str, ...]
    kind: Kind
    family: str
    hardiness: Hardiness
    life: Life
    rotation_years: int
    cold: Cold
    sowing: Sowing
    planting: PlantingOut
    care: Care
    harvest: Harvest
    raising: Raising | None = None
    support: SupportNeed | None = None
    bolting: Bolting | None = None
    watch: tuple[WatchTime, ...] = ()
    varieties: tuple[str, ...] = ()
    safety: tuple[str, ...] = ()
    habits: tuple[str, ...] = ()
    sources: Mapping[str, str] = field(default_factory=dict)
    south: bool = False
    days: Days = Days.WRITTEN
    winter: DayRange = ((10, 15), (3, 20))

    @property
    def is_eaten_fresh(self) -> bool:
        """Whether it does not keep. Of ripe tubers without a store no figure was found, and they keep all the same."""
        stored = self.harvest.storage is not None or (self.sowing.start is Start.TUBER and self.harvest.keeps)
        return self.kind not in NOT_FOOD and not stored
