"""What to lift first, how to lift it so that it keeps, and who gets how much.

What a household may take of what is grown together, and what is left of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from bot.core.garden.snapshot import Garden, Place, PlaceKind, Planting
from bot.core.growing.crop import Crop, Storage
from bot.core.growing.seasons import in_window

PRACTICE_DAYS = 7  # haulm cut about a week before lifting: common practice, no source
PUBLISHED_DAYS = (14, 21)  # 14 d in growers' guides, about 21 d: Utah State Univ. Ext.; SE Veg. Handbook 2022 p. 104


_SEEN_DAYS = 42  # what was seen or reckoned ready lately is in season whatever the calendar says: common practice


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot to lift now. keeps: may wait where it grows. eat_soon: does not store.

    waiting_n: how many more plantings of this crop wait their turn, because one container at a time is opened.
    """

    planting: Planting
    crop: str
    keeps: bool
    eat_soon: bool
    waiting_n: int


@dataclass(frozen=True, slots=True)
class Lift:
    """How to lift a crop with haulm that is stored.

    cut_on: cut the haulm. practice_from_on: the earliest lifting by gardeners' habit. lift_from_on, lift_by_on: by
    published practice, the safer. cure_days: before storing. storage: how it then keeps.
    """

    cut_on: date
    practice_from_on: date
    lift_from_on: date
    lift_by_on: date
    cure_days: int
    storage: Storage | None


def lift_plan(crop: Crop, cut_on: date) -> Lift | None:
    """Dates from cutting the haulm to lifting; None for a crop whose haulm is not cut.

    Skins must have set: rubbed with a thumb, the skin stays on (Univ. Nebraska Ext., Browning, read via a copy).
    The later of the crop's own least days and the published fortnight is the one to follow.
    """
    if crop.harvest.haulm_days is None:
        return None
    least, most = crop.harvest.haulm_days
    safer = max(least, PUBLISHED_DAYS[0])
    storage = crop.harvest.storage
    return Lift(
        cut_on=cut_on,
        practice_from_on=cut_on + timedelta(days=min(least, PRACTICE_DAYS)),
        lift_from_on=cut_on + timedelta(days=safer),
        lift_by_on=cut_on + timedelta(days=max(most, safer, PUBLISHED_DAYS[1])),
        cure_days=storage.cure_days if storage else 0,
        storage=storage,
    )


def in_season(planting: Planting, crop: Crop, on: date) -> bool:
    """Whether a batch that is ready may be harvested then: in the crop's season, or ready since a few weeks."""
    ready_on = planting.stage_on
    lately = ready_on is not None and timedelta(0) <= on - ready_on <= timedelta(days=_SEEN_DAYS)
    return lately or in_window(on, crop.harvest.window)


def harvest_order(ready: Iterable[Planting], places: Mapping[int, Place], crops: Mapping[str, Crop]) -> tuple[Lot, ...]:
    """Plantings that are ready, of known crops, the one to lift and eat first at the head.

    First what does not wait in the soil, then by the crop's own order. Of a crop that does not store, only one
    container is opened at a time, the oldest; the others count as waiting.
    """
    opened: dict[str, int] = {}
    turns: list[Lot] = []
    for planting in sorted(ready, key=lambda one: _rank(one, crops[one.crop])):
        crop = crops[planting.crop]
        eat_soon = crop.harvest.storage is None
        if eat_soon and places[planting.place_id].kind is PlaceKind.CONTAINER:
            if crop.key in opened:
                at = opened[crop.key]
                turns[at] = replace(turns[at], waiting_n=turns[at].waiting_n + 1)
                continue
            opened[crop.key] = len(turns)
        turns.append(Lot(planting, crop.key, crop.harvest.keeps, eat_soon, 0))
    return tuple(turns)


def shares(amount: int, households: Sequence[int], turn: int = 0) -> dict[int, int]:
    """Whole pieces of a shared crop for each household (ids), as even as whole pieces go.

    turn: how many times this crop has been shared before; the odd pieces begin with another household each time.
    Raises ValueError for a negative amount or nobody to share with.
    """
    if amount < 0 or not households:
        raise ValueError(f"{amount} pieces for {len(households)} households, expected 0 or more for at least 1")
    each, odd = divmod(amount, len(households))
    start = turn * odd % len(households)
    lucky = {households[(start + n) % len(households)] for n in range(odd)}
    return {one: each + (one in lucky) for one in households}


