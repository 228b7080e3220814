"""Texts that one garden says in its own words: found by how they were said, tried by the rules of every translation,
kept on the garden's row for its own language, and handed on as a .po file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from babel.messages import Catalog
from babel.messages.pofile import write_po

from bot.i18n import Text, plural_forms, texts
from bot.storage.models import Garden
from bot.wordings import LABEL_N, Fault, faults, placeholders

#: So many a garden, and so long each: as long again as the English, for a language that needs the room.
WORDINGS_N = 200
_ROOM_N = 40
#: What the chat app would make something to tap of, besides our own commands.
_TAPPABLE = re.compile(r"@\w|://|\bwww\.|\w\.(?:com|org|net|me)\b", re.IGNORECASE)
_ISOLATES = re.compile("[\u2066-\u2069]")


@dataclass(frozen=True, slots=True)
class Found:
    """A text, which of its forms was said (0 for a text without a plural), and what stood in its placeholders."""

    text: Text
    form: int
    values: Mapping[str, str]

    @property
    def english(self) -> str:
        return self.text.english[min(self.form, len(self.text.english) - 1)]


def find(garden: Garden, language: str, said: str) -> Found | None:
    """The text that was said so, in the garden's own words or in the catalogue's: the one with the most words of its
    own, where several fit."""
    best: tuple[int, Found] | None = None
    plain = _plain(said)
    own = garden.wordings.get(language, {})
    for text in texts(language):
        for form, words in enumerate(text.forms):
            words = own.get(text.english[0], {}).get(str(form), words)
            values = _values(words, plain)
            fixed_n = len(re.sub(r"\{\w+\}", "", words))
            if values is not None and (best is None or fixed_n > best[0]):
                best = fixed_n, Found(text, form, values)
    return None if best is None else best[1]


def rewritten(found: Found, better: str) -> tuple[str, list[Fault]]:
    """The better text with its placeholders again, and what is wrong with it."""
    words = _plain(better)
    for name, value in sorted(found.values.items(), key=lambda one: -len(one[1])):
        words = words.replace(value, f"{{{name}}}", 1) if f"{{{name}}}" not in words else words
    english = found.english
    label = len(english) <= LABEL_N and len(found.text.forms[found.form]) <= LABEL_N
    wrong = list(faults(words, english, may_lack_n=False, label=label))
    if len(words) > 2 * len(english) + _ROOM_N:
        wrong.append(Fault.LENGTH)
    if len(_TAPPABLE.findall(words)) > len(_TAPPABLE.findall(english)):
        wrong.append(Fault.TAGS)
    return words, wrong


def keep(garden: Garden, language: str, found: Found, words: str) -> bool:
    """False where the garden has as many as it may."""
    own = {code: dict(some) for code, some in garden.wordings.items()}
    forms = dict(own.setdefault(language, {}).get(found.text.english[0], {}))
    own[language][found.text.english[0]] = {**forms, str(found.form): words}
    if sum(map(len, own.values())) > WORDINGS_N:
        return False
    garden.wordings = own
    return True


def kept(garden: Garden, language: str) -> list[tuple[str, str]]:
    """(English, what is said instead), in the order in which they were written."""
    own: Mapping[str, Mapping[str, str]] = garden.wordings.get(language, {})
    return [(english, words) for english, forms in own.items() for words in forms.values()]


def put_back(garden: Garden, language: str, number: int) -> str | None:
    """Say the text of a number in `kept` as before again, in all its forms: its English; None where there is none."""
    listed = kept(garden, language)
    if not 0 <= number < len(listed):
        return None
    english = listed[number][0]
    own: dict[str, Any] = {code: dict(some) for code, some in garden.wordings.items()}
    del own[language][english]
    garden.wordings = {code: some for code, some in own.items() if some}
    return english


def to_po(garden: Garden, language: str) -> bytes | None:
    """The garden's own texts of a language as a .po file with the English beside them; None where there are none. It
    names neither the garden nor anybody."""
    own: Mapping[str, Mapping[str, str]] = garden.wordings.get(language, {})
    chosen = list(_chosen(own, language))
    if not chosen:
        return None
    catalogue = Catalog(
        language, header_comment="# Corrections by people of a garden; see docs/translating.md.", fuzzy=False
    )
    catalogue.mime_headers = [("Plural-Forms", plural_forms(language))]
    for text, forms in chosen:
        if len(text.english) > 1:
            catalogue.add(text.english, tuple(forms))
        else:
            catalogue.add(text.english[0], forms[0])
    out = BytesIO()
    write_po(out, catalogue, width=76)
    return out.getvalue()


def _chosen(own: Mapping[str, Mapping[str, str]], language: str) -> Iterator[tuple[Text, list[str]]]:
    for text in texts(language):
        better = own.get(text.english[0])
        if better is not None:
            yield text, [better.get(str(form), words) for form, words in enumerate(text.forms)]


def _values(words: str, said: str) -> dict[str, str] | None:
    """What stands in the placeholders of a text that was said so; None where it was not."""
    if not placeholders(words):
        return {} if words == said else None
    seen: set[str] = set()
    pattern = ""
    for piece in re.split(r"(\{\w+\})", words):
        name = piece[1:-1] if piece.startswith("{") else ""
        if not name:
            pattern += re.escape(piece)
        elif name in seen:
            pattern += f"(?P={name})"
        else:
            seen.add(name)
            pattern += f"(?P<{name}>.+?)"
    found = re.fullmatch(pattern, said)
    return found.groupdict() if found is not None and re.sub(r"\{\w+\}|\W", "", words) else None


def _plain(text: str) -> str:
    return " ".join(_ISOLATES.sub("", text).split(" ")).strip()
