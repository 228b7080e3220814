"""What a sentence may speak of: the crops, and one garden's own places and thermometers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from bot.core.crop import Crop
from bot.core.garden import Garden, Place
from bot.i18n import Say
from bot.storage.models import Thermometer

__all__ = ["Known"]


@dataclass(frozen=True, slots=True)
class Known:
    """names: crop key -> English names; local: name in the reader's language -> crop key. places: the garden's.

    thermometers: id -> name; standing: id of a thermometer -> id of its place.
    """

    names: Mapping[str, Sequence[str]]
    local: Mapping[str, str]
    places: tuple[Place, ...]
    thermometers: Mapping[int, str]
    standing: Mapping[int, int]

    @classmethod
    def of(cls, say: Say, garden: Garden, crops: Mapping[str, Crop], thermometers: Iterable[Thermometer]) -> Known:
        rows = tuple(thermometers)
        return cls(
            names={key: (crop.name, *crop.aliases) for key, crop in crops.items()},
            local={say.pgettext("crop", crop.name): key for key, crop in crops.items()},
            places=garden.places,
            thermometers={row.id: row.name for row in rows},
            standing={row.id: row.place_id for row in rows if row.place_id is not None},
        )
