"""The texts that keep people from harm, for whoever reviews a language: these first.

`python -m tests.safety_words cy` prints them as a .po file, those that are still missing first, then the rest with
their English; save it and open it in any .po editor. Which texts they are is said once, here: by the functions that say
them, so that a text that is reworded stays among them; and by the contexts of what people type when they need help.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator, Mapping
from functools import cache

from babel.messages import Catalog, Message
from babel.messages.pofile import read_po, write_po

from bot.i18n import LANGUAGES
from tests.open_data import ROOT
from tests.support.texts_in_code import texts_of

__all__ = ["SAFETY", "SAFETY_CONTEXTS", "is_safety", "main", "safety_texts"]

#: The functions whose every text is one, by their file below bot/.
SAFETY: Mapping[str, tuple[str, ...]] = {
    "chat/calendar/proposal.py": ("_trouble",),
    "chat/growing/own_crops.py": ("whole",),
    "chat/growing/signs.py": (
        "caution",
        "brief",
        "compost",
        "hose",
        "hose_short",
        "no_fire",
        "no_fire_short",
        "heat",
        "heat_instead",
    ),
    "chat/growing/week.py": ("_beyond",),
    "chat/help.py": ("_page",),
    "chat/people/start.py": ("ask_adult", "_not_adult"),
    "chat/people/wishes_words.py": ("message", "_lift"),
    "chat/question_words.py": ("risk",),
    "chat/tasks/daily_words.py": ("_cautions",),
    "chat/tasks/duty_words.py": ("caution", "hands", "fasten", "stay_in"),
    "chat/tasks/safely_home.py": (
        "buttons",
        "question",
        "silent",
        "safe_home",
        "reported",
        "wants_help",
        "passed_on",
        "_emergency",
    ),
    "chat/tasks/what_is_on_words.py": ("of",),
    "chat/warnings/brief.py": ("_wind", "_heat", "_rain"),
    "chat/warnings/limits.py": ("_gusts", "_height"),
    "chat/warnings/manual_words.py": ("preview",),
    "chat/warnings/official.py": ("message",),
    "chat/warnings/warning_words.py": ("_open_call", "_too_late"),
    "chat/weather/weather_words.py": ("about", "not_then"),
}
#: What people type when they need help, or are safe.
SAFETY_CONTEXTS = (
    "whole messages that cry for help",
    "whole messages that ask for help, of people among themselves",
    "words that call for help before an exclamation mark",
    "words that sound like a cry after: are you safely home?",
    "words that say safely home",
)


def main() -> int:
    language = sys.argv[1] if len(sys.argv) == 2 else ""
    if language not in list(LANGUAGES)[1:]:
        print(f"python -m tests.safety_words {'|'.join(list(LANGUAGES)[1:])}", file=sys.stderr)  # noqa: T201
        return 2
    path = ROOT / "locales" / language / "LC_MESSAGES" / "gatepost.po"
    with path.open("rb") as file:
        catalogue = read_po(file, locale=language)
    write_po(sys.stdout.buffer, to_review(catalogue), width=76)
    return 0


def to_review(catalogue: Catalog) -> Catalog:
    """Only its texts about safety, those that are missing first."""
    found = [message for message in catalogue if message.id and is_safety(message)]
    chosen = Catalog(catalogue.locale, header_comment=catalogue.header_comment, fuzzy=False)
    chosen.mime_headers = catalogue.mime_headers
    for message in sorted(found, key=_is_there):
        chosen[message.id] = message
    return chosen


def is_safety(message: Message) -> bool:
    first = message.id if isinstance(message.id, str) else message.id[0]
    return message.context in SAFETY_CONTEXTS if message.context else first in safety_texts()


@cache
def safety_texts() -> frozenset[str]:
    """The English of each; of a text with a plural, the form for one."""
    return frozenset(
        text for file, functions in SAFETY.items() for function in functions for text in _said(file, function)
    )


def _said(file: str, function: str) -> Iterator[str]:
    found = list(texts_of(ast.parse((ROOT / "bot" / file).read_text("utf-8")), function))
    if not found:
        raise LookupError(f"bot/{file} has no text in {function}(); put tests/safety_words.py: SAFETY right")
    yield from found


def _is_there(message: Message) -> bool:
    return all(message.string) if isinstance(message.string, (list, tuple)) else bool(message.string)


if __name__ == "__main__":
    sys.exit(main())
