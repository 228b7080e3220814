"""Names of people: what is kept of one as it comes in, and how user text is shown so that nobody can tap it.

Which signs cannot be seen is Unicode's general category (UAX #44); the letters and symbols without ink are listed.
"""

from __future__ import annotations

import re
import unicodedata

#: As many characters as storage has room for.
NAME_N = 80
#: Control, format (direction marks and zero-width signs among them), private use, and halves of characters.
_UNSEEN = frozenset({"Cc", "Cf", "Co", "Cs"})
#: Letters, marks and a symbol that leave no ink: Hangul fillers, Khmer inherent vowels, an empty Braille cell, a joiner.
_WITHOUT_INK = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u2800\u3164\uffa0")
#: Marks over and under one letter; real spelling needs no more than three (common practice, no source).
_MARKS_N = 3
#: What a phone cannot see, and no name: it keeps two signs from being read as a link, a command or a mention.
_WORD_JOINER = "\u2060"
#: Between these two signs the chat app would see an address, a command, a mention or a topic.
_TAPPABLE = re.compile(
    r"(?<=[@#])(?=\w)"  # a mention, a mail address, a topic
    r"|(?<=/)(?<!\w/)(?=\w)"  # a command
    r"|(?<=:)(?=//)"  # an address of any kind
    r"|(?<=\w\.)(?=[^\W\d_])"  # a domain
    r"|(?<=\d\.)(?=\d{1,3}\.\d{1,3}\.\d)"  # a number of a computer
)


def clean(name: str, most: int = NAME_N) -> str:
    """The name on one line without signs that cannot be seen, of at most `most` characters; "" when nothing is left.

    A name needs a letter, a number or a picture: dots and dashes alone are nobody's.
    """
    kept: list[str] = []
    marks_n = 0
    for sign in unicodedata.normalize("NFC", name):
        kind = unicodedata.category(sign)
        marks_n = marks_n + 1 if kind[0] == "M" else 0
        if sign.isspace() or kind[0] == "Z":
            kept.append(" ")
        elif kind not in _UNSEEN and sign not in _WITHOUT_INK and marks_n <= _MARKS_N:
            kept.append(sign)
    whole = " ".join("".join(kept).split())[:most].rstrip()
    return whole if any(unicodedata.category(sign)[0] in "LNS" for sign in whole) else ""


def untappable(text: str) -> str:
    """Text that looks the same, and in which the chat app finds no link, command, mention or topic to tap."""
    return _TAPPABLE.sub(_WORD_JOINER, text)
