"""What a translation must keep of its English text, whoever wrote it: its placeholders, its tags, its parts, its length."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from enum import Enum
from string import Formatter

#: The longest label of a button that fits beside another on a narrow phone. Common practice, no source.
LABEL_N = 20
#: Of a message, with room for its closing line: Bot API 10.0 takes 4096.
TEXT_N = 3900
#: As long as a name may be: storage has room for it (core/people/names.py).
_LONGEST_NAME = "M" * 80
_MOST = "1,000"
_TAGS = re.compile(r"</?[a-zA-Z][^>]*>|[<>&]")
#: Signs that turn the direction of all that follows. Isolates are set when a text is filled in.
_TURNING = re.compile("[\u202a-\u202e\u2066-\u2069]")

Placeholder = tuple[str, str, str]


class Fault(Enum):
    """What is wrong with a translation."""

    FORMAT = "is no valid format"
    PLACEHOLDERS = "has other placeholders"
    TAGS = "gains or loses a tag"
    SPACE = "begins or ends with a space"
    LABEL = f"is over {LABEL_N} on a button"
    LENGTH = "is over {most} where the platform takes no more"
    SEMICOLONS = "has another number of parts between ;"
    BARS = "has another number of parts between |"
    ALTERNATIVE = "has an empty alternative"
    TURNING = "holds a sign that turns the direction of writing"


def faults(
    form: str,
    english: str,
    *,
    typed: bool = False,
    ordered: bool = False,
    may_lack_n: bool = False,
    label: bool = False,
    most: int = TEXT_N,
) -> Iterator[Fault]:
    """Everything that is wrong with one form of a translation.

    typed: it is a list of what people type, parted by | and ;. ordered: its parts between | are in a fixed order.
    may_lack_n: it stands for one number only, which it may spell out. label: it stands on a button. most: characters
    that the platform takes, once the longest names are filled in.
    """
    found, wanted = placeholders(form), placeholders(english)
    if found is None:
        yield Fault.FORMAT
    elif found != wanted and not (may_lack_n and wanted is not None and found == wanted - {("n", "", "")}):
        yield Fault.PLACEHOLDERS
    if Counter(_TAGS.findall(form)) != Counter(_TAGS.findall(english)):
        yield Fault.TAGS
    if form != form.strip():
        yield Fault.SPACE
    if label and len(form) > LABEL_N:
        yield Fault.LABEL
    elif not typed and len(filled(form)) > most:
        yield Fault.LENGTH
    if typed and form.count(";") != english.count(";"):
        yield Fault.SEMICOLONS
    if ordered and form.count("|") != english.count("|"):
        yield Fault.BARS
    if "|" in english and not all(part.strip() for part in re.split(r"[|;/]", form)):
        yield Fault.ALTERNATIVE
    if _TURNING.search(form):
        yield Fault.TURNING


def placeholders(text: str) -> frozenset[Placeholder] | None:
    """(name, format, conversion) of each; None when str.format would fail."""
    try:
        parsed = list(Formatter().parse(text))
    except ValueError:
        return None
    found = frozenset((name, form or "", turn or "") for _, name, form, turn in parsed if name is not None)
    return found if all(name.isidentifier() and not form and not turn for name, form, turn in found) else None


def filled(text: str) -> str:
    """The text with the longest number and the longest names that may stand in it."""
    found = placeholders(text)
    if found is None:
        return text
    return text.format(**{name: _MOST if name == "n" else _LONGEST_NAME for name, _, _ in found})
