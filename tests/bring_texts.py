"""Brings corrections into a catalogue: `python -m tests.bring_texts pt FILE.po`.

FILE is what somebody sent: what /wording gives, what `python -m tests.safety_words` printed and was filled in, or a whole
catalogue from a .po editor. A person has read it before. Each text that is filled in takes the place of ours, where it
keeps what a translation must keep; what does not is named and left out, and so are texts that we do not say.
"""

from __future__ import annotations

import sys
from pathlib import Path

from babel.messages import Catalog, Message
from babel.messages.pofile import read_po, write_po

from bot.i18n import LANGUAGES
from tests.locale_gate import message_faults
from tests.open_data import ROOT
from tests.support.texts_in_code import Texts, texts_in

__all__ = ["bring", "main"]


def main() -> int:
    if len(sys.argv) != 3 or sys.argv[1] not in list(LANGUAGES)[1:]:
        print(f"python -m tests.bring_texts {'|'.join(list(LANGUAGES)[1:])} FILE.po", file=sys.stderr)  # noqa: T201
        return 2
    language, sent = sys.argv[1], Path(sys.argv[2])
    path = ROOT / "locales" / language / "LC_MESSAGES" / "gatepost.po"
    with path.open("rb") as ours, sent.open("rb") as theirs:
        catalogue, brought = read_po(ours, locale=language), read_po(theirs, locale=language)
    taken_n, refused = bring(catalogue, brought, texts_in(ROOT / "bot"))
    with path.open("wb") as file:
        write_po(file, catalogue, width=76, sort_output=True)
    for line in refused:
        print(line)  # noqa: T201
    print(f"{language}: {taken_n} texts taken, {len(refused)} left out")  # noqa: T201
    return 1 if refused else 0


def bring(catalogue: Catalog, brought: Catalog, texts: Texts) -> tuple[int, list[str]]:
    """Change the catalogue; how many texts were taken, and what was left out and why."""
    taken_n, refused = 0, []
    for message in brought:
        if not message.id or message.fuzzy or not _is_filled(message):
            continue
        first = message.id if isinstance(message.id, str) else message.id[0]
        ours = catalogue.get(first, message.context)
        if ours is None:
            refused.append(f"{first!r}: we do not say this")
            continue
        wrong = list(message_faults(message, ours, catalogue, texts))
        if wrong:
            refused.append(f"{first!r}: {'; '.join(wrong)}")
        elif ours.string != message.string:
            ours.string = message.string
            ours.flags.discard("fuzzy")
            taken_n += 1
    return taken_n, refused


def _is_filled(message: Message) -> bool:
    return any(message.string) if isinstance(message.string, (list, tuple)) else bool(message.string)


if __name__ == "__main__":
    sys.exit(main())