def _rank(planting: Planting, crop: Crop) -> tuple[bool, int, date, int]:
    started = planting.planted_on or planting.sown_on or date.max
    return crop.harvest.keeps, crop.harvest.order, started, planting.id


#: Less than this is nothing to go and pick, kg.
_LEAST_KG = 0.05


@dataclass(frozen=True, slots=True)
class Pick:
    """One harvest from a shared place. member_id: None once they have left and are forgotten. kg: None when not weighed."""

    member_id: int | None
    kg: float | None


@dataclass(frozen=True, slots=True)
class Shared:
    """What is known of one batch in a shared place. turn: how many batches of this crop were shared out before it."""

    picks: tuple[Pick, ...] = ()
    turn: int = 0


@dataclass(frozen=True, slots=True)
class Share:
    """One household's part of a shared batch, and what is left of the whole.

    Either plants (of so many, so many left), or, with fewer plants than households, kg by the crop's fair yield.
    mine_kg is then what is still theirs. households_n: among how many it is shared.
    """

    households_n: int
    plants: int
    of_plants: int
    left_plants: int
    mine_kg: float | None = None
    of_kg: float | None = None
    left_kg: float | None = None

    @property
    def by_weight(self) -> bool:
        return self.of_kg is not None


def households(garden: Garden) -> tuple[frozenset[int], ...]:
    """Adults by household, in order of their lowest id: whoever holds a plot together, and everyone else alone.

    The records know no families; holders of one plot stand for one (common practice, no source).
    """
    found: list[set[int]] = []
    adults = {member.id for member in garden.members if member.adult}
    for group in [*({*plot.holder_ids} & adults for plot in garden.plots), *({one} for one in adults)]:
        if not group:
            continue
        joined = [one for one in found if one & group]
        found = [one for one in found if not one & group]
        found.append(group.union(*joined))
    return tuple(sorted((frozenset(one) for one in found), key=min))


def share(
    homes: Sequence[frozenset[int]], planting: Planting, crop: Crop, shared: Shared, member_id: int
) -> Share | None:
    """What this member's household may take; None when it has had its share, has none, or nothing is left.

    homes: see `households`. What was weighed counts by its weight; any other harvest counts as the share of the
    household that took it, once.
    """
    mine = next((n for n, home in enumerate(homes) if member_id in home), None)
    if mine is None or planting.count <= 0:
        return None
    each = shares(planting.count, range(len(homes)), shared.turn)
    per_plant_kg = crop.harvest.yield_kg
    if planting.count >= len(homes) or per_plant_kg is None:
        taken = _taken(homes, shared.picks, [float(each[n]) for n in range(len(homes))], per_plant_kg)
        left = max(0, planting.count - round(sum(taken.values())))
        rest = min(left, each[mine] - round(taken[mine]))
        return Share(len(homes), rest, planting.count, left) if rest > 0 else None
    whole_kg = planting.count * per_plant_kg
    taken = _taken(homes, shared.picks, [whole_kg / len(homes)] * len(homes), 1.0)
    left_kg = max(0.0, whole_kg - sum(taken.values()))
    mine_kg = min(left_kg, whole_kg / len(homes) - taken[mine])
    if mine_kg < _LEAST_KG:
        return None
    return Share(len(homes), 0, planting.count, 0, mine_kg, whole_kg, left_kg)


def _taken(
    homes: Sequence[frozenset[int]], picks: Sequence[Pick], each: Sequence[float], unit_kg: float | None
) -> dict[int | None, float]:
    """By household (its number, None for nobody known any more), in units of unit_kg: plants, or kg."""
    taken: dict[int | None, float] = dict.fromkeys([*range(len(homes)), None], 0.0)
    shared = set()
    for pick in picks:
        home = next((n for n, one in enumerate(homes) if pick.member_id in one), None)
        if pick.kg is not None and unit_kg:
            taken[home] += pick.kg / unit_kg
        elif home is None or home not in shared:
            taken[home] += each[home] if home is not None else sum(each) / len(each)
            shared.add(home)
    return taken
