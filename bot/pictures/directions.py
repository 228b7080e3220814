"""Which way each stretch of a line runs, by the bidirectional algorithm of Unicode (UAX #9) as fpdf2 has it.

Pillow leaves this to the FriBiDi library of the machine, of which version 1.0.8 turns round a number that comes after an
isolated Arabic name. Only the worker process may import this.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby

from fpdf.bidi import BidiParagraph, auto_detect_base_direction
from fpdf.enums import TextDirection

__all__ = ["carried", "runs"]

_FIRST_STRONG, _POP = "\N{FIRST STRONG ISOLATE}", "\N{POP DIRECTIONAL ISOLATE}"
_LEFT, _RIGHT = "\N{LEFT-TO-RIGHT ISOLATE}", "\N{RIGHT-TO-LEFT ISOLATE}"
_ISOLATES = {_FIRST_STRONG, _POP, _LEFT, _RIGHT}
#: Bidirectional classes that need no thought where the line runs from left to right begin before this letter: Hebrew.
_FIRST_LEFTWARD = "\u0590"


@lru_cache(2048)
def runs(line: str, *, right_to_left: bool) -> tuple[tuple[str, bool], ...]:
    """The stretches of a line from the left of the picture to its right: (text, whether it runs from right to left)."""
    if not right_to_left and all(sign < _FIRST_LEFTWARD for sign in line):
        return ((line, False),)
    base = TextDirection.RTL if right_to_left else TextDirection.LTR
    signs = BidiParagraph(text=line, base_direction=base).get_characters_with_embedding_level()
    levels = [
        (level, "".join(one.character for one in some if one.character not in _ISOLATES))
        for level, some in groupby(signs, key=lambda one: one.embedding_level)
    ]
    return tuple((text, level % 2 == 1) for level, text in _from_the_left(levels) if text)


def _from_the_left(levels: Sequence[tuple[int, str]]) -> list[tuple[int, str]]:
    """Rule L2: from the highest level to the lowest odd one, whatever lies at it or above is turned round."""
    shown = list(levels)
    for level in range(max((level for level, _ in shown), default=0), 0, -1):
        turned: list[tuple[int, str]] = []
        for is_at, some in groupby(shown, key=lambda one: one[0] >= level):
            stretch = list(some)
            turned += reversed(stretch) if is_at else stretch
        shown = turned
    return shown


def carried(lines: Sequence[str]) -> list[str]:
    """The lines of a paragraph, each by itself: what is isolated on one and goes on on the next is isolated there too."""
    out, begun = [], list[str]()
    whole, at = "\n".join(lines), 0
    for line in lines:
        before, said = "".join(begun), ""
        for n, sign in enumerate(line):
            shown = sign
            if sign == _FIRST_STRONG:
                found = auto_detect_base_direction(whole[at + n + 1 :].replace("\n", " "), stop_at_pdi=True)
                shown = _RIGHT if found is TextDirection.RTL else _LEFT
            if shown in (_LEFT, _RIGHT):
                begun.append(shown)
            elif shown == _POP and begun:
                begun.pop()
            said += shown
        out.append(before + said + _POP * len(begun))
        at += len(line) + 1
    return out
