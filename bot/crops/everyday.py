"""What people call crops every day: the name in their language, and the short and plain ones ("spuds", "toms").

The names of crops as texts to translate: the extraction method that `pyproject.toml` names for the rule files.
"""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from typing import Any, BinaryIO

from bot.core.growing.crop import Crop
from bot.i18n import Say, say


def everyday(voice: Say, crops: Mapping[str, Crop]) -> dict[str, str]:
    """Names in the reader's language, and everyday ones in it and in English -> the keys that they can mean, parted by
    spaces.
    """
    found: dict[str, dict[str, None]] = defaultdict(dict)
    for key, crop in crops.items():
        found[voice.pgettext("crop", crop.name)][key] = None
    for language in dict.fromkeys((voice.language, "en")):
        for name, keys in _listed(language):
            found[name].update(dict.fromkeys(key for key in keys if key in crops))
    return {name: " ".join(keys) for name, keys in found.items() if keys}


def own_names(voice: Say, crops: Mapping[str, Crop]) -> set[str]:
    """Those in the reader's language alone."""
    return {voice.pgettext("crop", crop.name) for crop in crops.values()} | {
        name for name, _ in _listed(voice.language)
    }


@cache
def _listed(language: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    text = say(language, "UTC").pgettext(
        "everyday names of crops: on each line names, a colon, and the keys of the crops that they can mean",
        "toms|tommies|tomatos|tomatoe|tomatoes: tomato\n"
        "spuds|spud|taters|tatties|tatoes: potato-first-early potato-second-early potato-maincrop\n"
        "earlies|early spuds|early taters|earlys|early potatoes: potato-first-early potato-second-early\n"
        "maincrop|maincrops|main crop|main crop spuds|maincrop spuds: potato-maincrop\n"
        "strawbs|strawbry|strawberrys: strawberry\n"
        "rasps|raspbs|raspberries: raspberry-summer raspberry-autumn\n"
        "cukes|cuke|cucs|cuc|cucumbers|cucumber: cucumber-greenhouse cucumber-outdoor\n"
        "chillis|chilies|chilis|chilli plants: chilli\n"
        "capsicum|sweet pepper|bell pepper: pepper\n"
        "courgets|corgettes|courgettes|courgete|zukes|zucchinis: courgette\n"
        "broadies|broads: broad-bean\n"
        "sprouting|sprouting broc|purple sprouting: broccoli-sprouting\n"
        "broc|brocolli|brocoli|broccolli: calabrese broccoli-sprouting\n"
        "cauli|cauliflower plants: cauliflower\n"
        "brussel sprouts|brussel sprout: brussels-sprouts\n"
        "parsnip|snips|parsnips: parsnip\n"
        "neep|swede: swede\n"
        "beetroots|beets: beetroot\n"
        "leeks: leek\n"
        "letuce|lettice|lettuse|letuces: lettuce\n"
        "goosegogs|gooseberrys: gooseberry\n"
        "garlics|garlic bulbs: garlic\n"
        "rhubard|rubarb: rhubarb\n"
        "pumkin|pumkins|pumpkins: pumpkin\n"
        "squashes|butternuts: winter-squash\n"
        "sweetcorns|corn cobs|cobs: sweetcorn\n"
        "sunnies|sunflower plants: sunflower\n"
        "radishs|radish: radish\n"
        "peas|garden pea: pea\n"
        "basils|basil plants: basil\n"
        "aubergene|aubergines|aubs: aubergine\n"
        "rosmary: rosemary\n"
        "spinage: spinach\n"
        "currants: blackcurrant redcurrant\n"
        "sugarsnaps|sugar snaps|sugar snap peas: mangetout\n"
        "scallions|salad onions|spring onions: spring-onion",
    )
    rows = []
    for line in text.splitlines():
        names, _, keys = line.partition(":")
        rows += [(name.strip(), tuple(keys.split())) for name in names.split("|") if name.strip()]
    return tuple(rows)


Found = tuple[int, str, tuple[str, str], list[str]]


def names(file: BinaryIO, keywords: Collection[str], comment_tags: Collection[str], options: Any) -> Iterator[Found]:
    """A rule file's `name` as if it stood in pgettext("crop", name); the signature is that of Babel's extractors."""
    found = tomllib.loads(file.read().decode("utf-8")).get("name")
    if isinstance(found, str):
        yield 1, "pgettext", ("crop", found), []
