"""What an entry is about, from the words of its title: the kind of work, and the crop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bot.core.calendar.entry import Entry, EntryKind
from bot.core.growing.crop import Crop
from bot.crops.company import company
from bot.crops.everyday import everyday
from bot.crops.find import fold, match
from bot.i18n import Say, say

__all__ = ["with_meaning"]


def with_meaning(entry: Entry, voice: Say, crops: Mapping[str, Crop]) -> Entry:
    """The entry with kind and crop where its title names them; what is known already stays."""
    kind = _kind(entry.title, voice) if entry.kind is EntryKind.OTHER else entry.kind
    names = {key: (crop.name, *crop.aliases) for key, crop in crops.items()}
    local = everyday(voice, crops)
    beside = company(voice.language)
    found = match(entry.title, names, local, beside.others) if entry.crop is None else None
    another = beside.is_elsewhere(fold(entry.title).split())
    one = found.keys[0] if found is not None and found.sure and len(found.keys) == 1 and not another else None
    return replace(entry, kind=kind, crop=entry.crop or one)


def _kind(title: str, voice: Say) -> EntryKind:
    said = f" {fold(title)} "
    for each in (voice, say("en", "UTC")):
        for kind, phrases in _phrases(each).items():
            if any(f" {fold(phrase)} " in said for phrase in phrases.split("|")):
                return kind
    return EntryKind.OTHER


def _phrases(voice: Say) -> dict[EntryKind, str]:
    """Tried in this order: "plant out" before "plant"."""
    return {
        EntryKind.WORK: voice.pgettext("calendar kind", "work day|work party|working day|work morning|weeding"),
        EntryKind.HARDEN_OFF: voice.pgettext("calendar kind", "harden off|harden|hardening off"),
        EntryKind.PLANT_OUT: voice.pgettext("calendar kind", "plant out|planting out|transplant|set out"),
        EntryKind.CHIT: voice.pgettext("calendar kind", "chit|chitting"),
        EntryKind.SOW: voice.pgettext("calendar kind", "sow|sowing"),
        EntryKind.PLANT: voice.pgettext("calendar kind", "plant|planting"),
        EntryKind.HARVEST: voice.pgettext("calendar kind", "harvest|harvesting|lift|lifting|dig up|pick|picking"),
        EntryKind.WATER: voice.pgettext("calendar kind", "water|watering"),
    }
