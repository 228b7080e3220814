"""What a household may take of what is grown together, and what is left of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bot.core.garden.snapshot import Garden, Planting
from bot.core.growing.crop import Crop
from bot.core.growing.harvest import shares

__all__ = ["Pick", "Share", "Shared", "households", "share"]

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
