"""What a plot can give and hold: beyond some bounds it is asked about, beyond others it is a slip of the thumb.

All bounds are common practice, no source, but for a crop's own yield, which its file gives.
"""

from __future__ import annotations

from collections.abc import Mapping

from bot.core.garden.snapshot import Garden
from bot.core.growing.crop import Crop
from bot.services.journal.note import CELLS, Action, Container, Note, Unit, weight_kg

_MOST_KG, _MOST_PIECES, _MOST_PLANTS, _MOST_CM = 2000.0, 20_000.0, 100_000, 600.0
_MUCH_KG, _LITTLE_KG, _MUCH_PIECES, _MUCH_PLANTS, _MUCH_CM, _MUCH_LITRES = 30.0, 10.0, 500.0, 1000, 350.0, 1000.0
_MUCH_BUNCHES = 60.0
#: So many times as many plants as a place has room for, and never fewer than these, are asked about.
_TIGHT, _FEW_PLANTS = 4.0, 12.0
#: So many times what a season's fair crop is, one picking of it all would be.
_TIMES = 1.5


def is_possible(note: Note) -> bool:
    """Within what any plot can give."""
    amount = note.amount or 0.0
    if note.count is not None and not 0 < note.count <= _MOST_PLANTS:
        return False
    if note.containers is not None and not 0 < note.containers * (note.cells or 1) <= _MOST_PLANTS:
        return False
    if note.action is Action.MEASURED:
        return 0.0 < amount <= _MOST_CM
    if note.action is not Action.HARVESTED or note.amount is None:
        return True
    weight = weight_kg(amount, note.unit)
    return 0.0 < (amount if weight is None else weight) <= (_MOST_PIECES if weight is None else _MOST_KG)


def is_much(note: Note, garden: Garden, crops: Mapping[str, Crop]) -> bool:
    """More than one picking, one sowing or one can would be."""
    amount = note.amount or 0.0
    if note.action is Action.MEASURED:
        return amount > _MUCH_CM
    if note.action is Action.WATERED:
        return note.unit is Unit.LITRE and amount > _MUCH_LITRES
    if note.action is Action.HARVESTED:
        weight = weight_kg(amount, note.unit)
        if weight is not None:
            return weight > _most_kg(note, garden, crops)
        return amount > (_MUCH_PIECES if note.unit is Unit.PIECE else _MUCH_BUNCHES)
    if note.action is Action.PLANTED_OUT and note.count is not None and note.count > _most_plants(note, garden, crops):
        return True
    cells = note.cells or (CELLS if note.container is Container.TRAY else 1)
    return max(note.count or 0, (note.containers or 0) * cells) > _MUCH_PLANTS


def _most_plants(note: Note, garden: Garden, crops: Mapping[str, Crop]) -> float:
    """By the room of the place that is named and the distances of the rule; no bound where either is not known."""
    places = [garden.place_by_id[id_] for id_ in note.places if id_ in garden.place_by_id]
    rules = [crops[key] for key in note.crops if key in crops]
    if len(places) != 1 or not rules or not places[0].length_m or not places[0].width_m:
        return float(_MUCH_PLANTS)
    each_m2 = min(rule.planting.in_row_cm * rule.planting.rows_cm for rule in rules) / 10_000
    return max(_FEW_PLANTS, _TIGHT * places[0].length_m * places[0].width_m / each_m2)


def _most_kg(note: Note, garden: Garden, crops: Mapping[str, Crop]) -> float:
    """By what the plants on record give in a fair season; where that is not known, a plain bound."""
    found = [_MUCH_KG]
    for key in note.crops:
        own_kg = crops[key].harvest.yield_kg if key in crops else None
        count = sum(planting.count for planting in garden.plantings if planting.crop == key)
        if own_kg is not None and count:
            found.append(max(_LITTLE_KG, own_kg * count * _TIMES))
    return found[0] if len(found) == 1 else max(found[1:])
