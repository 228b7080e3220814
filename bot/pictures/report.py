"""What the picture of a season's end shows, and the same in words."""

from __future__ import annotations

from dataclasses import dataclass

from bot.i18n import Say
from bot.pictures.looks import MOST_CAPTION, has_room, more


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
    """The picture in whole sentences, as much of each group as a phone shows at once; what is left out is counted."""
    most = max((len(group.rows) for group in report.groups), default=1)
    forms = (_caption(report, rows_n) for rows_n in range(most, 0, -1))
    return next((said for said in forms if has_room(said)), _caption(report, 1)[:MOST_CAPTION])


def _caption(report: Report, rows_n: int) -> str:
    """With so many rows of each group at most."""
    say = report.say
    said = [report.until]
    for group in report.groups:
        shown = group.rows[:rows_n]
        listed = say.and_list(say.gettext("{label} {value}", label=row.label, value=row.shown) for row in shown)
        said.append(say.gettext("{heading}: {listed}.", heading=group.heading, listed=listed))
        rest = len(group.rows) - len(shown) + group.left_out_n
        if rest:
            said.append(more(say, rest))
    return "\n".join([report.title, " ".join(said)])
