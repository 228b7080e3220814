"""The words of numbers, one language at a time."""

from __future__ import annotations

from collections.abc import Callable

from bot.chat.language.tokens import Phrase
from bot.chat.language.word_lists import counted_up, numbered, phrases_of, units_first
from bot.i18n import Say

_Values = dict[Phrase, int]
#: Of a context and the English text: meanings in a fixed order, each of alternatives.
InOrder = Callable[[str, str], tuple[tuple[Phrase, ...], ...]]


def number_words(own: Say, in_order: InOrder) -> tuple[_Values, _Values, _Values]:
    """Those of numbers below twenty and others that are one word; of tens; and those that multiply."""
    numbers = numbered(
        in_order(
            "numbers zero to twelve",
            "zero/nought|one|two/a couple of/couple of/a couple/couple/a pair of/a pair|three|four|five|"
            "six/half a dozen|seven|eight|nine|ten|eleven|twelve/a dozen/dozen",
        )
    )
    numbers |= counted_up(
        in_order("numbers thirteen to nineteen", "thirteen|fourteen|fifteen|sixteen|seventeen|eighteen|nineteen"),
        13,
    )
    tens = counted_up(
        in_order("numbers by tens", "twenty|thirty|forty/fourty|fifty|sixty|seventy|eighty|ninety"), 20, 10
    )
    each_its_own = own.pgettext("numbers twenty-one to ninety-nine, in order, where each is a word of its own", "-")
    if "|" in each_its_own:
        numbers |= counted_up(tuple(phrases_of(part, "/") for part in each_its_own.split("|")), 21)
    times = in_order("numbers that multiply", "dozen/doz|hundred|thousand")
    if own.language == "ar":
        numbers |= units_first(numbers, tens, times[1], "و")
    return numbers, tens, {phrase: n for n, phrases in zip((12, 100, 1000), times, strict=True) for phrase in phrases}
