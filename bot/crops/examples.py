"""The examples that stand in a crop file: what the rule must say of one night, or of one day for sowing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from enum import StrEnum
from typing import Any, get_type_hints

from bot.core.garden.snapshot import Stage
from bot.core.growing.crop import Crop, DayRange, MonthDay
from bot.crops.mistakes import Mistake, suggestion
from bot.crops.reading import Draft, Read, WrongValueError, day, reader, without_none


class Where(StrEnum):
    """A sowing window of the rule."""

    INDOORS = "indoors"
    UNDER_COVER = "under_cover"
    OUTDOORS = "outdoors"


@dataclass(frozen=True, slots=True)
class ColdExample:
    """At this stage, with this minimum at the plant (degrees C), it is damaged or not."""

    stage: Stage
    plant_min_c: float
    damaged: bool


@dataclass(frozen=True, slots=True)
class SowExample:
    """On this day, there, with the soil this warm (degrees C), it may be sown or not."""

    on: MonthDay
    may_sow: Where
    expect: bool
    soil_c: float | None = None


Example = ColdExample | SowExample


def run(crop: Crop, examples: Iterable[Example]) -> list[Mistake]:
    """The examples that the rule does not bear out."""
    mistakes = []
    for example in examples:
        said = _said(crop, example)
        wanted = example.damaged if isinstance(example, ColdExample) else example.expect
        if said is not wanted:
            mistakes.append(Mistake(crop.key, f"example {example}", said, str(wanted)))
    return mistakes


def may_sow(crop: Crop, on: MonthDay, where: Where, soil_c: float | None) -> bool:
    """Whether the trade sows it there on that day of the year, into soil of that warmth (None: not asked)."""
    window: DayRange | None = getattr(crop.sowing, where)
    warm = soil_c is None or soil_c >= crop.sowing.soil_min_c
    return window is not None and day_within(on, window) and warm


def day_within(on: MonthDay, window: DayRange) -> bool:
    """Whether the day is in the window, both ends included; a window may run over the new year."""
    first, last = window
    return first <= on <= last if first <= last else on >= first or on <= last


def read_examples(written: object, draft: Draft) -> tuple[Example, ...]:
    """The examples of a file. Notes in the draft what is wrong, and when none fires or none does not."""
    tables = written if isinstance(written, list) else []
    found = [one for table in tables if (one := _read(table, draft)) is not None]
    fires = {one.damaged if isinstance(one, ColdExample) else one.expect for one in found}
    if fires != {True, False}:
        draft.wrong("examples", f"{len(found)} read", "one [[examples]] that fires and one that does not")
    return tuple(found)


def _said(crop: Crop, example: Example) -> bool:
    if isinstance(example, SowExample):
        return may_sow(crop, example.on, example.may_sow, example.soil_c)
    limit = crop.cold.damage_c(example.stage)
    return limit is not None and example.plant_min_c < limit


def _read(table: Mapping[str, object], draft: Draft) -> Example | None:
    kind = SowExample if "may_sow" in table else ColdExample
    hints = get_type_hints(kind)
    given: dict[str, Any] = {}
    before = len(draft.mistakes)
    for name in sorted(table.keys() - hints.keys()):
        draft.wrong(f"examples.{name}", "unknown", suggestion(name, hints))
    for part in fields(kind):
        read: Read = day if part.name == "on" else reader(without_none(hints[part.name]))
        if part.name in table:
            try:
                given[part.name] = read(table[part.name])
            except WrongValueError as error:
                draft.wrong(f"examples.{part.name}", table[part.name], str(error))
        elif part.name != "soil_c" or table.get("may_sow") == Where.OUTDOORS:
            draft.wrong(f"examples.{part.name}", None, "a value")
    return None if len(draft.mistakes) > before else kind(**given)
