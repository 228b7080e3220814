"""What a sentence may speak of: the crops, and one garden's own places and thermometers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from bot.core.garden.snapshot import Garden, Place
from bot.core.growing.crop import Crop
from bot.crops.company import Company, company
from bot.crops.find import fold
from bot.i18n import Say
from bot.storage.models import Thermometer

__all__ = ["Known"]


@dataclass(frozen=True, slots=True)
class Known:
    """names: crop key -> English names; local: name in the reader's language -> crop key. places: the garden's.

    thermometers: id -> name; standing: id of a thermometer -> id of its place. company: the words beside a crop's name.
    varieties: crop key -> folded words of the varieties that the rules or the garden's records name; people: folded words
    of the members' names.
    """

    names: Mapping[str, Sequence[str]]
    local: Mapping[str, str]
    places: tuple[Place, ...]
    thermometers: Mapping[int, str]
    standing: Mapping[int, int]
    company: Company = field(default_factory=lambda: company("en"))
    varieties: Mapping[str, frozenset[str]] = field(default_factory=dict)
    people: frozenset[str] = frozenset()

    @classmethod
    def of(cls, say: Say, garden: Garden, crops: Mapping[str, Crop], thermometers: Iterable[Thermometer]) -> Known:
        rows = tuple(thermometers)
        return cls(
            names={key: (crop.name, *crop.aliases) for key, crop in crops.items()},
            local={say.pgettext("crop", crop.name): key for key, crop in crops.items()},
            places=garden.places,
            thermometers={row.id: row.name for row in rows},
            standing={row.id: row.place_id for row in rows if row.place_id is not None},
            company=company(say.language),
            varieties=_varieties(garden, crops),
            people=frozenset(word for member in garden.members for word in fold(member.name).split()),
        )


def _varieties(garden: Garden, crops: Mapping[str, Crop]) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for key, crop in crops.items():
        found[key].update(word for name in crop.varieties for word in fold(name).split())
    for planting in garden.plantings:
        found[planting.crop].update(fold(planting.variety).split())
    return {key: frozenset(words) for key, words in found.items()}
