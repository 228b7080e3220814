"""An invented season's end."""

from __future__ import annotations

from bot.i18n import Say
from bot.pictures.report import Group, Report, Row
from tests.pictures.picture_samples import ENGLISH

GROUPS = (
    Group(
        "Harvest",
        (
            Row("Maincrop potatoes", 61.5, "61.5 kg"),
            Row("Courgettes", 24.0, "24 kg"),
            Row("Runner beans", 12.3, "12.3 kg"),
            Row("Garlic", 0.4, "0.4 kg"),
        ),
        3,
    ),
    Group(
        "Nights with frost or a warning",
        (
            Row("frost with a warning", 6, "6"),
            Row("warning without frost", 2, "2"),
            Row("frost without a warning", 0, "0"),
        ),
    ),
    Group("Jobs before bad weather", (Row("done in time", 31, "31"), Row("not done in time", 4, "4"))),
    Group("Plants lost", (Row("Courgettes", 8, "8"), Row("Climbing French beans", 3, "3"))),
)


def report(say: Say = ENGLISH, groups: tuple[Group, ...] = GROUPS, *, dark: bool = False) -> Report:
    return Report(say, "The season 2026 in Teasel Lane", "Up to 25 November 2026.", groups, dark)
