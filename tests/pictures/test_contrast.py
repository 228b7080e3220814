"""Contrast by the formula of WCAG 2.2, and the colours of both looks held against its limits."""

from __future__ import annotations

import pytest

from bot.pictures.looks import DARK, LIGHT, Colours, contrast

#: Worked values that the W3C publishes with its rule "Text has minimum contrast" (ACT rule afw4f7, test cases; read
#: via a copy of the rule's text, 2026-11-25). They are given to one or two decimals, sometimes cut, sometimes rounded.
PUBLISHED = [
    ("#000000", "#ffffff", 21.0, 0.0),
    ("#333333", "#ffffff", 12.6, 0.05),
    ("#000000", "#666666", 3.6, 0.1),
    ("#0000ee", "#ffffff", 9.39, 0.015),
    ("#aaaaaa", "#ffffff", 2.3, 0.05),
    ("#777777", "#eeeeee", 3.85, 0.015),
]
LOOKS = pytest.mark.parametrize("look", [LIGHT, DARK], ids=["light", "dark"])


@pytest.mark.parametrize(("one", "other", "ratio", "give"), PUBLISHED)
def test_contrast_gives_the_published_ratios(one: str, other: str, ratio: float, give: float) -> None:
    assert contrast(one, other) == pytest.approx(ratio, abs=give + 1e-9)
    assert contrast(other, one) == contrast(one, other)


@LOOKS
def test_text_reaches_the_minimum_contrast_on_every_ground(look: Colours) -> None:
    """WCAG 2.2, success criterion 1.4.3: at least 4.5:1, not rounded."""
    for ground in (look.paper, look.stripe):
        for ink in (look.ink, look.quiet, look.third):
            assert contrast(ink, ground) >= 4.5


@LOOKS
def test_lines_and_shapes_reach_the_minimum_contrast_on_every_ground(look: Colours) -> None:
    """WCAG 2.2, success criterion 1.4.11: at least 3:1, not rounded."""
    for ground in (look.paper, look.stripe):
        for colour in (look.rule, look.first, look.second, look.third, look.fourth):
            assert contrast(colour, ground) >= 3.0


def test_the_dark_look_is_dark_and_the_light_one_light() -> None:
    assert contrast(DARK.paper, "#000000") < 1.5 < 15 < contrast(LIGHT.paper, "#000000")
