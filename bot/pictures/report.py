"""What the picture of a season's end shows, and the same in words."""

from __future__ import annotations

from dataclasses import dataclass

from bot.i18n import Say
from bot.pictures.captions import MOST_CAPTION, more

__all__ = ["Group", "Report", "Row", "caption"]


@dataclass(frozen=True, slots=True)
class Row:
    """One bar. value: its length among its group's; shown: the value in words, with its unit."""

    label: str
    value: float
    shown: str


@dataclass(frozen=True, slots=True)
class Group:
    """A heading and bars on one scale. left_out_n: how many rows more there would be."""

    heading: str
    rows: tuple[Row, ...]
    left_out_n: int = 0


@dataclass(frozen=True, slots=True)
class Report:
    """title: with the garden and the year. until: up to which day, in words."""

    say: Say
    title: str
    until: str
    groups: tuple[Group, ...]
    dark: bool = False


def caption(report: Report) -> str:
    """The picture in whole sentences, no longer than a caption of the chat may be."""
    say = report.say
    said = f"{report.title}. {report.until}"
    for index, group in enumerate(report.groups):
        listed = say.and_list(say.gettext("{label} {value}", label=row.label, value=row.shown) for row in group.rows)
        sentence = say.gettext("{heading}: {listed}.", heading=group.heading, listed=listed)
        if group.left_out_n:
            sentence = f"{sentence} {more(say, group.left_out_n)}"
        if len(said) + len(sentence) > MOST_CAPTION - 60:
            return f"{said} {more(say, len(report.groups) - index)}"
        said = f"{said} {sentence}"
    return said
