"""What a sentence may speak of: the crops, and one garden's own places and thermometers."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from bot.core.garden.snapshot import Garden, Place, Stage
from bot.core.growing.crop import Crop
from bot.crops.everyday import everyday, own_names
from bot.crops.find import Company, Found, company, fold
from bot.i18n import Say
from bot.storage.models import Thermometer

_WAITING = frozenset({Stage.SEEDLING, Stage.POTTED_ON, Stage.HARDENING, Stage.HARDENED})


@dataclass(frozen=True, slots=True)
class Known:
    """names: crop key -> English names; local: name in the reader's language -> crop keys, parted by spaces. places: the
    garden's.

    own: those of `local` that have cases. thermometers: id -> name; standing: id of a thermometer -> id of its place.
    company: the words beside a crop's name. varieties: crop key -> folded words of the varieties that the rules or the
    garden's records name; people: folded words of the members' names, and those that stand for them in the letters of
    another script; called: each of these -> the name. waiting: crops that stand in pots or trays, to be
    planted out.
    """

    names: Mapping[str, Sequence[str]]
    local: Mapping[str, str]
    places: tuple[Place, ...]
    thermometers: Mapping[int, str]
    standing: Mapping[int, int]
    company: Company = field(default_factory=lambda: company("en"))
    own: frozenset[str] = frozenset()
    varieties: Mapping[str, frozenset[str]] = field(default_factory=dict)
    people: frozenset[str] = frozenset()
    called: Mapping[str, str] = field(default_factory=dict)
    waiting: frozenset[str] = frozenset()
    matched: dict[str, Found | None] = field(default_factory=dict, compare=False)

    @classmethod
    def of(cls, say: Say, garden: Garden, crops: Mapping[str, Crop], thermometers: Iterable[Thermometer]) -> Known:
        rows = tuple(thermometers)
        names, local, own = _made(say, crops)
        return cls(
            names=names,
            local=local,
            places=garden.places,
            thermometers={row.id: row.name for row in rows},
            standing={row.id: row.place_id for row in rows if row.place_id is not None},
            company=company(say.language),
            own=own,
            varieties=_varieties(garden, crops),
            waiting=frozenset(one.crop for one in garden.plantings if one.stage in _WAITING),
            people=frozenset(word for member in garden.members for word in fold(member.name).split()),
        )

    def others(self, own: frozenset[str]) -> frozenset[str]:
        """The words for people but whoever writes. own: the folded words of their name."""
        return frozenset(word for word in self.people if self.called.get(word, word) not in own)


# The rules of a garden are one mapping from look to look, and what is named by them is made once for it.
_Made = deque[tuple[Mapping[str, Crop], str, Mapping[str, Sequence[str]], Mapping[str, str], frozenset[str]]]
_MADE: _Made = deque(maxlen=8)


def _made(say: Say, crops: Mapping[str, Crop]) -> tuple[Mapping[str, Sequence[str]], Mapping[str, str], frozenset[str]]:
    for given, language, names, local, own in _MADE:
        if given is crops and language == say.language:
            return names, local, own
    names = {key: (crop.name, *crop.aliases) for key, crop in crops.items()}
    local = everyday(say, crops)
    own = frozenset[str]() if say.language == "en" else frozenset(own_names(say, crops))
    _MADE.append((crops, say.language, names, local, own))
    return names, local, own


def _varieties(garden: Garden, crops: Mapping[str, Crop]) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for key, crop in crops.items():
        found[key].update(word for name in crop.varieties for word in fold(name).split())
    for planting in garden.plantings:
        found[planting.crop].update(fold(planting.variety).split())
    return {key: frozenset(words) for key, words in found.items()}


# As with _MADE: what names are written with, made once for the same lists.
_SPELT: deque[tuple[object, object, object, Mapping[str, Sequence[str]]]] = deque(maxlen=8)


def spelt(known: Known) -> Mapping[str, Sequence[str]]:
    """Words of crops and of other plants by their first letter."""
    for names, local, others, found in _SPELT:
        if names is known.names and local is known.local and others is known.company:
            return found
    listed = {word for own in (*known.names.values(), known.local) for name in own for word in fold(name).split()}
    listed |= {word for name in known.company.others for word in name}
    letters: dict[str, list[str]] = defaultdict(list)
    for word in sorted(listed):
        letters[word[0]].append(word)
    _SPELT.append((known.names, known.local, known.company, letters))
    return letters
