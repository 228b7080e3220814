"""The words for things: crops, places, tasks, covers. All nominative, for lists."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache

from bot.core.garden.snapshot import Cover, PlaceKind, Stage
from bot.core.growing.crop import Crop
from bot.core.growing.succession import Where
from bot.core.warnings.hazards import Hazard, TaskKind
from bot.i18n import Say
from bot.i18n import say as spoken


def crop(say: Say, rules: Mapping[str, Crop], key: str) -> str:
    """A crop's plural name in the language, as its rule file gives it in English."""
    return say.pgettext("crop", rules[key].name) if key in rules else key


def crops(say: Say, rules: Mapping[str, Crop], keys: Iterable[str]) -> str:
    """A list of crops, each once: "onions, peas and cabbages"."""
    names = dict.fromkeys(crop(say, rules, key) for key in keys)
    return say.and_list(names)


def place_kind(say: Say, kind: PlaceKind) -> str:
    return {
        PlaceKind.BED: say.pgettext("place", "open bed"),
        PlaceKind.CONTAINER: say.pgettext("place", "container"),
        PlaceKind.TUNNEL: say.pgettext("place", "tunnel"),
        PlaceKind.FRAME: say.pgettext("place", "cold frame"),
        PlaceKind.GREENHOUSE: say.pgettext("place", "unheated greenhouse"),
        PlaceKind.INDOORS: say.pgettext("place", "indoors"),
    }[kind]


def cover(say: Say, kind: Cover) -> str:
    return {
        Cover.NONE: say.pgettext("cover", "no cover"),
        Cover.FLEECE: say.pgettext("cover", "fleece"),
        Cover.DOUBLE_FLEECE: say.pgettext("cover", "double fleece"),
        Cover.CLOCHE: say.pgettext("cover", "cloche"),
        Cover.NET: say.pgettext("cover", "net"),
    }[kind]


def stage(say: Say, kind: Stage) -> str:
    return {
        Stage.CHITTING: say.pgettext("stage", "chitting"),
        Stage.SOWN: say.pgettext("stage", "sown"),
        Stage.SEEDLING: say.pgettext("stage", "seedlings"),
        Stage.POTTED_ON: say.pgettext("stage", "potted on"),
        Stage.HARDENING: say.pgettext("stage", "hardening off"),
        Stage.HARDENED: say.pgettext("stage", "hardened"),
        Stage.GROWING: say.pgettext("stage", "growing"),
        Stage.FLOWERING: say.pgettext("stage", "flowering"),
        Stage.READY: say.pgettext("stage", "ready"),
        Stage.ENDED: say.pgettext("stage", "ended"),
    }[kind]


def hazard(say: Say, kind: Hazard) -> str:
    return {
        Hazard.COLD: say.pgettext("hazard", "cold"),
        Hazard.WIND: say.pgettext("hazard", "wind"),
        Hazard.HEAT: say.pgettext("hazard", "heat under glass"),
        Hazard.RAIN: say.pgettext("hazard", "heavy rain"),
    }[kind]


def task(say: Say, kind: TaskKind) -> str:
    """What is to be done, as the short words before a list of places: "Cover"."""
    return _tasks(say.language)[kind]


@cache
def _tasks(language: str) -> Mapping[TaskKind, str]:
    say = spoken(language, "UTC")
    return {
        TaskKind.PICK: say.pgettext("task", "Pick or lift before dark"),
        TaskKind.CLOSE: say.pgettext("task", "Close doors and vents"),
        TaskKind.COVER: say.pgettext("task", "Cover"),
        TaskKind.EARTH_UP: say.pgettext("task", "Earth up"),
        TaskKind.BRING_IN: say.pgettext("task", "Bring in"),
        TaskKind.TIE: say.pgettext("task", "Tie up"),
        TaskKind.LAY_DOWN: say.pgettext("task", "Lay down"),
        TaskKind.PIN: say.pgettext("task", "Pin down"),
        TaskKind.VENT: say.pgettext("task", "Open the vents"),
        TaskKind.SHADE: say.pgettext("task", "Shade"),
        TaskKind.MOVE_FROM_RAIN: say.pgettext("task", "Move out of the rain"),
        TaskKind.UNCOVER: say.pgettext("task", "Uncover"),
        TaskKind.PUT_BACK: say.pgettext("task", "Put back outside"),
        TaskKind.STAND_UP: say.pgettext("task", "Stand up again"),
        TaskKind.LOOK: say.pgettext("task", "Look for damage"),
        TaskKind.WATER: say.pgettext("task", "Water"),
        TaskKind.DRAIN: say.pgettext("task", "Drain the hoses"),
    }


def chore(say: Say, kind: TaskKind) -> str:
    """A piece of the daily work, as a short word of a list: "water"."""
    return {
        TaskKind.VENT: say.pgettext("chore", "open up"),
        TaskKind.SHADE: say.pgettext("chore", "shade"),
        TaskKind.WATER: say.pgettext("chore", "water"),
        TaskKind.CLOSE: say.pgettext("chore", "close up"),
        TaskKind.DRAIN: say.pgettext("chore", "drain the hoses"),
    }[kind]


def litres(say: Say, amount: float) -> str:
    """An amount of water in whole litres, never less than one."""
    return say.ngettext("{n} litre", "{n} litres", max(1, round(amount)))


def where(say: Say, kind: Where) -> str:
    """Where something is sown or set out."""
    return {
        Where.INDOORS: say.gettext("indoors, in the warm"),
        Where.UNDER_COVER: say.gettext("under cover"),
        Where.OUTDOORS: say.gettext("outdoors"),
        Where.CHIT: say.gettext("to chit, in the light, cool and free of frost"),
        Where.PLANTED_OUT: say.gettext("as young plants"),
    }[kind]
